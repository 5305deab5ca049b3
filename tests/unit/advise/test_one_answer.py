"""Changes, limits and the judge's words give one answer: no setting is told to go both ways, no amount falls short."""

import math
import re
from dataclasses import replace
from pathlib import Path

import pytest

from steadyhead import job
from steadyhead.advise.advise import Ranked, best_of, ranked, with_logs
from steadyhead.advise.effects import broken, change_of, effects
from steadyhead.advise.evidence import evidence
from steadyhead.advise.flown_amounts import not_of_a_swinging_loop, with_flown
from steadyhead.advise.harm import spoils
from steadyhead.advise.judges_words import GAINS, PINION, QUICK, SOFT, Asked, agreed, asked
from steadyhead.advise.ramp_trials import ramp_trials, shortest_times
from steadyhead.advise.result import Change
from steadyhead.advise.seen import BAIL_OUT, GOVERNOR, PLAN, Seen
from steadyhead.advise.trial import Trial, trial_of
from steadyhead.advise.trials import _channel_trials, _whole
from steadyhead.judge import advice as judges
from steadyhead.words.progress import silent
from steadyhead.words.verdict import Limit, Outcome, Verdict

FOX = job.read_machine(job.bundled("fox600"))
SHORTER = "Make the quick spool-up shorter by about a third."


def changed(key: str, to: str = "another", **numbers: float) -> Change:
    return Change(
        rank=1, key=key, what=key, today="", to=to, numbers={name.replace("__", "."): n for name, n in numbers.items()},
        relative=False, why=(), mended=1, effects=(), sure="", note="", makes_void=(),
    )  # fmt: skip


def one_answer(*changes: Change, lines: tuple[str, ...], shortest_s: float | None = None):
    known = {} if shortest_s is None else {QUICK: shortest_s}
    return agreed(FOX, changes, (), [("a.csv", line) for line in lines], known)


def test_a_ramp_that_a_limit_makes_longer_is_not_told_to_be_shorter() -> None:
    kept, held, words = one_answer(changed(QUICK, governor__quick_spool=3.0), lines=(SHORTER,))
    assert [one.key for one in kept] == [QUICK]
    assert held == ()
    assert len(words) == 1
    assert "change 1 turns it the other way" in words[0]
    assert "shorter" not in words[0]


@pytest.mark.parametrize(("shortest_s", "stands"), [(math.inf, False), (1.9, False), (1.0, True), (None, True)])
def test_a_ramp_is_told_to_be_shorter_only_where_a_third_less_keeps_the_limits(shortest_s, stands) -> None:
    # Today 2 s: a third shorter is 1.33 s.
    _, _, words = one_answer(lines=(SHORTER,), shortest_s=shortest_s)
    assert (words == (f"a.csv: {SHORTER}",)) is stands
    assert stands or "breaks a known limit" in words[0]


def test_the_same_way_is_told_once_with_the_amount_of_the_change() -> None:
    _, _, words = one_answer(changed(QUICK, "lower by about 25 % (1.5 s)", governor__quick_spool=1.5), lines=(SHORTER,))
    assert "change 1 says how far (lower by about 25 % (1.5 s))" in words[0]
    assert "a third" not in words[0]


@pytest.mark.parametrize(
    ("line", "numbers", "held_back"),
    [
        ("The loop hunts at 4.0 Hz: lower the proportional gain by about 20 %.", {"governor__gain": 4.0}, True),
        ("Raise the proportional gain by about 20 %, as long as it does not hunt.", {"governor__gain": 4.0}, False),
        ("Raise the integral gain by about 20 %: the duty had room.", {"governor__integral_time": 1.2}, True),
        ("Raise the integral gain by about 20 %: the duty had room.", {"governor__integral_time": 0.1}, False),
    ],
)
def test_gains_are_held_back_where_the_log_asks_the_other_way(line: str, numbers: dict, held_back: bool) -> None:
    kept, held, words = one_answer(changed(GAINS, "P: raise", **numbers), lines=(line,))
    assert bool(held) is held_back
    assert bool(kept) is not held_back
    assert (words == ()) is (held_back and "lower" not in line)
    if held_back:
        assert line in held[0].why
        assert "learn" in held[0].measure


def test_two_logs_that_ask_for_both_ways_of_a_gain_are_told_the_safer_one() -> None:
    hunts = "The loop hunts at 4.0 Hz: lower the proportional gain by about 20 %."
    slow = "Raise the proportional gain by about 20 %, as long as the head does not begin to hunt."
    _, _, words = agreed(FOX, (), (), [("a.csv", hunts), ("b.csv", slow)], {})
    assert words[0] == f"a.csv: {hunts}"
    assert words[1].startswith("b.csv: Held back: more proportional gain")


