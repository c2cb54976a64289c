"""Cut files of treads that posts stand through: what they hold, that a post seats, that a wrong one is found."""

from __future__ import annotations

import json
import math
from functools import cache
from typing import Any

import pytest
import shapely
from msgspec.structs import replace

from cutpath.cut.opened import opened
from cutpath.cut.simulate.compare import compensated, simulate
from cutpath.cut.simulate.meant import Meant
from cutpath.drawing import Drawing
from cutpath.dxf.read_back import read_dxf
from cutpath.export.one import export_files
from cutpath.faults import FileMismatch
from cutpath.outline import Chain, straight
from cutpath.plan.values import Plan
from cutpath.units import shown_in
from cutpath.work.shaped import check_shaped, shaped_drawing, shaped_pieces
from tests.jobs import job_with, plan_of
from tests.packets import shared
from tests.test_packet import Page

IN = 25.4
TREADS: dict[str, Any] = {"size": "2x6", "side_overhang": 1}
RAIL: dict[str, Any] = {"posts": [1, 3, 5], "place": "inside"}
FILE = "parts/orchard-steps-tread-board-notched.dxf"


@cache
def inside() -> Plan:
    return plan_of(job_with(treads=TREADS, rail=RAIL))


def notched(left: float, right: float, deep: float, long: float = 900.0, wide: float = 140.0) -> Chain:
    """A board with a notch in its back edge, counter-clockwise."""
    low = wide - deep
    back = ((right, wide), (right, low), (left, low), (left, wide))
    return straight(((0.0, 0.0), (long, 0.0), (long, wide), *back, (0.0, wide)), closed=True)


@pytest.mark.parametrize("width", [1.5, 6.0, 9.525, 12.7])
def test_a_square_post_seats_in_an_opened_notch(width: float) -> None:
    plain = notched(100.0, 189.0, 95.0)
    found = opened(plain, width / 2)
    assert found is not None
    wood, post = found.polygon(), shapely.box(100.0, 45.0, 189.0, 140.0)
    assert wood.intersection(post).area < 1e-4, "but for chords"
    # Two half circles of the tool, each less the right triangle on its diameter, which lies in the notch.
    taken = 2 * (math.pi / 2 - 1) * (width / 2) ** 2
    assert plain.area() - found.area() == pytest.approx(taken, rel=1e-9)

    def cut(design: Chain) -> Any:
        board = shapely.box(-30.0, -30.0, 930.0, 170.0)
        return simulate(board, compensated([design], width, "right"), width, Meant(design))

    assert cut(found).ok and not cut(found).fillets
    assert len(cut(plain).fillets) == 2, "without reliefs the tool would keep the post off"


def test_a_notch_in_a_boards_end_is_opened_as_well() -> None:
    end = straight(((0, 0), (900, 0), (900, 140), (25, 140), (25, 45), (0, 45)), closed=True)
    found = opened(end, 5.0)
    assert found is not None and [b for b in found.bulges if b] == [-1.0]


@pytest.mark.parametrize(("room", "fits"), [(0.9, False), (1.0, False), (1.5, True)])
def test_a_notch_too_narrow_for_the_reliefs_is_left_to_the_saw(room: float, fits: bool) -> None:
    # The reliefs of the two corners take a diameter's side of a square each, √2 R.
    wide = 2 * math.sqrt(2) * 5.0 * room
    assert (opened(notched(100.0, 100.0 + wide, 60.0), 5.0) is not None) is fits


