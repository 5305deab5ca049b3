"""Says why a rotor was not told though one was heard: another speed explains the same sound."""

from collections.abc import Sequence

from steadyhead.judge.held_heard import NEAR_MODE_SHARE
from steadyhead.machine.tables.channel import FlightMode
from steadyhead.trace.heard_rival import TakenBack

TIMES_SAY = {
    1 / 3: "a third of", 1 / 2: "half of", 2 / 3: "two thirds of", 1.5: "1.5 times", 2.0: "twice", 3.0: "three times",
}  # fmt: skip
SETTLES = (
    "what would settle it: count the teeth of pinion and gears, the poles and the blades against the machine file "
    "(motor.kv and pack.cells, too: they say how high is listened for); record nearer, from one place, and say "
    "--in-place where the machine stood or hovered there; or read the head itself once, as with an optical tachometer"
)


def taken_back_told(found: TakenBack | None, modes: Sequence[FlightMode]) -> str:
    """Return what was heard and taken back, how it stands to the flight modes, and what would settle it; or nothing."""
    if found is None:
        return ""
    rpm, other = found.head_speed_rpm, found.head_speed_rpm * found.times
    return (
        f"about {rpm:.0f} rpm was heard for {found.seconds:.1f} s and taken back, since {_times(found.times)} that "
        f"speed, {other:.0f} rpm, explains the same sound{_beside(rpm, other, modes)}; {SETTLES}"
    )


def _beside(rpm: float, other: float, modes: Sequence[FlightMode]) -> str:
    """Return how both speeds stand to the flight mode that one of them is near."""
    pairs = [(mode, near, far) for mode in modes for near, far in ((rpm, other), (other, rpm))]
    if not pairs:
        return ""
    mode, near, far = min(pairs, key=lambda pair: abs(pair[0].head_speed.number / pair[1] - 1.0))
    asked = mode.head_speed.number
    if abs(asked / near - 1.0) >= NEAR_MODE_SHARE:
        return ", and neither is near a flight mode"
    return f": {near:.0f} rpm would be flight mode {mode.name} ({asked:.0f} rpm), {far:.0f} rpm {_times(far / near)} it"


def _times(times: float) -> str:
    return TIMES_SAY[min(TIMES_SAY, key=lambda one: abs(one / times - 1.0))]
