"""Long work in processes of its own: it says how far it is, can be stopped, and outlives a page that is loaded anew.

A worker lives on from task to task, so that kernels are loaded once; stopping a task ends its worker, and another
takes its place. Nothing that a worker does can hold up the pages.
"""

import itertools
import multiprocessing
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any

from steadyhead.bench.moment import now, seconds_between
from steadyhead.web.worker import FAILED, RESULT, STEP, serve_tasks
from steadyhead.words.errors import SteadyheadError

KEPT = 64
"""How many ended tasks are remembered, so that a page can come back to them."""


class State(StrEnum):
    """Where a task is."""

    WAITING = "waiting"
    RUNNING = "running"
    DONE = "done"
    REFUSED = "refused"
    STOPPED = "stopped"


@dataclass(kw_only=True)
class Task:
    """One piece of long work, as pages see it."""

    number: int
    title: str
    call: tuple[str, tuple[Any, ...], dict[str, Any]]
    """The name of a function of the contents page, and what it is given."""
    state: State = State.WAITING
    steps: list[str] = field(default_factory=list)
    """What it said it was doing, the newest last."""
    result: Any = None
    sentence: str = ""
    """Why it was refused."""
    begun_on: str = ""
    """When it was asked for."""
    on_done: Callable[[Any], None] | None = None
    """Called in the server with the result, before the task counts as done; its refusal is the task's."""

    def running_s(self) -> float:
        """Return for how long it has been waited for, s."""
        return seconds_between(self.begun_on, now())

    def ended(self) -> bool:
        """Return whether nothing more will happen."""
        return self.state in {State.DONE, State.REFUSED, State.STOPPED}


class Workshop:
    """The workers, and the tasks that wait, run, or ended not long ago."""

    def __init__(self, workers: int = 2) -> None:
        self._numbers = itertools.count(1)
        self._tasks: OrderedDict[int, Task] = OrderedDict()
        self._changed = threading.Condition()
        self._closed = False
        self._benches: dict[int, BaseProcess] = {}
        self._threads = [
            threading.Thread(target=self._run_bench, name=f"bench-{n}", daemon=True) for n in range(workers)
        ]
        for thread in self._threads:
            thread.start()

    def begin(
        self, title: str, function: str, *given: Any, on_done: Callable[[Any], None] | None = None, **named: Any
    ) -> Task:
        """Queue `job.function(*given, **named)` and return its task at once."""
        task = Task(number=next(self._numbers), title=title, call=(function, given, named), on_done=on_done)
        task.begun_on = now()
        with self._changed:
            self._tasks[task.number] = task
            while len(self._tasks) > KEPT:
                oldest = next((n for n, t in self._tasks.items() if t.ended()), None)
                if oldest is None:
                    break
                del self._tasks[oldest]
            self._changed.notify_all()
        return task

    def task(self, number: int) -> Task | None:
        """Return a task by its number, or None when it is forgotten."""
        with self._changed:
            return self._tasks.get(number)

    def stop(self, number: int) -> None:
        """Stop a task that waits or runs; a worker that runs it is ended, and nothing half-written stays."""
        with self._changed:
            task = self._tasks.get(number)
            if task is None or task.ended():
                return
            task.state = State.STOPPED
            bench = self._benches.get(number)
            self._changed.notify_all()
        if bench is not None:
            bench.terminate()

    def wait(self, task: Task, timeout_s: float) -> bool:
        """Wait until a task ended, and return whether it did in time."""
        with self._changed:
            return self._changed.wait_for(task.ended, timeout_s)

    def close(self) -> None:
        """End every worker."""
        with self._changed:
            self._closed = True
            benches = list(self._benches.values())
            self._changed.notify_all()
        for bench in benches:
            bench.terminate()
        for thread in self._threads:
            thread.join(timeout=5.0)

    def _next(self) -> Task | None:
        with self._changed:
            while not self._closed:
                task = next((t for t in self._tasks.values() if t.state is State.WAITING), None)
                if task is not None:
                    task.state = State.RUNNING
                    return task
                self._changed.wait()
        return None

    def _run_bench(self) -> None:
        """Give tasks to one worker after another's end; runs in a thread of its own."""
        spawn = multiprocessing.get_context("spawn")
        process: BaseProcess | None = None
        ours: Connection | None = None
        while (task := self._next()) is not None:
            if process is None or ours is None or not process.is_alive():
                ours, theirs = spawn.Pipe()
                process = spawn.Process(target=serve_tasks, args=(theirs,), daemon=False)
                process.start()
                theirs.close()
            with self._changed:
                self._benches[task.number] = process
            self._follow(task, ours)
            with self._changed:
                del self._benches[task.number]
            if task.state is State.STOPPED:
                process.terminate()
                process.join()
                process = None
        if process is not None:
            process.terminate()
            process.join()

    def _follow(self, task: Task, worker: Connection) -> None:
        try:
            worker.send(task.call)
            while task.state is State.RUNNING:
                kind, told = worker.recv()
                if kind == STEP:
                    self._told(task, step=told)
                elif kind == RESULT:
                    self._end(task, told)
                elif kind == FAILED:
                    self._told(task, refused=told)
        except (EOFError, OSError):
            if task.state is State.RUNNING:
                self._told(task, refused="The work ended without an answer; nothing was kept of it. Begin it again.")

    def _told(self, task: Task, *, step: str = "", refused: str = "") -> None:
        with self._changed:
            if task.state is not State.RUNNING:
                return
            if step:
                task.steps.append(step)
            if refused:
                task.sentence, task.state = refused, State.REFUSED
            self._changed.notify_all()

    def _end(self, task: Task, result: Any) -> None:
        try:
            if task.on_done is not None and task.state is State.RUNNING:
                task.on_done(result)
        except SteadyheadError as error:
            self._told(task, refused=str(error))
            return
        with self._changed:
            if task.state is State.RUNNING:
                task.result, task.state = result, State.DONE
            self._changed.notify_all()
