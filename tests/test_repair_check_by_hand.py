"""Whole files repaired, and what holds them against what they were: each thing that may differ."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from ezdxf.document import Drawing
from msgspec.structs import replace

from cutpath.faults import Fault, FileMismatch
from cutpath.inspect.find.looked import Looked
from cutpath.inspect.read import read
from cutpath.inspect.repair.check import check_cuts, check_untouched
from cutpath.inspect.repair.values import Allowed, Mended, Repaired
from cutpath.inspect.repair.whole import repair
from cutpath.inspect.roles import roles_of
from cutpath.inspect.values import Element, LayerSeen, Seen, Trait
from cutpath.inspect.whole import inspect_seen
from cutpath.job.values import Layers
from cutpath.outline import Chain, circle, shift, straight
from tests.repaired import (
    ON,
    SIDES,
    SQUARE,
    bytes_of,
    held,
    lines,
    new,
    whole,
)

# The whole file, and what holds it.


def plain(*chains: Chain, handle: str = "1", **more: Any) -> tuple[Element, ...]:
    return tuple(Element(handle, "LINE", "PART", "model", c, c.points[0], **more) for c in chains)


LONG = straight(((0.0, 0.0), (100.0, 0.0)), closed=False)


def as_was(before: Sequence[Element], after: Sequence[Element], scale: float = 1.0) -> bool:
    try:
        check_untouched("x.dxf", before, after, scale)
    except Fault as why:
        assert "x.dxf: LINE 1 would be changed" in str(why)
        return False
    return True


def test_what_was_not_to_be_changed_is_as_it_was() -> None:
    (one,) = plain(LONG)
    (other,) = plain(LONG.reversed())
    assert as_was([one, other], [one, other]) and as_was([], [one]) and as_was([one], [one, other])
    assert not as_was([one, other], [other, one]) and not as_was([one], []) and not as_was([one, one], [one])
    # Of files without handles each reading gives its own.
    assert as_was([one], [replace(one, handle="2")])
    for field, value in (("kind", "ARC"), ("layer", "CUT"), ("space", "paper"), ("traits", (Trait("tilted"),))):
        assert not as_was([one], [replace(one, **{field: value})])
    # What was added to the model space stands before the paper's.
    paper = replace(one, space="paper")
    assert as_was([one, paper], [one, other, paper]) and as_was([one, paper], [one, paper, other])
    assert not as_was([one, other], [one, replace(other, space="paper")]) and not as_was([one, paper], [one, other])
    # Words of a trait may differ, and its place is no part of the course.
    assert as_was([replace(one, traits=(Trait("x", "a"),))], [replace(one, traits=(Trait("x", "b"),), at=None)])
    bare = replace(one, chain=None)
    assert as_was([bare], [bare]) and not as_was([bare], [one]) and not as_was([one], [bare])


@pytest.mark.parametrize("off", [0.9e-6, -0.9e-6, 1.2e-6, -1.2e-6])
def test_a_course_is_as_it_was_to_a_nanometre(off: float) -> None:
    bent = Chain(((3.0, 4.0), (100.0, 50.0)), (0.5, 0.25), True)
    (one,) = plain(bent)
    for chain in (
        replace(bent, points=((3.0, 4.0), (100.0 + off, 50.0))),
        replace(bent, points=((3.0, 4.0 + off), (100.0, 50.0))),
        replace(bent, bulges=(0.5, 0.25 + off)),
    ):
        assert as_was([one], plain(chain)) == (abs(off) < 1e-6)
    assert not as_was([one], plain(replace(bent, closed=False)))
    assert not as_was([one], plain(Chain((*bent.points, (0.0, 0.0)), (0.5, 0.25, 0.0), True)))
    inches = Chain(((3 * 25.4, 4 * 25.4), (2540.0, 1270.0 + off)), (0.5, 0.25), True)
    assert as_was([one], plain(inches), 25.4) == (abs(off) < 1e-6) and not as_was([one], plain(inches), 25.0)


def test_what_the_library_would_leave_out_is_the_file_s_fault_and_a_cut_the_program_s() -> None:
    (one,) = plain(LONG)
    for bare, kind, words in (
        (True, Fault, "or lost in writing the file anew; delete it where it was drawn"),
        (False, FileMismatch, "though it isn't to be; nothing was written"),
    ):
        with pytest.raises(Fault, match=words) as caught:
            check_untouched("x.dxf", [replace(one, chain=None) if bare else one], (), 1.0)
        assert type(caught.value) is kind and "x.dxf: LINE 1 would be changed" in str(caught.value)


def test_no_name_of_a_kind_moves_the_cursor() -> None:
    (one,) = plain(LONG)
    odd = replace(one, kind="\x1b[31mX", handle="\u202e7")
    for element in (odd, replace(odd, chain=None)):
        with pytest.raises(Fault) as caught:
            check_untouched("x.dxf", [element], (), 1.0)
        assert str(caught.value).isprintable() and "[31mX" in str(caught.value)


@pytest.mark.parametrize("version", ["R12", "R2000"])
def test_a_kind_that_the_library_writes_no_more_than_the_name_of_is_not_lost(version: str, tmp_path: Path) -> None:
    """In R12 it leaves out what such an entity holds."""
    doc = new(version)
    lines(doc, SIDES)
    doc.modelspace().add_point((1, 1), {"layer": "NOTE"})
    data = bytes_of(doc).replace(b"\nPOINT\n", b"\nFOREIGN\n")
    if version == "R12":
        with pytest.raises(Fault, match=r"FOREIGN \w+ would be changed or lost in writing the file anew"):
            whole(data, tmp_path)
    else:
        whole(data, tmp_path)
        assert [e.kind for e in read(tmp_path / "sent.dxf").items] == ["FOREIGN", "LWPOLYLINE"]
        assert b"\nFOREIGN\n" in (tmp_path / "sent.dxf").read_bytes()


def cuts(*chains: Chain) -> Looked:
    seen = Seen("x.dxf", "R2000", "mm", 1.0, False, True, plain(*chains), (LayerSeen("PART", False, False),), ())
    return Looked(seen, roles_of(seen, Layers()), Layers())


RING = straight(SQUARE, closed=True)
BOW = Chain(((0.0, 0.0), (100.0, 0.0)), (1.0, 0.0), False)


@pytest.mark.parametrize(
    ("was", "now", "lost"),
    [
        pytest.param((RING,), (straight(SQUARE, closed=False),), "a cut would be lost", id="a side"),
        pytest.param((straight(SQUARE, closed=False),), (RING,), "there would be a cut that was not", id="one more"),
        pytest.param((RING, BOW), (RING,), "a cut would be lost", id="an arc"),
        pytest.param((BOW,), (LONG,), "a cut would be lost", id="its chord"),
        pytest.param((BOW,), (BOW, LONG), "there would be a cut that was not", id="its chord besides"),
        pytest.param((RING,), (), "a cut would be lost", id="all"),
        pytest.param((), (RING,), "there would be a cut that was not", id="one of none"),
        pytest.param((RING,), tuple(straight(pair, closed=False) for pair in SIDES), "", id="in pieces"),
        pytest.param((), (), "", id="nothing"),
    ],
)
@pytest.mark.parametrize("scale", [1.0, 25.4])
def test_each_cut_is_in_both_files(was: tuple[Chain, ...], now: tuple[Chain, ...], lost: str, scale: float) -> None:
    grown = tuple(Chain(tuple((x * scale, y * scale) for x, y in c.points), c.bulges, c.closed) for c in now)
    if not lost:
        check_cuts("x.dxf", cuts(*was), cuts(*grown), scale, 0.3)
        return
    with pytest.raises(FileMismatch, match=lost) as caught:
        check_cuts("x.dxf", cuts(*was), cuts(*grown), scale, 0.3)
    assert "x.dxf: " in str(caught.value)


@pytest.mark.parametrize(("radius", "counts"), [(1e-6, False), (0.5, True)])
def test_what_has_no_length_may_go(radius: float, counts: bool) -> None:
    dot = circle((50.0, 40.0), radius)
    for was, now in (((RING, dot), (RING,)), ((RING,), (RING, dot))):
        if not counts:
            check_cuts("x.dxf", cuts(*was), cuts(*now), 1.0, 0.3)
            continue
        with pytest.raises(FileMismatch):
            check_cuts("x.dxf", cuts(*was), cuts(*now), 1.0, 0.3)


@pytest.mark.parametrize(("off", "holds"), [(0.29, True), (0.31, False)])
def test_a_cut_may_have_moved_so_far_and_no_further(off: float, holds: bool) -> None:
    for y in (off, -off):
        for before, after in ((0.0, y), (y, 0.0)):
            one, other = (straight(((0.0, h), (100.0, h)), closed=False) for h in (before, after))
            if holds:
                check_cuts("x.dxf", cuts(one), cuts(other), 1.0, 0.3)
            else:
                with pytest.raises(FileMismatch):
                    check_cuts("x.dxf", cuts(one), cuts(other), 1.0, 0.3)


@pytest.mark.parametrize(("off", "holds"), [(0.29, True), (0.31, False)])
def test_how_far_a_cut_has_moved_is_told_in_the_millimetres_of_what_is_written(off: float, holds: bool) -> None:
    wide = straight(((0.0, off), (2540.0, off)), closed=False)
    if holds:
        check_cuts("x.dxf", cuts(LONG), cuts(wide), 25.4, 0.3)
        return
    with pytest.raises(FileMismatch):
        check_cuts("x.dxf", cuts(LONG), cuts(wide), 25.4, 0.3)


def test_how_far_beside_a_cut_another_may_be_is_told_in_them_too() -> None:
    long, beside = (straight(((0.0, y), (2540.0, y)), closed=False) for y in (0.0, 5.0))
    check_cuts("x.dxf", cuts(LONG), cuts(long), 25.4, 0.3)
    with pytest.raises(FileMismatch, match="a cut that was not"):
        check_cuts("x.dxf", cuts(LONG), cuts(long, beside), 25.4, 0.3)


@pytest.mark.parametrize(("long", "told"), [(99_999.0, True), (100_001.0, False)])
def test_what_is_longer_than_any_cut_is_not_looked_at(long: float, told: bool) -> None:
    """By the millimetres of what is written."""
    for scale in (1.0, 25.4):
        was = straight(((0.0, 50.0), (long / scale, 50.0)), closed=False)
        now = straight(((0.0, 50.0), (long, 50.0)), closed=False)
        (line,) = (Chain(tuple((scale * x, scale * y) for x, y in LONG.points), LONG.bulges, False),)
        for before, after in (((LONG, was), (line,)), ((LONG,), (line, now))):
            if told:
                with pytest.raises(FileMismatch):
                    check_cuts("x.dxf", cuts(*before), cuts(*after), scale, 0.3)
            else:
                check_cuts("x.dxf", cuts(*before), cuts(*after), scale, 0.3)


@pytest.mark.parametrize("radius", [60.0, 1e6, 5e6, 1e9])
def test_arcs_are_where_they_are_however_flat(radius: float) -> None:
    """One in two pieces, of 16 m or of 90 degrees; and moved by more than is allowed."""
    sweep = min(16_000 / radius, math.pi / 2)
    whole_, half = (
        Chain(((0.0, 0.0), (radius * math.sin(s), radius * (1 - math.cos(s)))), (math.tan(s / 4), 0.0), False)
        for s in (sweep, sweep / 2)
    )
    rest = Chain((half.points[1], whole_.points[1]), (half.bulges[0], 0.0), False)
    check_cuts("x.dxf", cuts(whole_), cuts(half, rest), 1.0, 0.3)
    off = whole_.moved(shift(0.0, 0.4))
    with pytest.raises(FileMismatch):
        check_cuts("x.dxf", cuts(whole_), cuts(off), 1.0, 0.3)


def test_where_a_cut_would_be_lost_is_told_in_the_file_s_own_frame() -> None:
    dash = straight(((30.0, 40.0), (90.0, 40.0)), closed=False)
    (long,) = (Chain(tuple((25.4 * x, 25.4 * y) for x, y in c.points), c.bulges, c.closed) for c in (LONG,))
    with pytest.raises(FileMismatch, match=r"a cut would be lost at \(30, 40\) mm"):
        check_cuts("x.dxf", cuts(LONG, dash), cuts(long), 25.4, 0.3)
    with pytest.raises(FileMismatch, match=r"a cut that was not at \(30, 40\) mm"):
        check_cuts("x.dxf", cuts(LONG), cuts(LONG, dash), 1.0, 0.3)
    # What is no more than an end that is off is told, too.
    longer = straight(((0.0, 0.0), (101.0, 0.0)), closed=False)
    with pytest.raises(FileMismatch, match=r"a cut would be lost at \(101, 0\) mm"):
        check_cuts("x.dxf", cuts(longer), cuts(LONG), 1.0, 0.3)


def test_a_cut_may_move_by_twice_the_gap_and_the_tolerance(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An arc that ends at a gap moves by that, and is that much off besides; chords of curves come on top of it."""
    given: list[float] = []
    monkeypatch.setattr("cutpath.inspect.repair.whole.check_cuts", lambda *args: given.append(args[-1]))
    doc = new()
    lines(doc, SIDES)
    whole(doc, tmp_path, gap=0.3, tolerance=0.1)
    assert given == [pytest.approx(2 * 0.3 + 2 * 0.1 + 0.2)]


