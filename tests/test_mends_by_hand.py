"""What is named to mend a check, and for whom it is not; what each change leads to is made up here."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.design.checks import advice
from cutpath.design.stair import Stair
from cutpath.design.strength.values import Bearing, Share, Strength
from cutpath.faults import Fault, ImpossibleStringer, NoStairFits
from cutpath.job.read import job_of
from cutpath.job.values import Housing, Job, SillNotch, Support, Wood
from cutpath.plan import mends as throat
from cutpath.plan import strength_mends
from cutpath.plan.mends import Mend, mends_of, throat_mends
from cutpath.plan.span_mends import with_span_mends
from cutpath.plan.stages import plan_unlaid
from cutpath.plan.strength_mends import with_strength_mends
from cutpath.plan.support_places import POST, Placing, edge_ends, placings
from cutpath.plan.values import Design
from cutpath.plan.ways import Way, ways_of
from cutpath.rules.load import load_rules
from cutpath.rules.values import Check
from tests.jobs import job_with

IN = 25.4
PLAIN = job_with().job
JOB = replace(PLAIN, support=(), wood=None, stair=replace(PLAIN.stair, unit_run=10 * IN, unit_rise=None))
RULES = load_rules(JOB.stair.rules)


def show(mm: float) -> str:
    return f"{mm / IN:g} in"


class _Vertex:
    def __init__(self, role: str, x: float) -> None:
        self.role, self.point = role, (x, -x)


class _Outline:
    """A stringer of which the ends of the lower edge are known, inches; None: the seat cuts it off."""

    def __init__(self, heel: float | None, back: float) -> None:
        ends = [] if heel is None else [_Vertex("heel", heel * IN)]
        self.vertices = (*ends, _Vertex("seat-back", back * IN))


# Where supports go.


def inches(*own: float, end: float, more: int = 1, under: tuple[float, float] | None = None) -> list[Any]:
    """Supports to try under a flight of so many inches: where they stand, those that are new, those that go."""
    kept = [Support(at * IN, POST) for at in own]
    ends = (0.0, end * IN) if under is None else (under[0] * IN, under[1] * IN)
    found = placings(kept, 0.0, end * IN, "in", more, ends)
    return [[[round(s.at / IN, 6) for s in some] for some in (p.supports, p.new, p.instead_of)] for p in found]


def test_supports_part_a_flight_evenly_at_whole_inches() -> None:
    assert inches(end=100, more=3) == [
        [[50], [50], []],
        [[33, 67], [33, 67], []],
        [[25, 50, 75], [25, 50, 75], []],
    ]
    # In a metric job at whole centimetres: 1015 / 2 and 1015 / 3.
    found = list(placings([], 0.0, 1015.0, "mm", 2, (0.0, 1015.0)))
    assert [[s.at for s in p.supports] for p in found] == [[510.0], [340.0, 680.0]]
    assert {s.length for p in found for s in p.supports} == {3.5 * IN}
    # From the first bearing on, which need not be at the header's face.
    assert [s.at for p in placings([], 90.0, 1115.0, "mm", 1, (0.0, 1300.0)) for s in p.new] == [600.0]


def test_the_job_s_own_stay_with_others_in_the_longest_spans_or_all_are_set_anew() -> None:
    """Of 144 with one at 84: 84 and 60, so the next goes to 42; then one more in the 60."""
    assert inches(84, end=144, more=2) == [
        [[72], [72], [84]],
        [[42, 84], [42], []],
        [[48, 96], [48, 96], [84]],
        [[42, 84, 114], [42, 114], []],
        [[36, 72, 108], [36, 72, 108], [84]],
    ]
    # In whichever order the file has them.
    assert inches(100, 40, end=144)[1] == [[40, 70, 100], [70], []]


@pytest.mark.parametrize("at", [17, 24, 48, 61])
def test_one_of_the_job_s_own_that_stands_where_one_is_to_stand_is_not_moved(at: int) -> None:
    """Twice 17 in parts 34 evenly: nothing to do, and no mend. Whatever inches come to in binary."""
    own = Support(float(at * 254) / 10, 120.0)
    found = list(placings([own], 0.0, 2.0 * at * IN, "in", 0, (0.0, 2.0 * at * IN)))
    assert found == []
    three = list(placings([own], 0.0, 3.0 * at * IN, "in", 1, (0.0, 3.0 * at * IN)))
    moved = next(p for p in three if p.supports[0] == own and p.new and p.new[0].length == 120.0)
    assert moved.instead_of == () and [round(s.at / IN, 6) for s in moved.new] == [2 * at]


def test_what_is_moved_bears_on_no_less_than_the_longest_did() -> None:
    own = [Support(20 * IN, 200.0), Support(60 * IN, 300.0)]
    (moved, *_) = placings(own, 0.0, 150 * IN, "in", 0, (0.0, 150 * IN))
    assert [(round(s.at / IN, 6), s.length) for s in moved.supports] == [(50, 300.0), (100, 300.0)]
    # One that stays keeps its own length.
    own = [Support(50 * IN, 200.0), Support(60 * IN, 300.0)]
    (moved, *_) = placings(own, 0.0, 150 * IN, "in", 0, (0.0, 150 * IN))
    assert [(round(s.at / IN, 6), s.length) for s in moved.supports] == [(50, 200.0), (100, 300.0)]
    assert (moved.new, moved.instead_of) == (moved.supports[1:], tuple(own[1:]))


def test_nothing_is_set_nearer_than_a_foot_to_anything() -> None:
    assert inches(end=23, more=3) == []  # 12 and 11
    assert inches(end=24, more=3) == [[[12], [12], []]]
    assert inches(end=36, more=3) == [[[18], [18], []], [[12, 24], [12, 24], []]]
    # The job's own may stand nearer to each other, or to the ends.
    assert [[8, 16, 58, 100], [58], []] in inches(8, 16, 100, end=108)
    # A tenth of an inch short in a metric job: 304.8 mm.
    assert list(placings([], 0.0, 600.0, "mm", 1, (0.0, 600.0))) == []
    assert [s.at for p in placings([], 0.0, 615.0, "mm", 1, (0.0, 615.0)) for s in p.new] == [310.0]


@pytest.mark.parametrize("own", [(), (40.0,), (25.0, 90.0), (20.0, 41.0, 100.0)])
@pytest.mark.parametrize("more", [1, 2, 3, 4])
def test_more_supports_leave_the_longest_span_as_short_as_they_can(own: tuple[float, ...], more: int) -> None:
    """Against every way to share them out among the spans."""
    ends = [0.0, *own, 150.0]
    gaps = [b - a for a, b in itertools.pairwise(ends)]
    every = [ns for ns in itertools.product(range(more + 1), repeat=len(gaps)) if sum(ns) == more]
    least = min(max(gap / (n + 1) for gap, n in zip(gaps, ns, strict=True)) for ns in every)
    found = [at for at, _, gone in inches(*own, end=150, more=more) if not gone and len(at) == len(own) + more]
    for at in found:
        longest = max(b - a for a, b in itertools.pairwise([0.0, *at, 150.0]))
        assert longest == pytest.approx(least, abs=1.0)
    assert found or least < 24


def test_no_support_reaches_past_the_stringers_lower_edge() -> None:
    """A flat flight's seat reaches far back: of 80 in the edge ends at 36.6, a post of 3 1/2 goes to 34 at most."""
    assert inches(end=80, under=(0.0, 36.6))[0][0] == [34]
    assert inches(end=80, under=(0.0, 36.75))[0][0] == [35]
    assert inches(end=80, under=(42.2, 80.0))[0][0] == [44]
    assert inches(end=80, under=(42.25, 80.0))[0][0] == [44]
    assert inches(end=80, under=(42.3, 80.0))[0][0] == [45]
    # With two, both would have to go to one place; and where an edge is shorter than a post none goes.
    assert inches(end=80, more=2, under=(0.0, 26.0)) == [[[24], [24], []]]
    assert inches(end=80, under=(38.0, 41.4)) == inches(end=80, under=(38.3, 41.9)) == []
    assert inches(end=80, under=(38.25, 41.75))[0][0] == [40]
    # Longer ones of the job's own keep off by half of their length: 36.6 less 5 in.
    own = [Support(20 * IN, 10 * IN)]
    (moved,) = placings(own, 0.0, 80 * IN, "in", 0, (0.0, 36.6 * IN))
    assert [round(s.at / IN, 6) for s in moved.supports] == [31]
    assert list(placings([], 0.0, 80 * IN, "in", 3, None)) == []
    ends = edge_ends(_Outline(0.5, 40.0))  # type: ignore[arg-type]
    assert ends == pytest.approx((0.5 * IN, 40.0 * IN))
    assert edge_ends(_Outline(None, 1.0)) is None  # type: ignore[arg-type]


