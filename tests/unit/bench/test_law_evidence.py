"""Readings that are kept count only for the machine that they were taken on, and the same ones on every page."""

import re
from dataclasses import replace

import pytest

from steadyhead import job
from steadyhead.advise.evidence import evidence
from steadyhead.advise.seen import CHANNEL
from steadyhead.bench import tables
from steadyhead.bench.older_log import as_flown
from steadyhead.bench.record import add_reading, keep_log, keep_machine_text, open_record
from steadyhead.bench.void import law_changes
from steadyhead.channel.result import Reading
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import machine_from_text
from steadyhead.report.law_kept import law_words
from steadyhead.report.views.revised import void_checks
from steadyhead.report.void import LAW
from steadyhead.trace.bundled_logs import DEMO_LOGS
from steadyhead.words.errors import InputError
from steadyhead.words.progress import silent
from steadyhead.words.verdict import Outcome
from tests.unit.bench.bench_answers import typed as answer_to

TEXT = bundled("fox600").read_text("utf-8")
LINE = ((57.0, 1730.0), (65.0, 1890.0), (70.0, 1990.0), (83.0, 2250.0))
"""Invented: 20 rpm per percent from 590 rpm."""
OTHER_LAW = (
    ("pinion_teeth = 13", "pinion_teeth = 14"),
    ("main_gear_teeth = 117", "main_gear_teeth = 115"),
    ("poles = 10", "poles = 8"),
    ('kv = "560 rpm/V +- 3 %"', 'kv = "520 rpm/V"'),
    ('current_continuous = "120 A"', 'current_continuous = "160 A"'),
    ("[pack]\ncells = 12", "[pack]\ncells = 10"),
    ('travel_high = "100 %"', 'travel_high = "120 %"'),
    ('learned_low = "1100 us"', 'learned_low = "1050 us"'),
    ('value = "0.3 s", spread = "15 %", from = "fitted"', 'value = "3 s", from = "maker"'),
)
SAME_LAW = (
    ('winding_temperature_max = "140 degC"', 'winding_temperature_max = "120 degC"'),
    ('soft_spool = "15 s"', 'soft_spool = "12 s"'),
    ('start_delay = "0.2 s"', 'start_delay = "0.4 s"'),
    ('autorotation = "5 %"', 'autorotation = "6 %"'),
    ('channel = "57 %"', 'channel = "58 %"'),
    ('kv = "560 rpm/V +- 3 %"', 'kv = { value = "552 rpm/V", spread = "5 rpm/V", from = "fitted" }'),
    ('face_width = "9 mm"', 'face_width = "10 mm"'),
    ('start = "22 %"', 'start = "21 %"'),
    ('[[flight_mode]]\nname = "normal"', '# a remark\n[[flight_mode]]\nname = "normal"'),
)


@pytest.fixture
def record(tmp_path):
    with open_record(tmp_path / "record.sqlite") as opened:
        yield opened


def typed(percent, rpm, spread=4.0):
    return Reading(percent=percent, head_speed_rpm=rpm, spread_rpm=spread, source="typed")


def changed(old, new):
    assert old in TEXT
    return TEXT.replace(old, new, 1)


def kept_line(record, text=TEXT):
    revision = keep_machine_text(record, text, "fox.toml")
    for percent, rpm in LINE:
        job.readings.keep_reading(record, revision, typed(percent, rpm))
    return revision


def law_of(record, text):
    keep_machine_text(record, text, "fox.toml")
    machine = machine_from_text(text, "fox.toml")
    law = job.law.law_evidence(record, machine)
    answer = law.channel(machine)
    return law, answer, {check.check.partition(": ")[0]: check for check in answer.checks}


@pytest.mark.parametrize(("old", "new"), OTHER_LAW)
def test_a_reading_does_not_outlive_a_change_that_bears_on_the_law(record, old, new):
    kept_line(record)
    assert law_of(record, TEXT)[2]["set_point_law"].verdict is Outcome.PASS
    law, answer, checks = law_of(record, changed(old, new))
    assert law.readings == ()
    assert len(law.void) == len(answer.void_readings) == 4
    for name in ("set_point_law", "curve", "todays_curve", "head_speed_limit"):
        assert name not in checks or checks[name].verdict is not Outcome.PASS
    assert law.void[0].since[0] in checks["set_point_law"].reason
    assert sum("no longer counts" in warning for warning in answer.warnings) == 4
    assert "4 kept readings no longer count" in next(law_words(law))
    assert law_of(record, TEXT)[2]["set_point_law"].verdict is Outcome.PASS


