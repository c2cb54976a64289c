"""A file held against a job: each part that is drawn laid on the one that it is, and what differs."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any, Final

from msgspec import Struct
from msgspec.structs import replace

from cutpath.inspect.against.closing import slips_closed, without_frames
from cutpath.inspect.against.compare import HeldAgainst, compare
from cutpath.inspect.against.drawn import circles_of, drawn_parts, pockets_of
from cutpath.inspect.against.followed import follow
from cutpath.inspect.against.lacking import miscounted
from cutpath.inspect.against.lie import lie_of
from cutpath.inspect.against.of_job import OfJob
from cutpath.inspect.against.off_board import cuts_off_board, part_off_board
from cutpath.inspect.against.program import SAYS_SO, FileLines, FilePlace, WantedCuts, file_lines, which
from cutpath.inspect.against.several import several_files
from cutpath.inspect.against.starts import MIXED
from cutpath.inspect.against.table import AGAINST, MOST_OFF, shape_kind
from cutpath.inspect.against.values import Difference, Drawn, Lie, Wanted
from cutpath.inspect.find.ends import split_ends
from cutpath.inspect.find.looked import Looked
from cutpath.inspect.find.table import MOST_TOLD
from cutpath.inspect.values import Finding, Hit, Inspected, Laid
from cutpath.outline import Point
from cutpath.plan.values import Plan
from cutpath.tolerances import CUT
from cutpath.units import Show, many

#: A scale is another one from this on; files carry four digits at the least.
_SCALED: Final = 2e-4
#: Mixed units by name: the drawing's size over the design's.
_NAMES: Final = (
    (25.4, "25.4 times too large: millimetres taken for inches"),
    (1 / 25.4, "25.4 times too small: inches taken for millimetres"),
    (10.0, "10 times too large: millimetres taken for centimetres"),
    (0.1, "10 times too small: centimetres taken for millimetres"),
    (2.54, "2.54 times too large: centimetres taken for inches"),
    (1 / 2.54, "2.54 times too small: inches taken for centimetres"),
    (12.0, "12 times too large: inches taken for feet"),
    (1 / 12, "12 times too small: feet taken for inches"),
)
#: Shapes whose area for their length differs by more than this power of e are none of each other: two notches of six
#: that lack change it by a third.
_SHAPE: Final = 0.6
_MIXED: Final = tuple(math.log(s) for s in MIXED)
#: Of what a board falls into much is waste, some of it like a small part: more has to be common to both.
_OF_BOARD: Final = 0.82
#: How far, as powers of e, sizes by area may be from one another's: a small part's, and a piece's of a board.
_SMALL_OFF: Final = -math.log(_OF_BOARD) / 2 + _SCALED
_PIECE_OFF: Final = 0.3
#: Outlines laid on parts that they are not, before a file counts for something else: each takes a tenth of a second.
MOST_IN_VAIN: Final = 300
#: Outlines smaller than this part of the least wanted one are no candidates: offcuts, letters.
_LEAST: Final = 0.2


class KnownFile(Struct, frozen=True):
    """A file of which it is known what of a job's it is, though it holds no part whole."""

    lines: FileLines
    program: WantedCuts
    place: FilePlace


def known_file(look: Looked, job: OfJob) -> KnownFile | None:
    """What a file is, where it is one set-up of a board or a board whose parts share cuts; None: anything else.

    Args:
        look: the file being looked at.
        job: what it is held against.
    """
    if not job.programs or len(look.all_said) > 1:
        return None
    lines = file_lines(look, circles_of(look), pockets_of(look))
    found = which(lines, job.programs, said=look.is_set_up or look.shares_cuts)
    if found is None or found[1].moved:
        # Less a part or two, a set-up may be just like another one, turned; one that lies as it says is that one.
        says = [each for each in job.programs if (each.board + 1, each.set_up) == look.says]
        alone = which(lines, says, said=True, least=SAYS_SO) if says else None
        found = alone if alone is not None and not alone[1].moved else found
    return None if found is None else KnownFile(lines, *found)


