"""The solver: which stairs the site, the rules and what is held would allow, and which one to build.

A stair, the counts that were tried and the choice among them stand in one file, though a long one: each count is a
whole stair with what speaks against it, and the choice weighs nothing else.

Stair frame: origin where the header's face meets the finished floor, x level and outward, y up, millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from msgspec import Struct
from msgspec.structs import replace

from cutpath.design.profile import drop_at
from cutpath.faults import NoStairFits
from cutpath.job.values import Pad, Site, StairSpec, StringerSpec, TopTread
from cutpath.rules.built import Built
from cutpath.rules.check import rule_checks, within
from cutpath.rules.measures import MEASURES
from cutpath.rules.values import RuleSet
from cutpath.tolerances import LIMIT_SLACK
from cutpath.units import Show

COMFORT_AIM = 620.0
"""2r + t that the choice among fitting counts aims at, millimetres (common practice, no source)."""

FAR_EDGE = 36 * 25.4
"""How far past the toe the pad's far edge lies where neither job nor rule set states a landing depth: 36 in, in
millimetres."""

LEAST_RISE = 100.0
"""No rise under this is tried unless it is asked for, whatever the rule set leaves open; millimetres (common practice,
no source; the published least rises lie between 100 and 150 mm)."""

_NO_PAD = Pad()

MOST_RISERS = 60
"""Riser counts are tried up to this one."""

FEWEST_RISERS = 2
"""Riser counts are tried from this one on."""


class Stair(Struct, frozen=True):
    """A stair: its steps, and the sizes that its stringers follow from. Millimetres.

    Attributes:
        risers: n, the floor's and the landing's included.
        unit_rise: r.
        unit_run: t, nosing to nosing.
        top_tread: where the top tread lies.
        tread_thickness: c.
        riser_board: b, 0 for open risers.
        nosing: s, tread beyond the face below it.
        floor_overhang: e, finished floor beyond the header face.
        toe_past: how far the toe, where the stringer ends on the pad, stands out past the lowest riser cut: 0 where the
            riser cut is its front, as on a stringer with teeth.
    """

    risers: int
    unit_rise: float
    unit_run: float
    top_tread: TopTread
    tread_thickness: float
    riser_board: float
    nosing: float
    floor_overhang: float
    toe_past: float = 0.0

    @property
    def total_rise(self) -> float:
        """H, from the landing up to the finished floor."""
        return self.risers * self.unit_rise

    @property
    def steps(self) -> range:
        """How many rises k each tread lies below the floor, from the top; people number treads from 1."""
        return range(0 if self.top_tread == "at-floor" else 1, self.risers)

    @property
    def treads(self) -> int:
        """How many treads there are to cut for."""
        return len(self.steps)

    @property
    def step_length(self) -> float:
        """L, one step along the slope."""
        return math.hypot(self.unit_rise, self.unit_run)

    @property
    def pitch(self) -> float:
        """theta, radians."""
        return math.atan2(self.unit_rise, self.unit_run)

    @property
    def comfort(self) -> float:
        """2r + t."""
        return 2 * self.unit_rise + self.unit_run

    def riser_cut(self, k: int) -> float:
        """X of the riser cut in front of the tread k rises below the floor, stair frame."""
        if self.top_tread == "at-floor":
            return (k + 1) * self.unit_run
        return self.floor_overhang + k * self.unit_run - self.nosing - self.riser_board

    def seat(self, k: int) -> float:
        """Y of the seat of the tread k rises below the floor, stair frame."""
        return -k * self.unit_rise - self.tread_thickness

    @property
    def foot_out(self) -> float:
        """X of the stringer's toe, the foremost place at which it stands on the pad."""
        return self.riser_cut(self.risers - 1) + self.toe_past

    @property
    def board_past_toe(self) -> float:
        """How far the lowest riser board stands out past the toe."""
        return max(0.0, self.riser_board - self.toe_past)

    def meant(self) -> Built:
        """Its finished surfaces as they are meant to be, before anything is drawn."""
        lead = self.riser_board + self.nosing
        nosings = [(self.riser_cut(k) + lead, -k * self.unit_rise) for k in self.steps]
        below = self.top_tread == "one-below"
        if below:
            nosings.insert(0, (self.floor_overhang, 0.0))
        return Built(
            tuple(nosings),
            below,
            -self.total_rise,
            (self.nosing,) * self.treads,
            self.tread_thickness,
            self.riser_board == 0,
        )


