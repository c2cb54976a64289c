"""The rail: every number against trigonometry worked out here, apart from the program; and rule sets on it."""

from __future__ import annotations

import math
from itertools import combinations, pairwise

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutpath.cli.main import run
from cutpath.design.stair import Stair
from cutpath.faults import ImpossiblePiece
from cutpath.job.read import job_from_text
from cutpath.outline import Chain
from cutpath.pieces.treads import FINGER
from cutpath.pieces.triangle import triangle_sphere
from cutpath.plan.drawn import board_widths, design
from cutpath.plan.stages import solve
from cutpath.rules.load import load_rules
from cutpath.units import shown_in
from tests.piece_jobs import IN, RISERS, STEPS, TREADS, drawn, inches, only, pieces, rail_of


def test_a_rail_by_plain_trigonometry() -> None:
    found = pieces('[rail]\nheight = 36\nbottom_clear = 1\nside = "left"')
    rail = rail_of(found)
    tan, cos = 7.25 / 10.5, 10.5 / math.hypot(7.25, 10.5)
    angle = math.degrees(math.atan(tan))
    upper, lower = rail.posts
    # A post's front is over the riser cut, 1 3/4 behind its nosing; the nosings are 12 1/4 and 54 1/4 out.
    assert inches(upper.front, upper.back, lower.front, lower.back) == pytest.approx((10.5, 7.0, 52.5, 49.0))
    # The rail's underside is 36 less its thickness over the slope above the nosings' line.
    under = 36 - 1.5 / cos

    def nose(x: float) -> float:
        return -7.25 - (x - 12.25) * tan

    assert inches(upper.top_back, upper.top_front) == pytest.approx((nose(7.0) + under, nose(10.5) + under))
    assert upper.top_back - upper.top_front == pytest.approx(3.5 * tan * IN)
    # The lower edge of a board 11 1/4 wide, square under the line of the tips.
    tip = nose(12.25) - 1.5
    edge = tip - (7.0 - 10.5) * tan - 11.25 / cos
    assert inches(upper.bottom) == pytest.approx((edge,))
    assert inches(lower.bottom) == pytest.approx((max(-43.5, edge - 42 * tan),))
    posts = found.of("post")
    assert [inches(post.length)[0] for post in posts] == pytest.approx(
        [nose(7.0) + under - edge, nose(49.0) + under - max(-43.5, edge - 42 * tan)]
    )
    for post in posts:
        assert [cut.angle for cut in post.ends] == pytest.approx([angle, 0]) and not post.parallel
    # From over the floor's edge, 1 3/4 out, to over the last nosing.
    top = only(found, "top rail")
    along = (54.25 - 1.75) / cos
    assert inches(top.length) == pytest.approx((along + 1.5 * tan,))
    assert [note.text(lambda mm: f"{mm / IN:.6f}") for note in top.notes] == [f"{along:.6f} along its upper face"]
    assert [(cut.angle, cut.seen_on) for cut in top.ends] == [(pytest.approx(angle), "edge")] * 2
    bottom = only(found, "bottom rail")
    assert inches(bottom.length) == pytest.approx(((49 - 10.5) / cos + 1.5 * tan,))
    # 38 1/2 clear: n balusters of 1 1/2 leave n + 1 gaps, of 4 3/8 at the most with 6 of them, not with 5.
    (bay,) = rail.bays
    assert len(bay.balusters) == 6 and (38.5 - 5 * 1.5) / 6 > 4.375 >= (38.5 - 6 * 1.5) / 7
    gap = (38.5 - 6 * 1.5) / 7
    assert inches(bay.gap) == pytest.approx((gap,))
    assert inches(*bay.balusters) == pytest.approx([10.5 + gap + i * (gap + 1.5) for i in range(6)])
    assert inches(*bay.along) == pytest.approx([(gap + i * (gap + 1.5)) / cos for i in range(6)])
    baluster = only(found, "baluster")
    plumb = under - 1 - 1.5 / cos
    assert inches(rail.baluster_plumb, baluster.length) == pytest.approx((plumb, plumb + 1.5 * tan))
    assert baluster.count == 6 and baluster.parallel