def held_against(look: Looked, found: Inspected, job: OfJob, show: Show, known: KnownFile | None) -> Inspected:
    """Hold a file against a job.

    Args:
        look: the file being looked at, by the job's layers.
        found: what was found without the job.
        job: what it is held against.
        show: writes millimetres in the job's unit.
        known: from `known_file`.

    Returns:
        What was found, differences and how each part lies added.
    """
    plan = job.plan
    if known is not None:
        followed, told = follow(known.lines, known.program, known.place, plan, show)
        more = [_finding(kind, detail, hit) for kind, detail, hit in told]
        sizes = frozenset((known.place.size,))
        return replace(_added(found, more, (), plan.job.name), followed=followed, sizes=sizes)
    several, sizes = several_files(look, job.programs)
    if several:
        return replace(_added(found, [_finding("several-files", several, Hit())], (), plan.job.name), sizes=sizes)
    if look.is_set_up:
        return _added(found, [_finding("unknown-set-up", "", Hit())], (), plan.job.name)
    # What is open is told as that; what it goes round is held against the job all the same.
    look = slips_closed(look)
    laid, findings = _held(look, job, show)
    if not laid:
        bare, frames = without_frames(look)
        inside = _held(bare, job, show) if frames else (laid, findings)
        if inside[0]:
            laid, findings = inside
            findings += [_finding("frame-cut", "", hit) for hit in frames]
    faced = {part.name for part, _ in job.parts if part.has_face}
    counted = miscounted(look.seen.texts, look.boards, plan, [part.name for part in laid], faced)
    # Where nothing was found, or not all was looked at, that is told.
    if counted and not {"no-part", "parts-left"} & {f.kind for f in findings}:
        findings.append(_finding(*counted, Hit()))
    return _added(found, findings, laid, plan.job.name)


def _held(look: Looked, job: OfJob, show: Show) -> tuple[list[Laid], list[Finding]]:
    """How each part of a file lies, and what differs."""
    plan = job.plan
    radius = plan.job.cutter.radius
    # A part's own file is the design; what a board's file carries, the job says.
    program = any(r.role == "stock" for r in look.roles) and plan.job.cutter.path == "centre"
    meant = radius if program else 0.0
    laid: list[Laid] = []
    findings: list[Finding] = []
    drawn, left = drawn_parts(look)
    # The design's own line is tried first, so that it wins where both would do.
    grown = (meant, *(g for g in (0.0, radius, -radius) if g != meant))
    known_parts, unknown = [], []
    strange: set[tuple[float, float]] = set()
    in_vain = 0
    for k, each in enumerate(drawn):
        if in_vain > MOST_IN_VAIN:
            left = (*left, *(other.outline.area for other in drawn[k:]))
            break
        # Offcuts are many and alike: what one of them is not, the others aren't.
        like = (round(each.outline.area, 1), round(each.outline.length, 2))
        best = None if like in strange else _best(each, job.parts, grown)
        if best is None:
            in_vain += 0 if like in strange else len(_likeliest(each, job.parts))
            strange.add(like)
            unknown.append(each)
            continue
        part, lie = best
        known_parts.append(each.outline)
        compared = compare(each, part, lie, plan.job.cutter.width, look.board)
        laid.append(_laid(each, part, lie, compared))
        findings += _told(each, part, lie, compared, meant, plan, show)
        findings += [_finding("off-board", show(off), hit) for off, hit in part_off_board(look.board, each, part, lie)]
    if not laid:
        still = "; some outlines are open, and what goes round no part can't be one: close them first"
        findings.append(_finding("no-part", still if split_ends(look)[1] else "", Hit()))
    else:
        findings += _unknown(unknown, known_parts)
    told = [f.hit for f in findings if f.kind == "off-board"]
    findings += [_finding("off-board", show(off), hit) for off, hit in cuts_off_board(look, told)]
    untold = sum(area >= _LEAST * min((outline.area for outline in known_parts), default=0.0) for area in left)
    if untold:
        findings.append(_finding("parts-left", many(untold, "more outline"), Hit()))
    return laid, findings


def _best(drawn: Drawn, wanted: Sequence[tuple[Wanted, Any]], grown: tuple[float, ...]) -> tuple[Wanted, Lie] | None:
    best: tuple[float, Wanted, Lie] | None = None
    for part, polygon in _likeliest(drawn, wanted):
        lie = lie_of(drawn.outline, polygon, grown, kept=part.keeps_edge and drawn.edge is not None)
        if lie is None or not _believed(drawn, part, lie, polygon):
            continue
        # Of a pair's two hands the one that needs no mirror is meant.
        rank = lie.share - (0.005 if lie.mirrored else 0.0) - (0.002 if lie.grown != grown[0] else 0.0)
        if best is None or rank > best[0]:
            best = (rank, part, lie)
        if rank > 0.999:
            break
    return None if best is None else best[1:]


def _believed(drawn: Drawn, part: Wanted, lie: Lie, polygon: Any) -> bool:
    """Whether an outline is a part rather than something like it."""
    if part.small and all(abs(lie.scale / size - 1) > _SCALED for size in MIXED):
        return False
    return (drawn.edge is None and not part.small) or lie.covered(drawn.outline, polygon) >= _OF_BOARD


