"""What was heard in a recording, with its evidence drawn, and the judgement on it."""

from steadyhead.judge.listening import Listening
from steadyhead.machine.description import Machine
from steadyhead.report.content import Cell, Section, Table, columns
from steadyhead.report.evidence import Evidence
from steadyhead.report.figures.sound import sound_drawing
from steadyhead.report.full import log_sections
from steadyhead.report.view import View, view
from steadyhead.report.wording import clock, percent, ranged


def heard_view(machine: Machine, heard: Listening) -> View:
    """Return the head speeds that were held, the lines that were heard, then what the judge says."""
    evidence = Evidence(machine=machine, judgements=(heard.judgement,))
    first = Section(
        anchor="heard",
        title="What was heard",
        short="Heard",
        lead=(f"A speed is told for {percent(heard.share_heard)} of the recording.",),
        drawings=(sound_drawing(heard),),
        tables=(_held(heard), _lines(heard)),
    )
    facts = [f"{heard.duration_s:.1f} s", f"{heard.sample_rate_hz} samples a second"]
    return view(heard.wav, heard.verdict, [first, *log_sections(evidence)[1:]], facts)


def _held(heard: Listening) -> Table:
    return Table(
        caption="Head speeds that were held",
        columns=columns("From – to", "Head speed (90 %)", "Flight mode", words=(0, 2)),
        rows=tuple(
            (
                Cell(text=f"{clock(one.start_s)} – {clock(one.end_s)}"),
                Cell(text=ranged(one.head_speed_rpm, one.head_speed_rpm_interval, "rpm")),
                Cell(text=one.mode or "not known"),
            )
            for one in heard.set_speeds
        ),
        shape="pairs",
    )


def _lines(heard: Listening) -> Table:
    return Table(
        caption="Lines of the machine that were heard",
        columns=columns("Line", "Share of what was told", words=(0,)),
        rows=tuple((Cell(text=one.family), Cell(text=percent(one.share))) for one in heard.lines),
        shape="pairs",
    )
