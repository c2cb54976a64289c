"""Treads, riser boards, what goes with the stringers: every number worked out here, apart from the program."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutpath.design.setout import pad_set_out
from cutpath.design.stair import Stair
from cutpath.faults import ImpossiblePiece
from cutpath.job.read import job_from_text
from cutpath.plan.drawn import board_widths, design
from cutpath.plan.stages import solve
from cutpath.rules.load import load_rules
from cutpath.units import shown_in
from tests.piece_jobs import IN, RISERS, STEPS, TREADS, drawn, inches, only, pieces, rail_of


def test_a_job_without_the_tables_has_no_pieces() -> None:
    assert drawn("").pieces is None
    assert drawn('[saw]\nwidth = 0.1\n[[lumber]]\nsize = "2x6"\nlength = 144').pieces is None


# Treads.


def test_treads_reach_from_the_nosing_to_the_riser_behind_them() -> None:
    """A tread has run and nosing, 11 1/2 in: two boards of 5 1/2 and a gap of 1/8 leave 3/8 open."""
    laid = pieces(TREADS).treads
    assert laid is not None
    assert (laid.boards, len(laid.places)) == (2, 5)
    for n, place in enumerate(laid.places, start=1):
        assert inches(*place.nosing) == pytest.approx((1.75 + 10.5 * n, -7.25 * n))
        assert inches(place.room, place.open, *place.widths) == pytest.approx((11.5, 0.375, 5.5, 5.5))
        # The seat starts at the riser cut, nosing and riser board back from the nosing, and is as long as the run.
        assert inches(*place.bearing) == pytest.approx((5.5 - 1.75, 5.5))
    assert inches(laid.length) == (40,)
    assert inches(laid.span or 0) == pytest.approx(((40 - 1.5) / 2,))
    board = only(pieces(TREADS), "tread")
    assert (board.count, board.ripped, board.shape, board.where) == (10, None, None, "treads 1 to 5, every board")


def test_boards_too_deep_together_are_ripped_at_the_back() -> None:
    """Three of 3 1/2 and two gaps of 1/2 are 11 1/2; four of 3 1/2 with gaps of 1/8 are 14 3/8, 2 7/8 too deep."""
    just = pieces("[treads]\nsize = [1.5, 3.5]\ngap = 0.5\nboards = 3")
    assert only(just, "tread").ripped is None and just.treads is not None and just.treads.places[0].open < 1e-9
    over = pieces('[treads]\nsize = "2x4"\nboards = 4')
    whole, ripped = over.of("tread")
    assert (whole.count, ripped.count) == (15, 5)
    assert inches(ripped.ripped or 0, *ripped.section) == pytest.approx((3.5 - 2.875, 1.5, 0.625))
    assert [note.text(shown_in("in")) for note in ripped.notes] == ["2.875 in (2 7/8) ripped off its back edge"]
    (check,) = (check for check in drawn('[treads]\nsize = "2x4"\nboards = 4').checks if check.id == "tread-bearing")
    assert not check.ok and not check.required and check.value == pytest.approx(0.625 * IN) and check.mend


@pytest.mark.parametrize(("relief", "off"), [("diagonal", math.sqrt(2)), ("riser-side", 0.0), ("tread-side", 2.0)])
def test_what_a_relief_takes_off_a_seat_bears_nothing(relief: str, off: float) -> None:
    laid = pieces(f'[treads]\nsize = "2x6"\ngap = 0.75\n[cutter]\nrelief = "{relief}"', riser=0).treads
    assert laid is not None
    radius = job_from_text(STEPS.format(riser=0, top="one-below", stringer="")).job.cutter.radius / IN
    # Boards lie from the nosing to 5 1/2 and from 6 1/4 to 11 1/2 back, all of the tread: the rear one is ripped.
    assert [inches(*place.bearing) for place in laid.places[1:]] == [
        pytest.approx((5.5 - 1, 5.25 - off * radius)) for _ in laid.places[1:]
    ]
    assert inches(*laid.places[0].bearing) == pytest.approx((4.5, 5.25))


def test_the_fewest_boards_are_taken_that_leave_little_open() -> None:
    for size, count in (("2x12", 1), ("2x6", 2), ("2x4", 3)):
        laid = pieces(f'[treads]\nsize = "{size}"').treads
        assert laid is not None and laid.boards == count
    # A fourth 2x4 would be a strip of 5/8: three, and 3/4 open, which gaps of 1/4 would close to 1/2.
    (short,) = (c for c in drawn('[treads]\nsize = "2x4"').checks if c.id == "tread-gap")
    assert short.value == pytest.approx(0.75 * IN) and not short.ok and "treads.gap at least 0.25" in short.mend
    assert "treads.boards" not in short.mend
    gap = next(c for c in drawn('[treads]\nsize = "2x10"\nboards = 1').checks if c.id == "tread-gap")
    assert (gap.ok, gap.required) == (False, False) and gap.value == pytest.approx(2.25 * IN) and "2" in gap.mend


def test_riser_boards_that_stand_on_treads_have_the_treads_go_under_them() -> None:
    laid = pieces(TREADS + RISERS + 'foot = "standing"').treads
    assert laid is not None
    assert {round(place.room / IN, 9) for place in laid.places} == {12.25}


def test_the_top_tread_goes_back_to_what_is_there() -> None:
    """Level with the floor it goes back to the header's face; a floor that overhangs little, to the board on it."""
    at_floor = pieces(TREADS, top="at-floor").treads
    assert at_floor is not None and len(at_floor.places) == 6
    assert inches(at_floor.places[0].nosing[0], at_floor.places[0].room) == pytest.approx((12.25, 12.25))
    text = STEPS.replace("nosing = 1\n", "nosing = 1\nfloor_overhang = 1\n")
    job = job_from_text(text.format(riser=0.75, top="one-below", stringer="") + TREADS).job
    rules, show = load_rules("irc-2021"), shown_in("in")
    found = design(job, rules, solve(job, rules, show).stair, board_widths(job)[0], show).pieces
    assert found is not None and found.treads is not None
    # Its nosing is 11 1/2 out, the board's face 3/4: a quarter inch less than a nosing of 1 leaves.
    assert inches(*(place.room for place in found.treads.places[:2])) == pytest.approx((10.75, 11.5))