def test_a_file_is_mended_whole(tmp_path: Path) -> None:
    """A block of lines with one twice and one empty, an ellipse, a gap; notes and paper stay."""
    doc = new(units=0)
    block = doc.blocks.new("B")
    for a, b in (*SIDES, SIDES[1], ((9.0, 9.0), (9.0, 9.0))):
        block.add_line(a, b, ON)
    m = doc.modelspace()
    m.add_blockref("B", (1000, 0), ON)
    m.add_ellipse((500, 500), (100, 0), 0.5, dxfattribs=ON)
    m.add_lwpolyline([(x, y + 300) for x, y in SQUARE] + [(0.05, 300.0)], dxfattribs=ON)
    m.add_mtext("keep me", dxfattribs={"layer": "NOTE"})
    lines(doc, [((0, 0), (7, 0)), ((7, 0), (7, 7))], layer="NOTE")
    doc.layout("Layout1").add_line((0, 0), (7, 0), {"layer": "NOTE"})
    found, after = whole(doc, tmp_path, units="mm")
    assert [c.kind for c in found.changes] == ["changed"] * 7 and found.per_unit == 1.0
    cut_ = [row for row in held(after) if row[1] == "PART"]
    assert [row[0] for row in cut_] == ["LWPOLYLINE"] * 3 and all(row[2] for row in cut_)
    assert [(row[0], row[3]) for row in held(after) if row[1] == "NOTE"] == [
        ("MTEXT", []),
        ("LINE", [(0.0, 0.0), (7.0, 0.0)]),
        ("LINE", [(7.0, 0.0), (7.0, 7.0)]),
    ]
    assert {f.kind for f in inspect_seen(read(tmp_path / "sent.dxf")).findings} == set()
    assert whole((tmp_path / "sent.dxf").read_bytes(), tmp_path, units="mm")[0] == Repaired(None, (), 1.0)


