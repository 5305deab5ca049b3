"""[channel], [governor], [run_logic], [[flight_mode]] and [[reading]]: what the transmitter says and who obeys."""

from typing import Annotated

from steadyhead.machine.keys import Count, Flag, Words
from steadyhead.machine.tables.table import REQUIRED, TYPICAL, UNKNOWN, UNUSED, Table, quantity
from steadyhead.words.value import Value


class ChannelTable(Table):
    """[channel]: the throttle channel. 0 % is its low end, 100 % its high end."""

    pulse_low: Annotated[
        Value | None, quantity("pulse width at 0 %, travel 100 %", "us", 500, 2500, "1100 us", TYPICAL)
    ] = None
    pulse_high: Annotated[
        Value | None, quantity("pulse width at 100 %, travel 100 %", "us", 500, 2500, "1900 us", TYPICAL)
    ] = None
    travel_low: Annotated[
        Value | None, quantity("travel adjustment of the low end", "%", 10, 200, "100 %", TYPICAL)
    ] = None
    travel_high: Annotated[
        Value | None, quantity("travel adjustment of the high end", "%", 10, 200, "100 %", TYPICAL)
    ] = None
    step: Annotated[Value | None, quantity("smallest change of pulse width", "us", 0, 20, "1 us", TYPICAL)] = None
    jitter: Annotated[
        Value | None, quantity("how far the pulse width wanders by itself, half width", "us", 0, 50, "1 us", TYPICAL)
    ] = None
    learned_low: Annotated[
        Value | None, quantity("low end that the controller learned", "us", 500, 2500, "1100 us", UNKNOWN)
    ] = None
    learned_high: Annotated[
        Value | None, quantity("high end that the controller learned", "us", 500, 2500, "1900 us", UNKNOWN)
    ] = None
    cut_off: Annotated[
        Value | None, quantity("the motor stops below this channel value", "%", 0, 100, "8 %", UNKNOWN)
    ] = None
    start: Annotated[
        Value | None, quantity("the motor starts above this channel value", "%", 0, 100, "22 %", UNKNOWN)
    ] = None
    ramp_rate: Annotated[
        Value | None, quantity("how fast the channel moves to a new value", "%/s", 0.1, 10000, "50 %/s", UNKNOWN)
    ] = None
    hold: Annotated[Value | None, quantity("channel value at throttle hold", "%", 0, 100, "0 %", TYPICAL)] = None
    frame: Annotated[Value | None, quantity("time from one pulse to the next", "ms", 1, 100, "20 ms", TYPICAL)] = None
    hold_rate: Annotated[
        Value | None, quantity("how fast the channel moves to throttle hold", "%/s", 0.1, 100000, "5000 %/s", UNKNOWN)
    ] = None
    autorotation: Annotated[
        Value | None, quantity("channel value at the autorotation position", "%", 0, 100, "5 %", UNKNOWN)
    ] = None


class GovernorTable(Table):
    """[governor]: how it brings the rotor up and holds it. Gains are physical: a device's own numbers mean else."""

    soft_spool: Annotated[Value | None, quantity("time of a soft start from rest", "s", 0.5, 120, "15 s", UNKNOWN)] = (
        None
    )
    quick_spool: Annotated[
        Value | None, quantity("time of a quick restart in a bail-out", "s", 0.1, 60, "2 s", UNKNOWN)
    ] = None
    rate: Annotated[
        Value | None, quantity("how often the governor measures and acts", "Hz", 5, 5000, "250 Hz", TYPICAL, doubt=0.5)
    ] = None
    gain: Annotated[
        Value | None,
        quantity("duty given for a speed error as large as the set speed", "", 0, 50, "1.2", TYPICAL, doubt=0.5),
    ] = None
    integral_time: Annotated[
        Value | None,
        quantity("time in which a steady error brings as much duty again", "s", 0.01, 100, "0.4 s", TYPICAL, doubt=0.5),
    ] = None
    derivative_time: Annotated[
        Value | None, quantity("lead time of the derivative part, 0 for none", "s", 0, 5, "0 s", TYPICAL)
    ] = None
    collective_feed: Annotated[
        Value | None,
        quantity("duty added ahead of time for 10 degrees of collective", "", -1, 2, "0.08", TYPICAL, doubt=0.5),
    ] = None
    duty_low: Annotated[Value | None, quantity("least duty while governed", "", 0, 0.9, "0", TYPICAL)] = None
    duty_high: Annotated[Value | None, quantity("most duty while governed", "", 0.1, 1, "1", TYPICAL)] = None
    idle_duty: Annotated[Value | None, quantity("duty while the motor idles", "", 0, 0.5, "0.06", TYPICAL)] = None
    filter_time: Annotated[
        Value | None, quantity("smoothing of the measured speed", "ms", 0, 500, "5 ms", TYPICAL, doubt=0.5)
    ] = None
    sensor_delay: Annotated[
        Value | None, quantity("age of the measured speed", "ms", 0, 200, "2 ms", TYPICAL, doubt=0.5)
    ] = None
    sensor_step: Annotated[
        Value | None, quantity("resolution of the measured speed, at the head", "rpm", 0, 100, "1 rpm", TYPICAL)
    ] = None
    set_rate: Annotated[
        Value | None,
        quantity("how fast the set speed moves in a mode change, share of it", "%/s", 0.5, 10000, "20 %/s", TYPICAL),
    ] = None


