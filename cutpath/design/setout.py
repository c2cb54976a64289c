"""Setting a stair out on the ground: what to measure from the header, the pad, the posts, the string line.

Stair frame: origin where the header's face meets the finished floor, x level and outward, y up; here a drop is how far
something lies below the finished floor, positive down. Millimetres.
"""

from __future__ import annotations

import math

from msgspec import Struct

from cutpath.design.checks import heel_reach
from cutpath.design.ground import Dig, digs
from cutpath.design.profile import drop_at
from cutpath.design.stair import Candidate, Choice, Stair, landing_depth
from cutpath.design.strength.guidance import across
from cutpath.design.stringer import EdgeRole, Stringer
from cutpath.design.supports import StandingSupport, standing_supports
from cutpath.job.values import Job
from cutpath.outline import Point
from cutpath.rules.values import RuleSet
from cutpath.tolerances import LIMIT_SLACK, SAME_POINT

POST_WIDTHS: dict[str, tuple[float, ...]] = {"in": (3.5 * 25.4, 5.5 * 25.4), "mm": (90.0, 100.0, 140.0)}
"""Widths of posts that a template is given for, millimetres, by the job's unit (common practice, no source)."""


class Foot(Struct, frozen=True):
    """Where a riser count that was tried puts the foot.

    Attributes:
        risers: the count.
        chosen: whether it is the one that was chosen.
        fits: whether it keeps the rules and the site's constraints.
        slope: taut tape from the nail (header face at floor level) to the toe on the pad.
        out: level, from the header face to the toe.
        down: drop to the pad's top or the landing.
        slope_ground: taut tape from the nail to the ground straight under the toe; None with an existing landing.
        ground: drop to the ground there; None with an existing landing.
    """

    risers: int
    chosen: bool
    fits: bool
    slope: float
    out: float
    down: float
    slope_ground: float | None
    ground: float | None


class PadEdge(Struct, frozen=True):
    """An edge of the pad that runs across the stair; the ground is known along the stair only.

    Attributes:
        name: "near", at the back of the seats, or "far".
        out: level, from the header face.
        height: the pad's top above the ground at both its corners; negative: below; None: no reading there.
        slope: taut tape from the nail to the edge at the pad's top.
    """

    name: str
    out: float
    height: float | None
    slope: float


class PadSetOut(Struct, frozen=True):
    """The pad, and the concrete in it.

    Attributes:
        down: drop to its top.
        depth: along the stair, near edge to far edge.
        landing: from the toe to the far edge.
        clear: from the toe, or the lowest riser's face where that stands in front of it, to the far edge.
        landing_least: the rule set's landing depth; None where it states none.
        width: across the stair.
        thickness: of the concrete.
        edges: near, then far.
        proud: how far the ground stands above the pad's top where it stands highest over the pad, and how far out that
            is; None where it nowhere does.
        volume: of concrete, cubic millimetres, nothing added for waste.
        bag_yield: concrete that one bag makes, cubic millimetres; None: not stated.
        bag_source: where the yield comes from.
        bags: whole bags; None without a yield.
    """

    down: float
    depth: float
    landing: float
    clear: float
    landing_least: float | None
    width: float
    thickness: float
    edges: tuple[PadEdge, PadEdge]
    proud: tuple[float, float] | None
    volume: float
    bag_yield: float | None
    bag_source: str | None
    bags: int | None


class Post(Struct, frozen=True):
    """The slope over a plumb post at the nosing line.

    Attributes:
        width: of the post, along the stair.
        rise: how much the line through the nosings rises over that width.
        cut: length of the sloped cut across the post.
    """

    width: float
    rise: float
    cut: float


class Step(Struct, frozen=True):
    """One tread, places as (out, down).

    Attributes:
        tread: its number from the top.
        nosing: of the tread.
        tip: of the tooth under it, or, without teeth, where its seat meets the riser's back.
        along_string: from the header face along the string line to the tip; None without teeth.
    """

    tread: int
    nosing: Point
    tip: Point
    along_string: float | None


