"""What is heard far above flight modes and limit: gears of the tail can sound as blades of a multiple of the speed."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from steadyhead.judge.sound_of import reach_rpm_of
from steadyhead.machine.description import Machine
from steadyhead.trace.heard import Heard
from steadyhead.trace.heard_drive import FAMILY_HEARD
from steadyhead.trace.sound_lines import BLADES
from steadyhead.trace.trace import Series

OVER_REACH = (
    "{seconds:.1f} s sounded like {low:.0f} to {high:.0f} rpm, up past {reach:.0f} rpm, which modes and limit of "
    "the machine file leave room for, and no main blades were heard there: not told as heard; such a multiple may be "
    "gears of the tail that the file does not tell; check motor.kv, pack.cells, teeth, poles and flight modes, and if "
    "the head may truly turn so fast switch off and keep away"
)
JUMP_SHARE = 0.05
"""No head moves by so much from frame to frame, 25 ms; common practice, no source."""
MOSTLY = 0.5
"""Main blades must be heard in so much of it; own choice."""


def within_reach(sound: Heard, machine: Machine) -> Heard:
    """Return a recording with the claim taken back from what lies above `reach_rpm_of`, unless main blades say it too.

    Valid: as heard where the file has neither flight mode nor limit.
    """
    frames, reach = sound.frames, reach_rpm_of(machine)
    over = sound.claimed & (np.nan_to_num(frames.head_speed_rpm) > reach) & (reach > 0.0)
    if not over.any() or (frames.blades[over, BLADES.index("blade-pass")] > FAMILY_HEARD).mean() > MOSTLY:
        return sound
    over = _whole_runs(frames.head_speed_rpm, sound.claimed, over)
    rpm = frames.head_speed_rpm[over]
    told = OVER_REACH.format(seconds=sound.seconds(over), low=float(rpm.min()), high=float(rpm.max()), reach=reach)
    return replace(
        sound,
        frames=replace(frames, confidence=np.where(over, 0.0, frames.confidence)),
        warnings=(*sound.warnings, told),
    )


def _whole_runs(rpm: Series, claimed: NDArray[np.bool_], over: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return the frames of each run without gap or jump that holds one of those given: one multiple led through it.

    Shapes: (n,), (n,), (n,) -> (n,)
    """
    at = np.flatnonzero(claimed)
    apart = (np.diff(at) > 1) | (np.abs(np.diff(rpm[at])) > JUMP_SHARE * rpm[at][:-1])
    out = np.zeros(claimed.size, bool)
    for run in np.split(at, np.flatnonzero(apart) + 1):
        out[run] = over[run].any()
    return out