@given(st.floats(220, 400), st.floats(0, 40), st.floats(30, 300), st.floats(0, 12), st.integers(1, 6), st.floats(0, 25))
@settings(max_examples=25, deadline=None)
def test_boards_gaps_and_what_stays_open_make_the_room(
    run_: float, nosing: float, wide: float, gap: float, boards: int, riser: float
) -> None:
    size = f'size = ["1.5 in", "{wide:.3f} mm"]\ngap = "{gap:.3f} mm"\nboards = {boards}\n'
    text = STEPS.replace("unit_run = 10.5", f'unit_run = "{run_:.3f} mm"').replace(
        "nosing = 1\n", f'nosing = "{nosing:.3f} mm"\n'
    )
    job = job_from_text(text.format(riser=f'"{riser:.3f} mm"', top="one-below", stringer="") + f"[treads]\n{size}").job
    rules, show = load_rules("ncc-2022"), shown_in("in")
    stair = Stair(6, 7.25 * IN, job.stair.unit_run, "one-below", 38.1, job.stair.riser_board, job.stair.nosing,
                  job.stair.floor_overhang)  # fmt: skip
    wide, gap = round(wide, 3), round(gap, 3)
    try:
        found = design(job, rules, stair, 400.0, show).pieces
    except ImpossiblePiece as fault:
        assert fault.key == "treads.boards"
        assert (boards - 1) * (wide + gap) >= job.stair.unit_run + job.stair.nosing - 1e-6
        return
    assert found is not None and found.treads is not None
    for place in found.treads.places:
        assert place.room == pytest.approx(job.stair.unit_run + job.stair.nosing)
        assert sum(place.widths) + (boards - 1) * gap + place.open == pytest.approx(place.room)
        assert place.widths[:-1] == pytest.approx((wide,) * (boards - 1)) and 0 < place.ripped <= wide + 1e-9
        assert place.open >= -1e-9 and (place.open < 1e-9 or place.ripped == pytest.approx(wide))
        seat = job.stair.unit_run
        assert sum(place.bearing) <= seat + 1e-6
    assert sum(piece.count for piece in found.of("tread")) == 5 * boards