def test_a_job_has_twenty_supports_at_most() -> None:
    own = [at * 20.0 for at in range(1, 20)]
    assert {len(at) for at, _, _ in inches(*own, end=400, more=5)} == {19, 20} - {19}
    assert {len(at) for at, _, _ in inches(*own[:-2], end=500, more=9)} == {17, 18, 19, 20}


def test_a_placing_is_told_as_keys() -> None:
    def of(*at: float) -> tuple[Support, ...]:
        return tuple(Support(x * IN, POST) for x in at)

    assert Placing(of(40, 80), of(40), ()).words(show) == "support.at 40 in"
    assert Placing(of(40, 80), of(40, 80), of(50)).words(show) == "support.at 40 in, support.at 80 in instead of 50 in"


# A span or a spacing over guidance: 72 in of a notched board, 159 of a solid one, 18 from centre to centre.


def stair(foot: float) -> Stair:
    """Ten treads whose foot stands so many inches out."""
    return Stair(11, 180.0, foot * IN / 10, "one-below", 38.1, 0.0, 0.0, 0.0)


def spanning(
    foot: float, wide: float = 30.0, back: float | None = None, job: Job = JOB, **stringer: Any
) -> dict[str, str]:
    """What would mend span and spacing over guidance."""
    job = replace(job, stair=replace(job.stair, clear_width=wide * IN), stringer=replace(job.stringer, **stringer))
    flight = stair(foot)
    assert flight.foot_out == pytest.approx(foot * IN)
    told = advice(flight, job.stair, job.stringer, 1.5 * IN, job.support)
    assert min(entry.thickness for entry in job.stock) == pytest.approx(1.5 * IN)
    outline: Any = _Outline(0.0, foot - 10 if back is None else back)
    drawn = Design(285.75, outline, (), (*told, OTHER), None, None)  # type: ignore[arg-type]
    found = with_span_mends(job, drawn, flight, show)
    assert found.checks[-1] == OTHER
    return {check.id: check.mend for check in found.checks[:-1]}


OTHER = Check("throat", False, True, "length", 100.0, 127.0, None, "", "", mend="as it was")
SOLID = 'solid outer boards, stringer.form "housed" (most 159 in: AWC DCA 6, stair stringers, solid)'