def test_a_pinion_against_the_log_is_held_back_and_the_others_move_up() -> None:
    fewer = changed(PINION, "12 teeth", gears__pinion_teeth=12.0)
    line = "The drive runs out of head-room (duty 0.99): fit a pinion with 2 more teeth, or lower the head speed."
    kept, held, words = one_answer(fewer, changed(QUICK, governor__quick_spool=3.0), lines=(line,))
    assert [(one.rank, one.key) for one in kept] == [(1, QUICK)]
    assert [one.key for one in held] == [PINION]
    assert words == ()


def test_every_sentence_of_the_judge_that_turns_a_ramp_or_a_gain_is_understood() -> None:
    source = Path(judges.__file__).read_text("utf-8")
    sentences = re.findall(r'"((?:Make the|Raise the|[^"]*lower the (?:proportional|integral))[^"]*)"', source)
    assert len(sentences) >= 6
    assert all(asked(one) for one in sentences)
    assert asked("Make the soft start longer.") == (Asked(SOFT, "", True),)
    assert asked("Hover duty is high: 1 tooth more on the pinion, or a lower head speed.") == (Asked(PINION, "", True),)
    assert asked("The pack is worn: retire it from hard flying.") == ()


LIMIT = Limit(value=3.0, unit="s", origin="us")


def of_log(figure: float, check: str = "quick_restart_time", limit: Limit = LIMIT) -> Seen:
    return Seen(part="log: a.csv", place="", check=Verdict.at_most(check, figure, limit, what=check))


def test_a_ramp_is_made_so_much_shorter_that_what_was_flown_is_in_time() -> None:
    strong = FOX.replaced({"gears.main_gear_stress_max": 900e6, "gears.pinion_stress_max": 1900e6})
    ramps = evidence(strong, (GOVERNOR,), (), silent).governor.ramps
    (trial,) = (one for one in ramp_trials(strong, ramps, [of_log(3.6)]) if isinstance(one, Trial) and one.key == QUICK)
    to_s = trial.numbers[QUICK]
    assert to_s >= shortest_times(ramps)[QUICK]
    assert 3.6 + to_s - 2.0 <= 3.05
    share, told_s = re.fullmatch(r"lower by about (\d+) % \(([\d.]+) s\)", trial.to).groups()
    assert float(told_s) == pytest.approx(to_s)
    assert float(share) == pytest.approx(100.0 * (1.0 - to_s / 2.0), abs=0.5)


def test_an_amount_that_leaves_the_flown_figure_beyond_its_limit_says_so() -> None:
    duty = of_log(0.95, "hover_duty", Limit(value=0.85, unit="", origin="us"))
    little = with_flown(FOX, changed(PINION, gears__pinion_teeth=14.0), (duty,))
    assert "not enough for what was flown: hover duty of 0.95 comes to about 0.882" in little.note
    assert with_flown(FOX, changed(PINION, gears__pinion_teeth=15.0), (duty,)).note == ""
    wrong = with_flown(FOX, changed(PINION, gears__pinion_teeth=12.0), (duty,))
    assert "turns what was flown the wrong way" in wrong.note
    assert with_flown(FOX, changed(GAINS, governor__gain=2.0), (duty,)).note == ""


def test_duty_and_current_of_a_hunting_log_are_no_reason_to_change_the_drive() -> None:
    duty, ramp = of_log(1.0, "duty_margin"), of_log(3.6)
    calm, hunts = of_log(0.1, "no_hunting"), of_log(9.0, "no_hunting")
    assert not_of_a_swinging_loop([duty, ramp, calm]) == (duty, ramp, calm)
    failed = replace(duty, check=replace(duty.check, verdict=Outcome.FAIL))
    assert not_of_a_swinging_loop([failed, ramp, hunts]) == (ramp, hunts)


def test_a_log_in_another_flight_mode_is_no_reason_to_move_a_head_speed() -> None:
    failed = Verdict(check="hover_duty", verdict=Outcome.FAIL, reason="mean duty in hover at 2250 rpm is 0.95")
    trial = trial_of(FOX, {"flight_mode.1.head_speed": 190.0}, ("flight_mode.1.head_speed", "", "", ""), (PLAN,))
    before, after = at(0.9, "hover_duty"), at(0.8, "hover_duty")
    change = change_of(trial, [before], [after])
    seen = [Seen(part="log: a.csv", place="", check=failed)]
    assert not any("2250" in why for why in with_logs(FOX, change, seen).why)
    third = change_of(
        trial_of(FOX, {"flight_mode.3.head_speed": 230.0}, ("flight_mode.3.head_speed", "", "", ""), (PLAN,)),
        [before], [after],
    )  # fmt: skip
    assert any("2250" in why for why in with_logs(FOX, third, seen).why)


