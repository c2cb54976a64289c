"""The search for a short strip, as a process of its own that can be ended at any moment. Needs spyrrow only.

Reads one JSON object on standard input: `height`, `items` (`points`, `count`, `angles` in degrees or null for any),
`explore` and `compress` in whole seconds, `seed`. Writes one JSON object a line, one for each layout found, shorter and
shorter: `length` and `placed`, each placement an item's number, angle in degrees and shift. The last line says whether
the search ended by itself, which makes its result hang on nothing but the input: {"settled": true}.
"""

from __future__ import annotations

import json
import sys
import threading
import time
from typing import Any


def _line(solution: Any) -> str:
    placed = [[int(p.id), p.rotation, *p.translation] for p in solution.placed_items]
    return json.dumps({"length": solution.width, "placed": placed})


def main() -> None:
    """Search, and tell of each layout as it is found."""
    import spyrrow

    task = json.load(sys.stdin)
    items = [
        spyrrow.Item(str(number), [tuple(p) for p in item["points"]], item["count"], item["angles"])
        for number, item in enumerate(task["items"])
    ]
    config = spyrrow.StripPackingConfig(
        total_computation_time=None,
        exploration_time=task["explore"],
        compression_time=task["compress"],
        num_workers=1,
        seed=task["seed"],
    )
    strip = spyrrow.StripPackingInstance("strip", task["height"], items)
    reports = spyrrow.ProgressQueue()
    last: list[Any] = []
    thread = threading.Thread(target=lambda: last.append(strip.solve(config, reports)), daemon=True)
    begun = time.monotonic()
    compressing: float | None = None
    thread.start()
    running = True
    while running:
        thread.join(0.02)
        running = thread.is_alive()
        for report, solution in reports.drain():
            if report == spyrrow.ReportType.CmprFeas and compressing is None:
                compressing = time.monotonic() - begun
            if report in (spyrrow.ReportType.ExplFeas, spyrrow.ReportType.CmprFeas):
                print(_line(solution), flush=True)
    taken = time.monotonic() - begun
    if not last:
        raise SystemExit(1)  # it broke off, so that no last line is due
    print(_line(last[0]), flush=True)
    # Either phase that used up its time would have gone on, and farther on a faster machine.
    explored = taken if compressing is None else compressing
    settled = explored < task["explore"] - 0.1 and taken - (compressing or 0.0) < task["compress"] - 0.1
    print(json.dumps({"settled": settled}), flush=True)


if __name__ == "__main__":
    main()