class Obstacle(Struct, frozen=True):
    """One constraint that a riser count breaks.

    Attributes:
        key: the limit's or the job's key.
        text: one line for people.
        brief: the same in a few words, for a table cell.
        miss: by how much, millimetres (degrees for a pitch); infinite where no number can be given.
    """

    key: str
    text: str
    brief: str
    miss: float


class Candidate(Struct, frozen=True):
    """One riser count, tried.

    Attributes:
        risers: the count.
        stair: the stair it gives, or None where no rise can be solved for.
        foot_out: where the foot lands, out from the header face.
        reveal: the pad's top above the ground at the foot; None without a reading or with an existing landing.
        reveal_far: the same at the pad's far edge.
        obstacles: what it breaks; empty: it fits.
    """

    risers: int
    stair: Stair | None
    foot_out: float
    reveal: float | None
    reveal_far: float | None
    obstacles: tuple[Obstacle, ...]

    @property
    def fits(self) -> bool:
        """Whether it keeps the rules and the site's constraints."""
        return self.stair is not None and not self.obstacles


def landing_depth(pad: Pad, rules: RuleSet, stair: Stair) -> float:
    """How far the pad reaches out past the toe, millimetres.

    Args:
        pad: as asked for.
        rules: whose landing depth is kept, clear of the lowest riser board, where the job asks for none; 36 in where
            they state none.
        stair: whose lowest riser board may stand on the pad in front of the toe.
    """
    if pad.depth is not None:
        return pad.depth
    limit = rules.limit("landing-depth", stair.unit_run)
    return stair.board_past_toe + limit.least if limit and limit.least else FAR_EDGE


def toe_past(spec: StairSpec, stringers: StringerSpec) -> float:
    """How far the toe of a job's stringers stands out past the lowest riser cut, millimetres; 0 with teeth."""
    return 0.0 if stringers.toothed else spec.riser_board + spec.nosing + stringers.margin


def candidates(
    site: Site, spec: StairSpec, rules: RuleSet, show: Show, pad: Pad = _NO_PAD, toe: float = 0.0
) -> tuple[Candidate, ...]:
    """Try every riser count worth showing, or the one that the job holds.

    Args:
        site: the readings.
        spec: what is held.
        rules: the limits.
        show: writes millimetres as text in the job's unit, for the obstacles' texts.
        pad: how deep the pad is, for its height above ground at its far edge.
        toe: how far the stringers' toe stands out past the lowest riser cut, from `toe_past`.

    Returns:
        One candidate a count, counts rising. The last one of a profile may have its foot past the last reading.
    """
    counts = range(FEWEST_RISERS, MOST_RISERS + 1) if spec.risers is None else range(spec.risers, spec.risers + 1)
    tried: list[Candidate] = []
    for count in counts:
        tried.append(_try(site, spec, rules, count, show, pad, toe))
        if site.profile is not None and tried[-1].foot_out > site.profile[-1][0]:
            break
    kept = tuple(c for c in tried if c.stair is None or _near(c, rules))
    return kept or tuple(tried)


def _near(candidate: Candidate, rules: RuleSet) -> bool:
    """Whether a count is near enough to the rules to be worth a row."""
    assert candidate.stair is not None
    limit = rules.limit("rise", candidate.stair.unit_run)
    least = limit.least / 1.25 if limit and limit.least else LEAST_RISE
    most = 1.25 * (limit.most if limit and limit.most else 200.0)
    return least <= candidate.stair.unit_rise + LIMIT_SLACK and candidate.stair.unit_rise <= most