class StringLine(Struct, frozen=True):
    """A taut line through all tooth tips, from the header to the pad.

    Attributes:
        header_down: drop, at the header face, to the line; negative: it passes above the floor.
        toe_up: the line's height over the pad at the toe, which is the last tip's.
        pad_out: where it would meet the pad's level, from the header face.
        length: along the line, from the header face to the pad's level.
    """

    header_down: float
    toe_up: float
    pad_out: float
    length: float


class SetOut(Struct, frozen=True):
    """Everything to set a stair out by.

    Attributes:
        feet: one a riser count with a reading, counts rising.
        pad: None with an existing landing.
        seat: the stringers' bearing on the pad, from and to, out from the header face.
        sill: the sill plate's place under the notch, from and to, out from the header face; None without a notch.
        sill_high: the notch's height; None without one.
        top_down: drop to the top of the plumb cut: with teeth the first tread's seat, without them the level cut or the
            upper edge; negative: it stands above the floor.
        bottom_down: drop to its lower end.
        hanger: height of the plumb cut.
        top_gap: from the header face to the plumb cut.
        pitch: radians, from level.
        posts: by width.
        steps: treads from the top.
        line: through the tooth tips; None without teeth.
        digs: where the stringers lie in the ground.
        across: the stringers' middles along the header, from the outer face of the stringer at one side.
        supports: posts or beams under the stringers, from the header out.
    """

    feet: tuple[Foot, ...]
    pad: PadSetOut | None
    seat: tuple[float, float]
    sill: tuple[float, float] | None
    sill_high: float | None
    top_down: float
    bottom_down: float
    hanger: float
    top_gap: float
    pitch: float
    posts: tuple[Post, ...]
    steps: tuple[Step, ...]
    line: StringLine | None
    digs: tuple[Dig, ...]
    across: tuple[float, ...]
    supports: tuple[StandingSupport, ...]


def set_out(job: Job, rules: RuleSet, choice: Choice, stringer: Stringer) -> SetOut:
    """Everything to set the chosen stair out by.

    Args:
        job: site, pad and stringers are read from it.
        rules: give the landing's depth where the job does not.
        choice: the riser counts that were tried, and the one that was chosen.
        stringer: the chosen stair's, with square corners.
    """
    stair = choice.stair
    top, bottom = heel_reach(stringer)
    at: dict[EdgeRole, Point] = {v.role: v.point for v in stringer.vertices if v.role not in ("tip", "corner")}
    front = at["sill-seat"] if "sill-seat" in at else at["toe"]
    notch = job.stringer.sill_notch
    sine, cosine = math.sin(stair.pitch), math.cos(stair.pitch)
    return SetOut(
        feet=tuple(f for f in (_foot(c, c is choice.chosen) for c in choice.tried) if f is not None),
        pad=pad_set_out(job, rules, stair, stringer),
        seat=(at["seat-back"][0], front[0]),
        sill=(at["sill-seat"][0], at["sill-face"][0]) if notch else None,
        sill_high=notch.high if notch else None,
        top_down=top,
        bottom_down=bottom,
        hanger=stringer.heel,
        top_gap=at["top"][0],
        pitch=stair.pitch,
        posts=tuple(Post(w, w * sine / cosine, w / cosine) for w in POST_WIDTHS[job.units]),
        steps=_steps(stair, stringer),
        line=None if stringer.treads else _line(stair, stringer),
        digs=digs(stringer, job.site.profile),
        across=stringers_across(job),
        supports=standing_supports(stringer, job.support, job.site.profile, stair.total_rise),
    )


def stringers_across(job: Job) -> tuple[float, ...]:
    """The stringers' middles along the header, from the outer face of the stringer at one side, millimetres."""
    thickness, wide = min(s.thickness for s in job.stock), job.stair.clear_width
    over_all = wide + 2 * thickness if job.stringer.kind.between else wide
    return across(over_all, thickness, job.stringer.count)


