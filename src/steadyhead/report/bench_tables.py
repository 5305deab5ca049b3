"""The bench run on the sheet: what was done, when, what was found, what was judged of it."""

from steadyhead.bench.run_summary import RunSummary, StepTold
from steadyhead.report.check_tables import check_table
from steadyhead.report.content import Cell, Part, Section, Table, columns, points, verdict_cell
from steadyhead.report.sentences import counted, sentence
from steadyhead.report.views.benched import expected_words
from steadyhead.words.verdict import Outcome


def bench_part(bench: RunSummary | None) -> tuple[Part, ...]:
    """Return the part of the verdict that the bench run makes; none where no run is given."""
    if bench is None:
        return ()
    steps = [one for one in bench.steps if one.part != "safety"]
    done = [one for one in steps if one.state == "done"]
    failed = [check for check in bench.checks if check.verdict is Outcome.FAIL]
    says = f"{len(done)} of {counted(len(steps), 'bench step')} done"
    says += f", {counted(len(failed), 'check')} failed" if failed else ""
    says += f", {len(bench.void)} to run again" if bench.void else ""
    return (Part(name="Bench", verdict=bench.verdict, says=f"{says}."),)


def bench_sections(bench: RunSummary | None) -> list[Section]:
    """Return the bench run as a part of the full sheet."""
    if bench is None:
        return []
    lead = f"Run of {bench.started_on[:10]} on {bench.machine_file}, revision {bench.machine_revision}, blades off."
    return [
        Section(
            anchor="bench",
            title="Bench run",
            short="Bench",
            lead=(lead, *map(sentence, bench.warnings)),
            tables=(_steps(bench), check_table(bench.checks, "Checks of the bench run")),
            points=points(
                "Not asked: the machine file does not say enough", [f"{o.step}: {o.why}" for o in bench.left_out]
            ),
        )
    ]


def _steps(bench: RunSummary) -> Table:
    return Table(
        caption="Steps of the bench run",
        columns=columns(
            *("Step", "Verdict", "Expected", "Found", "Read", "When"),
            words=(0, 1, 2, 3, 4, 5),
            weights=(2.4, 0.9, 1.5, 1.2, 1.2, 1.2),
        ),
        rows=tuple(_row(one) for one in bench.steps if one.part != "safety"),
        shape="cards",
    )


def _row(one: StepTold) -> tuple[Cell, ...]:
    found = f"void: {one.void_by}" if one.void_by else one.answer or "not done"
    return (
        Cell(text=one.title),
        verdict_cell(one.verdict),
        Cell(text=expected_words(one) or "–"),
        Cell(text=found),
        Cell(text=one.source or "–"),
        Cell(text=one.happened_on[:16].replace("T", " ") or "–"),
    )
