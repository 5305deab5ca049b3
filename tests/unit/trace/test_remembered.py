"""What a person says of the columns is kept for files of the same layout, and read again the next time."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from steadyhead.trace.mapping import TARGETS, option_for
from steadyhead.trace.reading import read_trace
from steadyhead.trace.remembered import columns_kept, forget
from steadyhead.trace.trace import CHANNELS
from steadyhead.trace.unsure import UnsureColumns
from steadyhead.words.errors import InputError

TIME = [f"{k * 0.05:.2f}" for k in range(60)]
ONE = [2000 + k % 2 for k in range(60)]
OTHER = [1500 + k % 2 for k in range(60)]
SAID = {"rpm B": "head_speed_rpm:rpm", "rpm A": "ignore"}


@pytest.fixture
def unclear(log: Callable[..., Path]) -> Path:
    return log(["time (s)", "rpm A", "rpm B"], TIME, ONE, OTHER)


def test_a_mapping_is_remembered_for_the_same_layout(unclear: Path, log: Callable[..., Path]) -> None:
    with pytest.raises(UnsureColumns):
        read_trace(unclear)
    told = read_trace(unclear, mapping=SAID)
    assert any("columns remembered" in step for step in told.history)
    again = read_trace(log(["time (s)", "rpm A", "rpm B"], TIME, OTHER, ONE, name="next.csv"))
    assert again.channels["head_speed_rpm"][0] == 2000.0
    assert any("as remembered for this layout" in step for step in again.history)
    said = next(word for word in again.warnings if "as you said of an earlier log" in word)
    assert "'rpm B' is head_speed_rpm:rpm" in said
    assert "steadyhead columns --forget " in said
    assert not any("earlier log" in word for word in told.warnings)


def test_a_layout_is_known_again_by_its_log_and_headings(unclear: Path) -> None:
    read_trace(unclear, mapping=SAID)
    kept = columns_kept()
    assert list(kept.layouts.values()) == [SAID]
    assert list(kept.said_of.values()) == ["log.csv: time (s), rpm A, rpm B"]
    assert len(forget("all")) == 1
    assert not columns_kept().layouts
    assert not columns_kept().said_of


def test_another_layout_remembers_nothing_of_it(unclear: Path, log: Callable[..., Path]) -> None:
    read_trace(unclear, mapping=SAID)
    with pytest.raises(UnsureColumns):
        read_trace(log(["time (s)", "rpm B", "rpm A"], TIME, ONE, OTHER, name="other.csv"))


def test_a_new_word_replaces_the_old_one(unclear: Path) -> None:
    read_trace(unclear, mapping=SAID)
    read_trace(unclear, mapping={"rpm A": "head_speed_rpm:rpm", "rpm B": "ignore"})
    assert read_trace(unclear).channels["head_speed_rpm"][0] == 2000.0


def test_nothing_is_kept_when_asked_not_to(unclear: Path, own_settings: Path) -> None:
    read_trace(unclear, mapping=SAID, remember=False)
    assert not list(own_settings.rglob("*"))


def test_nothing_is_kept_of_a_mapping_that_does_not_read(unclear: Path, own_settings: Path) -> None:
    with pytest.raises(InputError):
        read_trace(unclear, mapping={"rpm A": "head_speed_rpm:volt"})
    assert not list(own_settings.rglob("*"))


@pytest.mark.parametrize("broken", ["", "{", "[]", '{"x": 3}', "\x00\xff"])
def test_a_broken_memory_is_no_memory(unclear: Path, own_settings: Path, broken: str) -> None:
    read_trace(unclear, mapping=SAID)
    (own_settings / "steadyhead" / "columns.json").write_text(broken, "utf-8")
    with pytest.raises(UnsureColumns):
        read_trace(unclear)
    assert bool(columns_kept().warnings) is (broken != '{"x": 3}')
    trace = read_trace(unclear, mapping=SAID, remember=False)
    assert any("columns.json" in word for word in trace.warnings) is (broken != '{"x": 3}')
    read_trace(unclear, mapping=SAID)
    kept = json.loads((own_settings / "steadyhead" / "columns.json").read_text("utf-8"))
    assert SAID in kept.values()


def test_a_settings_folder_that_cannot_be_made_is_said_and_no_error(
    unclear: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    in_the_way = tmp_path / "a file"
    in_the_way.write_text("", "utf-8")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(in_the_way))
    trace = read_trace(unclear, mapping=SAID)
    assert any("columns not remembered" in step for step in trace.history)


@pytest.mark.parametrize(
    ("mapping", "said"),
    [
        ({"rpm C": "head_speed_rpm:rpm"}, "no column 'rpm C'; did you mean rpm"),
        ({"rpm A": "head_sped_rpm:rpm"}, "did you mean head_speed_rpm?"),
        ({"rpm A": "head_speed_rpm:furlongs"}, "unit 'furlongs'"),
        ({"rpm A": "time_s:0 Hz"}, "rate '0 Hz'"),
        ({"rpm A#3": "head_speed_rpm"}, "no column 'rpm A#3'"),
    ],
)
def test_a_slip_in_a_mapping_is_named(unclear: Path, mapping: dict[str, str], said: str) -> None:
    with pytest.raises(InputError) as caught:
        read_trace(unclear, mapping=mapping)
    assert said in str(caught.value)


def test_columns_may_be_named_by_number_when_there_are_no_headings(tmp_path: Path) -> None:
    path = tmp_path / "bare.csv"
    path.write_text("".join(f"{t},{v}\n" for t, v in zip(TIME, ONE, strict=True)), "utf-8")
    trace = read_trace(path, mapping={"column 1": "time_s:s", "column 2": "head_speed_rpm:rpm"})
    assert trace.rows_read == 60
    assert trace.channels["head_speed_rpm"][1] == 2001.0


def test_every_channel_can_be_said() -> None:
    assert set(CHANNELS) < set(TARGETS)
    assert option_for("rpm A", "head_speed_rpm", "rpm") == "rpm A=head_speed_rpm:rpm"


def test_a_word_of_which_no_value_could_be_used_is_not_remembered(log: Callable[..., Path]) -> None:
    volts = [f"{48.0 + 0.01 * (k % 5):.2f}" for k in range(60)]
    path = log(["time (s)", "head speed (rpm)", "x"], TIME, ONE, volts)
    told = read_trace(path, mapping={"x": "controller_temperature_c:K"})
    assert "controller_temperature_c" not in told.channels
    assert any(said.startswith("x: what you said of it was not used") for said in told.warnings)
    assert not columns_kept().layouts


def test_forgetting_needs_a_letter(unclear: Path) -> None:
    read_trace(unclear, mapping=SAID)
    with pytest.raises(InputError, match="no letter"):
        forget("")
    assert columns_kept().layouts


def test_a_heading_that_looks_like_a_unit_does_not_overrule_what_a_person_says(log: Callable[..., Path]) -> None:
    warm, pitch = [40 + k % 3 for k in range(60)], [f"{3 + 0.1 * (k % 4):.1f}" for k in range(60)]
    path = log(["t", "n", "h", "k"], TIME, ONE, warm, pitch)
    said = {"t": "time_s:s", "n": "head_speed_rpm", "h": "controller_temperature_c", "k": "collective_deg"}
    trace = read_trace(path, mapping=said, remember=False)
    assert trace.channels["controller_temperature_c"][:3] == pytest.approx([40.0, 41.0, 42.0])
    assert trace.channels["collective_deg"][0] == pytest.approx(3.0)