def corners(chain: Chain) -> list[tuple[float, float]]:
    return [(round(x, 6), round(y, 6)) for x, y in chain.points]


def test_every_piece_is_as_long_as_where_it_stands() -> None:
    """Along a rail, or up an upright, its outline in the stair spreads as far as its length says."""
    for ends in ("plumb", "square"):
        found = pieces(f'{TREADS}{RISERS}[rail]\nends = "{ends}"\nposts = [1, 3, 5]')
        tilt = math.atan2(7.25, 10.5)
        for piece in found.all:
            for stand in piece.stands:
                sloped = "rail" in piece.kind
                if piece.kind in ("tread", "riser board"):
                    spread = stand.across[1] - stand.across[0]
                else:
                    # Turned level: along a rail, plumb for uprights.
                    turn = tilt if sloped else math.pi / 2
                    ways = [math.cos(turn) * x - math.sin(turn) * y for x, y in stand.elevation.points]
                    spread = max(ways) - min(ways)
                assert spread == pytest.approx(piece.length), piece.name
                assert stand.elevation.area() > 0
            assert len({corners(stand.elevation)[0] + stand.across for stand in piece.stands}) == piece.count


@given(
    st.floats(220, 380), st.floats(120, 200), st.integers(3, 14), st.floats(15, 150), st.floats(20, 60),
    st.floats(20, 150),
)  # fmt: skip
@settings(max_examples=40, deadline=None)
def test_balusters_leave_equal_gaps_under_the_sphere_and_one_fewer_would_not(
    run_: float, rise: float, risers: int, opening: float, wide: float, post: float
) -> None:
    keys = f"post = [60, {post:.3f}]\nbaluster = [20, {wide:.3f}]\nopening_most = {opening:.3f}\nheight = 900\n"
    text = f"""
units = "mm"
[site]
total_rise = {rise * risers:.3f}
[stair]
risers = {risers}
unit_run = {run_:.3f}
rules = "ncc-2022"
[stringer]
throat_least = 0
[rail]
{keys}
[[stock]]
size = [38, 400]
length = 6000
[[lumber]]
size = "2x4"
length = 20000
"""
    job = job_from_text(text).job
    rules, show = load_rules(job.stair.rules), shown_in("mm")
    spec = job.stair
    total = job.site.total_rise
    assert total is not None
    stair = Stair(risers, total / risers, spec.unit_run, "one-below", 38.0, 0.0, 25.0, 25.0)
    found = design(job, rules, stair, 400.0, show).pieces
    assert found is not None
    rail, most, wide = rail_of(found), round(opening, 3), round(wide, 3)
    for bay, (above, below) in zip(rail.bays, pairwise(rail.posts), strict=True):
        faces = [above.front, *(x for back in bay.balusters for x in (back, back + wide)), below.back]
        gaps = [b - a for a, b in zip(faces[::2], faces[1::2], strict=True)]
        assert gaps == pytest.approx([bay.gap] * len(gaps)) and bay.gap <= most + 1e-6
        clear, count = below.back - above.front, len(bay.balusters)
        assert count == 0 or (clear - (count - 1) * wide) / count > most
    # A post never ends under the board's lower edge at its back, nor under the landing.
    slope = stair.unit_rise / stair.unit_run
    for one in rail.posts:
        assert one.top_back - one.top_front == pytest.approx(round(post, 3) * slope)
        assert one.bottom >= -total - 1e-6
        down = (-38 - rise) - (one.back - (run_ + 25 - 25)) * slope - 400 / math.cos(math.atan(slope))
        assert one.bottom == pytest.approx(max(down, -total), abs=0.01)