def test_where_nothing_is_to_be_changed_no_file_comes_of_it(tmp_path: Path) -> None:
    doc = new(units=0)
    lines(doc, [SIDES[0]])
    found, _ = whole(doc, tmp_path)
    assert found.data is None and [c.kind for c in found.changes] == ["left"] * 2
    assert found.per_unit == 25.4, "so small a drawing is in inches"
    assert found.changes[1] == Mended(
        "left", "a contour stays open, 100 in from the nearest open end", (0.0, 0.0), found.changes[1].handles
    )


@pytest.mark.parametrize("units", ["in", "mm"])
def test_a_unit_set_changes_no_coordinate_whatever_its_digits(units: str, tmp_path: Path) -> None:
    """128ths of an inch end in a five beyond the sixth decimal: rounding is no way to compare them."""
    rows = [((k / 128, 0.0078125), (k / 128 + 1 / 3, 40.0 + k / 7)) for k in range(1, 40)]
    doc = new(units={"in": 4, "mm": 1}[units])
    lines(doc, rows)
    found, after = whole(doc, tmp_path, units=units)
    assert [c.words for c in found.changes if c.kind == "changed"] == [
        f"the unit is set to {units}; no coordinate was changed"
    ]
    assert [(tuple(e.dxf.start)[:2], tuple(e.dxf.end)[:2]) for e in after.modelspace()] == rows
    assert found.per_unit == {"in": 25.4, "mm": 1.0}[units]


