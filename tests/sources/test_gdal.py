"""Cut files as a reader of another make sees them: a sample's, the trial piece's, and the demos' against `result.json`.

Source: GDAL's DXF driver, through the package pyogrio. Codes of the header are those of the DXF reference.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
import shapely
import shapely.affinity
from click.testing import CliRunner

from cutpath.cli.main import main
from cutpath.drawing import Circle, Drawing, LayerChain
from cutpath.dxf.read_back import verified_dxf
from cutpath.job.values import DxfVersion, Layers
from cutpath.outline import Chain
from cutpath.units import Unit
from cutpath.work.file_paths import TRIAL_FILE
from tests.dxf_sample import HOLE, NAMES, PER, PLATE_AREA, PLATE_BOX, VERSIONS, every_file, sample
from tests.jobs import export_of, job_with
from tests.other_reader import read_contours, read_header, read_notes

#: Notched stringers have one contour a part; other forms have tests of their own.
DEMOS = sorted(
    p
    for p in (Path(__file__).parents[2] / "fixtures").glob("*.toml")
    if "form =" not in p.read_text() and 'kind = "sheet"' not in p.read_text()
)


@pytest.fixture(scope="module", params=DEMOS, ids=lambda path: path.stem)
def exported(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Any]]:
    folder = tmp_path_factory.mktemp(request.param.stem)
    run = CliRunner().invoke(main, ["export", str(request.param), "-o", str(folder)])
    assert run.exit_code == 0, run.output
    return folder, json.loads((folder / "result.json").read_text())


def outline_of(rows: list[tuple[float, float, float]]) -> Chain:
    return Chain(tuple((x, y) for x, y, _ in rows), tuple(b for _, _, b in rows), closed=True)


def outlines_of(result: dict[str, Any]) -> dict[str, Chain]:
    """Each part's outline by its name: the stringer's and the small parts'."""
    (stringer,) = result["stringer"]["parts"]
    found = {stringer["name"]: outline_of(result["stringer"]["outline"])}
    return found | {small["name"]: outline_of(small["outline"]) for small in result.get("small_parts", [])}


def at(folder: Path, pattern: str) -> list[Path]:
    return sorted(p for p in folder.glob(pattern) if "-setup-" not in p.name)


def shaped(folder: Path, result: dict[str, Any]) -> set[Path]:
    """Files of pieces that are cut from lumber, apart from the boards."""
    return {folder / piece["file"] for piece in result["shop"].get("shaped_pieces", [])}


@pytest.mark.slow
def test_the_part_is_the_outline_of_the_result(exported: tuple[Path, dict[str, Any]]) -> None:
    folder, result = exported
    paths = [folder / entry["path"] for entry in result["files"] if entry["path"].startswith("parts/")]
    assert sorted(paths) == at(folder, "parts/*.dxf")
    paths = [path for path in paths if path not in shaped(folder, result)]
    lengths = [result["stringer"]["length"], *(small["length"] for small in result.get("small_parts", []))]
    for path, outline, length in zip(paths, outlines_of(result).values(), lengths, strict=True):
        parts = [g for layer, g in read_contours(path) if layer == result["job"]["layers"]["PART"]]
        assert len(parts) == 1
        assert parts[0].area == pytest.approx(outline.area(), rel=1e-7)
        assert parts[0].bounds == pytest.approx(outline.extents(), abs=1e-6)
        assert parts[0].bounds[:2] == pytest.approx((0.0, 0.0), abs=1e-9), "board frame: leftmost point and lower edge"
        assert parts[0].bounds[2] == pytest.approx(length, abs=1e-6)
        assert parts[0].is_valid


@pytest.mark.slow
def test_boards_are_what_the_nest_says(exported: tuple[Path, dict[str, Any]]) -> None:
    folder, result = exported
    layers = result["job"]["layers"]
    shapes = {name: shapely.Polygon(outline.flattened(1e-6)) for name, outline in outlines_of(result).items()}
    radius = result["job"]["cutter"]["width"] / 2
    assert len(at(folder, "boards/*.dxf")) == len(result["nest"]["boards"])
    for board in result["nest"]["boards"]:
        contours = read_contours(folder / board["file"])
        (stock,) = [g for layer, g in contours if layer == layers["STOCK"]]
        assert stock.equals(shapely.box(0, 0, board["length"], board["width"]))
        cuts = [g for layer, g in contours if layer == layers["CUT"]]
        assert len(cuts) == len(board["parts"])
        for cut, placed in zip(cuts, board["parts"], strict=True):
            part = shapes[placed["name"]]
            turned = shapely.affinity.rotate(part, 180 if placed["rotated"] else 0)
            left, bottom = turned.bounds[:2]
            there = shapely.affinity.translate(turned, placed["x"] - left, placed["y"] - bottom)
            off = radius if result["job"]["cutter"]["path"] == "centre" else 0.0
            line = cut.exterior if cut.geom_type == "Polygon" else cut
            # The ends of an open cut run past the board; what is inside it lies on the part's outline, or beside it
            # by the tool's radius. Two chords, of GDAL's and ours, for one arc: far under a thousandth of a unit.
            inner = line.coords if line.is_closed else line.coords[1:-1]
            for point in inner:
                distance = there.exterior.distance(shapely.Point(point))
                assert distance >= off - 2e-4
                assert distance <= 2e-4 or off, "only the corners of a tool's path may stand further out"
            assert not there.buffer(off - 1e-3).crosses(line), "the tool stays off the part"
            if line.is_closed:
                # A round tool along the path leaves the part: what the path encloses, drawn in by the tool's radius.
                left_over = cut.buffer(-off, quad_segs=256)
                assert left_over.symmetric_difference(there).area == pytest.approx(0.0, abs=2e-5 * part.area)