PERMISSIONS = ("none", "idle band", "time")
"""What permits a quick restart: nothing; staying between cut-off and start since governed running; its being recent."""


class RunLogicTable(Table):
    """[run_logic]: when a start is soft and when it is quick."""

    start_delay: Annotated[
        Value | None, quantity("time the controller waits before it starts", "s", 0, 30, "0.2 s", UNKNOWN)
    ] = None
    stop_delay: Annotated[
        Value | None, quantity("time below the cut-off until the motor is off", "s", 0, 30, "0.04 s", UNKNOWN)
    ] = None
    permission: Annotated[
        str | None,
        Words(
            says='what permits a quick restart: "none"; "idle band", staying between cut-off and start since governed '
            'running; "time", its being recent',
            missing=UNKNOWN,
            choices=PERMISSIONS,
        ),
    ] = None
    governed_before: Annotated[
        Value | None,
        quantity("how long it must have been governed to allow a quick restart", "s", 0, 120, "5 s", UNKNOWN),
    ] = None
    quick_restart_window: Annotated[
        Value | None, quantity("how long after the motor stopped a restart is quick", "s", 0, 300, "90 s", UNKNOWN)
    ] = None
    cleared_below: Annotated[
        Value | None,
        quantity('"time" only: the quick restart is lost below this channel value', "%", 0, 100, "3 %", UNKNOWN),
    ] = None
    cleared_after: Annotated[
        Value | None, quantity("time below that value until the quick restart is lost", "s", 0, 60, "0 s", UNKNOWN)
    ] = None
    counts_spool_up: Annotated[
        bool | None, Flag(says="whether the spool-up counts as governed running", missing=UNKNOWN)
    ] = None
    needs_turning_head: Annotated[
        bool | None, Flag(says="whether a quick restart is refused while the head stands still", missing=UNKNOWN)
    ] = None
    idles_after_running: Annotated[
        bool | None,
        Flag(says="whether a motor that ran keeps idling between cut-off and start", missing=UNKNOWN),
    ] = None
    idles_from_rest: Annotated[
        bool | None, Flag(says="whether a motor at rest begins to idle between cut-off and start", missing=UNKNOWN)
    ] = None
    arms_at_low_end: Annotated[
        bool | None,
        Flag(says="whether it must see the channel below the cut-off after power-up before it starts", missing=UNKNOWN),
    ] = None
    arm_time: Annotated[
        Value | None, quantity("how long it must see the channel there", "s", 0, 60, "0.5 s", UNKNOWN)
    ] = None
    arm_visits: Annotated[
        Value | None,
        Count(says="how many times it must see the channel there", missing=UNKNOWN, low=1, high=3, thing="times"),
    ] = None


class FlightMode(Table):
    """[[flight_mode]]: one position of the flight mode switch."""

    name: Annotated[str, Words(says="what you call this flight mode", missing=REQUIRED)]
    head_speed: Annotated[Value, quantity("head speed it should hold", "rpm", 300, 6000, "1990 rpm", REQUIRED)]
    channel: Annotated[Value | None, quantity("channel value of today's flat curve", "%", 0, 100, "70 %", UNKNOWN)] = (
        None
    )
    channel_low: Annotated[
        Value | None,
        quantity("lowest channel value of the curve, stick down, where it is not flat", "%", 0, 100, "0 %", UNUSED),
    ] = None


class ReadingRow(Table):
    """[[reading]]: one head speed measured at one channel value, on the bench."""

    channel: Annotated[Value, quantity("channel value of the flat curve", "%", 0, 100, "70 %", REQUIRED)]
    head_speed: Annotated[
        Value, quantity("head speed that was read", "rpm", 100, 6000, "1990 rpm +- 6 rpm", REQUIRED, doubt=0.005)
    ]