@pytest.mark.parametrize(
    ("version", "words"),
    [
        ("AC1014", ["the version is R2000 now: the file's older one can't be written"]),
        ("AC1012", ["the version is R2000 now: the file's older one can't be written"]),
        ("AC1015", []),
        ("AC1024", []),
    ],
)
def test_a_version_that_can_t_be_written_is_told(version: str, words: list[str], tmp_path: Path) -> None:
    doc = new()
    lines(doc, SIDES)
    found, _ = whole(bytes_of(doc).replace(b"AC1015", version.encode()), tmp_path)
    assert [c.words for c in found.changes[1:]] == words


def test_a_unit_that_the_version_does_not_have_is_told_as_it_goes(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    doc = new("R12")
    lines(doc, SIDES)
    data = bytes_of(doc).replace(b"  9\n$ACADVER", b"  9\n$INSUNITS\n 70\n1\n  9\n$ACADVER", 1)
    found, after = whole(data, tmp_path)
    assert [(c.kind, c.words) for c in found.changes] == [
        ("changed", "4 entities are a closed contour"),
        ("changed", "$INSUNITS is dropped, as the version (R12) has no such thing: write the unit in a note"),
    ]
    assert held(after)[0][0] == "POLYLINE" and capfd.readouterr() == ("", "")
    found, _ = whole(bytes_of(doc), tmp_path)
    assert [c.words for c in found.changes if c.kind == "changed"] == ["4 entities are a closed contour"]


@pytest.mark.parametrize("handles", [True, False])
def test_a_file_without_handles_is_mended(handles: bool, tmp_path: Path) -> None:
    """As scripts and old controllers write them: the numbers are those that each reading gives."""
    doc = new("R12")
    doc.header["$HANDLING"] = int(handles)
    doc.modelspace().add_polyline2d([(x + 500, y) for x, y in SQUARE], close=True, dxfattribs=ON)
    lines(doc, [((0, 0), (7, 0))], layer="NOTE")
    lines(doc, SIDES)
    doc.modelspace().add_text("Units: mm", dxfattribs={"layer": "NOTE"})
    data = bytes_of(doc)
    found, after = whole(data, tmp_path)
    assert [c.words for c in found.changes] == ["4 entities are a closed contour"]
    assert [row[:2] for row in held(after)] == [
        ("POLYLINE", "PART"), ("LINE", "NOTE"), ("TEXT", "NOTE"), ("POLYLINE", "PART")
    ]  # fmt: skip
    assert (data.count(b"\n  5\n") > 2) == handles, "that many handles"


@pytest.mark.parametrize("place", ["model", "block", "paper"])
def test_what_is_newer_than_its_file_s_version_is_told_before_it_is_lost(place: str, tmp_path: Path) -> None:
    """The library reads a spline in R12, and leaves it out as it writes."""
    doc = new()
    lines(doc, SIDES)
    layouts = {"model": doc.modelspace(), "block": doc.blocks.new("B"), "paper": doc.layout("Layout1")}
    spline = layouts[place].add_open_spline([(0, 0), (1, 1), (2, 0), (3, 0)], dxfattribs={"layer": "NOTE"})
    assert whole(doc, tmp_path)[0].data is not None
    sent = bytes_of(doc)
    with pytest.MonkeyPatch.context() as m:
        m.setattr(type(spline), "MIN_DXF_VERSION_FOR_EXPORT", "AC1018")
        says = rf"SPLINE {spline.dxf.handle} is newer than the file's version \(R2000\), and would be lost in writing"
        with pytest.raises(Fault, match=says):
            whole(sent, tmp_path)
        m.setattr(type(spline), "MIN_DXF_VERSION_FOR_EXPORT", "AC1015")
        assert whole(sent, tmp_path)[0].data is not None


def test_a_binary_file_is_told_to_be_text_now(tmp_path: Path) -> None:
    doc = new()
    lines(doc, SIDES)
    doc.saveas(tmp_path / "sent.dxf", fmt="bin")
    data = (tmp_path / "sent.dxf").read_bytes()
    found, after = whole(data, tmp_path)
    assert [c.words for c in found.changes] == [
        "4 entities are a closed contour", "the file is written as text, not binary"
    ]  # fmt: skip
    assert held(after)[0][:3] == ("LWPOLYLINE", "PART", True)


def test_a_file_that_holds_too_much_or_is_damaged_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    doc = new()
    lines(doc, SIDES)
    with pytest.raises(Fault, match=r"sent.dxf: is damaged \(.*\), and what it held would be a guess"):
        whole(bytes_of(doc).replace(b"EOF\n", b""), tmp_path)
    monkeypatch.setattr("cutpath.inspect.blocks.MOST_VERTICES", 7)
    with pytest.raises(Fault, match=r"sent.dxf: draws over 7 vertices, .*: see that its unit is right, explode"):
        whole(doc, tmp_path)


def test_what_the_library_says_of_what_it_can_t_explode_or_write_is_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    doc = new()
    doc.blocks.new("B").add_line((0, 0), (50, 0), ON)
    doc.modelspace().add_blockref("B", (0, 0), ON)
    for says, shown in (("no\nway \u202e" + "x" * 300, "no way "), ("", "ValueError")):

        def refuse(*_: object, says: str = says, **__: object) -> None:
            raise ValueError(says)

        for place in ("ezdxf.entities.Insert.explode", "ezdxf.document.Drawing.write"):
            with monkeypatch.context() as m:
                sent = bytes_of(doc)
                m.setattr(place, refuse)
                with pytest.raises(Fault, match="holds what would be damaged if it were written anew") as caught:
                    whole(sent, tmp_path)
            assert f"anew ({shown}" in str(caught.value) and "\u202e" not in str(caught.value)
            assert str(caught.value).isprintable() and str(caught.value).endswith("); have it saved anew")
            inside = str(caught.value).partition("anew (")[2].removesuffix("); have it saved anew")
            assert len(inside) == (160 + len("\\u202e") - 1 if says else len("ValueError"))


def test_what_can_not_be_read_back_whole_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    doc = new()
    lines(doc, SIDES)
    again = bytes_of(doc).replace(b"EOF\n", b"")
    with monkeypatch.context() as m:
        sent = bytes_of(doc)
        m.setattr("ezdxf.document.Drawing.encode", lambda *_: again)
        with pytest.raises(Fault, match=r"would be damaged if it were written anew \(it breaks off"):
            whole(sent, tmp_path)


def test_what_is_written_otherwise_than_it_was_mended_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing of the kind is known of the library: bytes exchanged as they are written."""
    doc = new()
    lines(doc, SIDES)
    lines(doc, [((0, 0), (9, 0))], layer="NOTE")
    sent = bytes_of(doc)
    for spoil, words in (
        (lambda d: [e.set_dxf_attrib("layer", "MARK") for e in d.modelspace().query("LINE")], "would be changed"),
        (lambda d: d.modelspace().query("LWPOLYLINE").first.set_points([(0, 0), (50, 0), (50, 50)]), "a cut would be"),
    ):
        doc_ = load_of(sent, tmp_path)
        write = Drawing.write

        def spoilt(self: Drawing, stream: Any, spoil: Any = spoil, write: Any = write) -> None:
            spoil(self)
            write(self, stream)

        with monkeypatch.context() as m:
            m.setattr("ezdxf.document.Drawing.write", spoilt)
            with pytest.raises(FileMismatch, match=words):
                repair(doc_, Allowed())


def load_of(data: bytes, folder: Path) -> Path:
    path = folder / "sent.dxf"
    path.write_bytes(data)
    return path


@pytest.mark.parametrize(
    ("units", "apart", "told"),
    [
        # Where no unit is stated, lengths are told in what the coordinates were taken for.
        (0, 0.02, "0.02 in (0.508 mm) from the nearest open end; if these two are to meet: --gap 0.52mm"),
        (1, 0.02, "0.02 in (0.508 mm) from the nearest open end; if these two are to meet: --gap 0.52mm"),
        (4, 0.5, "0.5 mm from the nearest open end; if these two are to meet: --gap 0.51mm"),
        # Wider than any gap that is closed: what belongs there is not known.
        (1, 0.05, "0.0500 in from the nearest open end"),
    ],
)
def test_a_gap_that_is_left_is_told_with_the_option_that_joins_it(
    units: int, apart: float, told: str, tmp_path: Path
) -> None:
    side = 10.0 if units != 4 else 250.0
    doc = new(units=units)
    ring = [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side), (0.0, apart)]
    lines(doc, list(pairwise(ring)))
    found, _ = whole(doc, tmp_path)
    (left,) = [change.words for change in found.changes if "stays open" in change.words]
    assert left == f"a contour stays open, {told}"
    option = re.search(r"--gap ([\d.]+)mm", left)
    if option:
        joined, after = whole(doc, tmp_path, gap=float(option[1]))
        assert not any("stays open" in change.words for change in joined.changes), "the way out is one"
        (contour,) = after.modelspace()
        assert contour.is_closed