def test_headers_notes_and_marks(exported: tuple[Path, dict[str, Any]]) -> None:
    folder, result = exported
    layers, version = result["job"]["layers"], result["job"]["dxf"]["version"]
    for path in at(folder, "*/*.dxf"):
        header, contours, notes = read_header(path), read_contours(path), read_notes(path)
        # Codes of the DXF reference: unit 1 inch, 4 millimetre; R12 has none, so a note states it.
        if version != "r12":
            assert header["$INSUNITS"] == [{"in": "1", "mm": "4"}[result["units"]]]
        assert any({"in": "inches", "mm": "millimetres"}[result["units"]] in text for _, text, _ in notes)
        assert {layer for layer, _, _ in notes} == {layers["NOTE"]}
        everything = shapely.union_all([g for _, g in contours])
        box = [float(v) for v in header["$EXTMIN"][:2] + header["$EXTMAX"][:2]]
        assert everything.bounds[:3] == pytest.approx(box[:3], abs=1e-5)
        top = max(y for _, _, (_, y) in notes)
        longer = max(box[2] - box[0], box[3] - box[1])
        assert everything.bounds[3] < top and 0.01 * longer <= box[3] - top < 0.013 * longer, "capitals of the top note"
        assert all(shapely.box(*box).covers(shapely.Point(place)) for _, _, place in notes)
        marks = [g for layer, g in contours if layer == layers["MARK"]]
        cuts = [g.boundary if g.geom_type == "Polygon" else g for layer, g in contours if layer == layers["CUT"]]
        assert (len(marks) > 10) == (path not in shaped(folder, result)), "a label is there, but on pieces for the saw"
        assert all(mark.distance(cut) > 0 for mark in marks for cut in cuts), "clear of cuts"


@every_file
def test_gdal_sees_the_same_contours_areas_and_extents(written: Path, units: Unit) -> None:
    """Held against GDAL's DXF driver; areas and boxes from plain geometry."""
    per = PER[units]
    contours = read_contours(written)
    meant = sample()
    order = [c.layer for c in meant.circles] + [c.layer for c in meant.chains]
    assert [layer for layer, _ in contours] == order
    hole, plate = contours[0][1], contours[1][1]
    assert plate.geom_type == hole.geom_type == "Polygon"
    # Chords of a tenth of a degree: relative error of a circle's area 5e-7.
    assert plate.area == pytest.approx(PLATE_AREA / per**2, rel=1e-6)
    assert plate.bounds == pytest.approx([v / per for v in PLATE_BOX], abs=1e-5)
    assert hole.area == pytest.approx(math.pi * HOLE.radius**2 / per**2, rel=1e-5)
    assert (hole.centroid.x, hole.centroid.y) == pytest.approx((HOLE.centre[0] / per, HOLE.centre[1] / per), abs=1e-8)
    for (_, geometry), c in zip(contours[2:], meant.chains[1:], strict=True):
        assert geometry.geom_type == ("Polygon" if c.chain.closed else "LineString")
        line = geometry.exterior if c.chain.closed else geometry
        flat = [v for p in list(line.coords)[: len(c.chain.points)] for v in p[:2]]
        assert flat == pytest.approx([v / per for p in c.chain.points for v in p], abs=1e-9)


@every_file
def test_gdal_sees_the_notes_over_the_geometry(written: Path, units: Unit, version: DxfVersion) -> None:
    per = PER[units]
    notes = read_notes(written)
    assert [layer for layer, _, _ in notes] == ["NOTE"] * len(NAMES)
    assert notes[0][1] == "Barn steps"
    for _, _, (x, y) in notes:
        assert x * per == pytest.approx(PLATE_BOX[0])
        assert y * per > PLATE_BOX[3]
    # The format escapes what its code page lacks, and GDAL hands escapes on as they are.
    expected = "Größe ½ 中文 \U0001f642"
    if version in ("r12", "r2000"):
        expected = "Größe ½ \\U+4E2D\\U+6587 \\U+D83D\\U+DE42"
    assert notes[1][1] == expected


@pytest.mark.parametrize("version", VERSIONS)
def test_renamed_layers(tmp_path: Path, version: DxfVersion) -> None:
    """GDAL reads letters of the code page; others are escaped as the format asks."""
    layers = Layers(part="0", mark="Gravur-ß", drill="Löcher 1", note="注")
    swap = {"PART": "0", "MARK": "Gravur-ß", "DRILL": "Löcher 1"}
    plain = sample()
    drawing = Drawing(
        tuple(LayerChain(swap[c.layer], c.chain) for c in plain.chains),
        tuple(Circle(swap[c.layer], c.centre, c.radius) for c in plain.circles),
        plain.notes,
    )
    path = tmp_path / "x.dxf"
    path.write_bytes(verified_dxf("x.dxf", drawing, "mm", version, layers)[0])
    assert {layer for layer, _ in read_contours(path)} == {"0", "Gravur-ß", "Löcher 1"}


def test_sizes_on_it_are_those_that_a_second_reader_measures(tmp_path) -> None:
    """Held against GDAL: slot, hole and piece as large as the lettering says."""
    read = job_with()
    made = export_of(read)
    path = tmp_path / "trial.dxf"
    path.write_bytes(made.files[TRIAL_FILE])
    contours = read_contours(path)
    cuts = [g for layer, g in contours if layer == "CUT"]
    boxes = sorted((b[2] - b[0], b[3] - b[1]) for b in (g.bounds for g in cuts))
    assert boxes == [pytest.approx((2.5, 0.75), abs=1e-6), pytest.approx((6, 4), abs=1e-6)]
    (hole,) = [g for layer, g in contours if layer == "DRILL"]
    assert hole.bounds[2] - hole.bounds[0] == pytest.approx(0.75, abs=1e-4)