def _try(site: Site, spec: StairSpec, rules: RuleSet, count: int, show: Show, pad: Pad, toe: float) -> Candidate:
    base = Stair(
        count, spec.unit_rise or 0.0, spec.unit_run, spec.top_tread, spec.tread_thickness,
        spec.riser_board, spec.nosing, spec.floor_overhang, toe,
    )  # fmt: skip
    foot = base.foot_out
    far = foot + landing_depth(pad, rules, base)
    obstacles: list[Obstacle] = []
    reveal = reveal_far = None
    stair: Stair | None
    if site.total_rise is not None:
        rise = site.total_rise / count
        if spec.unit_rise is not None and abs(count * spec.unit_rise - site.total_rise) > LIMIT_SLACK:
            off = count * spec.unit_rise - site.total_rise
            obstacles.append(
                Obstacle(
                    "stair.unit_rise",
                    f"{count} rises of {show(spec.unit_rise)} end {show(abs(off))} "
                    f"{'below' if off > 0 else 'above'} the landing (site.total_rise {show(site.total_rise)})",
                    "misses the landing",
                    abs(off),
                )
            )
            rise = spec.unit_rise
        stair = replace(base, unit_rise=rise)
    else:
        assert site.profile is not None
        drop = drop_at(site.profile, foot)
        if drop is None:
            obstacles.append(
                Obstacle("site.profile", f"no reading there ({show(foot)} out)", "no reading there", math.inf)
            )
            stair = base if spec.unit_rise is not None else None
        else:
            solved = spec.unit_rise if spec.unit_rise is not None else _solve_rise(site, spec, rules, count, drop)
            stair = replace(base, unit_rise=solved)
            reveal = drop - stair.total_rise
            far_drop = drop_at(site.profile, far)
            reveal_far = None if far_drop is None else far_drop - stair.total_rise
            obstacles.extend(_reveal_obstacles(site, reveal, show))
    if stair is not None:
        obstacles.extend(_rule_obstacles(stair, rules, show))
    return Candidate(count, stair, foot, reveal, reveal_far, tuple(obstacles))


def _solve_rise(site: Site, spec: StairSpec, rules: RuleSet, count: int, drop: float) -> float:
    """The rise whose reveal is as near the middle of its range as the rules allow."""
    wished = (drop - (site.reveal_least + site.reveal_most) / 2) / count
    least, most = LEAST_RISE, math.inf
    for key, measure in MEASURES.items():
        limit = rules.limit(key, spec.unit_run)
        if limit is None or measure.rise_of is None:
            continue
        if limit.least is not None:
            least = max(least, measure.rise_of(limit.least, spec.unit_run, count))
        if limit.most is not None:
            most = min(most, measure.rise_of(limit.most, spec.unit_run, count))
    return max(least, min(most, wished))


def _reveal_obstacles(site: Site, reveal: float, show: Show) -> list[Obstacle]:
    if within(reveal, site.reveal_least, site.reveal_most):
        return []
    where = f"{show(reveal)} above" if reveal >= 0 else f"{show(-reveal)} below"
    if reveal < site.reveal_least:
        key, bound, miss = "site.pad_reveal.least", site.reveal_least, site.reveal_least - reveal
        brief = "pad too low"
    else:
        key, bound, miss = "site.pad_reveal.most", site.reveal_most, reveal - site.reveal_most
        brief = "pad too high"
    text = f"the pad's top would stand {where} the ground at the foot ({key} {show(bound)})"
    return [Obstacle(key, text, brief, miss)]


def _rule_obstacles(stair: Stair, rules: RuleSet, show: Show) -> list[Obstacle]:
    found = []
    for check in rule_checks(rules, stair.meant(), show, steering=True):
        if check.ok:
            continue
        assert check.value is not None
        low = check.least is not None and check.value < check.least
        bound = check.least if low else check.most
        assert bound is not None
        text = show if check.quantity == "length" else (lambda v: f"{v:.6g}")
        way, name = "under" if low else "over", MEASURES[check.id].name
        caveat = f"; {check.note}" if check.note else ""
        found.append(
            Obstacle(
                check.id,
                f"{name} {text(check.value)} is {way} {text(bound)} ({check.source}{caveat})",
                f"{check.id} {way} the rules",
                abs(check.value - bound),
            )
        )
    return found


class Choice(Struct, frozen=True):
    """The stair that was chosen, all that were tried, and why this one.

    Attributes:
        chosen: the count that was chosen, which has a stair.
        tried: every count, counts rising.
        reason: why this one, for people.
    """

    chosen: Candidate
    tried: tuple[Candidate, ...]
    reason: str

    @property
    def stair(self) -> Stair:
        """The chosen stair."""
        assert self.chosen.stair is not None
        return self.chosen.stair