@pytest.mark.slow
def test_the_file_is_the_board_less_its_posts() -> None:
    plan = inside()
    exported = export_files(plan, {}, (), with_cuts=True).files
    parts = [path for path in exported if path.startswith("parts/")]
    assert parts == ["parts/orchard-steps-stringer.dxf", FILE], "straight pieces have none"
    read = read_dxf(FILE, exported[FILE], "in", plan.job.layers.note).drawing
    (chain,) = [c.chain for c in read.chains]
    assert {c.layer for c in read.chains} == {plan.job.layers.part}, "nothing is marked on a face that is walked on"
    # By hand, inches: 36 between outer faces and 1 over each; stringers 1 1/2 thick, then posts of 3 1/2 from 2 1/2 in;
    # their fronts 1 3/4 back from the nosing, and 1/4 of the board's 5 1/2 behind them, too thin to stay; 1/8 of play
    # before and beside each.
    board = shapely.box(0, 0, 38 * IN, 5.5 * IN)
    for left in (2.375, 31.875):
        board = board.difference(shapely.box(left * IN, 1.625 * IN, (left + 3.75) * IN, 5.5 * IN))
    wood = chain.polygon()
    radius = plan.job.cutter.radius
    assert wood.difference(board).area < 1e-4, "but for chords"
    assert board.area - wood.area == pytest.approx(4 * (math.pi / 2 - 1) * radius**2, rel=1e-3)
    words = [note.text for note in read.notes]
    assert any("Cut 3: treads 1, 3 and 5, front board." in w for w in words)
    assert any("relieved on the diagonal" in w for w in words)
    result = json.loads(exported["result.json"])
    assert FILE in [entry["path"] for entry in result["files"]]
    (told,) = result["shop"]["shaped_pieces"]
    assert (told["file"], told["count"], told["length"], told["width"], told["by_tool"]) == (FILE, 3, 38.0, 5.5, True)
    page = Page(exported["packet.html"].decode())
    assert "Pieces of lumber with a shape, lengths in inches" in page.inside("caption")


def test_posts_that_meet_no_tread_and_jobs_without_pieces_make_no_file() -> None:
    beside = plan_of(job_with(treads={"size": "2x6"}, rail={"place": "outside"}))
    assert not shaped_pieces([beside])
    assert not shaped_pieces([plan_of(job_with())])


@pytest.mark.parametrize(
    ("changes", "by_tool", "words"),
    [
        ({"cutter": {"corner": "rounded"}}, True, "square them by hand"),
        ({"rail": RAIL | {"post": [0.25, 0.25]}, "cutter": {"width": "3/8"}}, False, "cut it with a saw"),
    ],
)
def test_corners_that_stay_square_are_told(changes: dict[str, Any], by_tool: bool, words: str) -> None:
    plan = plan_of(job_with(**({"treads": TREADS, "rail": RAIL} | changes)))
    for shaped in shaped_pieces([plan]):
        assert shaped.by_tool is by_tool and shaped.outline == shaped.piece.shape
        drawing = shaped_drawing(shaped, shown_in("in"))
        assert words in " ".join(note.text for note in drawing.notes)
        check_shaped(shaped, drawing)
    assert shaped_pieces([plan])


@pytest.mark.parametrize(("play", "words"), [("1/4", "0.25 in (1/4) to spare all round"), (0, "without play")])
def test_the_file_says_what_play_the_notch_has(play: str | int, words: str) -> None:
    plan = plan_of(job_with(treads=TREADS | {"post_play": play}, rail=RAIL))
    for shaped in shaped_pieces([plan]):
        assert words in " ".join(note.text for note in shaped_drawing(shaped, shown_in("in")).notes)
    assert shaped_pieces([plan])


@pytest.mark.parametrize(("off", "holds"), [(0.005, True), (0.1, False)])
def test_a_file_off_its_design_is_found(off: float, holds: bool) -> None:
    (shaped,) = shaped_pieces([inside()])
    (line,) = shaped_drawing(shaped, shown_in("in")).chains
    x, y = line.chain.points[1]
    moved = replace(line.chain, points=(line.chain.points[0], (x + off, y), *line.chain.points[2:]))
    read = Drawing((replace(line, chain=moved),))
    if holds:
        check_shaped(shaped, read)
    else:
        with pytest.raises(FileMismatch, match=FILE):
            check_shaped(shaped, read)


@pytest.mark.slow
def test_jobs_cut_together_each_have_their_own() -> None:
    read = job_with(treads=TREADS, rail=RAIL)
    made = shared(read, read)
    names = [path for path in made.files if "notched" in path]
    assert names == [FILE, "parts/orchard-steps-2-tread-board-notched.dxf"]
    assert [one["file"] for one in made.result["shop"]["shaped_pieces"]] == names
    assert made.files["packet.html"].decode().count(names[1]) == 4, "shop's table, check dimensions, saw, files"
