"""Pieces on lumber: how close cuts through all of it let two pieces stand, and least cost against brute force."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from cutpath.faults import NoNest
from cutpath.job.piece_values import LumberSize, SawSpec
from cutpath.nest import BadLayout, Keep, Layout, PartFitsNoBoard, TooFewBoards
from cutpath.nest.lumber.nest_lumber import PieceLine, nest_lumber
from cutpath.nest.lumber.verify import verify_lumber
from tests.lumber import SIZE, least_cost, line, lumber, shortest
from tests.stairs import mm

SAW = SawSpec(3.0, 0.0, 1.0)
KEEP = Keep(over=300.0, worth=0.5, saw=3.0)


def nested(lines: list[PieceLine], stock: list, saw: SawSpec = SAW) -> Layout:  # type: ignore[type-arg]
    layout = nest_lumber(lines, stock, saw, "2x4", mm)
    verify_lumber(layout, lines, SIZE, stock, saw)
    return layout


def ends() -> st.SearchStrategy[tuple[float, float]]:
    return st.sampled_from([(0.0, 0.0), (35.0, 0.0), (35.0, 35.0), (20.0, 35.0), (0.0, 45.0)])


@pytest.mark.slow
@given(st.data())
@settings(max_examples=25)
def test_lumber_costs_what_brute_force_finds(data: st.DataObject) -> None:
    lines = [
        line(
            f"piece {i}",
            data.draw(st.sampled_from([400.0, 655.5, 900.0])),
            data.draw(st.integers(1, 2)),
            data.draw(ends()),
            data.draw(st.sampled_from(["face", "edge"])),
            parallel=data.draw(st.booleans()),
        )
        for i in range(2)
    ]
    sticks = data.draw(st.lists(st.tuples(st.integers(900, 2400), st.integers(5, 25)), min_size=1, max_size=3))
    pieces = [one.piece for one in lines for _ in range(one.piece.count)]
    wanted = least_cost(pieces, [(float(length), float(cost)) for length, cost in sticks], 3.0)
    stock = [lumber(float(length), float(cost)) for length, cost in sticks]
    if math.isinf(wanted):
        with pytest.raises(PartFitsNoBoard):
            nested(lines, stock)
        return
    layout = nested(lines, stock)
    assert layout.value == pytest.approx(wanted)
    assert layout.bound == layout.value


@given(st.data())
@settings(max_examples=25)
def test_whatever_lumber_there_is_the_layout_keeps_to_it_or_says_what_lacks(data: st.DataObject) -> None:
    whole = st.integers(300, 2400).map(float)
    lines = [
        line(
            f"piece {i}",
            data.draw(whole),
            data.draw(st.integers(1, 5)),
            ripped=data.draw(st.sampled_from([None, 40.0])),
        )
        for i in range(data.draw(st.integers(1, 4)))
    ]
    stock = []
    for i in range(data.draw(st.integers(1, 4))):
        length, spoilt = data.draw(whole), data.draw(st.booleans())
        start = data.draw(st.floats(0.0, length))
        stock.append(
            lumber(
                length,
                data.draw(st.sampled_from([None, 3.0, 8.0])),
                data.draw(st.sampled_from([None, 0, 1, 3])),
                defects=((start, min(length, start + 20.0)),) if spoilt else (),
                offcut=f"old {i}" if data.draw(st.booleans()) else "",
                source=f"offcut[{i}]",
            )
        )
    saw, keep = SawSpec(3.0, data.draw(st.sampled_from([0.0, 10.0])), 1.0), data.draw(st.sampled_from([None, KEEP]))
    try:
        layout = nest_lumber(lines, stock, saw, "2x4", mm, keep)
    except NoNest as fault:
        assert fault.key == "lumber" and len(fault.lines) == 1
        return
    verify_lumber(layout, lines, SIZE, stock, saw, keep)
    assert layout.bound <= layout.value + 1e-6


def test_parallel_ends_are_parted_by_one_cut() -> None:
    """Of three leaning 35 degrees each but the last takes its edge's length and the saw along the slope."""
    run, kerf = 88.9 * math.tan(math.radians(35)), 3.0 / math.cos(math.radians(35))
    room = 1000.0 + 2 * (1000.0 - run + kerf)
    rails = [line("rail", 1000.0, 3, (35.0, 35.0))]
    assert shortest([rails[0].piece] * 3, 3.0) == pytest.approx(room)
    assert len(nested(rails, [lumber(room)]).boards) == 1
    assert len(nested(rails, [lumber(room - 0.01)]).boards) == 2


def test_a_cut_at_an_angle_takes_more_than_the_saws_width_beside_a_square_end() -> None:
    """A post's long point stands off a square end by the saw's width over the cosine: its cut goes right through."""
    lines = [line("plain", 500.0), line("post", 700.0, 1, (35.0, 35.0), parallel=False)]
    room = 1200.0 + 3.0 / math.cos(math.radians(35))
    assert len(nested(lines, [lumber(room)]).boards) == 1
    assert len(nested(lines, [lumber(room - 0.01)]).boards) == 2


def test_a_mitre_and_a_bevel_share_no_cut() -> None:
    kerf = 3.0 / math.cos(math.radians(35))
    lines = [line("mitred", 500.0, 1, (35.0, 35.0)), line("bevelled", 700.0, 1, (35.0, 35.0), "edge")]
    assert len(nested(lines, [lumber(1200.0 + kerf)]).boards) == 1
    assert len(nested(lines, [lumber(1200.0 + kerf - 0.01)]).boards) == 2