def test_supports_that_keep_every_span_within_guidance_are_named() -> None:
    assert spanning(72.0)["span"] == ""
    assert spanning(74.0)["span"] == f"a support under them, support.at 37 in, or a landing half way; or {SOLID}"
    assert spanning(150.0)["span"] == (
        f"2 supports under them, support.at 50 in, support.at 100 in, or a landing half way; or {SOLID}"
    )
    # Past 159 in no solid board spans either.
    assert spanning(160.0)["span"] == (
        "2 supports under them, support.at 53 in, support.at 107 in, or a landing half way"
    )
    assert SOLID in spanning(158.9)["span"]


def test_a_support_is_named_only_where_the_stringers_lie_over_it() -> None:
    """Half way of 80 in is past a seat that reaches back to 36.6; at 34 the spans are 34 and 46."""
    assert "support.at 34 in, or" in spanning(80.0, back=36.6)["span"]
    # Back to 9, a post 7 in out would leave 73, and it is too near the header: only a solid board is left.
    assert spanning(80.0, back=9.0)["span"] == SOLID
    # Of 300 in with the edge to 250, so many that none spans more than 72.
    told = spanning(300.0, back=250.0)["span"]
    assert told == (
        "4 supports under them, support.at 60 in, support.at 120 in, support.at 180 in, support.at 240 in, or a "
        "landing half way"
    )


def test_the_job_s_own_supports_count() -> None:
    own = replace(JOB, support=(Support(50 * IN, POST),))
    assert spanning(122.0, job=own)["span"] == ""
    # 50 and 73: moved to 61 or 62 both are under 72.
    assert spanning(123.0, job=own)["span"] == (
        f"a support under them, support.at 62 in instead of 50 in, or a landing half way; or {SOLID}"
    )


def test_as_many_supports_as_a_long_flight_takes_are_tried() -> None:
    """12 more than there are part 936 in into 13 spans of 72; 937 in are left to a landing."""
    assert spanning(936.0, back=930.0)["span"].startswith("12 supports under them, support.at 72 in, ")
    assert spanning(940.0, back=930.0)["span"] == JOB_LEFT


JOB_LEFT = "a post or beam under the stringers ([[support]]), or a landing half way"


def test_a_solid_board_is_told_nothing_of_solid_boards() -> None:
    assert spanning(150.0, form="housed")["span"] == ""
    assert spanning(160.0, form="housed")["span"] == ("a support under them, support.at 80 in, or a landing half way")


@pytest.mark.parametrize(
    ("wide", "count", "told"),
    [
        (37.5, 3, ""),  # 36 / 2 = 18
        (38.0, 3, "stringer.count 4"),
        (30.0, 2, "stringer.count 3"),
        (100.0, 2, "stringer.count 7"),  # 98.5 / 6
        (199.5, 2, "stringer.count 12"),  # 198 / 11 = 18
        (200.0, 2, "more stringers (stringer.count), or a narrower stair"),
        (200.0, 1, ""),
    ],
)
def test_the_fewest_stringers_that_keep_the_spacing_are_named(wide: float, count: int, told: str) -> None:
    assert spanning(60.0, wide, count=count).get("spacing", "") == told


def test_the_thinnest_boards_tell_the_spacing_and_metric_jobs_set_supports_at_centimetres() -> None:
    """Of 93 in with boards of 1 1/2, 91.5 / 5 is 18.3; half of 1889.8 mm is 944.9."""
    thick = replace(JOB.stock[0], thickness=4 * IN)
    assert spanning(60.0, 93.0, job=replace(JOB, stock=(thick, *JOB.stock)), count=2)["spacing"] == "stringer.count 7"
    metric = replace(JOB, units="mm")
    assert f"support.at {show(940.0)}, or" in spanning(1889.8 / IN, job=metric)["span"]


def test_no_stringer_is_set_between_two_that_hold_the_treads_ends() -> None:
    """Treads of 30 in between boards of 1 1/2: 31 1/2 from centre to centre."""
    assert spanning(60.0, 30.0, form="housed", count=2)["spacing"] == (
        'treads that their own span table lets span 31.5 in, from stringer to stringer; or stringer.form "notched", '
        "which takes more stringers"
    )


# A stringer that carries too little.


def carrying(**shares: float) -> Strength:
    rows = tuple(Share(name, share, 0.0, "", "") for name, share in shares.items())
    bearings = tuple(Bearing(what, at * IN, 90.0) for what, at in (("header", 0), ("support 1", 50), ("seat", 140)))
    return Strength(None, None, 0.0, bearings, (), (), (), rows, 0.0, 0.0, (), ())  # type: ignore[arg-type]


WOODEN = replace(JOB, wood=Wood("Southern Pine", "No. 2"), stringer=replace(JOB.stringer, count=3))
Judge = Callable[[Job], Strength | str]


def told(monkeypatch: pytest.MonkeyPatch, judge: Judge, job: Job = WOODEN, **shares: float) -> dict[str, str]:
    """What would mend the checks of a strength found, where the strength of changed jobs is made up."""

    def strength_of(changed: Job, *_: Any) -> Strength | str:
        return judge(changed)

    monkeypatch.setattr(strength_mends, "strength_of", strength_of)
    found = carrying(**(shares or {"bending": 1.5, "shear": 0.5}))
    checks = tuple(Check(r.id, r.share <= 1 + 1e-6, True, "share", r.share, None, 1, "", "") for r in found.rows)
    outline: Any = _Outline(0.0, 140.0)
    drawn = Design(285.75, outline, (PART,), (*checks, OTHER), None, None, strength=found)  # type: ignore[arg-type]
    after = with_strength_mends(job, drawn, stair(60.0), show)
    assert after.checks[-1] == OTHER
    return {check.id: check.mend for check in after.checks[:-1]}


