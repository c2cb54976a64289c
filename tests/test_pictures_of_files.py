"""A picture of a board shows what its cut file has: every cut line of either is in the other, moved.

Files are read back, pictures are taken apart as SVG; nothing is asked of what made them but where the board lies.
"""

from __future__ import annotations

import json
import re
import xml.etree.ElementTree as ET
from typing import Any

import pytest
import shapely

from cutpath.dxf.read_back import read_dxf
from cutpath.job.read import ReadJob
from cutpath.plan.values import Plan
from cutpath.units import MM_PER_INCH
from tests.jobs import FIXTURES, export_of, job_with, plan_of
from tests.test_pictures import SVG, path_lines, words

#: Drawn lines lie this near to the file's, millimetres: coordinates in a picture have three decimals, its arcs chords.
NEAR = 0.08
DEMOS = sorted(path.stem for path in FIXTURES.glob("*.toml"))
CENTRE = {"path": "centre"}
ALL_ROUND = {"edges": "trimmed"}
VARIANTS: dict[str, tuple[str, dict[str, Any]]] = {
    "centre": ("orchard-steps", {"cutter": CENTRE}),
    "tabs marked": ("orchard-steps", {"tabs": {"count": 3}}),
    "tabs as gaps": ("orchard-steps", {"cutter": CENTRE, "tabs": {"count": 3, "shown": "gap"}}),
    "tabs on a layer": ("orchard-steps", {"cutter": CENTRE, "tabs": {"count": 3, "shown": "layer", "waste": "tabbed"}}),
    "leads": ("orchard-steps", {"cutter": {**CENTRE, "lead": 0.5}, "stringer": ALL_ROUND}),
    "slots": ("steel-plate", {"cutter": CENTRE}),
    "shared": ("garden-room", {"machine": {"bed": None, "common_cuts": True}}),
    "small parts": ("boat-landing", {"cutter": CENTRE, "tabs": {"count": 2}}),
    "set-ups": ("orchard-steps", {"machine": {"bed": [60, 60]}}),
    "set-ups, tabs as gaps": (
        "orchard-steps",
        {"machine": {"bed": [60, 60]}, "cutter": CENTRE, "tabs": {"count": 3, "shown": "gap"}},
    ),
    "set-ups, pockets": ("closed-string", {"machine": {"bed": [1500, 800]}}),
}


class Drawn:
    """What a picture shows, in the frame that its file has."""

    def __init__(self, svg: bytes, origin_x: float) -> None:
        """Take a picture apart.

        Args:
            svg: the picture.
            origin_x: x of the board's lower left corner in the file's frame, millimetres.
        """
        self.root = ET.fromstring(svg)
        self.words = words(svg.decode())
        (frame,) = self._of_class("kept")
        self.low, self.high = frame.bounds[:2], frame.bounds[2:]
        self.x = origin_x
        self.scale = 1.0

    def at_length(self, length: float) -> Drawn:
        """The same with its scale known: the board's length in millimetres."""
        self.scale = (self.high[0] - self.low[0]) / length
        return self

    def _of_class(self, name: str) -> list[shapely.LineString]:
        found = [p for p in self.root.iter(f"{SVG}path") if p.get("class") == name]
        return [shapely.LineString(run) for p in found for run in path_lines(p.attrib["d"])]

    def lines(self, name: str = "cut") -> list[shapely.LineString]:
        """The lines of a class, millimetres."""
        corner = (self.low[0], self.high[1])
        return [
            shapely.transform(line, lambda p: (p - corner) * (1 / self.scale, -1 / self.scale) + (self.x, 0.0))
            for line in self._of_class(name)
        ]


def written(base: str, changes: dict[str, Any]) -> tuple[ReadJob, Plan, dict[str, bytes]]:
    read = job_with(base, **changes)
    plan = plan_of(read)
    return read, plan, export_of(read).files


def cut_lines(read: ReadJob, data: bytes) -> list[shapely.LineString]:
    """What a file cuts through, as its reader finds it."""
    drawing = read_dxf("x.dxf", data, read.job.units, read.job.layers.note).drawing
    return [c.chain.line() for c in drawing.chains if c.layer == read.job.layers.cut]


def assert_same(drawn: list[shapely.LineString], meant: list[shapely.LineString], where: str) -> None:
    assert len(drawn) == len(meant), where
    left = list(meant)
    for line in drawn:
        best = min(left, key=lambda other: shapely.hausdorff_distance(line, other))
        assert shapely.hausdorff_distance(line, best) < NEAR, where
        assert line.is_closed == best.is_closed or line.length > 0, where
        left.remove(best)