def _foot(candidate: Candidate, chosen: bool) -> Foot | None:
    stair = candidate.stair
    if stair is None or any(o.key == "site.profile" for o in candidate.obstacles):
        return None
    out, down = candidate.foot_out, stair.total_rise
    ground = None if candidate.reveal is None else down + candidate.reveal
    return Foot(
        candidate.risers,
        chosen,
        candidate.fits,
        math.hypot(out, down),
        out,
        down,
        None if ground is None else math.hypot(out, ground),
        ground,
    )


def pad_set_out(job: Job, rules: RuleSet, stair: Stair, stringer: Stringer) -> PadSetOut | None:
    """The pad at the foot; None with an existing landing.

    Args:
        job: site and pad are read from it.
        rules: give the landing's depth where the job does not.
        stair: the chosen stair.
        stringer: the chosen stair's, with square corners.
    """
    if job.site.profile is None:
        return None
    near = next(v.point[0] for v in stringer.vertices if v.role == "seat-back")
    return _pad(job, rules, stair, near, job.site.profile)


def _pad(job: Job, rules: RuleSet, stair: Stair, near: float, profile: tuple[Point, ...]) -> PadSetOut:
    down, landing = stair.total_rise, landing_depth(job.pad, rules, stair)
    far = stair.foot_out + landing
    width = job.pad.width if job.pad.width is not None else job.stair.clear_width
    limit = rules.limit("landing-depth", stair.unit_run)
    volume = (far - near) * width * job.pad.thickness
    heights = [
        (height, out)
        for out in (near, *(x for x, _ in profile if near < x < far), far)
        if (height := _height(profile, out, down)) is not None
    ]
    each = job.pad.bag_yield
    return PadSetOut(
        down=down,
        depth=far - near,
        landing=landing,
        clear=landing - stair.board_past_toe,
        landing_least=limit.least if limit else None,
        width=width,
        thickness=job.pad.thickness,
        edges=(_edge("near", near, profile, down), _edge("far", far, profile, down)),
        proud=max(((-h, out) for h, out in heights if h < -LIMIT_SLACK), key=lambda over: over[0], default=None),
        volume=volume,
        bag_yield=each,
        bag_source=job.pad.bag_source,
        # A pad of exactly so many bags needs no further one for the rounding of floats.
        bags=None if each is None else max(1, math.ceil(volume / each - SAME_POINT)),
    )


def _height(profile: tuple[Point, ...], out: float, down: float) -> float | None:
    ground = drop_at(profile, out)
    return None if ground is None else ground - down


def _edge(name: str, out: float, profile: tuple[Point, ...], down: float) -> PadEdge:
    return PadEdge(name, out, _height(profile, out, down), math.hypot(out, down))


def _tips(stringer: Stringer) -> list[Point]:
    """Tooth tips, or what stands in for them, from the top tread down, stair frame."""
    return list(stringer.treads) or [v.point for v in reversed(stringer.vertices) if v.role == "tip"]


def _steps(stair: Stair, stringer: Stringer) -> tuple[Step, ...]:
    lead, cosine = stair.riser_board + stair.nosing, math.cos(stair.pitch)
    return tuple(
        Step(n, (x + lead, -(y + stair.tread_thickness)), (x, -y), None if stringer.treads else x / cosine)
        for n, (x, y) in enumerate(_tips(stringer), start=1)
    )


def _line(stair: Stair, stringer: Stringer) -> StringLine:
    tips = _tips(stringer)
    (x, y), slope = tips[0], stair.unit_rise / stair.unit_run
    header = -y - x * slope
    pad_out = (stair.total_rise - header) / slope
    return StringLine(header, stair.total_rise + tips[-1][1], pad_out, pad_out / math.cos(stair.pitch))
