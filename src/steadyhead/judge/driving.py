"""Which duty drives a motor, which lets it idle, and which is off."""

OFF_DUTY = 0.03
DRIVING_DUTY = 0.18
"""An idling motor stays below this share of full voltage, a driving one above; common practice, no source."""