def test_a_span_over_the_users_own_fails_and_names_its_source() -> None:
    text = TREADS + 'span_most = {}\nspan_source = "sheet 12"'
    for most, ok in ((19.25, True), (19.24, False)):
        (check,) = (check for check in drawn(text.format(most)).checks if check.id == "tread-span")
        assert (check.ok, check.required, check.source) == (ok, True, "sheet 12")
        assert check.value == pytest.approx(19.25 * IN) and bool(check.mend) is not ok


# Riser boards.


@pytest.mark.parametrize(
    ("keys", "top", "heights"),
    [
        # From seat to seat a rise; the lowest stands on the landing, a tread's thickness lower.
        ("", "one-below", [7.25] * 5 + [5.75]),
        ('foot = "standing"', "one-below", [5.75] * 6),
        ("gap = 0.25", "one-below", [7.0] * 5 + [5.5]),
        # Under a floor of 1 in the uppermost reaches half an inch higher.
        ("floor_thickness = 1", "one-below", [7.75] + [7.25] * 4 + [5.75]),
        ('foot = "standing"\nfloor_thickness = 2', "one-below", [5.25] + [5.75] * 5),
        ("", "at-floor", [7.25] * 5 + [5.75]),
    ],
)
def test_heights_of_riser_boards(keys: str, top: str, heights: list[float]) -> None:
    found = pieces(RISERS + keys, top=top)
    assert inches(*(board.height for board in found.riser_boards)) == pytest.approx(heights)
    assert sum(piece.count for piece in found.of("riser board")) == 6
    for piece in found.of("riser board"):
        assert piece.ripped == pytest.approx(piece.section[1]) and inches(piece.length) == (40,)
    assert all(board.why.text(shown_in("in")) for board in found.riser_boards)


def test_riser_boards_of_one_height_for_two_reasons_say_which_is_for_which() -> None:
    upper, lowest = pieces(RISERS).of("riser board")
    show = shown_in("in")
    assert [note.text(show).split(",")[0] for note in upper.notes] == [
        "riser 1: up to the underside of the floor",
        "risers 2 to 5: up to the underside of its tread",
    ]
    assert [note.text(show).split(",")[1] for note in lowest.notes] == [" down to the landing"]


def test_riser_boards_stand_under_their_nosings_and_close_the_rise() -> None:
    found = pieces(RISERS + TREADS)
    for n, board in enumerate(found.riser_boards, start=1):
        # Faces stand a nosing behind the edges, the floor's own 1 3/4 out of the header's face.
        assert inches(board.face) == pytest.approx((1.75 + 10.5 * (n - 1) - 1,))
        assert inches(board.bottom + board.height) == pytest.approx((-7.25 * (n - 1) - 1.5,))


# Other forms.


def test_housed_treads_reach_into_their_housings() -> None:
    found = pieces(
        TREADS + RISERS + "[rail]",
        stringer='form = "housed"\n[stringer.housing]\ndepth = "1/2"\ntread_length_play = "1/8"',
    )
    assert found.treads is not None
    # 40 between the faces, half an inch more at each end, less an eighth.
    assert inches(found.treads.length, only(found, "tread").length) == pytest.approx((40.875, 40.875))
    assert all(inches(piece.length)[0] == pytest.approx(40.875) for piece in found.of("riser board"))
    assert inches(found.overall, found.treads.span or 0) == pytest.approx((43, 40)) and found.treads.between_faces
    assert not any(place.bearing for place in found.treads.places)
    # The bottom rail clears the stringer's edge, 2 in square over the nosings, by half an inch plumb.
    rail, cos = rail_of(found), 10.5 / math.hypot(7.25, 10.5)
    assert not rail.triangular and inches(rail.triangle) == pytest.approx((0.5 * cos,))
    assert inches(
        rail.bottom_under[0][1] - rail.nosings[0][1] - (rail.posts[0].back - rail.nosings[0][0]) * -7.25 / 10.5
    )