class PART:
    part = None


ELSE = "wider boards, solid outer boards, or a landing half way"


def test_the_least_of_each_kind_that_carries_is_named_with_what_it_leaves(monkeypatch: pytest.MonkeyPatch) -> None:
    def judge(job: Job) -> Strength:
        thick = min(entry.thickness for entry in job.stock) / (1.5 * IN)
        share = 4.5 / (1 + len(job.support)) / (job.stringer.count - 2) / thick
        return carrying(bending=share, shear=share / 3)

    # 4.5 / 4 with three supports are still too much; 4.5 / 4 with six stringers too; 4.5 / 2 in double boards.
    assert told(monkeypatch, judge) == {"bending": ELSE, "shear": ""}

    def easier(job: Job) -> Strength:
        return carrying(bending=judge(job).rows[0].share * 0.4, shear=0.1)

    # 1.8: one support leaves 0.9, one stringer more likewise, double boards too.
    assert told(monkeypatch, easier) == {
        "bending": f"support.at 70 in (90%); stringer.count 4 (90%); stringers 3 in thick (90%); or {ELSE}",
        "shear": "",
    }

    def between(job: Job) -> Strength:
        return carrying(bending=judge(job).rows[0].share * 0.64, shear=0.1)

    # 2.88: two supports leave 0.96, and two stringers more as much; double boards 1.44.
    assert told(monkeypatch, between)["bending"] == (
        f"support.at 47 in, support.at 93 in (96%); stringer.count 5 (96%); or {ELSE}"
    )


def test_a_change_that_leaves_another_check_over_is_not_named(monkeypatch: pytest.MonkeyPatch) -> None:
    def judge(job: Job) -> Strength:
        # More bearings carry more, but the shear beside one of them is over.
        return carrying(bending=0.5, shear=1.2 if job.support else 0.9)

    found = told(monkeypatch, judge, bending=1.5, shear=1.1)
    assert found["bending"] == f"stringer.count 4 (50%); stringers 3 in thick (50%); or {ELSE}"
    assert found["shear"] == f"stringer.count 4 (90%); stringers 3 in thick (90%); or {ELSE}"
    # At what is allowed it holds.
    assert told(monkeypatch, lambda job: carrying(bending=1.0 + 1e-7, shear=0.5))["bending"].startswith("support.at 70")
    assert told(monkeypatch, lambda job: carrying(bending=1.001, shear=0.5))["bending"] == ELSE


def test_how_many_are_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three supports more and three stringers more."""
    seen: list[tuple[int, int, float]] = []

    def judge(job: Job) -> Strength:
        seen.append((len(job.support), job.stringer.count, round(min(e.thickness for e in job.stock) / IN, 6)))
        return carrying(bending=2.0)

    assert told(monkeypatch, judge)["bending"] == ELSE
    assert seen == [(1, 3, 1.5), (2, 3, 1.5), (3, 3, 1.5), (0, 4, 1.5), (0, 5, 1.5), (0, 6, 1.5), (0, 3, 3.0)]


def test_where_no_room_is_for_a_support_or_nothing_can_be_judged_another_way_is_tried(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def judge(job: Job) -> Strength | str:
        if len(job.support) == 1:
            raise Fault("past the ends")
        if job.stringer.count > 3:
            return "not judged"
        return carrying(bending=0.75)

    assert told(monkeypatch, judge)["bending"] == (
        f"support.at 47 in, support.at 93 in (75%); stringers 3 in thick (75%); or {ELSE}"
    )


def test_only_notched_boards_take_more_stringers_and_only_boards_are_doubled(monkeypatch: pytest.MonkeyPatch) -> None:
    """A plate is cut from sheets, as wide as `stringer.width` says, and is solid already."""

    def judge(job: Job) -> Strength:
        return carrying(bending=2.0 if job.support else 0.5)

    housed = replace(WOODEN, stringer=replace(WOODEN.stringer, form="housed"))
    found = told(monkeypatch, judge, housed)["bending"]
    assert found == "stringers 3 in thick (50%); or wider boards, or a landing half way"
    sheet = replace(JOB.stock[0], kind="sheet", least_width=1220.0)
    plate = replace(JOB, steel="A36", stock=(sheet,), stringer=replace(JOB.stringer, form="plate", width=250.0))
    assert told(monkeypatch, judge, plate)["bending"] == "a greater stringer.width, or a landing half way"


def test_the_thicker_of_the_boards_are_not_thinned(monkeypatch: pytest.MonkeyPatch) -> None:
    """Twice the thinnest of 1 1/2 and 4 in: 3 and 4."""
    thick = replace(WOODEN.stock[0], thickness=4 * IN)
    seen: list[list[float]] = []

    def judge(job: Job) -> Strength:
        seen.append([round(entry.thickness / IN, 6) for entry in job.stock])
        return carrying(bending=2.0)

    told(monkeypatch, judge, replace(WOODEN, stock=(thick, WOODEN.stock[0])))
    assert seen[-1] == [4.0, 3.0]


def test_what_holds_or_was_told_before_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    def judge(job: Job) -> Strength:
        raise AssertionError("nothing to mend")

    assert told(monkeypatch, judge, bending=0.9, shear=1.0) == {"bending": "", "shear": ""}
    drawn = Design(285.75, _Outline(0.0, 50.0), (), (OTHER,), None, None)  # type: ignore[arg-type]
    assert with_strength_mends(JOB, drawn, stair(60.0), show) == drawn


# A throat that is too thin.

LEAST = JOB.stringer.throat_least  # 5 in


class Thin(Design, frozen=True):
    """A design of which no more is known than board and throat."""

    found: float | None = 4.0 * IN

    @property
    def part(self) -> Any:
        class Part:
            throat = self.found

        return Part


def thin(width: float = 9.25, found: float | None = 4.0) -> Any:
    return Thin(width * IN, None, (), (), None, None, found=None if found is None else found * IN)  # type: ignore[arg-type]


SIZES = {"2x10": 9.25 * IN, "2x12": 11.25 * IN, "2x14": 13.25 * IN}


def changed(
    monkeypatch: pytest.MonkeyPatch, gives: Callable[[Job, float], float | None], job: Job = JOB, drawn: Any = None
) -> list[tuple[str, float, bool, tuple[tuple[str, str], ...]]]:
    """Mends of a throat of 4 in where what a changed job's throat comes to is made up, inches."""

    def found(changed: Job, rules: object, width: float, shown: object) -> float | None:
        got = gives(changed, width / IN)
        return None if got is None else got * IN

    monkeypatch.setattr(throat, "_throat", found)
    told = throat_mends(job, RULES, stair(100.0), drawn or thin(), SIZES, show)
    return [(m.change, round(m.throat / IN, 6), m.enough, m.sets) for m in told]