def at(figure: float, check: str, low: float = 0.65, high: float = 0.85) -> Seen:
    ends = (Limit(value=end, unit="", origin="us") for end in (low, high))
    return Seen(part=PLAN, place="normal", check=Verdict.between(check, figure, *ends, what=check))


def test_a_mended_check_shows_the_side_of_its_limit_that_failed() -> None:
    (low,) = effects([at(0.5, "hover_duty")], [at(0.8, "hover_duty")])
    (high,) = effects([at(0.95, "hover_duty")], [at(0.7, "hover_duty")])
    assert low.limit_text.startswith(">= 0.65")
    assert high.limit_text.startswith("<= 0.85")


def test_what_a_change_spoils_is_told_however_much_it_mends() -> None:
    names = [f"check_{k}" for k in range(20)]
    before = [*(at(0.95, name) for name in names), at(0.7, "cell_voltage")]
    after = [*(at(0.7, name) for name in names), at(0.95, "cell_voltage")]
    assert [one.check for one in effects(before, after) if one.moved == "spoilt"] == ["cell_voltage"]
    assert broken(before, spoils(before, after)) == (after[-1],)
    unsure = Seen(part=PLAN, place="normal", check=Verdict.unknown("cell_voltage", "not known", needs=("pack",)))
    assert broken([*before[:-1], unsure], spoils([*before[:-1], unsure], after)) == ()


def worth(key: str, left: float, breaks: tuple[Seen, ...] = ()) -> Ranked:
    return Ranked(order=(-1.0, 0.0, 0.0), left=left, change=changed(key), spoils=breaks, breaks=breaks)


def test_a_change_that_breaks_what_passes_today_is_never_named_first() -> None:
    broke = (at(0.95, "cell_voltage"),)
    changes, withheld = ranked([worth(QUICK, -3.0, broke), worth(PINION, -1.0), worth(GAINS, -2.0)])
    assert [(one.rank, one.key) for one in changes] == [(1, GAINS), (2, PINION), (3, QUICK)]
    assert withheld == ()
    changes, withheld = ranked([worth(QUICK, -3.0, broke), worth(PINION, -1.0, broke)])
    assert changes == ()
    assert [one.key for one in withheld] == [QUICK, PINION]
    assert all("passes today fails after it" in one.why for one in withheld)


def test_of_several_values_the_one_that_breaks_nothing_is_taken() -> None:
    small = FOX.replaced({"gears.pinion_teeth": 10.0})
    seen = evidence(small, (PLAN,), (), silent)
    words = (PINION, "pinion", "10 teeth", "")
    group = [trial_of(small, {PINION: teeth}, words, (PLAN,)) for teeth in (14.0, 12.0)]
    best = best_of(group, seen, (), silent)
    assert best is not None
    assert best.change.numbers[PINION] == 12.0
    assert best.breaks == ()


def test_a_sound_place_is_moved_only_where_a_failing_check_no_longer_fails() -> None:
    numbers, words = {"channel.autorotation": 0.2}, ("channel.autorotation", "autorotation position", "16 %", "20 %")
    trial = trial_of(FOX, numbers, words, (PLAN,), must_mend=True)
    before = at(0.99, "bail_out_height")
    assert change_of(trial, [before], [at(0.95, "bail_out_height")]) is None
    assert change_of(replace(trial, must_mend=False), [before], [at(0.95, "bail_out_height")]) is not None
    assert change_of(trial, [before], [at(0.8, "bail_out_height")]) is not None


def test_a_whole_percent_keeps_clear_of_both_edges_or_is_not_told() -> None:
    assert _whole(23.8, (9.2, 23.8)) == 23.0
    assert _whole(8.95, (9.0, 8.9)) == 8.95
    assert _whole(9.6, (9.2, 12.0)) == 9.6


@pytest.mark.parametrize(("today", "must_mend"), [(0.12, True), (0.06, False)])
def test_an_autorotation_position_inside_its_window_has_to_mend_something(today: float, must_mend: bool) -> None:
    read = FOX.replaced({"channel.autorotation": today})
    refused = Verdict(check="quick_restart_granted", verdict=Outcome.FAIL, reason="a soft start")
    tried = list(_channel_trials(read, (), [Seen(part=BAIL_OUT, place="", check=refused)]))
    assert tried
    assert all(isinstance(one, Trial) and one.must_mend is must_mend for one in tried)
