import os
from pathlib import Path
from xml.etree import ElementTree

import pytest

from steadyhead.machine.bundled import bundled
from steadyhead.machine.reading import read_machine
from steadyhead.report.plots import duty_curves, write_duty_plot
from tests.unit.report import hand_made


def test_the_duty_plot_is_a_picture_of_every_load(tmp_path: Path) -> None:
    machine = read_machine(bundled("fox600"))
    path = write_duty_plot(tmp_path / "duty.svg", machine, hand_made.plan())
    words = " ".join("".join(node.itertext()) for node in ElementTree.parse(path).getroot().iter())
    for load in hand_made.LOADS:
        assert load in words
    assert "limit 95 %" in words


def test_one_pack_state_of_each_load_is_the_hardest(tmp_path: Path) -> None:
    lines = duty_curves(read_machine(bundled("fox600")))
    assert [line.load for line in lines if line.hardest] == list(hand_made.LOADS)
    for load in hand_made.LOADS:
        first = {line.hardest: line.duty[0] for line in sorted(lines, key=lambda one: one.duty[0]) if line.load == load}
        assert first[True] >= first[False]


def test_a_plot_that_cannot_be_written_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_duty_plot(tmp_path / "duty.svg", hand_made.HandMachine(), hand_made.plan())
    assert list(tmp_path.iterdir()) == []