@pytest.mark.parametrize(("old", "new"), SAME_LAW)
def test_a_reading_stays_through_changes_that_leave_the_law_alone(record, old, new):
    kept_line(record)
    law, _, checks = law_of(record, changed(old, new))
    assert len(law.readings) == 4
    assert checks["set_point_law"].verdict is Outcome.PASS


def test_what_was_not_stated_may_be_filled_in(record):
    bare = re.sub(r"(?m)^(learned_\w+|resistance) = .*\n", "", TEXT)
    kept_line(record, bare)
    assert len(law_of(record, TEXT)[0].readings) == 4


def test_new_readings_are_not_held_against_those_that_no_longer_count(record):
    kept_line(record)
    revision = keep_machine_text(record, changed("pinion_teeth = 13", "pinion_teeth = 14"), "fox.toml")
    for percent, rpm in LINE:
        job.readings.keep_reading(record, revision, typed(percent, rpm * 14 / 13))
    law, _, checks = law_of(record, changed("pinion_teeth = 13", "pinion_teeth = 14"))
    assert (len(law.readings), len(law.void), len(law.void_typed)) == (4, 4, 4)
    assert checks["set_point_law"].verdict is Outcome.PASS


def test_readings_of_the_file_that_were_left_standing_no_longer_count(record):
    rows = "".join(f'\n[[reading]]\nchannel = "{at} %"\nhead_speed = "{rpm} rpm +- 4 rpm"\n' for at, rpm in LINE)
    assert law_of(record, TEXT + rows)[2]["set_point_law"].verdict is Outcome.PASS
    other = changed("pinion_teeth = 13", "pinion_teeth = 14")
    law, _, checks = law_of(record, other + rows)
    assert checks["set_point_law"].verdict is Outcome.UNKNOWN
    assert len(law.void) == 4
    machine = machine_from_text(other + rows, "fox.toml")
    assert law.counted(machine).reading == ()
    again = rows.replace("1730.0 rpm", "1863 rpm").replace("1890.0 rpm", "2035 rpm")
    law, answer, _ = law_of(record, other + again)
    assert [one.head_speed_rpm for one in answer.readings] == [1863.0, 2035.0]
    assert len(law.void) == 2


def test_a_change_that_is_noted_on_the_bench_ends_the_readings_before_it(record):
    revision = kept_line(record)
    with record.writing() as connection:
        run = {"id": "run", "machine_revision_id": revision.id, "started_on": "2026-01-01T00:00:00.000Z"}
        connection.execute(tables.bench_run.insert().values(**run))
        for number, change in enumerate(("blades", "firmware")):
            body = f'{{"answer": null, "percent": null, "checks": [], "changes": ["{change}"], "revision": ""}}'
            event = {"id": change, "run_id": "run", "number": number + 1, "kind": "changed", "body": body}
            connection.execute(tables.bench_event.insert().values(**event, happened_on="2999-01-01T00:00:00.000Z"))
    law, _, _ = law_of(record, TEXT)
    assert {one.since for one in law.void} == {("firmware",)}


def test_the_readings_of_a_log_count_on_the_channel_as_on_the_sheet(record, tmp_path):
    machine = machine_from_text(TEXT, "fox.toml")
    judgement = job.judge(machine, DEMO_LOGS[0])
    revision = keep_machine_text(record, TEXT, "fox.toml")
    keep_log(record, revision, judgement, source=DEMO_LOGS[0])
    law, answer, _ = law_of(record, TEXT)
    assert [(one.percent, one.head_speed_rpm) for one in answer.readings] == [
        (one.percent, one.head_speed_rpm) for one in job.channel(machine, judgements=[judgement]).readings
    ]
    assert answer.readings
    assert law.unread == ()
    with pytest.raises(InputError, match="same channel position"):
        job.readings.keep_reading(record, revision, typed(answer.readings[0].percent, 1200.0))
    assert job.readings.kept(record, machine.name) == ()
    assert law_of(record, changed("pinion_teeth = 13", "pinion_teeth = 14"))[1].readings == ()


