"""What to set: pulses, end points, thresholds, set-point law, curve percent."""
