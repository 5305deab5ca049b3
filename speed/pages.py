"""How quickly the pages answer in a real Chromium: the sliders of the plan, and a zoom into a log of 100,000 rows.

Run by hand: python speed/pages.py
Beside each figure stands its peer of the same run: a bare question to the same server, and the frames of a page that
nobody touches. The log is invented: a bundled one, laid end to end with noise.
"""

import statistics
import sys
import tempfile
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from playwright.sync_api import Page, sync_playwright

from steadyhead import job
from steadyhead.machine.bundled import bundled
from steadyhead.trace.bundled_logs import DEMO_LOGS
from steadyhead.trace.reading import read_trace
from steadyhead.trace.trace import Trace
from steadyhead.trace.writing import write_csv
from tests.browser.conftest import CHROMIUM, FLAGS, Server, free_port, visit

ROWS = 100_000
MOVES = 40
FOX = "/m/Fox%20600"
WATCH = """() => {
  window.taken = [];
  const caption = () => document.querySelector(".glimpse table caption")?.textContent;
  let shown = caption();
  document.querySelector(".glimpse").addEventListener("input", () => { window.begun = performance.now(); }, true);
  new MutationObserver(() => {
    if (!caption() || caption() === shown) return;
    shown = caption();
    window.taken.push(performance.now() - window.begun);
  }).observe(document.querySelector(".glimpse"), {childList: true, subtree: true, characterData: true});
}"""
ASK = """async () => {
  const began = performance.now();
  await (await fetch("/static/ear-worklet.js", {cache: "no-store"})).text();
  return performance.now() - began;
}"""
FRAMES = """() => {
  window.frames_ms = [];
  window.watching = true;
  let last = performance.now();
  const next = (now) => {
    window.frames_ms.push(now - last);
    last = now;
    if (window.watching) requestAnimationFrame(next);
  };
  requestAnimationFrame(next);
}"""
GOT = "() => { window.watching = false; return window.frames_ms.slice(1); }"


def told(name: str, taken: list[float]) -> None:
    """Print median, 95 % and greatest of times in milliseconds."""
    ordered = sorted(taken)
    high = ordered[min(len(ordered) - 1, round(0.95 * len(ordered)))]
    print(f"{name:46s} median {statistics.median(ordered):7.1f} ms, 95 % {high:7.1f} ms, most {ordered[-1]:7.1f} ms")


def long_log(path: Path) -> Path:
    """Write an invented log of ROWS rows."""
    once = read_trace(DEMO_LOGS[0])
    rng = np.random.default_rng(5)
    times = -(-ROWS // once.time_s.size)
    step_s = float(np.median(np.diff(once.time_s)))
    channels = {}
    for name, values in once.channels.items():
        spread = 0.002 * float(np.nanmax(np.abs(values)))
        channels[name] = (np.tile(values, times) + rng.normal(0.0, spread, values.size * times))[:ROWS]
    write_csv(Trace(source="invented", time_s=np.arange(ROWS) * step_s, channels=channels, rows_read=ROWS), path)
    return path


def sliders(page: Page) -> None:
    """Move a slider key by key and take the time from its input event to the changed figures."""
    page.evaluate(WATCH)
    slider = page.get_by_label("Head speed, rpm")
    slider.focus()
    for move in range(MOVES + 1):
        page.keyboard.press("ArrowLeft" if move % 2 else "ArrowRight")
        page.wait_for_function(f"window.taken.length > {move}")
        page.wait_for_timeout(120)
    told("slider: input event to changed figures", page.evaluate("window.taken")[1:])
    told("peer: a bare question to the server", [page.evaluate(ASK) for _ in range(MOVES)])


def zoom(page: Page, log: Path) -> None:
    """Zoom and pan a long log and take the time of each frame."""
    page.locator("input[type=file]").set_input_files(log)
    page.wait_for_selector(".chart canvas", timeout=300_000)
    page.wait_for_selector(".answer .stamp", timeout=300_000)
    page.wait_for_timeout(2000)
    page.evaluate(FRAMES)
    page.wait_for_timeout(2000)
    told("peer: frames of the page left alone", page.evaluate(GOT))
    box = page.locator(".chart canvas").bounding_box()
    page.mouse.move(box["x"] + 0.6 * box["width"], box["y"] + 0.2 * box["height"])
    page.evaluate(FRAMES)
    page.keyboard.down("Control")
    for _ in range(30):
        page.mouse.wheel(0, -100)
        page.wait_for_timeout(60)
    page.keyboard.up("Control")
    told("frames while zooming in, 30 turns of the wheel", page.evaluate(GOT))
    page.evaluate(FRAMES)
    page.mouse.down()
    for step in range(40):
        page.mouse.move(box["x"] + (0.6 - 0.01 * step) * box["width"], box["y"] + 0.2 * box["height"])
        page.wait_for_timeout(30)
    page.mouse.up()
    told("frames while moving the window by hand", page.evaluate(GOT))


def main() -> None:
    """Start a server and a browser, and print what they took."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        with job.record.open_record(home / "record.sqlite") as record:
            job.record.keep_machine(record, bundled("fox600"))
        log = long_log(home / "long.csv")
        server = Server(home=home, port=free_port())
        server.start()
        try:
            with sync_playwright() as player:
                browser = player.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
                seen = visit(browser, server.origin)
                seen.go(f"{FOX}/plan")
                seen.page.wait_for_selector(".stamp", timeout=300_000)
                sliders(seen.page)
                seen.go(f"{FOX}/logs")
                zoom(seen.page, log)
                browser.close()
        finally:
            server.kill()


if __name__ == "__main__":
    main()