def test_a_log_from_before_a_change_passes_nothing_that_rests_on_it(record):
    machine = machine_from_text(TEXT, "fox.toml")
    judgement = job.judge(machine, DEMO_LOGS[1])
    key = keep_log(record, keep_machine_text(record, TEXT, "fox.toml"), judgement)
    now = machine_from_text(changed("pinion_teeth = 13", "pinion_teeth = 14"), "fox.toml")
    log = next(log for log in job.shelf.logs(record, machine.name) if log.id == key)
    assert as_flown(judgement, job.law.flown_since(record, machine, log)) is judgement
    old = as_flown(judgement, job.law.flown_since(record, now, log))
    before = {check.check: check.verdict for check in judgement.checks}
    after = {check.check: check.verdict for check in old.checks}
    rests = [
        name for name, verdict in before.items() if verdict is Outcome.PASS and name in ("duty_margin", "tip_speed")
    ]
    assert rests
    assert all(after[name] is Outcome.UNKNOWN for name in rests)
    assert all(after[name] is verdict for name, verdict in before.items() if verdict is not Outcome.PASS)
    assert after["hold_stops_motor"] is before["hold_stops_motor"]
    assert "gears.pinion_teeth" in old.warnings[0]


def test_what_changed_since_names_the_law(record):
    first = keep_machine_text(record, TEXT, "fox.toml")
    for (old, new), says in ((OTHER_LAW[0], True), (OTHER_LAW[5], True), (SAME_LAW[0], False)):
        then = keep_machine_text(record, changed(old, new), "fox.toml")
        assert (LAW in void_checks(job.shelf.difference(record, first.id, then.id))) is says


def test_another_makers_figure_is_another_part():
    one, other = (machine_from_text(text, "fox.toml") for text in (TEXT, changed(*OTHER_LAW[3])))
    assert law_changes(one, other) == ("motor.kv",)
    assert law_changes(one, one) == ()


def whole_run(record, path):
    """Walk through a whole run, everything as it should be."""
    result = job.bench.start_run(record, path)
    while result.current is not None:
        result = job.bench.answer(record, result.run, result.current.step, answer_to(result.current))
    assert result.done
    return result


def test_the_last_bench_run_counts_beside_typed_readings_and_they_must_agree(record, tmp_path):
    path = tmp_path / "fox.toml"
    path.write_text(TEXT, "utf-8")
    run = whole_run(record, path)
    law, _, checks = law_of(record, TEXT)
    assert law.readings == run.readings
    assert checks["set_point_law"].verdict is Outcome.PASS
    revision = keep_machine_text(record, TEXT, "fox.toml")
    with pytest.raises(InputError, match=r"bench run.*Nothing was kept"):
        job.readings.keep_reading(record, revision, typed(57.0, 1430.0))
    add_reading(record, revision, typed(57.0, 1430.0))
    machine = machine_from_text(TEXT, "fox.toml")
    law = job.law.law_evidence(record, machine)
    for refused in (lambda: law.channel(machine), lambda: job.sheet(machine, (), tmp_path / "sheet", law=law)):
        with pytest.raises(InputError, match="the same channel position with two head speeds"):
            refused()
    look = evidence(law.counted(machine), (CHANNEL,), law.readings, silent)
    assert "the same channel position" in look.cannot[CHANNEL]


def test_an_edit_ends_the_readings_of_a_bench_run_by_the_same_rule(record, tmp_path):
    path = tmp_path / "fox.toml"
    path.write_text(TEXT, "utf-8")
    run = whole_run(record, path)
    for old, new in SAME_LAW:
        assert job.law.law_evidence(record, machine_from_text(changed(old, new), "fox.toml")).readings == run.readings
    for old, new in OTHER_LAW:
        now = machine_from_text(changed(old, new), "fox.toml")
        law = job.law.law_evidence(record, now)
        assert law.readings == ()
        assert {one.reading for one in law.void} == set(run.readings)
        assert {one.since for one in law.void} == {law_changes(machine_from_text(TEXT, "fox.toml"), now)}


def test_a_fail_from_before_a_change_says_that_the_machine_changed_since():
    machine = machine_from_text(TEXT, "fox.toml")
    judgement = job.judge(machine, DEMO_LOGS[1])
    checks = tuple(
        replace(one, verdict=Outcome.FAIL) if one.check in ("duty_margin", "hold_stops_motor") else one
        for one in judgement.checks
    )
    old = as_flown(replace(judgement, checks=checks), ("gears.pinion_teeth",))
    told = {one.check: one for one in old.checks}
    assert told["duty_margin"].verdict is Outcome.FAIL
    assert "flown before gears.pinion_teeth changed" in told["duty_margin"].reason
    assert "flown before" not in told["hold_stops_motor"].reason
