"""Recordings for the contents page: heard, judged, drawn, written."""

from pathlib import Path

from steadyhead.judge.listening import Listening
from steadyhead.machine.description import Machine
from steadyhead.trace.heard_remarks import BARE, BLADES_ON, remarks_of
from steadyhead.words.progress import Say, silent
from steadyhead.words.verdict import Outcome


def listen(
    machine: Machine,
    wav: Path,
    *,
    out: Path | None = None,
    plot: Path | None = None,
    in_place: bool = False,
    say: Say = silent,
) -> Listening:
    """Hear the head speed in a recording, and judge it as a log is judged.

    `in_place` says that the machine stood or hovered in one place while it was recorded.

    Raises: InputError when the file cannot be heard, or `out` is no file that can be written.
    """
    from steadyhead.flight.files import refuse_kind, write_trace
    from steadyhead.judge.listening import listen as heard
    from steadyhead.report.plots import write_sound_plot

    refuse_kind(out)
    result = heard(machine, wav, say, in_place=in_place)
    say("write")
    if out is not None:
        unknown = (check.check for check in result.checks if check.verdict is Outcome.UNKNOWN)
        write_trace(result.judgement.trace, out, remarks=remarks_of(result.warnings, unknown, _ear(result)))
    if plot is not None:
        write_sound_plot(plot, result)
    return result


def _ear(result: Listening) -> tuple[str, ...]:
    """Return what the sound showed of the machine, which its checks rest on and no column of a trace holds."""
    if result.sound.hears_blades:
        return (BLADES_ON,)
    return (BARE,) if result.sound.hears_drive_alone else ()
