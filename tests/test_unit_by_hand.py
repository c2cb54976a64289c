"""The unit that parts say a file's coordinates are in, and those that are left where none was found."""

from __future__ import annotations

import math

import pytest
import shapely

from cutpath.inspect.against.unit import told_unit, unit_by_parts, units_left
from cutpath.inspect.values import Element, Finding, Hit, Inspected, Seen
from cutpath.outline import straight


@pytest.mark.parametrize(
    ("sizes", "per", "unit"),
    [
        ((1.0,), 1.0, 1.0),
        ((1.0, 1.0), 25.4, 25.4),
        ((25.4,), 25.4, 1.0),
        ((1 / 25.4,), 1.0, 25.4),
        ((12.0,), 304.8, 25.4),
        ((1000.0,), 1000.0, 1.0),
        ((25.4 * 1.0049, 25.4 * 0.9951), 25.4, 1.0),
        ((25.4 * 1.0051,), 25.4, None),
        ((25.4 * 0.9949, 25.4), 25.4, None),
        ((25.4, 1.0), 25.4, None),
        ((25.4,), 1.0, None),
        ((10.0,), 1.0, None),
        ((), 1.0, None),
    ],
)
def test_the_unit_is_what_all_parts_say(sizes: tuple[float, ...], per: float, unit: float | None) -> None:
    assert unit_by_parts(sizes, per) == unit


def looked(long: float, per: float = 1.0, *kinds: str, still_open: int = 1, up: bool = False) -> Inspected:
    """A file of an open line of so many millimetres by the unit that it was taken for, far from the origin."""
    ends = ((1000.0, 700.0), (1000.0 + long, 703.0))
    points = tuple((y, x) for x, y in ends) if up else ends
    line = Element("1", "LINE", "CUT", "model", straight(points, closed=False), points[0])
    text = Element("2", "TEXT", "NOTE", "model", None, (0.0, 0.0))
    seen = Seen("x.dxf", "R2000", "mm", per, guessed=False, metric=True, items=(line, text), layers=(), texts=())
    return Inspected(seen, (), (), tuple((kind, 1) for kind in (kinds or ("no-part",))), 0, still_open)


@pytest.mark.parametrize("up", [False, True], ids=["along", "up"])
@pytest.mark.parametrize(
    ("long", "per", "left"),
    [
        (3.9, 1.0, []),
        (4.0, 1.0, [25.4]),
        (1968.0, 1.0, [25.4]),
        (1969.0, 1.0, []),
        (2539.0, 25.4, []),
        (2541.0, 25.4, [1.0]),
        (60 * 304.8, 304.8, [25.4]),
        (120 * 304.8, 304.8, [1.0, 25.4]),
    ],
)
def test_units_are_left_in_which_a_part_may_be_there(long: float, per: float, left: list[float], up: bool) -> None:
    """The least part covers a square of 100, and no file is of 50 m."""
    outlines = [shapely.box(0, 0, 50, 200), shapely.box(0, 0, 1000, 900)]
    for each in (outlines, outlines[::-1]):
        assert units_left(looked(long, per, up=up), each) == left
    assert units_left(looked(long, per), []) == []


def test_where_parts_were_found_or_nothing_is_open_no_unit_is_left() -> None:
    outlines = [shapely.box(0, 0, 100, 100)]
    assert units_left(looked(100.0, 1.0, "open-contour", "no-part"), outlines) == [25.4]
    assert units_left(looked(100.0, 1.0, "no-part", "parts-left"), outlines) == []
    assert units_left(looked(100.0, 1.0, "open-contour"), outlines) == []
    assert units_left(looked(100.0, still_open=0), outlines) == []


@pytest.mark.parametrize(
    ("stated", "true", "words"),
    [
        ("in", 1.0, "in millimetres; what is stated is inches"),
        ("mm", 25.4, "in inches; what is stated is millimetres"),
        ("ft", 25.4, "in inches; what is stated is ft"),
    ],
)
def test_what_is_said_of_the_unit_gives_way_to_the_one_that_is_true(stated: str, true: float, words: str) -> None:
    file = Seen("x.dxf", "R2000", stated, math.inf, guessed=False, metric=True, items=(), layers=(), texts=())
    by_true = Seen("x.dxf", "R2000", stated, true, guessed=False, metric=True, items=(), layers=(), texts=())
    kinds = ("duplicate", "units-at-odds", "far-from-origin", "metric-at-odds", "units-unusual", "mirrored")
    findings = tuple(Finding(kind, "told", kind, "", Hit()) for kind in kinds)
    found = told_unit(Inspected(by_true, (), findings, tuple((kind, 2) for kind in kinds), 3, 4), file)
    assert [f.kind for f in found.findings] == ["other-unit", "duplicate", "far-from-origin", "mirrored"]
    assert found.counts == (("other-unit", 1), ("duplicate", 2), ("far-from-origin", 2), ("mirrored", 2))
    assert words in found.findings[0].words and found.spoils and (found.closed, found.open) == (3, 4)