@pytest.mark.slow
@pytest.mark.parametrize("name", [*DEMOS, *VARIANTS])
def test_every_cut_line_is_the_files(name: str) -> None:
    read, plan, files = written(*VARIANTS.get(name, (name, {})))
    seen = 0
    for index, board in enumerate(plan.layout.boards, 1):
        length = board.stock.length
        picture = Drawn(files[f"pictures/board-{index:02}.svg"], 0.0).at_length(length)
        assert_same(picture.lines(), cut_lines(read, files[f"boards/{index:02}.dxf"]), f"board {index}")
        seen += 1
        for path in sorted(p for p in files if p.startswith(f"boards/{index:02}-setup-")):
            key = path.removeprefix("boards/").removesuffix(".dxf")
            low = set_up_start(files, path, read.job.units)
            drawn = Drawn(files[f"pictures/board-{key}.svg"], low).at_length(length)
            assert_same(drawn.lines(), cut_lines(read, files[path]), path)
            seen += 1
    assert seen >= (3 if name.startswith("set-ups") else 1)


def set_up_start(files: dict[str, bytes], path: str, unit: str) -> float:
    """Where the board's left end lies on the bed, as the result lists it."""
    per = float(MM_PER_INCH) if unit == "in" else 1.0
    boards = json.loads(files["result.json"])["shop"]["set_ups"]
    return float(next(one["board"][0] * per for board in boards for one in board["set_ups"] if one["file"] == path))


@pytest.mark.parametrize("name", ["tabs marked", "tabs as gaps", "tabs on a layer", "centre", "slots"])
def test_tabs_are_drawn_where_they_stand(name: str) -> None:
    read, plan, files = written(*VARIANTS[name])
    board = plan.layout.boards[0]
    picture = Drawn(files["pictures/board-01.svg"], 0.0).at_length(board.stock.length)
    drawing = read_dxf("x.dxf", files["boards/01.dxf"], read.job.units, read.job.layers.note).drawing
    said = [int(n) for note in drawing.notes for n in re.findall(r"(\d+) tabs? \d", note.text)]
    tabs = picture.lines("tab")
    assert [len(tabs)] == (said or [0]) and bool(tabs) == name.startswith("tabs")
    assert any("tab, left standing" in text for text in picture.words) == bool(tabs)
    cuts, radius = shapely.union_all(picture.lines()), read.job.cutter.radius
    outlines = [plan.part_of(p).outline.moved(p.motion).line() for p in board.parts]
    for tab in tabs:
        # On the line that the file has, that line whole where the design line is carried, broken where the tool's is.
        off, wide = (0.0, read.job.tabs.width) if name == "tabs marked" else (radius, read.job.tabs.width + 2 * radius)
        assert min(tab.interpolate(0.5, normalized=True).distance(o) for o in outlines) == pytest.approx(off, abs=NEAR)
        assert tab.length == pytest.approx(wide, abs=NEAR)
        held = tab.intersection(cuts.buffer(NEAR)).length
        assert held > 0.9 * wide if name == "tabs marked" else held < 0.1 * wide


@pytest.mark.parametrize("name", ["orchard-steps", "closed-string", "panel-steps"])
def test_lettering_is_drawn_as_the_file_has_it(name: str) -> None:
    read, plan, files = written(name, {})
    for index, board in enumerate(plan.layout.boards, 1):
        svg = files[f"pictures/board-{index:02}.svg"]
        picture = Drawn(svg, 0.0).at_length(board.stock.length)
        thin = [p for p in picture.root.iter(f"{SVG}path") if p.get("stroke-width") == "0.7"]
        corner = (picture.low[0], picture.high[1])
        drawn = shapely.MultiLineString([run for p in thin for run in path_lines(p.attrib["d"])])
        drawn = shapely.transform(drawn, lambda p, c=corner, k=picture.scale: (p - c) * (1 / k, -1 / k))
        # The key's sample lies under the board.
        drawn = shapely.union_all([line for line in drawn.geoms if line.bounds[1] > 0])
        drawing = read_dxf("x.dxf", files[f"boards/{index:02}.dxf"], read.job.units, read.job.layers.note).drawing
        meant = shapely.union_all([c.chain.line() for c in drawing.chains if c.layer == read.job.layers.mark])
        assert meant.length > 100
        assert shapely.hausdorff_distance(drawn, meant) < 0.5 + NEAR
        assert any("marked, not cut" in text for text in picture.words)
