"""Files of the zoo mended: what can be is, each change is listed, what would be a guess is left, all else stays."""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest
import shapely
from ezdxf.document import Drawing

from cutpath.faults import Fault
from cutpath.inspect.read import read
from cutpath.inspect.repair.arcs import as_arcs
from cutpath.inspect.repair.values import Allowed, Repaired
from cutpath.inspect.repair.whole import repair
from cutpath.inspect.whole import inspect_seen
from tests.test_cli import call
from tests.zoo import INCH, ZOO, opened, outline, written

BEASTS = {b.name: b for b in ZOO}

#: What a repair makes whole, and what it is allowed besides what it is by itself.
MENDED: dict[str, dict[str, Any]] = {
    "no unit": {"units": "in"},
    "inches told as millimetres": {"units": "in"},
    "millimetres told as inches": {"units": "mm"},
    "a gap of 5e-05 in": {},
    "a gap of 0.001 in": {},
    "a gap of 0.02 in": {"gap": 0.6},
    "lines and arcs, one moved by 0.01 in": {"gap": 0.3},
    "an outline twice": {},
    "an outline twice, once reversed": {},
    "one side twice": {},
    "a hole twice": {},
    "a point twice in a polyline": {},
    "a line without length": {},
    "a circle without radius": {},
    "the first point once more at the end": {},
    "the outline as a spline": {},
    "an ellipse": {},
    "the outline in a block": {},
    "the outline in a block in a block": {},
    "a scaled insert": {},
    "an insert scaled one way": {},
}
#: What is left as it was, since mending it would be a guess.
LEFT = (
    *("a gap of 1.0 in", "lines and arcs, one missing", "an outline like an eight", "two outlines that overlap"),
    *("text on the cut layer", "a hole on layer 0", "a tiny segment", "the cut layer frozen", "an outline at a height"),
    *("a block that holds itself", "an arc over a hole's edge", "two outlines that share an edge"),
)


def mended(tmp_path: Path, data: bytes, **allowed: Any) -> tuple[Path, Repaired]:
    source, target = tmp_path / "sent.dxf", tmp_path / "mended.dxf"
    source.write_bytes(data)
    found = repair(source, Allowed(**allowed))
    assert source.read_bytes() == data
    if found.data is not None:
        target.write_bytes(found.data)
    return target, found


@pytest.mark.parametrize("name", MENDED)
def test_what_can_be_mended_is_and_each_change_is_listed(name: str, tmp_path: Path) -> None:
    target, found = mended(tmp_path, BEASTS[name].data(), **MENDED[name])
    after = inspect_seen(read(target))
    assert not after.spoils, [f.words for f in after.findings]
    assert [c for c in found.changes if c.kind == "changed"] and all(c.words for c in found.changes)
    # Mended once, there is nothing more to mend.
    assert repair(target, Allowed(**MENDED[name])).data is None


@pytest.mark.parametrize("name", LEFT)
def test_what_would_be_a_guess_is_left(name: str, tmp_path: Path) -> None:
    beast = BEASTS[name]
    target, found = mended(tmp_path, beast.data())
    after = inspect_seen(read(target if found.data is not None else tmp_path / "sent.dxf"))
    assert {f.kind for f in after.findings} & beast.finds
    if found.data is not None:
        assert [c for c in found.changes if c.kind == "left"]


def area_of(path: Path, layer: str = "PART") -> float:
    doc = ezdxf.readfile(path)
    return max(shapely.Polygon([p[:2] for p in _flat(e)]).area for e in doc.modelspace() if e.dxf.layer == layer)


def _flat(entity: Any) -> list[tuple[float, float]]:
    from ezdxf.path import make_path

    return [(v.x, v.y) for v in make_path(entity).flattening(1e-4)]


def test_lines_and_arcs_become_the_contour_that_they_were(tmp_path: Path) -> None:
    doc = opened(INCH)
    (tmp_path / "whole.dxf").write_bytes(written(doc))
    outline(doc).explode()
    target, found = mended(tmp_path, written(doc))
    (line,) = [e for e in ezdxf.readfile(target).modelspace() if e.dxf.layer == "PART"]
    assert line.dxftype() == "LWPOLYLINE" and line.closed
    assert area_of(target) == pytest.approx(area_of(tmp_path / "whole.dxf"), abs=1e-4)
    assert "is a closed contour" in found.changes[0].words or "are a closed contour" in found.changes[0].words


