"""One machine of a study: the base machine with its row's values, known exactly."""

from dataclasses import replace

from steadyhead.flight.governor_spread import moved
from steadyhead.machine.description import Machine
from steadyhead.machine.reading import machine_from_text
from steadyhead.plan.choices import with_pack
from steadyhead.study.asked import PACK, PILOT_DELAY, Study
from steadyhead.study.design import Row, points
from steadyhead.study.figures import Cells, cells_of
from steadyhead.study.table import TROUBLE
from steadyhead.words.errors import SteadyheadError
from steadyhead.words.verdict import Outcome


def solved_rows(study: Study, rows: list[Row]) -> list[Cells]:
    """Return each row worked out: what was varied, then the figures and verdicts."""
    base = machine_from_text(study.machine_text, study.machine_name)
    grid = points(study)
    return [_solved(study, base, grid[row.point], row) for row in rows]


def _solved(study: Study, base: Machine, point: tuple[float | str, ...], row: Row) -> Cells:
    cells: Cells = {"row": float(row.number), "point": float(row.point)}
    try:
        machine, inputs, delay_s = drawn(study, base, point, row)
        cells |= inputs
        return cells | cells_of(machine, study.collects, study.scenario, study.readings, delay_s) | {TROUBLE: None}
    except SteadyheadError as trouble:
        return cells | {TROUBLE: str(trouble), "verdict": Outcome.UNKNOWN.value}


def drawn(
    study: Study, base: Machine, point: tuple[float | str, ...], row: Row
) -> tuple[Machine, dict[str, float | str], float]:
    """Return the machine of one row without any doubt left, what was varied (SI), and the pilot's delay, s."""
    machine, inputs, delay_s = at_point(study, base, point)
    numbers: dict[str, float] = {}
    for varied, off in zip(study.varied, row.half_widths, strict=True):
        if varied.key == PILOT_DELAY:
            delay_s = max(varied.value_si + off * varied.half_width_si, 0.0)
            inputs[f"drawn {varied.key}"] = delay_s
            continue
        stated = machine.value(varied.key)
        if stated is not None:
            here = replace(stated, spread_si=varied.half_width_si)
            numbers[varied.key] = float(moved(machine, varied.key, here, off))
    machine = exact(machine.replaced(numbers))
    for key, number in numbers.items():
        held = machine.value(key)
        inputs[f"drawn {key}"] = held.si if held else number
    return machine, inputs, delay_s


def at_point(
    study: Study, base: Machine, point: tuple[float | str, ...]
) -> tuple[Machine, dict[str, float | str], float]:
    """Return the machine at one point of the grid, what was swept (SI), and the pilot's delay, s."""
    machine, inputs, delay_s = base, dict[str, float | str](), 0.0
    for swept, value in zip(study.swept, point, strict=True):
        inputs[f"set {swept.key}"] = value
        if swept.key == PILOT_DELAY:
            delay_s = float(value)
        elif swept.key == PACK:
            machine = with_pack(machine, str(value))
        else:
            machine = machine.replaced({swept.key: float(value)})
    return machine, inputs, delay_s


def exact(machine: Machine) -> Machine:
    """Return the machine with every value known exactly: the doubt is in the draws, it must not be counted twice."""
    return machine.filled({key: replace(value, spread_si=0.0) for key, value in machine.values() if value.spread_si})
