"""One edge of each board lies on the fence: the same in file, picture, packet and set-up, and right for its parts."""

from __future__ import annotations

import re
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from cutpath.dxf.read_back import read_dxf
from cutpath.report.export import export_text
from cutpath.report.nest import nest_text
from cutpath.units import show
from cutpath.work.registration import fence_of, fence_words, surplus_lines, wider_by
from tests.jobs import FIXTURES, export_of, job_with, plan_of
from tests.test_pictures import words

CASES: dict[str, tuple[str, dict[str, Any]]] = {
    **{path.stem: (path.stem, {}) for path in sorted(FIXTURES.glob("*.toml"))},
    "set-ups": ("orchard-steps", {"machine": {"bed": [60, 60]}}),
    "set-ups, both edges": ("boat-landing", {"machine": {"bed": [96, 48]}}),
    "trimmed": ("orchard-steps", {"stringer": {"edges": "trimmed"}}),
}


@pytest.mark.slow
@pytest.mark.parametrize("name", CASES)
def test_one_edge_is_said_everywhere_and_is_the_one_that_parts_keep(name: str) -> None:
    base, changes = CASES[name]
    read = job_with(base, **changes)
    plan = plan_of(read)
    files = export_of(read).files
    packet = re.sub(r"<[^>]+>|\s+", " ", files["packet.html"].decode().split('id="shop"')[1])
    for index, board in enumerate(plan.layout.boards):
        fence, width = fence_of(plan, index), board.stock.least_width
        kept = [(p, plan.part_of(p)) for p in board.parts if plan.part_of(p).edges == "factory" and p.how is not None]
        kept = [(p, part) for p, part in kept if part.small is None]
        # The line that the teeth's tips stand on, or a housed string's upper edge, is the part's width up.
        edges = {round(p.motion((0.0, part.width))[1], 6) for p, part in kept}
        if fence.why == "one":
            assert edges == {round(fence.y(width), 6)}
        elif fence.why == "both":
            assert edges == {0.0, round(width, 6)}
        else:
            assert not kept or board.stock.kind == "sheet"
        said = f"{fence.edge} edge, y = "
        mixed = "wide all along will do"
        number = f"{index + 1:02}"
        paths = [f"boards/{number}.dxf", *(p for p in files if re.match(rf"boards/{number}-setup-\d+\.dxf", p))]
        for path in paths:
            drawing = read_dxf(path, files[path], read.job.units, read.job.layers.note).drawing
            text = " ".join(n.text for n in drawing.notes)
            assert said in text and (mixed in text) == (fence.why == "both"), path
            assert {"upper": "lower", "lower": "upper"}[fence.edge] + " edge, y" not in text
            picture = files[f"pictures/board-{path.removeprefix('boards/').removesuffix('.dxf')}.svg"].decode()
            told = " ".join(words(picture))
            assert said in told and (mixed in told) == (fence.why == "both"), path
            assert "fence" in told and 'stroke-width="3.9' in picture, "drawn, and in the key"
        assert said in packet
    assert "Register each board on the notched edge" not in packet


@pytest.mark.parametrize("name", [name for name in CASES if not name.startswith("set-ups")])
def test_how_much_wider_a_board_may_be_is_what_its_cuts_run_past_it(name: str) -> None:
    """Held against the file: where its open cuts end past the edge that lies off the fence."""
    base, changes = CASES[name]
    read = job_with(base, **changes)
    plan = plan_of(read)
    files = export_of(read).files
    step = 25.4 / 16 if read.job.units == "in" else 1.0
    for index, board in enumerate(plan.layout.boards):
        fence, width = fence_of(plan, index), board.stock.least_width
        path = f"boards/{index + 1:02}.dxf"
        drawing = read_dxf(path, files[path], read.job.units, read.job.layers.note).drawing
        text = " ".join(n.text for n in drawing.notes)
        if fence.why != "one":
            assert "rip a wider one first" not in text
            continue
        ends = [p for c in drawing.chains if c.layer == read.job.layers.cut and not c.chain.closed
                for p in (c.chain.points[0], c.chain.points[-1])]  # fmt: skip
        past = [-y if fence.edge == "upper" else y - width for _, y in ends]
        reach = min(over for over in past if over > 0)
        more = wider_by(plan)
        assert more <= reach + 1e-6
        if read.job.cutter.path == "design":
            assert more > reach - step - 1e-6, "no board is refused that would do"
        said = f"up to {show(more, read.job.units)} wider comes out right too: rip a wider one first"
        assert said in text if more else "Rip a wider" in text


def test_drawn_and_turned_parts_on_one_board_need_its_very_width() -> None:
    plan = plan_of(job_with("steel-plate"))
    assert {p.rotated for p in plan.layout.boards[0].parts} == {True, False}
    assert fence_of(plan, 0).why == "both"


PLAIN = {"size": "2x12", "length": "9'", "price": 20}
WIDE = {"size": "2x14", "length": "12'", "quantity": 3, "price": 60}


@pytest.mark.parametrize(
    ("stock", "told"),
    [
        # One stringer on each of two boards: the wider keeps two inches, which hang below header, seat and supports.
        ([{**PLAIN, "quantity": 2}, WIDE], "2 in more"),
        ([PLAIN], ""),
        # Boards of one size differ by as much, which nobody rips off.
        ([{**PLAIN, "quantity": 2, "widths": ["11 1/8"]}, {**PLAIN, "price": 30}], ""),
    ],
)
def test_wood_that_stays_on_below_is_told_where_it_is_more_than_boards_differ(
    stock: list[dict[str, Any]], told: str
) -> None:
    """The checks, the set-out and the tape sheet are of stringers as wide as they are drawn."""
    plan = plan_of(job_with("orchard-steps", stock=stock, stringer={"count": 3}))
    assert len({board.stock.least_width for board in plan.layout.boards}) == len(stock)
    show_in = partial(show, unit="in")
    lines, said = surplus_lines(plan, show_in), {}
    for index, board in enumerate(plan.layout.boards):
        more = board.stock.least_width - plan.design.part.width
        said[index] = (more, fence_words(plan, index, show_in))
    if not told:
        assert lines == [] and not any("rip it off" in words for _, words in said.values())
        return
    wide = [index for index, (more, _) in said.items() if more > 3.2]
    assert wide and len(wide) < len(said)
    (line,) = lines
    assert line.startswith(" and ".join(f"board {i + 1}" for i in wide)) and told in line and "rip it off" in line
    for index, (_, words_) in said.items():
        found = re.search(rf"parts? .*drawn 11\.25 in \(11 1/4\) wide and keeps? {told} below", words_, re.IGNORECASE)
        assert bool(found) == (index in wide)
    assert told in nest_text(plan)
    assert told in export_text(plan, (), Path("out"), ("boards/01.dxf",)).replace("\n  ", " ")