@pytest.mark.parametrize("clear", [5.0, 12.7, 40.0, 90.0, 250.0, 500.0])
@pytest.mark.parametrize(("rise", "run_", "nosing"), [(184.15, 266.7, 25.4), (150.0, 350.0, 0.0), (196.0, 254.0, 32.0)])
def test_the_triangle_s_sphere_is_the_greatest_circle_in_it(
    clear: float, rise: float, run_: float, nosing: float
) -> None:
    stair = Stair(8, rise, run_, "one-below", 38.1, 0.0, nosing, nosing)
    # Five treads' profile, each with its nosing over the riser below it, and the rail's lower face above them.
    profile = []
    for n in range(5):
        x, y = n * run_, -n * rise
        profile += [(x, y), (x, y - 38.1), (x - nosing, y - 38.1), (x - nosing, y - rise)]
    (x0, y0), (x1, _) = profile[0], profile[-1]
    region = shapely.Polygon([*profile, (x1, clear - x1 * rise / run_), (x0, y0 + clear)])
    widest = shapely.maximum_inscribed_circle(region, tolerance=0.01).length * 2
    assert triangle_sphere(stair, clear) == pytest.approx(widest, abs=0.05)


def test_posts_inside_have_the_treads_notched_round_them() -> None:
    found = pieces(f'{TREADS}side_overhang = 1\n[rail]\nplace = "inside"', riser=0)
    plain, notched = sorted(found.of("tread"), key=lambda piece: piece.shape is not None)
    assert (plain.count, notched.count, notched.where) == (8, 2, "treads 1 and 5, front board")
    # Posts of 3 1/2 behind a nosing of 1 in a board of 5 1/2: 1 is left behind them, as much as in front. With 1/8 of
    # play before and beside them the notches are 3 3/4 by 4 5/8.
    assert notched.shape is not None
    shape = notched.shape.polygon()
    assert shape.bounds == pytest.approx((0, 0, 42 * IN, 5.5 * IN))
    assert shape.area / IN**2 == pytest.approx(42 * 5.5 - 2 * 3.75 * 4.625)
    # Overhang and stringer leave 2 1/2 less the play beside each notch, all of it in the plan as well.
    cut = shapely.box(0, 0, 42 * IN, 5.5 * IN).difference(shape)
    assert sorted(round(x / IN, 6) for part in cut.geoms for x in part.bounds[::2]) == [2.375, 6.125, 35.875, 39.625]
    rail = rail_of(found)
    for stand in notched.stands:
        assert stand.plan is not None
        for post in rail.posts:
            for z in rail.across:
                there = shapely.box(post.back, z[0], post.front, z[1])
                assert stand.plan.polygon().intersection(there).area == pytest.approx(0, abs=1e-6)


def test_posts_outside_notch_only_what_overhangs() -> None:
    flush = pieces(f"{TREADS}[rail]\n")
    assert all(piece.shape is None for piece in flush.of("tread"))
    over = pieces(f'{TREADS}side_overhang = 1\n[rail]\nside = "right"')
    (notched,) = (piece for piece in over.of("tread") if piece.shape is not None)
    assert notched.shape is not None
    # The right end alone, 1 in deep over the post's 3 1/2 in, 1 3/4 behind the nosing, and 1/8 of play. The finger of
    # 1/8 that would be left behind the post goes, too.
    assert [tuple(round(v / IN, 6) for v in p) for p in notched.shape.points] == [
        *((0, 0), (42, 0), (42, 1.625), (40.875, 1.625), (40.875, 5.5), (0, 5.5))
    ]
    assert "the strip of 0.125 beside the post goes with the notch" in [
        note.text(lambda mm: f"{mm / IN:.3f}") for note in notched.notes
    ]


@pytest.mark.parametrize("place", ["outside", "inside"])
@pytest.mark.parametrize("set_back", [0.3, 0.9, 2.3])
@pytest.mark.parametrize("overhang", [0.2, 1.6])
def test_no_finger_of_wood_is_left_beside_a_post(place: str, set_back: float, overhang: float) -> None:
    """Wood that a square of an inch less a hair doesn't fit into, round every notch, is a finger: none is left."""
    found = pieces(f'{TREADS}side_overhang = {overhang}\n[rail]\nplace = "{place}"\nset_back = {set_back}', riser=0)
    wide = (FINGER - 0.01) / 2
    notched = [piece for piece in found.of("tread") if piece.shape is not None]
    assert notched
    for piece in notched:
        assert piece.shape is not None
        shape = piece.shape.polygon()
        opened = shape.buffer(-wide, join_style="mitre").buffer(wide, join_style="mitre")
        # A post nearly as deep as its board leaves a mere bridge, without which there would be two boards.
        bridged = any(note.words.startswith("no more than") for note in piece.notes)
        assert bridged == (opened.symmetric_difference(shape).area > 1e-3) == (place == "inside" and set_back == 0.9)