def test_treads_between_plates_are_a_piece_a_bay() -> None:
    found = pieces(TREADS, stringer='form = "plate"\ncount = 3')
    board = only(found, "tread")
    assert board.count == 2 * 2 * 5 and inches(board.length) == pytest.approx(((40 - 3 * 1.5) / 2,))
    toothed = pieces(TREADS, stringer='form = "plate"\n[stringer.plate]\nprofile = "saw-tooth"')
    assert inches(only(toothed, "tread").length) == pytest.approx((40,))


def test_what_goes_with_the_stringers_is_what_they_give() -> None:
    text = STEPS.replace("total_rise = 43.5", "profile = [[0, 40], [120, 46]]")
    notch = "sill_notch = {deep = 3, high = 1.5}\ncount = 4"
    job = job_from_text(text.format(riser=0, top="one-below", stringer=notch) + TREADS).job
    rules, show = load_rules("irc-2021"), shown_in("in")
    stair = solve(job, rules, show).stair
    found = design(job, rules, stair, board_widths(job)[0], show)
    assert found.pieces is not None
    hangers, pad = found.pieces.hangers, pad_set_out(job, rules, stair, found.stringer)
    assert pad is not None and found.pieces.concrete is not None
    assert (hangers.count, hangers.seat, hangers.height) == (4, 38.1, found.stringer.heel)
    assert found.pieces.concrete.volume == pad.volume
    plate = only(found.pieces, "sill plate")
    assert (plate.stock.name, inches(*plate.section, plate.length)) == ("2x4", pytest.approx((1.5, 3, 40)))
    listed = job_from_text(
        text.format(riser=0, top="one-below", stringer=notch) + TREADS + "[extras]\nsill_plate = true"
    ).job
    again = design(listed, rules, stair, board_widths(listed)[0], show).pieces
    assert again is not None and not again.of("sill plate") and again.remarks


# Faults.


@pytest.mark.parametrize(
    ("more", "riser", "stringer", "key", "says"),
    [
        ("[rail]\nposts = [1, 9]", 0, "", "rail.posts", "the stair has 5"),
        ("[rail]\nposts = [2, 2]", 0, "", "rail.posts", "two treads"),
        ("[rail]\npost = [4, 12]\nposts = [1, 2]", 0, "", "rail.posts", "in one another"),
        ("[rail]\nheight = 13\nbottom_clear = 12", 0, "", "rail.height", "no room for balusters"),
        ("[rail]\nheight = 20\npost_below = 0\nset_back = 0\nposts = [1, 5]\npost = [3, 10]", 0, "", "", ""),
        ('[rail]\nplace = "inside"\nset_back = 0', 0.75, "", "rail.set_back", "in a riser board"),
        ('[rail]\nplace = "inside"\nset_back = 11', 0, "", "rail.set_back", "the header"),
        ('[rail]\nplace = "inside"\npost = [7, 4]', 0, "count = 6", "rail.place", "in the next stringer"),
        (
            '[rail]\nplace = "inside"\npost_below = 9',
            0,
            "sill_notch = {deep = 3, high = 1.5}",
            "rail.post_below",
            "in the sill plate",
        ),
        ("[rail]", 0, "count = 1", "rail", "there is one"),
        ('[treads]\nsize = "2x6"\nboards = 4', 0, "", "treads.boards", "leave no room for the last"),
        ("[treads]\nsize = [1.5, 1]", 0, "", "treads.size", "do not fill"),
        ('[riser_boards]\nsize = "1x4"', 0.75, "", "riser_boards.size", "3.5 in (3 1/2) wide"),
        ('[riser_boards]\nsize = "1x8"\nfloor_thickness = 9', 0.75, "", "riser_boards.gap", "no height"),
        (TREADS, 0, 'form = "plate"\ncount = 1', "treads", "a single straight plate"),
    ],
)
def test_what_cannot_be_is_refused_by_its_key(more: str, riser: float, stringer: str, key: str, says: str) -> None:
    if not key:
        assert pieces(more, riser=riser, stringer=stringer).rail
        return
    with pytest.raises(ImpossiblePiece) as caught:
        drawn(more, riser=riser, stringer=stringer)
    assert (caught.value.key, caught.value.way_out != "") == (key, True)
    assert says in str(caught.value) and "mm" not in str(caught.value)
    assert (key if "." in key else f"[{key}]" if key == "rail" else key) in str(caught.value), "the key is named"
