"""A layout can be built again from `result.json` alone, whatever angle its parts lie at."""

import csv
import io
import json
import math
import tomllib
from pathlib import Path
from typing import Any

import pytest
import shapely
from shapely.affinity import rotate, scale, translate

from cutpath.dxf.read_back import read_dxf
from cutpath.job.read import ReadJob, job_of
from cutpath.outline import Chain
from cutpath.report.nest import nest_text
from tests.jobs import export_of, job_with, plan_of

#: Five stringers on one sheet without grain: three of them lie at a quarter turn.
QUARTER = """
units = "mm"
[site]
total_rise = 497
[stair]
unit_run = 260
risers = 3
[stringer]
count = 5
width = 243
edges = "trimmed"
throat_least = 50
[machine]
part_gap = 12.5
[[stock]]
kind = "sheet"
grain = "free"
size = [31, 623]
length = 1921
"""


def quarter() -> ReadJob:
    return job_of(tomllib.loads(QUARTER), Path("quarter.toml"))


def drawn(outlines: dict[str, list[list[float]]], placed: dict[str, Any]) -> shapely.Polygon:
    """A part where `result.json` says that it lies, told by its outline, faces, angle and place alone."""
    points = tuple((x, y) for x, y, _ in outlines[placed["name"]])
    shape = Chain(points, tuple(b for _, _, b in outlines[placed["name"]]), True).polygon(1e-5)
    shape = scale(shape, xfact=-1) if placed["turned_over"] else shape
    shape = rotate(shape, placed["angle"], origin=(0, 0))
    left, low, _, _ = shape.bounds
    return translate(shape, placed["x"] - left, placed["y"] - low)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("read", "angles"),
    [
        (quarter(), {0.0, 90.0}),
        (job_with(stringer={"turn_over": True, "edges": "trimmed", "edge_trim": 0.25}), {0.0, 180.0}),
        (job_with(stringer={"edges": "trimmed", "edge_trim": 0.25}, extras={"pitch_gauge": True}), {0.0, 180.0}),
    ],
)
def test_the_layout_can_be_built_again(read: ReadJob, angles: set[float]) -> None:
    made = export_of(read)
    data = json.loads(made.files["result.json"])
    outlines = {part["name"]: part["outline"] for part in data.get("small_parts", [])}
    stringer = data["stringer"]["outline"]
    seen = set()
    for board in data["nest"]["boards"]:
        written = read_dxf(board["file"], made.files[board["file"]], read.job.units, "NOTE").drawing
        unit = 1.0 if read.job.units == "mm" else 25.4
        cuts = [c.chain.polygon(1e-4) for c in written.chains if c.layer == "CUT" and c.chain.closed]
        assert len(cuts) == len(board["parts"])
        for placed in board["parts"]:
            again = scale(drawn({placed["name"]: stringer} | outlines, placed), unit, unit, origin=(0, 0))
            near = min(cuts, key=lambda cut: shapely.hausdorff_distance(cut, again))
            assert shapely.hausdorff_distance(near, again) < 0.01, placed
            seen.add(placed["angle"] % 360)
            assert placed["rotated"] == (placed["angle"] == 180)
    assert (seen <= {*angles, 270.0} and len(seen) > 1) or not read.job.on_sheets


def test_table_cut_list_and_result_give_a_quarter_turn() -> None:
    read = quarter()
    planned = plan_of(read)
    made = export_of(read)
    (board,) = json.loads(made.files["result.json"])["nest"]["boards"]
    angles = [placed["angle"] for placed in board["parts"]]
    across = [angle for angle in angles if angle % 180]
    assert len(across) == 3
    rows = [r for r in csv.DictReader(io.StringIO(made.files["cut-list.csv"].decode())) if r["item"] == "part"]
    assert [float(row["angle"]) for row in rows] == angles
    assert all(row["turned"] == "no" for row, angle in zip(rows, angles, strict=True) if angle % 180)
    shown = nest_text(planned)
    assert f"turned {across[0]:g} degrees" in shown and "5 as drawn" not in shown
    assert f"turned {across[0]:g} degrees" in made.files["pictures/board-01.svg"].decode()
    assert "turned by, degrees" in made.files["packet.html"].decode()


def test_the_angle_is_that_of_the_motion() -> None:
    for board in plan_of(quarter()).layout.boards:
        for placed in board.parts:
            turn = math.radians(placed.angle)
            assert math.isclose(math.cos(turn), placed.motion.cos, abs_tol=1e-9)
            assert math.isclose(math.sin(turn), placed.motion.sin, abs_tol=1e-9)
