"""Print the errors of the judge against logs whose truth is known, misses included.

Run from the root of the repository: python scripts/judge_error_table.py [FOLDER] [--write]
FOLDER holds NAME and NAME.truth.json; without one the development logs are taken. --write puts the table into
docs/judge.md between its marks.
"""

import json
import sys
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from steadyhead.judge.judging import judge
from steadyhead.judge.result import Judgement, Segment
from steadyhead.trace.gearing import Gearing
from steadyhead.trace.reading import read_trace
from tests.given_machine import machine_from

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "docs" / "judge.md"
BEGIN, END = "<!-- error table: begin -->", "<!-- error table: end -->"
AT_THE_LIMIT = "borderline in the truth, not scored"


@dataclass
class Errors:
    """Errors of every figure over all logs: name and unit to (log, got less true)."""

    found: dict[str, list[tuple[str, float]]] = field(default_factory=dict)
    verdicts: list[str] = field(default_factory=list)
    right: int = 0
    scored: int = 0

    def add(self, name: str, log: str, got: float | None, true: float | None) -> None:
        """Keep one error when both numbers are known."""
        if got is not None and true is not None:
            self.found.setdefault(name, []).append((log, got - true))


def judged(folder: Path, truth: dict[str, Any]) -> Judgement:
    """Judge one log with what its owner would know."""
    machine = machine_from(truth["machine_given"])
    gearing = Gearing(machine.gear_ratio, machine.pole_pairs, float(machine.cells))
    return judge(machine, read_trace(folder / truth["file_name"], gearing=gearing))


def compare(errors: Errors, truth: dict[str, Any], got: Judgement) -> None:
    """Compare one judgement with its truth."""
    log = truth["file_name"]
    at_motor = "" if got.trace.has("head_speed_rpm") else "_at_motor"
    _segments(errors, log, truth, got)
    for event, true in _paired(got.events, truth["events"]):
        errors.add("load start, s", log, event.start_s, true["start"])
        errors.add("droop in climbs, points", log, event.droop_percent, true.get("droop_percent"))
        errors.add("undershoot, points", log, event.undershoot_percent, true["undershoot_percent" + at_motor])
        errors.add("overshoot, points", log, event.overshoot_percent, true["overshoot_percent" + at_motor])
        errors.add("load recovery, s", log, event.load_recovery_s, true.get("load_recovery_s"))
        errors.add("unload recovery, s", log, event.unload_recovery_s, true.get("unload_recovery_s"))
    for out, true in zip(got.bail_outs, truth["bail_outs"], strict=False):
        errors.add("bail-out to set speed, s", log, out.to_set_speed_s, true["to_set_speed_s"])
        errors.add("height lost in bail-out, m", log, out.height_lost_m, true["height_lost_m"])
    bands = [w.band_half_width_percent for w in got.steady]
    true_bands = [w["band_half_width_percent"] for w in truth["steady_windows"]]
    if bands and true_bands:
        errors.add("widest steady band, points", log, max(bands), max(true_bands))
    lines = [w.hunting_percent for w in got.steady if w.hunting_percent is not None]
    if lines:
        errors.add("strongest swing, points", log, max(lines), truth["summary"]["hunting"]["amplitude_percent"])
    resistance = truth["machine_hidden"]["pack_r0_mohm"]
    if got.pack_resistance_mohm is not None:
        errors.add("pack resistance, %", log, 100.0 * (got.pack_resistance_mohm / resistance - 1.0), 0.0)
    if got.energy_wh is not None:
        errors.add("energy, %", log, 100.0 * (got.energy_wh / truth["summary"]["energy_wh"] - 1.0), 0.0)
    _verdicts(errors, log, truth, got)


def _segments(errors: Errors, log: str, truth: dict[str, Any], got: Judgement) -> None:
    kinds, true_kinds = [s.kind for s in got.segments], [s["kind"] for s in truth["segments"]]
    if kinds != true_kinds[: len(kinds)]:
        errors.verdicts.append(f"{log}: segments {', '.join(kinds)}; true {', '.join(true_kinds)}")
        return
    if len(kinds) < len(true_kinds):
        missing = ", ".join(true_kinds[len(kinds) :])
        errors.verdicts.append(f"{log}: not seen: {missing} (only the motor side was measured)")
    segment: Segment
    for segment, true in zip(got.segments, truth["segments"], strict=False):
        name = "start of stopped, s" if segment.kind == "stopped" else "other segment starts, s"
        errors.add(name, log, segment.start_s, true["start"])
        if segment.kind == "governed" and segment.set_rpm is not None:
            errors.add("set speed, %", log, 100.0 * (segment.set_rpm / true["set_rpm"] - 1.0), 0.0)


def _paired(events: tuple[Any, ...], true: list[dict[str, Any]]) -> list[tuple[Any, dict[str, Any]]]:
    pairs = []
    for one in true:
        near = [e for e in events if e.kind == one["kind"] and abs(e.start_s - one["start"]) < 1.0]
        if near:
            pairs.append((near[0], one))
    return pairs


def _verdicts(errors: Errors, log: str, truth: dict[str, Any], got: Judgement) -> None:
    checks = {c.check: c for c in got.checks}
    for condition in truth["conditions"]:
        check = checks[condition["id"]]
        expected = "unknown" if condition["result"] == "not_exercised" else condition["result"]
        if not condition["borderline"]:
            errors.scored += 1
            errors.right += check.verdict == expected
        if check.verdict != expected:
            note = f" ({AT_THE_LIMIT})" if condition["borderline"] else ""
            errors.verdicts.append(
                f"{log}: {check.check} is {check.verdict}, true {expected}{note}: {check.reason.split(';')[0]}"
            )


def table(errors: Errors, logs: int) -> str:
    """Return the table and the list of misses as Markdown."""
    lines = [
        f"{logs} logs, made by a generator that shares nothing with this package; errors are ours less the truth.",
        "",
        "| figure | count | mean | rms | worst | in |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for name, found in errors.found.items():
        values = [error for _, error in found]
        worst_log, worst = max(found, key=lambda item: abs(item[1]))
        mean = sum(values) / len(values)
        rms = (sum(v * v for v in values) / len(values)) ** 0.5
        lines.append(f"| {name} | {len(values)} | {mean:+.3f} | {rms:.3f} | {worst:+.3f} | {worst_log} |")
    lines += [
        "",
        f"Verdicts: {errors.right} of {errors.scored} that the truth scores are the true ones. The others:",
        "",
    ]
    lines += [f"- {miss}" for miss in errors.verdicts] or ["- none"]
    return "\n".join(lines)


def main() -> None:
    """Print the table, or write it into the page."""
    words = [word for word in sys.argv[1:] if not word.startswith("-")]
    folder = Path(words[0]) if words else ROOT / "tests" / "data" / "logs"
    errors = Errors()
    truths = sorted(folder.glob("*.truth.json"))
    for path in truths:
        truth = json.loads(path.read_text("utf-8"))
        compare(errors, truth, judged(folder, truth))
    text = table(errors, len(truths))
    if "--write" in sys.argv:
        page = PAGE.read_text("utf-8")
        before, _, rest = page.partition(BEGIN)
        after = rest.partition(END)[2]
        PAGE.write_text(f"{before}{BEGIN}\n{text}\n{END}{after}", "utf-8")
    else:
        print(text)


if __name__ == "__main__":
    main()
