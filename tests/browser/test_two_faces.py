"""The terminal and the page at one bench run: each sees what the other kept, a held record stops neither."""

import os
import sqlite3
import subprocess
import sys
import threading
import time

import pytest

from steadyhead.bench import care, guided
from steadyhead.bench.record import open_record
from steadyhead.words.verdict import Outcome
from tests.browser.conftest import Server, free_port, visit
from tests.browser.test_job import FOX as PLACE
from tests.unit.bench.bench_answers import head_speed, typed
from tests.unit.bench.test_guided import FOX, at, until

WAITS_FOR_S = 120.0


@pytest.fixture
def own(tmp_path):
    made = Server(home=tmp_path, port=free_port())
    yield made
    made.kill()


class Terminal:
    """`steadyhead bench` as somebody types at it; what it shows is read as it comes."""

    def __init__(self, home, machine) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "steadyhead", "bench", str(machine)],
            env={**os.environ, "STEADYHEAD_HOME": str(home), "PYTHONUNBUFFERED": "1", "COLUMNS": "200"},
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, bufsize=1,
        )  # fmt: skip
        self.shown = ""
        self.reader = threading.Thread(target=self.read, daemon=True)
        self.reader.start()

    def read(self) -> None:
        for line in self.process.stdout:
            self.shown += line

    def type(self, words: str) -> None:
        """Type a line; what was shown before is done with."""
        self.shown = ""
        self.process.stdin.write(f"{words}\n")
        self.process.stdin.flush()

    def left(self) -> int:
        """End what is typed, and return how the program ended."""
        self.process.stdin.close()
        ended = self.process.wait(WAITS_FOR_S)
        self.reader.join(WAITS_FOR_S)
        self.process.stdout.close()
        return ended

    def until(self, words: str) -> str:
        """Return what is shown once these words are among it."""
        end = time.monotonic() + WAITS_FOR_S
        while words not in self.shown:
            assert self.process.poll() is None or words in self.shown, self.shown
            assert time.monotonic() < end, f"no {words!r} in {self.shown!r}"
            time.sleep(0.05)
        return self.shown


def read_on_page(seen, rpm: float) -> None:
    """Keep a head speed on the page's card."""
    seen.page.locator(".step input[inputmode=decimal]").first.fill(f"{rpm:.0f}")
    seen.page.locator(".step").get_by_role("button", name="Keep it").first.click()


def card(seen, step) -> None:
    """Wait until the page shows this step."""
    seen.page.locator(".step h2", has_text=step.title).wait_for()


def test_terminal_and_page_go_through_one_run_together(chromium, own, tmp_path):
    machine = tmp_path / "fox.toml"
    machine.write_text(FOX, "utf-8")
    with open_record(tmp_path / "record.sqlite") as record:
        run = guided.start_run(record, machine).run
        until(record, run, at("set_point"))
        own.start()
        seen = visit(chromium, own.origin)
        seen.go(f"{PLACE}/bench")
        terminal = Terminal(tmp_path, machine)
        for asked in ("keep to them?", "tail blades off?", "everybody clear?", "not yet connected?"):
            terminal.until(asked)
            terminal.type("yes")
        terminal.until("Which head speed, in rpm?")

        first = guided.current_step(record, run)
        card(seen, first)
        read_on_page(seen, head_speed(first.percent))
        seen.page.wait_for_function(f"document.querySelector('.step h2').innerText !== {first.title!r}")
        second = guided.current_step(record, run)
        terminal.type(f"{head_speed(first.percent):.0f}")
        told = terminal.until("Which head speed, in rpm?")
        assert "answered meanwhile in another window" in told
        assert second.title in told

        terminal.type(f"{head_speed(second.percent):.0f}")
        terminal.until("Which head speed, in rpm?")
        third = guided.current_step(record, run)
        assert third.step.startswith("set_point: 3")
        card(seen, third)
        seen.page.get_by_text(f"{head_speed(second.percent):.0f} rpm").first.wait_for()

        holder = sqlite3.connect(record.path, isolation_level=None)
        holder.execute("BEGIN IMMEDIATE")
        read_on_page(seen, head_speed(third.percent))
        terminal.type(f"{head_speed(third.percent):.0f}")
        terminal.until("a record that another program holds")
        seen.page.get_by_text("a record that another program holds").wait_for()
        holder.execute("ROLLBACK")
        holder.close()
        assert guided.current_step(record, run).step == third.step
        read_on_page(seen, head_speed(third.percent))
        seen.page.wait_for_function(f"document.querySelector('.step h2').innerText !== {third.title!r}")

        step = guided.current_step(record, run)
        terminal.type("")
        terminal.until(step.title)
        terminal.type(typed(step))
        terminal.until("  pass")
        assert terminal.left() == 1
        seen.page.get_by_text("Paused.").wait_for()
        result = guided.run_summary(record, run)
        assert [round(one.head_speed_rpm) for one in result.readings[:3]] == [
            round(head_speed(one.percent)) for one in (first, second, third)
        ]
        assert care.condition(record).verdict is Outcome.PASS
        assert seen.troubles == []
        seen.page.close()
