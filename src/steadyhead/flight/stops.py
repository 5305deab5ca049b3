"""How a flight ended, and the sentence that says it."""

from enum import IntEnum


class FlightStop(IntEnum):
    """Why the engine stopped."""

    DONE = 0
    NOT_FINITE = 1
    TIP_TOO_FAST = 2
    PACK_EMPTY = 3
    WINDING_BURNT = 4
    PACK_COLLAPSED = 5


FLIGHT_STOP_SAYS = {
    FlightStop.DONE: "ran to the end of the scenario",
    FlightStop.NOT_FINITE: "the numbers ran away",
    FlightStop.TIP_TOO_FAST: "the blade tips passed Mach 0.95, where neither such blades nor this model go",
    FlightStop.PACK_EMPTY: "the pack was empty",
    FlightStop.WINDING_BURNT: "the winding passed 300 °C: the motor has burnt",
    FlightStop.PACK_COLLAPSED: "the pack voltage fell below a third of a full pack: no controller runs on that",
}