def test_the_rail_reaches_over_the_whole_flight_unless_the_job_says_otherwise() -> None:
    checks = {check.id: check for check in drawn("[rail]\npast = [0, 0]").checks}
    reach = checks["rail-reach"]
    # The upper post's back is 7 out and the floor's edge 1 3/4; the lower one's front 1 3/4 short of the last nosing.
    assert reach.value == pytest.approx(5.25 * IN) and not reach.ok and not reach.required
    assert "uppermost" in reach.note and "lowest" in reach.note
    assert next(check for check in drawn("[rail]").checks if check.id == "rail-reach").ok
    abroad = drawn("[rail]", rules="nbc-canada-2020").checks
    assert "IRC" not in next(check for check in abroad if check.id == "rail-reach").source


@given(
    st.lists(st.integers(1, 24), min_size=2, max_size=9, unique=True), st.integers(2500, 9000), st.integers(0, 5),
    st.sampled_from(["plumb", "square"]), st.sampled_from(["left", "both"]),
)  # fmt: skip
@settings(max_examples=40, deadline=None)
def test_a_rail_longer_than_its_lumber_is_spliced_over_as_few_posts_as_can_be(
    at: list[int], length: int, few: int, ends: str, side: str
) -> None:
    """Against every choice of joints there is; the flight is 25 risers of 180 on a run of 280, pitched 3:4.5 or so."""
    quantity = f"quantity = {few}\n" if few else ""
    text = f"""
units = "mm"
[site]
total_rise = 4500
[stair]
risers = 25
unit_run = 280
rules = "din-18065"
[stringer]
throat_least = 0
[rail]
posts = {sorted(at)}
post = [90, 90]
top_rail = [38, 90]
bottom_rail = [30, 60]
past = [300, 200]
ends = "{ends}"
side = "{side}"
opening_most = 120
[[stock]]
size = [38, 400]
length = 12000
[[lumber]]
size = [38, 90]
length = {length}
{quantity}
[[lumber]]
size = [30, 60]
length = 20000
"""
    job = job_from_text(text).job
    rules, show = load_rules(job.stair.rules), shown_in("mm")
    stair = Stair(25, 180.0, 280.0, "one-below", 38.0, 0.0, 25.0, 25.0)
    tan, cos = 180 / 280, 280 / math.hypot(180, 280)
    # Fronts of posts are 25 behind their nosings, 305 + 280 (n - 1) out; the rail runs from one end to the other.
    fronts = [280.0 * n for n in sorted(at)]
    start, end = fronts[0] - 90 - 300, fronts[-1] + 200
    inner = {n: x - 45 for n, x in zip(sorted(at)[1:-1], fronts[1:-1], strict=True)}

    def pieces_at(cut: tuple[int, ...]) -> list[float]:
        stops = [start, *(inner[n] for n in cut), end]
        plain = [(b - a) / cos for a, b in pairwise(stops)]
        return [long + (38 * tan if i or ends == "plumb" else 0) for i, long in enumerate(plain)]

    ways = [cut for k in range(len(inner) + 1) for cut in combinations(inner, k)]
    fitting = [cut for cut in ways if max(pieces_at(cut)) <= length]
    try:
        found = design(job, rules, stair, 400.0, show).pieces
    except ImpossiblePiece as fault:
        assert fault.key == "rail.posts" and not fitting
        return
    assert found is not None and fitting
    joints = tuple(post.tread for post in rail_of(found).joints)
    assert joints in fitting
    sides = 2 if side == "both" else 1
    if not few:
        least = min(map(len, fitting))
        assert len(joints) == least
        assert max(pieces_at(joints)) == pytest.approx(min(max(pieces_at(c)) for c in fitting if len(c) == least))
    made = sorted(long for long in pieces_at(joints) for _ in range(sides))
    rails = found.of("top rail")
    assert sorted(piece.length for piece in rails for _ in piece.stands) == pytest.approx(made)
    # Nothing is between neighbours but the joint, plumb in the middle of its post, and none covers another.
    for z in rail_of(found).across:
        shapes = [stand.elevation.polygon() for piece in rails for stand in piece.stands
                  if stand.across[0] < sum(z) / 2 < stand.across[1]]  # fmt: skip
        whole = shapely.union_all(shapes)
        assert whole.area == pytest.approx(sum(shape.area for shape in shapes))
        assert whole.geom_type == "Polygon" and whole.buffer(0.001).buffer(-0.001).area == pytest.approx(whole.area)


