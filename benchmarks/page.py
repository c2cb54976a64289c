"""From a key to the drawing painted, in a real browser; and the server's part against the same functions called.

Run: python -m benchmarks.page [edits] [job ...]

For every demo job the last digit of a length is typed over, so that each key changes the stair: in turn the unit run
and what the ground is measured by. The time goes from the key's own time stamp to the first frame after the stair's
drawing is another one. The aims are 100 ms in the median and 150 ms for 95 of 100. The server's part is what a client
without a browser waits for both its answers, beside `plan` and the drawings called directly in this process; the aim
is at most twice that. Nothing is asserted: a busy machine takes longer. Processor time of all processes is told too.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from cutpath.export.drawn import board_pictures, job_pictures
from cutpath.job.read import job_from_text
from cutpath.plan.stages import plan
from cutpath.work.whole import work_of
from tests.browser.chromium import DESKTOP, browser
from tests.test_page import Served, end, start

FIXTURES = Path(__file__).parent.parent / "fixtures"

#: What is typed into before the edits, by job; each value but for its last digit, which the edits type.
FIELDS: dict[str, dict[str, str]] = {
    "orchard-steps": {"stair.unit_run": "10.5", "site.profile[1].down": "41.3"},
    "garden-room": {"stair.unit_run": "280.", "site.profile[1].down": "842."},
    "boat-landing": {"stair.unit_run": "11.", "site.total_rise": "54."},
    "closed-string": {"stair.unit_run": "280.", "site.total_rise": "1420."},
    "panel-steps": {"stair.unit_run": "260.", "site.total_rise": "1190."},
    "steel-plate": {"stair.unit_run": "11.", "site.total_rise": "42.3"},
}

#: Notes when a digit is pressed, and when the frame after the next new drawing begins.
WATCH = """
window.took = [];
let pressed = 0;
addEventListener("keydown", (e) => { if (/\\d/.test(e.key)) pressed = e.timeStamp; }, true);
new MutationObserver(() => {
  if (!pressed) return;
  const since = pressed;
  pressed = 0;
  requestAnimationFrame(() => setTimeout(() => window.took.push(performance.now() - since), 0));
}).observe(document.querySelector("#pictures"), { childList: true, subtree: true });
"""


def until(true: Callable[[], Any], seconds: float = 60.0) -> None:
    late = time.monotonic() + seconds
    while not true():
        if time.monotonic() > late:
            raise SystemExit("the page did not answer within a minute")
        time.sleep(0.02)


def typed(page: Any, key: str, text: str) -> None:
    page.execute_script("document.querySelector(`[data-key='${arguments[0]}']`).select()", key)
    page.execute_cdp_cmd("Input.insertText", {"text": text})


def press(page: Any, key: str, digit: int) -> None:
    """Type a digit over the last one of a field."""
    page.execute_script(
        "const f = document.querySelector(`[data-key='${arguments[0]}']`); f.focus();"
        "f.setSelectionRange(f.value.length - 1, f.value.length)",
        key,
    )
    letter = {"key": str(digit), "text": str(digit), "code": f"Digit{digit}", "windowsVirtualKeyCode": 48 + digit}
    page.execute_cdp_cmd("Input.dispatchKeyEvent", {"type": "keyDown", **letter})
    page.execute_cdp_cmd("Input.dispatchKeyEvent", {"type": "keyUp", "key": str(digit)})


def in_browser(page: Any, served: Served, fields: dict[str, str], edits: int) -> list[float]:
    """Milliseconds from key to painted drawing."""
    page.get(f"http://127.0.0.1:{served.port}/{served.key}/")
    idle = "return window.cutpathBusy === false"
    until(lambda: page.execute_script(idle))
    for key, text in fields.items():
        typed(page, key, f"{text}9")
        until(lambda: page.execute_script(idle))
    page.execute_script(WATCH)
    for number in range(edits):
        key = list(fields)[number % len(fields)]
        press(page, key, 1 + number // len(fields) % 8)
        until(lambda number=number: page.execute_script("return window.took.length") > number)
        # As far apart as a quick hand types them.
        time.sleep(0.1)
    return [float(each) for each in page.execute_script("return window.took")]


def by_server(served: Served, texts: list[str]) -> list[float]:
    """Milliseconds that the text read and the stair take, asked for one after the other."""
    took = []
    for text in texts:
        since = time.perf_counter()
        served.post("answer/read", text=text, changes=[{"do": "set", "key": "job.name", "typed": "x"}])
        served.post("answer/stair", text=text)
        took.append((time.perf_counter() - since) * 1e3)
    return took


def direct(path: Path, texts: list[str]) -> list[float]:
    """Milliseconds that plan and drawings take here."""
    took = []
    for text in texts:
        since = time.perf_counter()
        found = plan(job_from_text(text, path).job)
        job_pictures(found, "pictures")
        board_pictures(found, work_of(found))
        took.append((time.perf_counter() - since) * 1e3)
    return took


def at95(values: list[float]) -> float:
    return statistics.quantiles(values, n=100, method="inclusive")[94]


def main() -> None:
    edits = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    print(f"{edits} edits a job; load of this machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    print("job             key to painted, median   95th    server, median   plan and drawings   ratio")
    with tempfile.TemporaryDirectory() as folder, browser(DESKTOP) as page:
        for name in sys.argv[2:] or list(FIELDS):
            job = Path(folder) / f"{name}.toml"
            job.write_bytes((FIXTURES / f"{name}.toml").read_bytes())
            served = start(job)
            try:
                painted = in_browser(page, served, FIELDS[name], edits)
                page.get("about:blank")
                text = job.read_text()
                # In turn, so that a machine that slows down slows both.
                server, here = [], []
                for _ in range(10):
                    server += by_server(served, [text])
                    here += direct(job, [text])
            finally:
                end(served)
            median, ours, theirs = statistics.median(painted), statistics.median(server), statistics.median(here)
            print(
                f"{name:15} {median:16.0f} ms {at95(painted):12.0f} ms {ours:11.0f} ms {theirs:15.0f} ms "
                f"{ours / theirs:13.2f}"
            )


if __name__ == "__main__":
    main()