def test_what_is_taken_off_each_end_first_is_kept_off() -> None:
    saw = SawSpec(3.0, 10.0, 1.0)
    assert nested([line("tread", 980.0)], [lumber(1000.0)], saw).boards[0].parts[0].x == 10.0
    with pytest.raises(PartFitsNoBoard, match=r"Job tread: 980\.0100 mm long, and the longest lumber of 2x4 is 1000"):
        nested([line("tread", 980.01)], [lumber(1000.0)], saw)


def test_too_little_lumber_is_told_with_what_would_do() -> None:
    with pytest.raises(TooFewBoards, match=r"lumber of 2x4: what there is holds 2 of the 5 pieces; 3 more") as told:
        nested([line("tread", 900.0, 5)], [lumber(1000.0, quantity=2)])
    assert told.value.key == "lumber"


def test_pieces_alike_to_the_saw_keep_their_own_names() -> None:
    lines = [line("riser", 900.0, 2), line("riser, lowest", 900.0, ripped=60.0), line("tread", 900.0, 3)]
    layout = nested(lines, [lumber(1810.0)])
    assert len(layout.boards) == 3
    names = [part.name for board in layout.boards for part in board.parts]
    assert names == ["Job riser"] * 2 + ["Job riser, lowest"] + ["Job tread"] * 3


def test_lumber_measured_narrower_than_a_rip_holds_none() -> None:
    narrow = lumber(2000.0, least_width=80.0, quantity=1)
    assert nested([line("plain", 900.0)], [narrow]).boards[0].stock.least_width == 80.0
    layout = nested([line("plain", 900.0), line("strip", 900.0, ripped=85.0)], [narrow, lumber(2400.0)])
    assert [board.stock.length for board in layout.boards] == [2400.0]


@pytest.mark.parametrize(("ripped", "blanks"), [(42.95, 3), (42.96, 5)])
def test_two_strips_come_off_the_edges_of_one_blank_where_the_saw_has_room(ripped: float, blanks: int) -> None:
    """88.9 less a cut of 3 leaves 42.95 for each of two."""
    lines = [line("strip", 900.0, 4, ripped=ripped), line("other", 900.0, 1, ripped=ripped), line("plain", 900.0)]
    layout = nested(lines, [lumber(900.0)])
    assert len(layout.boards) == blanks + 1
    assert {round(88.9 - part.y, 6) for board in layout.boards for part in board.parts if part.y} in (set(), {ripped})
    area = 900.0 * (5 * ripped + 88.9)
    assert layout.yield_share == pytest.approx(area / (900.0 * 88.9 * (blanks + 1)))


def test_strips_that_lack_room_for_the_saw_or_lie_apart_are_found() -> None:
    lines, stock = [line("strip", 900.0, 2, ripped=40.0)], [lumber(900.0)]
    layout = nested(lines, stock)
    (board,) = layout.boards
    for change, match in ((42.9, "a cut of piece"), (49.0, "past the lumber's edges")):
        moved = replace(board, parts=(board.parts[0], replace(board.parts[1], y=change)))
        with pytest.raises(BadLayout, match=match):
            verify_lumber(replace(layout, boards=(moved,)), lines, SIZE, stock, SAW)
    with pytest.raises(BadLayout, match="yield"):
        verify_lumber(replace(layout, yield_share=1.0), lines, SIZE, stock, SAW)


@pytest.mark.parametrize("off", [-0.02, 0.02])
def test_a_piece_that_a_cut_goes_into_is_found(off: float) -> None:
    lines = [line("rail", 1000.0, 2, (35.0, 35.0))]
    stock = [lumber(2400.0)]
    layout = nested(lines, stock)
    (board,) = layout.boards
    second = replace(board.parts[1], x=board.parts[1].x + off)
    used = second.x + 1000.0
    moved = replace(board, parts=(board.parts[0], second), used=used, offcut=2400.0 - used)
    if off > 0:
        verify_lumber(replace(layout, boards=(moved,)), lines, SIZE, stock, SAW)
        return
    with pytest.raises(BadLayout, match="a cut of piece 1 goes into piece 2"):
        verify_lumber(replace(layout, boards=(moved,)), lines, SIZE, stock, SAW)


def test_a_layout_is_held_to_section_counts_defects_and_sums() -> None:
    lines = [line("tread", 900.0, 2)]
    stock = [lumber(1000.0, 4.0, defects=((950.0, 960.0),))]
    layout = nested(lines, stock)
    for changed, match in (
        (replace(layout, boards=layout.boards[:1]), "wanted"),
        (replace(layout, value=7.0, cost=7.0), "value"),
        (replace(layout, boards=tuple(replace(b, stock=replace(b.stock, width=139.7)) for b in layout.boards)), "sect"),
        (
            replace(
                layout, boards=tuple(replace(b, stock=replace(b.stock, defects=((5.0, 6.0),))) for b in layout.boards)
            ),
            "defect",
        ),
    ):
        with pytest.raises(BadLayout, match=match):
            verify_lumber(changed, lines, SIZE, stock, SAW)
    with pytest.raises(BadLayout, match="another section"):
        verify_lumber(layout, lines, LumberSize("2x6", 38.1, 139.7), stock, SAW)