def test_the_pieces_of_a_spliced_rail_say_which_they_are() -> None:
    found = pieces('[rail]\nposts = [1, 2, 5]\n[[lumber]]\nsize = "2x4"\nlength = 60')
    upper, lower = found.of("top rail")
    assert (upper.name, upper.where) == ("top rail, upper", "upper end to tread 2, both sides")
    assert (lower.name, lower.where) == ("top rail, lower", "tread 2 to lower end, both sides")
    assert "the joint at tread 2" in lower.notes[-1].text(shown_in("in")) and upper.count == lower.count == 2


def test_a_rail_with_no_post_in_reach_of_its_lumber_is_refused_in_a_line() -> None:
    with pytest.raises(ImpossiblePiece) as told:
        drawn('[rail]\n[[lumber]]\nsize = "2x4"\nlength = 60')
    line = str(told.value)
    assert line.startswith("the top rail is 64.8347 in") and "from its upper end to its lower end" in line
    assert "\n" not in line and line.endswith("put a post between (rail.posts), or add longer [[lumber]]")
    with pytest.raises(ImpossiblePiece, match=r"bottom rail .* treads 1 and 5 .* put a post between"):
        drawn("[rail]\nbottom_rail = [1, 2]\n[[lumber]]\nsize = [1, 2]\nlength = 40")


@pytest.mark.parametrize(
    ("keys", "reaches", "clear"),
    [
        # Stringers 1 1/2 thick, posts of 3 1/2 on their inner faces, of a width of 40.
        ('place = "inside"', (5.0, 5.0), 30.0),
        ('place = "inside"\nside = "right"', (5.0,), 35.0),
        ("", (0.0, 0.0), 40.0),
        # A rail of 5 1/2 on posts of 3 1/2 outside overhangs inward by 1.
        ('top_rail = "2x6"', (1.0, 1.0), 38.0),
        ('top_rail = "2x6"\nplace = "inside"', (6.0, 6.0), 28.0),
    ],
)
def test_rails_that_stand_into_the_stair_leave_less_of_its_width(
    keys: str, reaches: tuple[float, ...], clear: float
) -> None:
    found = drawn(f"[rail]\n{keys}", riser=0)
    rail = rail_of(found.pieces)  # type: ignore[arg-type]
    assert inches(*rail.reaches) == pytest.approx(reaches)
    checks = {check.id: check for check in found.checks}
    width = checks["width-by-two-rails" if len(reaches) == 2 else "width-by-one-rail"]
    assert width.value == pytest.approx(clear * IN) and width.ok and width.required
    projection = checks["rail-projection"]
    assert (projection.ok, projection.required) == (max(reaches) <= 4.5, False)
    assert checks["clear-width"].value == pytest.approx(40 * IN)


def test_a_guard_higher_than_a_handrail_may_be_narrows_the_whole_stair() -> None:
    """IBC (memory): a guard 42 in high inside the stringers leaves 30 of 40, and 36 are wanted."""
    (check,) = (
        check
        for check in drawn('[rail]\nplace = "inside"', riser=0, rules="ibc-2021", rise=39).checks
        if check.id == "clear-width"
    )
    assert check.value == pytest.approx(30 * IN) and not check.ok


# A rule set on a rail. IRC R311.7.8.1: 34 to 38 in; R312.1.2, .3 with exceptions: 34 in, 4 3/8 in, 6 in (facts as in
# `tests/sources/test_irc.py`).