def choose(tried: tuple[Candidate, ...], show: Show, holds: Callable[[Stair], bool] | None = None) -> Choice:
    """Choose, of the counts that fit, the one whose 2r + t is nearest `COMFORT_AIM`.

    Ties go to the pad that stands lowest above the ground, then to fewer risers. A count whose stringer leaves wood
    enough goes before all whose don't.

    Args:
        tried: from `candidates`.
        show: writes millimetres as text in the job's unit.
        holds: whether throat, bearing and ground of a stair hold; asked only where several counts fit, and no
            oftener than needed. None: left out of account.

    Raises:
        NoStairFits: none fits; the message says what stands in the way of the nearest one.
    """
    fitting = [c for c in tried if c.fits]
    if not fitting:
        raise _none_fits(tried)

    def off(candidate: Candidate) -> float:
        assert candidate.stair is not None
        return round(abs(candidate.stair.comfort - COMFORT_AIM), 6)

    def reveal(candidate: Candidate) -> float:
        return 0.0 if candidate.reveal is None else round(candidate.reveal, 6)

    ordered = sorted(fitting, key=lambda c: (off(c), reveal(c), c.risers))
    chosen = ordered[0]
    more = ""
    if holds is not None and len(fitting) > 1:
        held = next((c for c in ordered if c.stair is not None and holds(c.stair)), None)
        chosen, more = (
            held or chosen,
            "" if held else "; no count that fits has throat, bearing and ground hold",
        )
    assert chosen.stair is not None
    aim = show(COMFORT_AIM)
    if chosen is not ordered[0]:
        nearer = _or([c.risers for c in ordered[: ordered.index(chosen)]])
        but = f"though there 2r + t comes nearer to {aim}"
        reason = f"its throat, bearing and ground hold, which those of {nearer} don't, {but}"
    elif len(fitting) == 1:
        reason = "the one count that fits"
    elif sum(off(c) == off(chosen) for c in fitting) == 1:
        reason = f"its 2r + t of {show(chosen.stair.comfort)} is nearest {aim} of the {len(fitting)} that fit"
    elif chosen.reveal is not None and sum((off(c), reveal(c)) == (off(chosen), reveal(chosen)) for c in fitting) == 1:
        reason = f"no other count's 2r + t comes nearer to {aim}, and its pad stands lowest above the ground"
    else:
        reason = f"no other count's 2r + t comes nearer to {aim}, and it has the fewest risers"
    return Choice(chosen, tried, reason + more)


def _or(counts: list[int]) -> str:
    *first, last = map(str, counts)
    return f"{', '.join(first)} or {last}" if first else last


def _none_fits(tried: tuple[Candidate, ...]) -> NoStairFits:
    nearest = min(tried, key=lambda c: (len({o.key for o in c.obstacles}), sum(o.miss for o in c.obstacles), c.risers))
    # A foot without a reading can't be judged, so one that can be is nearer however far off it is.
    judged = [c for c in tried if all(math.isfinite(o.miss) for o in c.obstacles)]
    if judged:
        nearest = min(judged, key=lambda c: (sum(o.miss for o in c.obstacles), c.risers))
    what = " and ".join(o.text for o in nearest.obstacles)
    counts = "no riser count fits" if len(tried) > 1 else f"{nearest.risers} risers don't fit"
    lead = f"{counts}; nearest is {nearest.risers} risers: " if len(tried) > 1 else f"{counts}: "
    key, way_out = _way_out(nearest, tried[-1])
    return NoStairFits(lead + what, key=key, way_out=way_out)


def _way_out(nearest: Candidate, farthest: Candidate) -> tuple[str, str]:
    """The key of the job to change, and what to do with it.

    Args:
        nearest: the count that comes nearest to fitting.
        farthest: the one with the most risers that was tried.
    """
    keys = [o.key for o in nearest.obstacles]
    unread = any(o.key == "site.profile" for o in farthest.obstacles)
    # Ground too far below the pad wants more risers, and those land where nobody has read.
    if "site.profile" in keys or (unread and "site.pad_reveal.most" in keys):
        return "site.profile", "take readings farther out"
    if "run" in keys:
        return "stair.unit_run", "change stair.unit_run"
    pad = next((key for key in keys if key.startswith("site.pad_reveal")), "")
    if pad:
        return pad, "leave stair.unit_rise and stair.risers free, change stair.unit_run, or widen site.pad_reveal"
    weighs_on = {"rise": "stair.unit_rise", "comfort": "stair.unit_run", "pitch": "stair.unit_run"}
    key = keys[0] if "." in keys[0] else weighs_on.get(keys[0], "stair.risers")
    return key, "change stair.risers, stair.unit_rise or stair.unit_run"