def _likeliest(drawn: Drawn, wanted: Sequence[tuple[Wanted, Any]]) -> list[tuple[Wanted, Any]]:
    """Parts that an outline may be, the nearest in shape first: by its area for its length, which no scale changes."""

    def sized(part: Wanted, polygon: Any) -> bool:
        # What a board falls into is of the board's size, whatever its unit; a small part is believed in no other size
        # than its own, and where nearly all is common to both.
        most = _SMALL_OFF if part.small else _PIECE_OFF if drawn.edge is not None else math.inf
        off = math.log(drawn.outline.area / polygon.area) / 2
        return any(abs(off - size) < most for size in _MIXED)

    polygons = [each for each in wanted if sized(*each)]
    own = _slender(drawn.outline)
    rated = sorted(((abs(math.log(_slender(p) / own)), k) for k, (_, p) in enumerate(polygons)))
    return [polygons[k] for rate, k in rated if rate < _SHAPE]


def _slender(polygon: Any) -> float:
    return float(polygon.area / polygon.length**2)


def _laid(drawn: Drawn, part: Wanted, lie: Lie, compared: HeldAgainst) -> Laid:
    left, low, _, _ = part.outline.extents()
    return Laid(
        part.name,
        drawn.handle,
        lie.back((left, low)),
        lie.turn,
        lie.mirrored,
        lie.scale,
        lie.grown,
        compared.deviation,
        lie.back(compared.at),
        compared.throats,
    )


def _told(
    drawn: Drawn, part: Wanted, lie: Lie, compared: HeldAgainst, meant: float, plan: Plan, show: Show
) -> Iterator[Finding]:
    """What a part's comparison comes to."""

    def hit(at: Point, size: float | None = None) -> Hit:
        return Hit(lie.back(at), "", drawn.handle, drawn.layer, size)

    middle = part.outline.polygon().representative_point()
    at = (middle.x, middle.y)
    if abs(lie.scale - 1) > _SCALED:
        name = next(
            (words for size, words in _NAMES if abs(lie.scale / size - 1) < 5e-3), f"{lie.scale:.5g} times its size"
        )
        yield _finding("scaled", name, hit(at))
    if lie.mirrored:
        yield _finding("mirrored-face" if part.has_face else "mirrored", "", hit(at))
    if lie.grown != meant:
        kind = "compensated" if lie.grown > 0 else "compensated-inside" if lie.grown < 0 else "uncompensated"
        yield _finding(kind, show(abs(lie.grown)) if lie.grown else "", hit(at, abs(lie.grown)))
    if compared.deviation > CUT:
        kind = "deviation" if compared.deviation > MOST_OFF else "small-deviation"
        yield _finding(kind, show(compared.deviation), hit(compared.at, compared.deviation))
    for difference in compared.differences:
        kind = shape_kind(difference.size) if difference.kind == "inner-shape" else difference.kind
        yield _finding(kind, _words(difference, show), hit(difference.at, difference.size))
    if compared.unrelieved:
        yield _finding("other-relief", str(len(compared.unrelieved)), hit(compared.unrelieved[0]))
    least = plan.job.stringer.throat_least
    thin = [(throat, tread) for tread, throat, _ in compared.throats if throat < least - CUT]
    if thin:
        throat, tread = min(thin)
        words = f"{show(throat)} behind the notch of tread {tread}, under the {show(least)} that the job asks for"
        corner = next(n.corner for n in part.notches if n.tread == tread)
        yield _finding("thin-throat", words, hit(corner, throat))


def _words(difference: Difference, show: Show) -> str:
    if difference.kind in ("missing-hole", "hole-size", "extra-hole"):
        return f"{difference.detail} {show(difference.size)} wide".strip()
    if difference.kind in ("hole-moved", "inner-shape"):
        return f"{difference.detail}, {show(difference.size)}".strip(", ")
    return difference.detail


def _unknown(unknown: Sequence[Drawn], known: Sequence[Any]) -> Iterator[Finding]:
    """Outlines that are none of the job's parts, but for offcuts of a board and what lies in a part."""
    least = _LEAST * min(outline.area for outline in known)
    for each in unknown:
        at = each.outline.representative_point()
        if each.edge is None and each.outline.area >= least and not any(outline.contains(at) for outline in known):
            yield _finding("not-a-part", "", Hit((at.x, at.y), "", each.handle, each.layer))


def _finding(kind: str, detail: str, hit: Hit) -> Finding:
    row = AGAINST[kind]
    return Finding(kind, row.severity, " ".join(row.words.format(detail).split()), row.way_out, hit)


def _added(found: Inspected, more: Sequence[Finding], laid: Sequence[Laid], job: str) -> Inspected:
    counts = Counter(f.kind for f in more)
    kept = [f for kind in counts for f in [m for m in more if m.kind == kind][:MOST_TOLD]]
    findings = sorted((*found.findings, *kept), key=lambda f: f.severity != "spoils")
    counted, sizes = (*found.counts, *counts.items()), frozenset(part.scale for part in laid)
    return replace(found, findings=tuple(findings), counts=counted, laid=tuple(laid), job=job, sizes=sizes)