@pytest.mark.parametrize(
    ("keys", "failing"),
    [
        ("height = 34", set()),
        ("height = 38", set()),
        ("height = 33.9", {"handrail-height", "guard-height"}),
        ("height = 38.1", {"handrail-height"}),
        ("opening_most = 6", {"guard-opening"}),
        ("bottom_clear = 1", {"guard-triangle"}),
    ],
)
def test_the_rule_set_holds_a_rail_to_its_limits(keys: str, failing: set[str]) -> None:
    checks = drawn(f"[rail]\n{keys}").checks
    rails = [check for check in checks if check.id.startswith(("handrail-", "guard-"))]
    assert len(rails) == 5
    assert {check.id for check in rails if not check.ok} == failing
    assert all(check.required and (check.ok or "rail." in check.mend) for check in rails)


@pytest.mark.parametrize(
    ("posts", "bare", "to"),
    [("[1, 5]", [], ""), ("[2, 5]", ["1"], "1 to 5"), ("[1, 2]", [], ""), ("[2, 3]", ["1"], "1 to 3")],
)
def test_treads_that_need_a_guard_without_balusters_are_told(posts: str, bare: list[str], to: str) -> None:
    """Treads lie 36 1/4, 29 and less over the landing: the first alone needs a guard, over 30 in (IRC R312.1.1)."""
    checks = [check for check in drawn(f"[rail]\nposts = {posts}").checks if check.id == "rail-infill"]
    assert len(checks) == len(bare)
    for check in checks:
        assert not check.ok and not check.required and check.value == 1 and check.most == 0
        assert (
            check.note == "tread 1 needs a guard and no balusters stand there" and check.mend == f"rail.posts from {to}"
        )
        assert "R312" in check.source


def test_duties_say_whether_there_is_a_rail() -> None:
    without = {check.id: check for check in drawn("").checks}
    assert without["handrail"].outcome == without["guard"].outcome == "needed"
    assert "draws none" in without["handrail"].note and "no guard" in without["guard"].note
    given_ = {check.id: check for check in drawn('[rail]\nside = "right"').checks}
    for duty in ("handrail", "guard"):
        assert (
            "the job's rail stands on the right side, going up, 36 in (3'-0\") above the nosings" in given_[duty].note
        )


def test_a_low_flight_needs_neither_and_is_not_held_to_them() -> None:
    low = STEPS.replace("43.5", "21.75").replace("risers = 6", "risers = 3")
    job = job_from_text(low.format(riser=0, top="one-below", stringer="") + "[rail]\nheight = 20").job
    rules, show = load_rules("irc-2021"), shown_in("in")
    checks = design(job, rules, solve(job, rules, show).stair, board_widths(job)[0], show).checks
    assert not [check.id for check in checks if check.id.startswith(("handrail-", "guard-"))]


def test_a_guard_that_has_to_stand_over_a_handrail_is_not_held_to_the_handrail() -> None:
    """IBC (memory): a guard 42 in high, a handrail at 34 to 38 in, which is then another rail beside it."""
    found = drawn("[rail]", rules="ibc-2021", rise=39)
    checks = {check.id: check for check in found.checks}
    assert "handrail-height" not in checks and checks["guard-height"].ok
    assert rail_of(found.pieces).height == pytest.approx(42 * IN)  # type: ignore[arg-type]


def test_a_set_without_a_sphere_of_the_triangle_s_own_tells_of_its_guard_s() -> None:
    found = drawn("[rail]", rules="nbc-canada-2020")
    (check,) = (check for check in found.checks if check.id == "guard-triangle")
    assert (check.most, check.ok, check.required) == (100.0, False, False)


def test_a_rule_set_without_a_sphere_asks_for_one(tmp_path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "job.toml"
    text = STEPS.format(riser=0.75, top="one-below", stringer="")
    text = text.replace("[stair]", '[stair]\nrules = "aba-504"').replace("unit_run = 10.5", "unit_run = 11.5")
    job.write_text(text.replace("43.5", "39") + "[rail]\n", encoding="utf-8")
    assert run(["check", str(job)]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "ABA Standards 504" in line and line.endswith("give rail.opening_most")
