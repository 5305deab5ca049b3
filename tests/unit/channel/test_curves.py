"""The curve values alone are those of the whole answer, and a simulated flight asks for no more."""

import pytest

from steadyhead import job
from steadyhead.channel import answer
from steadyhead.channel.answer import channel, curves
from steadyhead.channel.machine_setting import channel_setting
from steadyhead.channel.run_logic_of import run_logic
from steadyhead.machine.bundled import bundled


@pytest.mark.parametrize("name", ["fox600", "wren450", "heron520"])
def test_curves_are_those_of_the_whole_answer(name):
    machine = job.read_machine(bundled(name))
    assert curves(machine, channel_setting(machine)) == channel(machine).modes


def test_the_run_logic_of_a_machine_with_readings_looks_for_no_next_reading(tmp_path, monkeypatch):
    text = bundled("fox600").read_text("utf-8").replace('channel = "', '# channel = "')
    rows = "".join(f'[[reading]]\nchannel = "{p} %"\nhead_speed = "{rpm} rpm"\n' for p, rpm in ((57, 1730), (83, 2250)))
    (tmp_path / "a.toml").write_text(text + rows, "utf-8")
    machine = job.read_machine(tmp_path / "a.toml")
    asked = []
    monkeypatch.setattr(answer, "next_reading", lambda *words: asked.append(words))
    percents = [position.percent for position in run_logic(machine).positions]
    assert None not in percents[2:]
    assert not asked