RISERS = ("stair.risers", "11")


def test_the_least_board_that_is_wide_enough_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """An inch of throat is wanting, and so an inch of width: 10 1/4 in. Boards of no size that is sold do as well."""

    def gives(job: Job, width: float) -> float:
        assert job.stair.risers in (11, *range(2, 61))
        return 4 + width - 9.25

    assert changed(monkeypatch, gives) == [("wider stock: 2x12, 11.25 in", 6.0, True, ())]
    # Just as wide as it takes.
    assert changed(monkeypatch, gives, drawn=thin(10.25))[0][:1] == ("wider stock: 2x12, 11.25 in",)
    assert changed(monkeypatch, gives, drawn=thin(10.25 + 1e-9))[0][0].startswith("wider stock: 2x12")
    assert changed(monkeypatch, gives, drawn=thin(10.5))[0][0] == "wider stock: 2x14, 13.25 in"
    assert changed(monkeypatch, lambda job, width: width - 9, drawn=thin(13.0))[0] == (
        "wider stock: boards at least 14 in wide",
        5.0,
        True,
        (),
    )


def test_a_change_that_gives_more_but_not_enough_is_told_after_those_that_are_enough(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    run = 10.0

    def gives(job: Job, width: float) -> float | None:
        if job.stair.unit_run is not None and job.stair.unit_run != JOB.stair.unit_run:
            steps = (job.stair.unit_run / IN - run) / 0.25
            return 4 + 0.1 * steps if steps > 0 else 4 - 0.15 * steps if steps > -9 else None
        return 4.5 if width > 10 else 4.0

    # A quarter inch shorter gives 0.15 each: seven give 5.05. Longer ones give 0.1 each, and eight 4.8.
    assert changed(monkeypatch, gives) == [
        ("shorter run: stair.unit_run 8.25 in", 5.05, True, (RISERS, ("stair.unit_run", "8.25"))),
        ("wider stock: 2x12, 11.25 in", 4.5, False, ()),
        ("longer run: stair.unit_run 12 in", 4.8, False, (RISERS, ("stair.unit_run", "12"))),
    ]


def test_runs_are_tried_in_steps_of_the_job_s_unit(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[float] = []

    def gives(job: Job, width: float) -> float | None:
        if job.stair.risers == 11 and job.stair.unit_run != JOB.stair.unit_run and job.stair.unit_run:
            seen.append(round(job.stair.unit_run, 6))
        return None

    changed(monkeypatch, gives, replace(JOB, units="mm"))
    assert seen == [254.0 + sign * 5 * i for sign in (-1, 1) for i in range(1, 9)]
    seen.clear()
    changed(monkeypatch, gives)
    assert seen == [round((10 + sign * i / 4) * IN, 6) for sign in (-1, 1) for i in range(1, 9)]


def test_the_nearest_count_is_named_and_of_two_as_near_the_greater(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[int] = []

    def gives(job: Job, width: float) -> float | None:
        if job.stair.risers != 11:
            assert job.stair.unit_rise is None
            seen.append(job.stair.risers or 0)
        return {12: 4.5, 9: 5.2, 13: 5.5}.get(job.stair.risers or 0)

    assert changed(monkeypatch, gives) == [
        ("another count: stair.risers 13", 5.5, True, (("stair.risers", "13"), ("stair.unit_rise", "")))
    ]
    assert seen == [12, 10, 13]
    held = replace(JOB, stair=replace(JOB.stair, unit_rise=170.0))
    ((told, *_),) = changed(monkeypatch, gives, held)
    assert told == "another count: stair.risers 13, stair.unit_rise left out"
    seen.clear()
    assert changed(monkeypatch, lambda job, width: gives(job, width) and None) == []
    assert sorted(seen) == [n for n in range(2, 61) if n != 11]


def test_treads_are_named_no_thinner_than_an_inch(monkeypatch: pytest.MonkeyPatch) -> None:
    def gives(job: Job, width: float) -> float:
        return 4 + (1.5 - job.stair.tread_thickness / IN) * (2 if job.stair.risers == 11 else 0)

    words = "if such treads carry what they must"
    assert JOB.stair.tread_thickness == pytest.approx(1.5 * IN)
    assert changed(monkeypatch, gives) == [
        (f"thinner treads: stair.tread_thickness 1 in, {words}", 5.0, True, (RISERS, ("stair.tread_thickness", "1")))
    ]
    # The least step that is enough.
    ((told, *_),) = changed(monkeypatch, lambda job, w: gives(job, w) * 2 - 4)
    assert told.startswith("thinner treads: stair.tread_thickness 1.25 in")
    ((told, *_),) = changed(monkeypatch, lambda job, w: gives(job, w) * 4 - 12)
    assert told.startswith("thinner treads: stair.tread_thickness 1.375 in")
    # Of 1 3/8 in, none thinner than 1: 3/4 of an inch more; in millimetres by 2, none under 25.
    lean = replace(JOB, stair=replace(JOB.stair, tread_thickness=1.375 * IN))
    ((told, got, enough, _),) = changed(monkeypatch, lambda job, w: gives(job, w) - 0.25, lean)
    assert (told, got, enough) == (f"thinner treads: stair.tread_thickness 1 in, {words}", 4.75, False)
    metric = replace(JOB, units="mm", stair=replace(JOB.stair, tread_thickness=29.0))
    ((_, _, _, sets),) = changed(monkeypatch, lambda job, w: 4 + (29 - job.stair.tread_thickness) / 10, metric)
    assert sets == (RISERS, ("stair.tread_thickness", "25"))
    # Eight steps of an eighth at most.
    thick = replace(JOB, stair=replace(JOB.stair, tread_thickness=3 * IN))
    ((told, *_),) = changed(monkeypatch, lambda job, w: 4 + (3 - job.stair.tread_thickness / IN) / 2, thick)
    assert told.startswith("thinner treads: stair.tread_thickness 2 in")


def test_a_corner_left_round_and_edges_kept_are_named_where_they_are_not_so_already(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def gives(job: Job, width: float) -> float:
        assert job.stringer.edge_trim == 0.8 * (job.stringer.edges == "trimmed")
        return 4.0 + 0.5 * (job.cutter.corner == "rounded") + 1.2 * (job.stringer.edges == "factory")

    trimmed = replace(
        JOB,
        cutter=replace(JOB.cutter, corner="relieved"),
        stringer=replace(JOB.stringer, edges="trimmed", edge_trim=0.8),
    )
    edges = (RISERS, ("stringer.edges", "factory"), ("stringer.edge_trim", ""))
    assert changed(monkeypatch, gives, trimmed) == [
        ('factory edges: stringer.edges "factory"', 5.2, True, edges),
        ('another corner: cutter.corner "rounded"', 4.5, False, (RISERS, ("cutter.corner", "rounded"))),
    ]
    for job in (
        replace(trimmed, cutter=replace(trimmed.cutter, corner="rounded")),
        replace(trimmed, stringer=replace(trimmed.stringer, edges="factory", edge_trim=0.0)),
    ):
        now = gives(job, 0.0)
        assert len(changed(monkeypatch, gives, job, thin(9.25, now))) == 1
    # Edges that are trimmed by nothing give nothing more.
    none = replace(trimmed, stringer=replace(trimmed.stringer, edge_trim=0.0))
    found = changed(monkeypatch, lambda job, width: 4.0 + 0.5 * (job.cutter.corner == "rounded"), none)
    assert [told for told, *_ in found] == ['another corner: cutter.corner "rounded"']


def on_sheets(trim: float = 0.0, sheet: float = 48.0, units: Any = "in") -> Job:
    entry = replace(JOB.stock[0], kind="sheet", least_width=sheet * IN)
    stringer = replace(JOB.stringer, edges="trimmed", edge_trim=trim * IN, width=(9.25 - 2 * trim) * IN)
    cutter = replace(JOB.cutter, corner="rounded")
    return replace(JOB, stock=(entry,), stringer=stringer, cutter=cutter, units=units)


def test_of_stringers_from_sheets_their_width_is_named_and_no_size_of_lumber(monkeypatch: pytest.MonkeyPatch) -> None:
    """An inch is wanting of 9 1/4; in quarters, in steps of 5 mm (260.35 is under 265). Edges are always cut there."""

    def gives(job: Job, width: float) -> float:
        assert job.stringer.width is not None and job.stringer.edges == "trimmed"
        assert width == pytest.approx((job.stringer.width + 2 * job.stringer.edge_trim) / IN)
        return 4 + width - 9.25

    words = "wider stringers: stringer.width"
    assert changed(monkeypatch, gives, on_sheets()) == [
        (f"{words} 10.25 in", 5.0, True, (RISERS, ("stringer.width", "10.25")))
    ]
    # With 0.1 in cut off each edge the stringer is 10.05 wide, and 10.25 is the next quarter.
    assert changed(monkeypatch, gives, on_sheets(0.1)) == [
        (f"{words} 10.25 in", 5.2, True, (RISERS, ("stringer.width", "10.25")))
    ]
    ((_, got, _, sets),) = changed(monkeypatch, gives, on_sheets(units="mm"))
    assert (got, sets) == (pytest.approx(4 + 265 / IN - 9.25), (RISERS, ("stringer.width", "265")))
    # No sheet is so wide.
    assert changed(monkeypatch, gives, on_sheets(sheet=10.25)) != []
    assert changed(monkeypatch, gives, on_sheets(sheet=10.2)) == []
    assert changed(monkeypatch, gives, on_sheets(0.1, sheet=10.4)) == []
    assert changed(monkeypatch, gives, on_sheets(0.1, sheet=10.5)) != []
    some = on_sheets(sheet=9.25)
    assert changed(monkeypatch, gives, replace(some, stock=(*some.stock, *on_sheets().stock))) != []


def test_without_an_inside_notch_there_is_no_throat_to_mend(monkeypatch: pytest.MonkeyPatch) -> None:
    assert changed(monkeypatch, lambda job, width: 9.0, drawn=thin(9.25, None)) == []


def test_what_gives_no_more_is_no_mend(monkeypatch: pytest.MonkeyPatch) -> None:
    assert changed(monkeypatch, lambda job, width: 4.0) == []
    assert changed(monkeypatch, lambda job, width: None) == []
    ((_, got, enough, _),) = changed(monkeypatch, lambda job, width: 5.0 - 1e-9 if width > 9.25 else 4.0)
    assert (got, enough) == (5.0, True)


def test_a_change_by_which_no_stair_or_stringer_is_left_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    for fault in (NoStairFits("none"), ImpossibleStringer("none")):

        def solve(*_: Any, fault: Exception = fault) -> None:
            raise fault

        monkeypatch.setattr(throat, "solve", solve)
        assert throat._throat(JOB, RULES, 285.75, show) is None


TEXT: dict[str, Any] = {
    "site": {"total_rise": 48},
    "stringer": {"throat_least": 5.0, "edges": "trimmed", "edge_trim": 0.125},
    "stock": [{"size": "2x10", "length": 144}],
}


@pytest.mark.parametrize("what", ["boards", "sheets"])
def test_every_change_of_keys_can_be_written_and_gives_what_was_told(what: str) -> None:
    raw: dict[str, Any] = {table: dict(keys) if isinstance(keys, dict) else keys for table, keys in TEXT.items()}
    if what == "sheets":
        raw["stringer"]["width"] = 10
        raw["stock"] = [{"kind": "sheet", "size": [1.5, 48], "length": 96}]
    mends = mends_of(plan_unlaid(job_of(raw).job))
    kinds = [mend.change.partition(":")[0] for mend in mends]
    assert ("factory edges" in kinds, "wider stringers" in kinds) == (what == "boards", what == "sheets")
    assert ("wider stock" in kinds) == (what == "boards")
    assert any(mend.enough for mend in mends)
    for mend in mends:
        if not mend.sets:
            continue
        now: dict[str, Any] = {table: dict(keys) if isinstance(keys, dict) else keys for table, keys in raw.items()}
        for key, typed in mend.sets:
            table, name = key.split(".")
            keys = now.setdefault(table, {})
            keys[name] = int(typed) if name == "risers" else typed
            if typed == "":
                del keys[name]
        assert plan_unlaid(job_of(now).job).design.part.throat == pytest.approx(mend.throat), mend


class _Plan:
    """A plan of which a few things are known."""

    def __init__(self, job: Job, *checks: Check, strength: Strength | None = None) -> None:
        self.job, self.rules, self.stair = job, RULES, stair(150.0)
        outline: Any = _Outline(0.0, 140.0)
        self.design = Design(285.75, outline, (), checks, None, None, strength=strength)  # type: ignore[arg-type]


def test_boards_as_thick_as_the_job_s_are_looked_for_and_as_dimension_lumber_of_thick_ones(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Of 1 1/2 in: no 1x12, but 2x12; of 4 in: 2x12 too; of 3/4: 1x12."""
    given: list[dict[str, float]] = []

    def tried(job: object, rules: object, stair: object, drawn: object, sizes: dict[str, float], show: object) -> Any:
        given.append(dict(sizes))
        return ()

    monkeypatch.setattr(throat, "throat_mends", tried)
    for thick in ((1.5,), (4.0,), (0.75, 1.5), (1.51,)):
        job = replace(JOB, stock=tuple(replace(JOB.stock[0], thickness=each * IN) for each in thick))
        mends_of(_Plan(job, OTHER))  # type: ignore[arg-type]
    assert [("1x12" in sizes, "2x12" in sizes) for sizes in given] == [
        (False, True),
        (False, True),
        (True, True),
        (False, True),
    ]
    assert [sizes["2x14"] for sizes in given] == pytest.approx([13.25 * IN] * 4)
    given.clear()
    for checks in ([replace(OTHER, ok=True)], [replace(OTHER, id="span")], []):
        assert mends_of(_Plan(JOB, *checks)) == ()  # type: ignore[arg-type]
    assert given == []


# Changes of keys to be tried.


def ways(*checks: Check, job: Job = JOB, strength: Strength | None = None) -> tuple[Way, ...]:
    return ways_of(_Plan(job, *checks, strength=strength))  # type: ignore[arg-type]


def check(name: str, value: float | None, least: float | None = None, most: float | None = None, **more: Any) -> Check:
    """A check that fails; lengths in inches."""
    least, most, value = (None if each is None else each * IN for each in (least, most, value))
    return replace(Check(name, False, True, "length", value, least, most, "", "", mend="words"), **more)


def test_a_measure_s_key_is_set_to_the_bound_that_is_broken() -> None:
    def typed(*checks: Check) -> list[tuple[str, tuple[Any, ...]]]:
        return [(way.words, way.steps) for way in ways(*checks)]

    assert typed(check("clear-width", 30, least=36)) == [("words", ((("stair.clear_width", "36"),),))]
    assert typed(check("nosing", 2, least=0.75, most=1.25)) == [("words", ((("stair.nosing", "1.25"),),))]
    assert typed(check("nosing", 0.5, least=0.75, most=1.25)) == [("words", ((("stair.nosing", "0.75"),),))]
    assert typed(check("nosing", 0.0, least=0.75, most=1.25)) == [("words", ((("stair.nosing", "0.75"),),))]
    assert typed(check("handrail-sides", 1, least=2)) == [("words", ((("rail.side", "both"),),))]
    # Nothing to go by; words without a key; what holds; what is to be provided; what is not judged.
    for none in (
        check("clear-width", None, least=36),
        check("clear-width", 30),
        check("rise", 8, most=7.75),
        replace(check("clear-width", 30, least=36), ok=True),
        check("clear-width", 30, least=36, nature="duty"),
        check("clear-width", 30, least=36, nature="open"),
        check("clear-width", 30, least=36, quantity="angle"),
        check("no-such-check", 30, least=36),
    ):
        assert typed(none) == []


def test_a_landing_is_made_deeper_by_what_is_wanting() -> None:
    """34 in of 36 with a pad 40 deep: 42. A pad of no stated depth is as deep as it has to be."""
    job = replace(JOB, pad=replace(JOB.pad, depth=40 * IN))
    (way,) = ways(check("landing-depth", 34, least=36), job=job)
    assert way.steps == ((("pad.depth", "42"),),)
    assert ways(check("landing-depth", 34, least=36), job=replace(job, pad=replace(job.pad, depth=None))) == ()


def test_housings_and_sill_notches_are_made_smaller_by_what_is_wanting() -> None:
    housed = replace(JOB, stringer=replace(JOB.stringer, housing=Housing(0.75 * IN)))
    (way,) = ways(check("behind-housing", 0.5, least=0.75), job=housed)
    assert (way.words, way.steps) == ("a smaller stringer.housing.depth", ((("stringer.housing.depth", "0.5"),),))
    (way,) = ways(check("behind-housing", 0.25, least=0.98), job=housed)
    assert way.steps == ((("stringer.housing.depth", "0.02"),),)
    # As much as there is of it: no housing is left.
    assert ways(check("behind-housing", 0.25, least=1.0), job=housed) == ()
    assert ways(check("behind-housing", 0.5, least=0.75), job=replace(JOB, stringer=replace(JOB.stringer))) == ()
    notched = replace(JOB, stringer=replace(JOB.stringer, sill_notch=SillNotch(3.5 * IN, 1.5 * IN)))
    (way,) = ways(check("sill-depth", 2.5, least=3.0), job=notched)
    assert way.steps == ((("stringer.sill_notch.high", "1"),),)
    none = replace(JOB, stringer=replace(JOB.stringer, sill_notch=None))
    assert ways(check("sill-depth", 2.5, least=3.0), job=none) == ()


@pytest.mark.parametrize("name", ["spacing", "stringer-spacing"])
def test_up_to_three_stringers_more_are_tried_of_notched_boards(name: str) -> None:
    job = replace(JOB, stringer=replace(JOB.stringer, count=2))
    (way,) = ways(check(name, 30, most=18), job=job)
    assert (way.check, way.words) == (name, "more stringers")
    assert way.steps == tuple((("stringer.count", str(n)),) for n in (3, 4, 5))
    assert ways(check(name, 30, most=18), job=replace(job, stringer=replace(job.stringer, form="housed"))) == ()


def test_supports_are_rows_of_the_list_and_the_job_s_own_keep_their_places_in_it() -> None:
    (way,) = ways(check("span", 150, most=72))
    post = ("length", "3.5")
    assert way.steps == tuple(
        tuple((f"support[{n}].{key}", text) for n, at in enumerate(some) for key, text in (("at", at), post))
        for some in (["75"], ["50", "100"], ["38", "75", "112"])
    )
    # The file has the lower one first. One more goes into the longest span, 40 to 100; set anew they are at 50 and 100,
    # so that the first row is moved to 50, and the second to 100.
    own = replace(JOB, support=(Support(100 * IN, 5 * IN), Support(40 * IN, 3.5 * IN)))
    (way,) = ways(check("span", 150, most=72), job=own)
    assert way.steps[0] == (("support[0].at", "50"), ("support[1].at", "100"), ("support[1].length", "5"))
    assert way.steps[1] == (("support[2].at", "70"), ("support[2].length", "3.5"))
    assert len(way.steps) == 7


def test_what_carries_too_little_is_given_supports_between_its_bearings_or_more_stringers() -> None:
    """From header to seat, which is 140 in out, and not to the foot."""
    found = carrying(bending=1.5)
    supports, stringers = ways(check("bending", 1.5, most=1.0), strength=found, job=WOODEN)
    assert supports.steps[0][0] == ("support[0].at", "70")
    assert stringers.steps[0] == (("stringer.count", "4"),)
    assert ways(check("bending", 1.5, most=1.0), strength=None, job=WOODEN) == ()
    assert ways(check("shear", 1.5, most=1.0), strength=found, job=WOODEN) == ()


def test_mends_of_the_throat_are_tried_already(monkeypatch: pytest.MonkeyPatch) -> None:
    mends = [Mend("wider stock: 2x12", 5.5 * IN, True), Mend("another count: 8", 4.5 * IN, False, (("a.b", "8"),))]
    monkeypatch.setattr("cutpath.plan.ways.mends_of", lambda plan: tuple(mends))
    assert ways(OTHER, check("clear-width", 30, least=36))[:2] == (
        Way("throat", "wider stock: 2x12", (), "throat 5.5 in (5 1/2)", True),
        Way("throat", "another count: 8", ((("a.b", "8"),),), "throat 4.5 in (4 1/2)", False),
    )


def test_no_two_ways_of_one_check_are_the_same() -> None:
    found: Sequence[Way] = ways(check("span", 150, most=72), check("spacing", 30, most=18))
    assert len({(way.check, way.words) for way in found}) == len(found) == 2