def test_nothing_else_is_touched(tmp_path: Path) -> None:
    doc = opened(INCH)
    outline(doc).explode()
    doc.modelspace().add_mtext("keep\\Pme", dxfattribs={"layer": "NOTE"})
    doc.layers.add("SPARE", color=3).freeze()
    data = written(doc)
    target, _ = mended(tmp_path, data)

    def others(doc: Drawing) -> list[tuple[Any, ...]]:
        kept = [e for e in doc.modelspace() if e.dxf.layer != "PART"]
        return [(e.dxf.handle, e.dxftype(), sorted(map(str, e.dxfattribs().items())), _course(e)) for e in kept]

    before, after = ezdxf.read(io.StringIO(data.decode())), ezdxf.readfile(target)
    assert others(before) == others(after)
    assert [str(x.dxf.name) for x in before.layers] == [str(x.dxf.name) for x in after.layers]
    for key in ("$INSUNITS", "$MEASUREMENT", "$ACADVER", "$EXTMIN", "$EXTMAX"):
        assert before.header.get(key) == after.header.get(key)


def _course(entity: Any) -> Any:
    return [tuple(p) for p in entity.get_points()] if entity.dxftype() == "LWPOLYLINE" else None


CURVES: dict[str, Callable[[float], tuple[float, float]]] = {
    "ellipse": lambda t: (80 * math.cos(math.tau * t), 30 * math.sin(math.tau * t)),
    "wave": lambda t: (300 * t, 20 * math.sin(9 * t)),
    "spiral": lambda t: ((5 + 60 * t) * math.cos(12 * t), (5 + 60 * t) * math.sin(12 * t)),
    "line": lambda t: (100 * t, 50 * t),
}


@pytest.mark.slow
@pytest.mark.parametrize("name", CURVES)
@pytest.mark.parametrize("tolerance", [0.01, 0.2])
def test_arcs_keep_within_the_tolerance_and_are_few(name: str, tolerance: float) -> None:
    closed = name == "ellipse"
    points = [CURVES[name](k / 1600) for k in range(1600 if closed else 1601)]
    chain = as_arcs(points, tolerance, closed=closed)
    line = chain.line(1e-5)
    assert max(shapely.distance(line, shapely.points(points))) <= tolerance + 1e-4
    # And no part of it strays from the curve.
    curve = shapely.LineString([*points, points[0]] if closed else points)
    assert max(shapely.distance(curve, shapely.points(line.coords))) <= tolerance + 1e-2
    assert len(chain.points) < (120 if tolerance < 0.1 else 40)


def test_the_command_writes_a_new_file_and_never_over_one_unasked(tmp_path: Path, capsys: Any) -> None:
    source, target = tmp_path / "sent.dxf", tmp_path / "mended.dxf"
    source.write_bytes(BEASTS["an outline twice"].data())
    status, out, err = call(capsys, "repair", str(source), str(target))
    assert (status, err) == (0, "") and "is there twice is deleted" in out and "nothing else was touched" in out
    before = target.read_bytes()
    status, out, err = call(capsys, "repair", str(source), str(target))
    assert status == 2 and "is there already and was left as it is" in err and target.read_bytes() == before
    target.write_bytes(b"other")
    assert call(capsys, "repair", str(source), str(target), "--force")[0] == 0
    assert inspect_seen(read(target)).findings == ()
    for options in (("--gap", "5mm"), ("--gap", "wide"), ("--tolerance", "2in"), ("--units", "ft")):
        status, _, err = call(capsys, "repair", str(source), str(tmp_path / "no.dxf"), *options)
        assert status == 2 and options[0] in err and not (tmp_path / "no.dxf").exists()


def test_a_damaged_file_is_refused_since_what_it_held_would_be_a_guess(tmp_path: Path) -> None:
    path = tmp_path / "sent.dxf"
    path.write_bytes(BEASTS["a file without an end"].data())
    with pytest.raises(Fault, match="would be a guess"):
        repair(path, Allowed())


def nested(doc: Drawing, inner: str) -> None:
    """A block on a cut layer that holds another, which is there or not."""
    block = doc.blocks.new("OUTER")
    block.add_line((100, 0), (120, 0), dxfattribs={"layer": "PART"})
    block.add_blockref(inner, (0, 0), dxfattribs={"layer": "PART"})
    for x in (0, 10):
        doc.modelspace().add_blockref("OUTER", (x, 0), dxfattribs={"layer": "PART"})


@pytest.mark.parametrize("inner", ["NOWHERE", "OUTER"])
def test_blocks_that_lack_or_hold_themselves_are_left_however_often_they_are_set(inner: str, tmp_path: Path) -> None:
    doc = opened(INCH)
    nested(doc, inner)
    path = tmp_path / "sent.dxf"
    path.write_bytes(written(doc))
    done = repair(path, Allowed())
    assert done.data is None
    assert sum("can't be exploded" in c.words for c in done.changes) == 2
