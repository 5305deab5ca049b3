"""The guided bench procedure: safety first, steps from the machine, verdict at once, pause, repeat, changes."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from steadyhead.bench import guided, moment, run_events
from steadyhead.bench.answer_text import answer_from_text
from steadyhead.bench.fixed_steps import bench_of, steps_after, steps_before
from steadyhead.bench.judged_answer import judged
from steadyhead.bench.record import kept_machine, open_record
from steadyhead.bench.safety_steps import LASTS_S, SAFETY
from steadyhead.bench.set_points import ONE_GOVERNOR
from steadyhead.bench.step import HOLD_AT_REST, Answer, Entry
from steadyhead.bench.void import change_named, changes_of
from steadyhead.channel.answer import channel
from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.report.bench_tables import bench_sections
from steadyhead.trace.bundled_logs import DEMO_LOGS
from steadyhead.words.errors import InputError
from steadyhead.words.verdict import Outcome
from tests.unit.bench.bench_answers import head_speed, typed

FOX = bundled("fox600").read_text("utf-8").replace('autorotation = "5 %"', 'autorotation = "15 %"')


@pytest.fixture
def record(tmp_path):
    with open_record(tmp_path / "record.sqlite") as opened:
        yield opened


@pytest.fixture
def fox(tmp_path):
    path = tmp_path / "fox.toml"
    path.write_text(FOX, "utf-8")
    return path


def edited(fox, *pairs):
    text = fox.read_text("utf-8")
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    fox.write_text(text, "utf-8")
    return fox


def until(record, run, stop=lambda step: False, say=typed):
    """Answer step after step until one is to be stopped at, or none is left."""
    seen = []
    while True:
        step = guided.current_step(record, run)
        if step is None or stop(step):
            return guided.run_summary(record, run), seen
        seen.append(step)
        guided.answer(record, run, step.step, say(step))


def one_mode(text):
    """Return a machine file with its first flight mode alone."""
    before, first, *others = text.split("[[flight_mode]]")
    last = others[-1]
    return f"{before}[[flight_mode]]{first}{last[last.index('[site]') :]}"


def at(name):
    return lambda step: step.step.startswith(name)


def told(result, name):
    return next(one for one in result.steps if one.step.startswith(name))


def test_a_whole_run_passes_when_the_machine_obeys(record, fox):
    run = guided.start_run(record, fox).run
    result, seen = until(record, run)
    assert result.done
    assert result.verdict is Outcome.PASS, result.reasons
    assert [step.step for step in seen[:4]] == [step.step for step in SAFETY]
    assert {r.percent for r in result.readings} >= {57.0, 70.0, 83.0}
    assert result.channel.law.slope_rpm_per_percent == pytest.approx(20.0, rel=0.01)


def test_a_finished_set_point_says_what_it_was_held_against(record, fox):
    run = guided.start_run(record, fox).run
    shown = {}

    def remembered(step):
        shown[step.step] = step.expected_interval
        return typed(step)

    result, _ = until(record, run, say=remembered)
    finished = [one for one in result.steps if one.part == "set points"]
    assert len(finished) >= 3
    assert [one.expected_interval for one in finished] == [shown[one.step] for one in finished]
    assert [one.expected_interval for one in finished[:2]] == [None, None]
    low, high = finished[2].expected_interval
    assert low < float(finished[2].answer.split()[0]) < high
    rows = {row[0].text: row[2].text for row in bench_sections(result)[0].tables[0].rows}
    assert rows[finished[0].title] == "no value yet: the first readings make the law"
    assert rows[finished[2].title].endswith(f"{low:.4g} to {high:.4g} rpm")


def test_nothing_is_confirmed_at_the_start_and_an_open_run_is_unknown(record, fox):
    result = guided.start_run(record, fox)
    assert result.confirmed == ()
    assert result.verdict is Outcome.UNKNOWN
    assert result.current.step == "cautions"
    assert "certify" in " ".join(result.current.action)


def test_no_safety_step_can_be_refused_skipped_or_jumped_over(record, fox):
    run = guided.start_run(record, fox).run
    for words in ("no", "skip", "maybe", ""):
        with pytest.raises(InputError):
            guided.answer(record, run, "cautions", words)
    for step in ("blades_off", "hold_from: rest", "set_point: 1 at 57 %"):
        with pytest.raises(InputError, match="the step to do now"):
            guided.answer(record, run, step, "yes")
    assert guided.run_summary(record, run).confirmed == ()


@pytest.mark.parametrize("missing", [step.step for step in SAFETY])
def test_a_step_that_turns_the_motor_waits_for_every_confirmation(record, fox, missing):
    run = guided.start_run(record, fox).run
    result, _ = until(record, run, at(missing))
    assert missing not in result.confirmed
    spinning = [one.step for one in result.steps if one.spins]
    assert spinning
    for step in spinning:
        with pytest.raises(InputError):
            guided.answer(record, run, step, "yes")


def test_throttle_hold_is_tried_before_anything_else_with_the_pack_connected(record, fox):
    _, seen = until(record, guided.start_run(record, fox).run)
    first = next(step for step in seen if step.spins)
    assert first.step == "hold_from: rest"


def test_every_state_is_left_by_throttle_hold_once(record, fox):
    result, _ = until(record, guided.start_run(record, fox).run)
    states = {one.step.partition(": ")[2] for one in result.steps if one.part == "hold"}
    modes = {"mode normal", "mode idle-up 1", "mode idle-up 2"}
    assert states == {"rest", "idle", "soft start", *modes, "autorotation", "quick restart"}


def test_a_failed_throttle_hold_stops_the_run_until_it_is_mended_and_repeated(record, fox):
    run = guided.start_run(record, fox).run
    until(record, run, at("hold_from: idle"))
    result = guided.answer(record, run, "hold_from: idle", "no it ran on")
    assert result.verdict is Outcome.FAIL
    assert result.current is None
    assert "Disconnect the pack" in result.stopped
    with pytest.raises(InputError, match="Disconnect the pack"):
        guided.answer(record, run, "start_delay", "0.6")
    guided.note_change(record, run, "end point")
    guided.repeat(record, run, "hold_from: idle")
    result = guided.run_summary(record, run)
    assert result.current.step == "cautions"
    result, _ = until(record, run)
    assert result.verdict is Outcome.PASS, result.reasons


def test_a_pause_keeps_what_was_found_and_forgets_what_was_confirmed(record, fox):
    run = guided.start_run(record, fox).run
    until(record, run, at("threshold: cut_off"))
    paused = guided.pause(record, run)
    assert paused.current is None
    assert paused.confirmed == ()
    with pytest.raises(InputError, match="paused"):
        guided.answer(record, run, "threshold: cut_off", "8")
    result = guided.resume(record, run)
    assert result.current.step == "cautions"
    assert told(result, "threshold: start").state == "done"
    result, seen = until(record, run)
    assert [step.step for step in seen[:5]] == [*(step.step for step in SAFETY), "threshold: cut_off"]
    assert result.verdict is Outcome.PASS


def test_confirmations_lapse_when_nothing_happens_for_long(record, fox, monkeypatch):
    run = guided.start_run(record, fox).run
    until(record, run, at("hold_from: rest"))
    later = moment.said(datetime.now(UTC) + timedelta(seconds=LASTS_S + 5.0))
    monkeypatch.setattr(run_events, "now", lambda: later)
    assert guided.run_summary(record, run).current.step == "cautions"
    with pytest.raises(InputError):
        guided.answer(record, run, "hold_from: rest", "yes")


def test_a_step_that_is_left_out_is_unknown_and_so_is_the_run(record, fox):
    def say(step):
        return "skip no stop watch" if step.step == "start_delay" else typed(step)

    result, _ = until(record, guided.start_run(record, fox).run, say=say)
    assert result.done
    assert result.verdict is Outcome.UNKNOWN
    assert any("no stop watch" in reason for reason in result.reasons)


def test_set_points_that_are_left_out_end_and_stay_unknown(record, fox):
    def say(step):
        return "skip" if step.part == "set points" else typed(step)

    result, seen = until(record, guided.start_run(record, fox).run, say=say)
    assert sum(step.part == "set points" for step in seen) == 1
    assert result.verdict is Outcome.UNKNOWN


def test_a_step_without_anything_to_hold_it_against_is_unknown_never_pass(record, fox):
    edited(fox, ('start = "22 %"\n', ""), ('permission = "idle band"\n', ""))

    def say(step):
        if step.step == "threshold: start":
            return "22"
        return "quick" if step.step == "quick_restart: soon" else typed(step)

    result, _ = until(
        record,
        guided.start_run(record, fox).run,
        at("quick_restart: late"),
        say=lambda s: "0.5" if s.step == "start_delay" else say(s),
    )
    assert told(result, "threshold: start").verdict is Outcome.UNKNOWN
    assert told(result, "start_delay").verdict is Outcome.UNKNOWN
    assert told(result, "quick_restart: soon").verdict is Outcome.UNKNOWN


@pytest.mark.parametrize(
    ("name", "words", "check"),
    [
        ("end_point: low", "1160", "low_end_reaches"),
        ("end_point: low", "1030", "low_end_dead_travel"),
        ("end_point: high", "1850", "high_end_reaches"),
        ("threshold: start", "30", "start_measured"),
        ("threshold: start", "59", "mode_above_start: normal"),
        ("threshold: cut_off", "14.9", "autorotation_window"),
        ("start_delay", "3", "start_delay_measured"),
        ("soft_start", "4", "soft_start_time"),
        ("autorotation: rest", "no", "no_start_in_autorotation_position"),
        ("quick_restart: soon", "soft", "quick_restart_on_bench: soon"),
        ("quick_restart: late", "quick 1.5", "quick_restart_on_bench: late"),
        ("quick_restart: after hold", "quick", "hold_clears_quick_restart"),
        ("set_point: 3", "2100", "set_point: 3"),
    ],
)
def test_what_is_wrong_fails_at_once_with_its_own_check(record, fox, name, words, check):
    run = guided.start_run(record, fox).run
    _, _ = until(record, run, at(name))
    result = guided.answer(record, run, guided.current_step(record, run).step, words)
    failed = [c.check for c in result.checks if c.verdict is Outcome.FAIL]
    assert any(one.startswith(check) for one in failed), failed
    assert result.verdict is Outcome.FAIL


@pytest.mark.parametrize(
    ("name", "words", "outcome"),
    [
        ("quick_restart: soon", "quick 1.9", Outcome.PASS),
        ("quick_restart: soon", "quick 40", Outcome.FAIL),
        ("quick_restart: soon", "quick 5", Outcome.FAIL),
        ("quick_restart: soon", "quick 0.4", Outcome.UNKNOWN),
        ("quick_restart: after hold", "soft 0.3", Outcome.UNKNOWN),
        ("quick_restart: after hold", "soft 7", Outcome.PASS),
        ("quick_restart: after hold", "soft 70", Outcome.FAIL),
        ("quick_restart: late", "soft 14", Outcome.PASS),
        ("quick_restart: late", "soft 0.3", Outcome.UNKNOWN),
        ("quick_restart: late", "soft 6", Outcome.UNKNOWN),
    ],
)
def test_the_time_of_a_restart_must_go_with_its_word(fox, name, words, outcome):
    """Limits of the Fox 600: quick 1 to 3 s, soft 10 to 25 s. A head that still turns makes any ramp shorter."""
    bench = bench_of(read_machine(fox))
    step = next(step for step in steps_after(bench) if step.step == name)
    check = judged(bench, step, answer_from_text(step, words))[0]
    assert check.verdict is outcome, check.reason
    assert check.verdict is not Outcome.UNKNOWN or "the head still turned" in check.reason


@pytest.mark.parametrize(
    ("words", "outcome"), [("22", Outcome.PASS), ("22 +- 0.5", Outcome.PASS), ("22 +- 4", Outcome.UNKNOWN)]
)
def test_a_threshold_that_is_known_too_loosely_is_not_found(fox, words, outcome):
    bench = bench_of(read_machine(fox))
    step = next(step for step in steps_before(bench) if step.step == "threshold: start")
    assert judged(bench, step, answer_from_text(step, words))[0].verdict is outcome


def test_each_reading_decides_where_the_next_is_taken(record, fox):
    _, seen = until(record, guided.start_run(record, fox).run)
    positions = [step.percent for step in seen if step.part == "set points"]
    assert positions[:2] == [57.0, 83.0]
    assert 57.0 < positions[2] < 83.0
    assert [step.expected_interval is not None for step in seen if step.part == "set points"][:3] == [
        False, False, True,
    ]  # fmt: skip


def test_a_reading_that_contradicts_the_others_is_refused_and_the_old_one_can_be_repeated(record, fox):
    run = guided.start_run(record, fox).run
    until(record, run, at("set_point: 1"))
    guided.answer(record, run, "set_point: 1 at 57 %", "2400")
    with pytest.raises(InputError, match="more channel with less head speed") as refused:
        guided.answer(record, run, "set_point: 2 at 83 %", "2250")
    assert '"repeat set_point: 1 at 57 %"' in str(refused.value)
    assert len(guided.run_summary(record, run).readings) == 1
    guided.repeat(record, run, "set_point: 1 at 57 %")
    guided.answer(record, run, "set_point: 1 at 57 %", f"{head_speed(57.0):g}")
    result, _ = until(record, run)
    assert result.verdict is Outcome.PASS, result.reasons


def test_a_law_that_is_not_proportional_is_found_and_a_mode_off_its_target_fails(record, fox):
    def say(step):
        return f"{head_speed(step.percent) - 80.0:.1f}+-4" if step.part == "set points" else typed(step)

    result, _ = until(record, guided.start_run(record, fox).run, say=say)
    assert result.verdict is Outcome.FAIL
    assert any(check.check.startswith("todays_curve") for check in result.checks if check.verdict is Outcome.FAIL)
    assert result.channel.modes[0].curve_percent == pytest.approx(61.0, abs=0.3)


@pytest.mark.parametrize(
    ("change", "reopened", "stands"),
    [
        ("pinion", {"soft_start", "set_point"}, {"hold_from: rest", "threshold: start", "end_point: low"}),
        ("firmware", {"soft_start", "set_point", "hold_from: rest", "end_point: low"}, set()),
        ("travel", {"set_point", "threshold: start", "quick_restart: soon"}, {"soft_start"}),
        ("crash", {"soft_start", "set_point", "hold_from: rest", "threshold: start"}, set()),
        ("pack", set(), {"soft_start", "set_point", "hold_from: rest", "threshold: start"}),
    ],
)
def test_a_change_reopens_what_it_makes_void_and_asks_for_safety_again(record, fox, change, reopened, stands):
    run = guided.start_run(record, fox).run
    until(record, run)
    result = guided.note_change(record, run, change)
    assert result.confirmed == ()
    void = {one.step for one in result.steps if one.void_by}
    for name in reopened:
        assert any(step.startswith(name) for step in void), (name, void)
    for name in stands:
        assert not any(step.startswith(name) for step in void), (name, void)
    assert result.verdict is (Outcome.UNKNOWN if reopened else Outcome.PASS)
    result, _ = until(record, run)
    assert result.verdict is Outcome.PASS, result.reasons


@pytest.mark.parametrize(
    ("said", "change"),
    [
        ("governor gain", "firmware"),
        ("setting", "firmware"),
        ("hold", "a switch value"),
        ("gear", "pinion or gear"),
        ("a crash", "motor, controller or a crash"),
    ],
)
def test_a_change_is_known_by_the_words_that_a_flyer_says(said, change):
    assert change_named(said) == change


@pytest.mark.parametrize(
    ("table", "change"),
    [("governor.gain", "firmware"), ("run_logic.permission", "firmware"), ("channel.hold", "a switch value"),
     ("channel.travel_high", "end point, travel or curve"), ("rotor.radius", "blades"), ("pack.capacity", "pack"),
     ("motor.kv", "motor, controller or a crash"), ("gears.pinion_teeth", "pinion or gear")],
)  # fmt: skip
def test_each_table_of_the_machine_file_counts_as_its_change(table, change):
    assert changes_of(table) == (change,)


def test_an_unknown_change_is_refused_with_what_there_is(record, fox):
    run = guided.start_run(record, fox).run
    with pytest.raises(InputError, match="did you mean pinion"):
        guided.note_change(record, run, "pinon")


def test_an_edited_machine_file_reopens_what_the_edit_makes_void(record, fox):
    run = guided.start_run(record, fox).run
    until(record, run)
    edited(fox, ("pinion_teeth = 13", "pinion_teeth = 14"))
    result = guided.continue_run(record, run, fox)
    assert any(step.startswith("set_point") for step in result.void)
    assert told(result, "hold_from: rest").state == "done"
    assert result.verdict is Outcome.UNKNOWN


def test_a_new_curve_value_is_read_and_keeps_the_law(record, fox):
    run = guided.start_run(record, fox).run
    until(record, run)
    edited(fox, ('channel = "83 %"', 'channel = "85 %"'))
    result = guided.continue_run(record, run, fox)
    assert not [step for step in result.void if step.startswith("set_point")]
    result, seen = until(record, run)
    assert [step.percent for step in seen if step.part == "set points"] == [85.0]


def test_a_new_autorotation_value_reopens_the_switch_tests_alone(record, fox):
    run = guided.start_run(record, fox).run
    until(record, run)
    edited(fox, ('autorotation = "15 %"', 'autorotation = "16 %"'))
    result = guided.continue_run(record, run, fox)
    assert told(result, "autorotation: rest").void_by == "a switch value"
    assert not [s for s in result.void if s.startswith(("set_point", "threshold", "end_point", "soft_start"))]


def test_the_file_of_another_machine_is_refused(record, fox):
    run = guided.start_run(record, fox).run
    with pytest.raises(InputError, match="whose run this is"):
        guided.continue_run(record, run, bundled("wren450"))


@pytest.mark.parametrize("name", ["wren450", "heron520"])
def test_every_bundled_machine_gets_its_own_steps(record, name):
    run = guided.start_run(record, bundled(name)).run
    machine = read_machine(bundled(name))
    result = guided.run_summary(record, run)
    modes = {one.step for one in result.steps if one.step.startswith("hold_from: mode ")}
    assert modes == {f"hold_from: mode {mode.name}" for mode in machine.flight_mode}
    assert (machine.value("channel.autorotation") is None) == (not [s for s in result.steps if s.part == "restart"])


def test_a_target_out_of_reach_does_not_ask_for_the_same_reading_again_and_again(record):
    """Found on an invented bench: eight more spool-ups were asked for that told nothing."""
    run = guided.start_run(record, bundled("wren450")).run
    result, _ = until(
        record, run, say=lambda step: "1100" if step.expected is None and step.unit == "us" else typed(step)
    )
    read = [one for one in result.steps if one.part == "set points"]
    assert 3 <= len(read) <= 6
    assert result.verdict is Outcome.FAIL
    assert any("out of reach" in reason for reason in result.reasons)


def test_one_flight_mode_and_no_autorotation_position_still_proves_throttle_hold(record, fox):
    text = fox.read_text("utf-8").replace('autorotation = "15 %"\n', "")
    fox.write_text(one_mode(text), "utf-8")
    run = guided.start_run(record, fox).run
    rest = told(guided.run_summary(record, run), "hold_from: rest")
    assert rest.state == "open"
    result, seen = until(record, run)
    assert [step.step for step in seen if step.part == "restart"] == ["quick_restart: after hold"]
    assert not any("flight mode switch" in step.switch for step in seen)
    assert any("Move the stick up and down." in " ".join(step.action) for step in seen)
    assert result.verdict is Outcome.UNKNOWN


@pytest.mark.parametrize("name", ["fox600", "heron520", "wren450"])
def test_a_figure_to_expect_has_its_tolerance_and_every_run_of_the_motor_its_end(record, name):
    run = guided.start_run(record, bundled(name)).run
    _, seen = until(record, run, say=lambda step: "skip" if step.entry is Entry.SECONDS else typed(step))
    figures = [step for step in seen if step.unit in ("us", "%") and step.expected is not None]
    assert figures
    assert all(step.expected_interval and step.unit for step in figures)
    live = [step for step in seen if step.spins and step.step != HOLD_AT_REST]
    assert live
    for step in live:
        assert "hold on" in f"{step.action[-2]} {step.action[-1]}".lower() or "throttle hold" in step.action[-1], step


def test_only_one_governor_may_act_stands_before_the_first_head_speed(record, fox):
    run = guided.start_run(record, fox).run
    _, seen = until(record, run, lambda step: step.step.startswith("hold_from: mode"))
    asked = [step for step in seen if step.part == "set points"]
    assert ONE_GOVERNOR in asked[0].action
    assert all(ONE_GOVERNOR not in step.action for step in asked[1:])


def test_a_machine_that_says_little_has_its_steps_left_out_with_the_reason(record, fox):
    edited(fox, ('autorotation = "15 %"\n', ""))
    result = guided.start_run(record, fox)
    assert {one.step for one in result.left_out} == {"autorotation", "quick_restart: soon"}
    assert all("channel.autorotation" in one.why for one in result.left_out)
    asked = [one.step for one in result.steps if one.part in ("autorotation", "restart")]
    assert asked == ["quick_restart: after hold"]


def test_a_log_answers_the_soft_start_and_a_set_point_and_is_kept(record, fox):
    run = guided.start_run(record, fox).run
    until(record, run, at("soft_start"))
    result = guided.answer_from_log(record, run, DEMO_LOGS[0])
    soft = told(result, "soft_start")
    assert soft.source.startswith("log ")
    assert soft.verdict is Outcome.PASS
    step = guided.current_step(record, run)
    assert step.part == "set points"
    result = guided.answer_from_log(record, run, DEMO_LOGS[0])
    assert result.readings[0].percent == step.percent
    assert result.readings[0].spread_rpm > 0.0


def motor_log(path, rpm):
    """Write an invented log of motor speed over a bench spool-up that holds one set speed."""
    rows = [f"{0.05 * k:.2f},{9.0 * min(rpm, rpm * k / 200):.1f}" for k in range(600)]
    path.write_text("\n".join(["time [s],motor speed [rpm]", *rows]), "utf-8")
    return path


def checked(result, name):
    return next(check.verdict for check in result.checks if check.check == name)


def test_motor_speed_alone_leaves_a_run_unknown_until_the_head_itself_is_read(record, fox, tmp_path):
    run = guided.start_run(record, fox).run
    until(record, run, at("set_point"))
    while (step := guided.current_step(record, run)).part == "set points":
        log = motor_log(tmp_path / "motor.csv", head_speed(step.percent))
        result = guided.answer_from_log(record, run, log, step.step)
    assert result.readings[0].source.endswith("log motor.csv, motor and gears alone")
    assert len(result.readings) < 6, "what the gears leave open is no reason to read on and on"
    assert checked(result, "read_at_head") is Outcome.UNKNOWN
    assert checked(result, "curve: idle-up 1") is Outcome.UNKNOWN
    first = told(result, "set_point: 1")
    guided.repeat(record, run, first.step)
    result = guided.answer(record, run, first.step, f"{head_speed(57.0):.1f}+-4")
    assert checked(result, "read_at_head") is Outcome.PASS
    assert checked(result, "curve: idle-up 1") is Outcome.PASS


def test_a_log_of_motor_speed_is_no_other_means_for_what_was_heard(record, fox, tmp_path):
    """Both turn as one with any main gear: the log agrees by arithmetic, not by measurement."""
    run = guided.start_run(record, fox).run
    until(record, run, at("set_point"))
    for _ in range(2):
        step = guided.current_step(record, run)
        heard = Answer(figure=head_speed(step.percent), spread=4.0, source="recording held.wav")
        guided.answer(record, run, step.step, heard)
    step = guided.current_step(record, run)
    log = motor_log(tmp_path / "motor.csv", head_speed(step.percent))
    result = guided.answer_from_log(record, run, log, step.step)
    assert checked(result, "read_by_other_means") is Outcome.UNKNOWN
    until(record, run, at("autorotation"), say=typed)
    guided.repeat(record, run, step.step)
    result = guided.answer(record, run, step.step, typed(step))
    assert checked(result, "read_by_other_means") is Outcome.PASS


def test_a_log_that_cannot_tell_a_step_is_refused(record, fox):
    run = guided.start_run(record, fox).run
    until(record, run, at("threshold: start"))
    with pytest.raises(InputError, match="by hand"):
        guided.answer_from_log(record, run, DEMO_LOGS[0])


def test_two_windows_cannot_answer_one_step_twice(record, fox):
    run = guided.start_run(record, fox).run
    seen_by_both = guided.current_step(record, run).step
    guided.answer(record, run, seen_by_both, "yes")
    with pytest.raises(InputError, match="the step to do now"):
        guided.answer(record, run, seen_by_both, "yes")


def test_a_run_goes_on_in_another_program(record, fox):
    run = guided.start_run(record, fox).run
    before, _ = until(record, run, at("set_point: 2"))
    with open_record(record.path) as other:
        assert guided.latest_run(other, "Fox 600") == run
        after = guided.run_summary(other, run)
    assert after == before


def test_the_run_is_evidence_and_a_later_edit_takes_from_it(record, fox):
    run = guided.start_run(record, fox).run
    until(record, run)
    same = guided.evidence(record, read_machine(fox))
    assert same.verdict is Outcome.PASS
    edited(fox, ("pinion_teeth = 13", "pinion_teeth = 14"))
    later = guided.evidence(record, read_machine(fox))
    assert later.verdict is Outcome.UNKNOWN
    assert later.readings == ()
    assert "pinion or gear" in later.warnings[0]
    assert guided.evidence(record, read_machine(bundled("wren450"))) is None


def test_typed_lines_are_understood(record, fox):
    run = guided.start_run(record, fox).run
    for words in ("yes", "yes", "yes", "yes", "1100 us", "pause"):
        result = guided.heard(record, run, words)
    assert result.paused
    result = guided.heard(record, run, "resume")
    assert result.current.step == "cautions"
    result = guided.heard(record, run, "changed pinion")
    with pytest.raises(InputError, match="did you mean"):
        guided.heard(record, run, "repeat end_point: lo")
    result = guided.heard(record, run, "repeat end_point: low")
    assert told(result, "end_point: low").void_by == "to be repeated"


@pytest.mark.parametrize(
    "words", ["yes but it crept on", "yes it did not stop", "Yes, no", "y - after a while", "yes no"]
)
def test_a_yes_with_more_words_is_asked_again_and_passes_nothing(record, fox, words):
    run = guided.start_run(record, fox).run
    until(record, run, at("hold_from: rest"))
    with pytest.raises(InputError, match="yes alone"):
        guided.heard(record, run, words)
    assert guided.current_step(record, run).step == "hold_from: rest"
    assert told(guided.run_summary(record, run), "hold_from: rest").verdict is Outcome.UNKNOWN


@pytest.mark.parametrize("words", ["yes", "Y", "YES.", "yes, yes!"])
def test_a_plain_yes_passes(record, fox, words):
    run = guided.start_run(record, fox).run
    until(record, run, at("hold_from: rest"))
    assert told(guided.heard(record, run, words), "hold_from: rest").verdict is Outcome.PASS


def test_safety_is_confirmed_by_a_plain_yes_alone(record, fox):
    run = guided.start_run(record, fox).run
    first = guided.current_step(record, run)
    with pytest.raises(InputError, match="yes"):
        guided.heard(record, run, "yes but the blades are on")
    assert guided.current_step(record, run).step == first.step


def test_of_two_runs_begun_in_one_second_the_second_goes_on(record, fox, monkeypatch):
    monkeypatch.setattr(guided, "now", lambda: "2026-05-03T14:02:11Z")
    for _ in range(6):
        begun = guided.start_run(record, fox).run
        assert guided.latest_run(record, "Fox 600") == begun


def test_a_run_that_nobody_began_is_refused(record):
    with pytest.raises(InputError, match="no run"):
        guided.run_summary(record, "nothing")


def test_a_machine_of_the_run_is_the_text_that_was_kept(record, fox):
    run = guided.start_run(record, fox)
    edited(fox, ("pinion_teeth = 13", "pinion_teeth = 14"))
    assert guided.run_summary(record, run.run) == replace(run)
    assert kept_machine(record, job_revision(record)).gears.pinion_teeth.number == 13


def job_revision(record):
    from sqlalchemy import select

    from steadyhead.bench import tables

    with record.reading() as connection:
        return connection.execute(select(tables.machine_revision.c.id)).scalar_one()


@pytest.mark.parametrize(
    ("key", "said", "other", "check"),
    [("start", "22 %", "30 %", "start_measured"), ("cut_off", "8 %", "12 %", "cut_off_measured")],
)
def test_a_threshold_in_the_file_that_contradicts_what_was_found_fails_a_finished_run(
    record, fox, key, said, other, check
):
    run = guided.start_run(record, fox).run
    until(record, run)
    fine = guided.evidence(record, read_machine(fox))
    assert fine.verdict is Outcome.PASS
    assert channel(read_machine(fox), fine.readings, measured=fine.thresholds).autorotation_window_percent
    edited(fox, (f'{key} = "{said}"', f'{key} = "{other}"'))
    seen_on_sheet = guided.evidence(record, read_machine(fox))
    for result in (seen_on_sheet, guided.continue_run(record, run, fox)):
        assert result.verdict is Outcome.FAIL
        assert checked(result, check) is Outcome.FAIL
    answer = channel(read_machine(fox), seen_on_sheet.readings, measured=seen_on_sheet.thresholds)
    assert answer.autorotation_window_percent is None
    assert answer.verdict is not Outcome.PASS
    assert f"channel.{key} = {other}" in answer.warnings[0]
    edited(fox, (f'{key} = "{other}"', f'{key} = "{said}"'))
    assert guided.continue_run(record, run, fox).verdict is Outcome.PASS


def test_a_threshold_that_was_found_is_taken_where_the_file_says_none(record, fox):
    edited(fox, ('start = "22 %"\n', ""))
    run = guided.start_run(record, fox).run
    until(record, run, at("start_delay"), lambda step: "22" if step.step == "threshold: start" else typed(step))
    result = guided.evidence(record, read_machine(fox))
    assert checked(result, "start_measured") is Outcome.UNKNOWN
    answer = channel(read_machine(fox), (), measured=result.thresholds)
    assert answer.thresholds.start_percent == 22.0
    assert answer.autorotation_window_percent is not None
    edited(fox, ("[channel]\n", '[channel]\nstart = "22 %"\n'))
    assert checked(guided.continue_run(record, run, fox), "start_measured") is Outcome.PASS


def test_a_limit_of_the_soft_start_that_was_edited_is_held_against_what_was_timed(record, fox):
    run = guided.start_run(record, fox).run
    until(record, run)
    timed = told(guided.run_summary(record, run), "soft_start").checks[0].figure
    text = fox.read_text("utf-8")
    fox.write_text(text.replace("[limits]\n", f'[limits]\nsoft_spool_low = "{timed + 3:g} s"\n'), "utf-8")
    assert checked(guided.continue_run(record, run, fox), "soft_start_time") is Outcome.FAIL
