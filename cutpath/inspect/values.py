"""What was seen in a file, and what was found, as frozen values. Coordinates in millimetres in the file's own frame."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from cutpath.outline import Chain, Point
from cutpath.units import MM_PER_INCH, Unit

#: A finding that spoils a cut ends the command with status 1; one that is told does not.
Severity = Literal["spoils", "told"]
#: What a layer's geometry is to a machine: cut through, followed by a tool that leaves the board whole, drawn for
#: people, or none of these by the names that were given.
Role = Literal["cut", "mark", "stock", "note", "hidden", "off"]
#: Where an entity lies.
Space = Literal["model", "paper"]


class Trait(Struct, frozen=True):
    """Something odd about an entity that reading it shows: a finding's id, and what words are to add."""

    kind: str
    detail: str = ""


class Element(Struct, frozen=True):
    """One entity as a machine gets it, blocks taken apart.

    Attributes:
        handle: of the entity, or of the outermost insert that it came with; "": it has none.
        kind: as DXF names it: "LINE", "SPLINE".
        layer: its own.
        space: model or paper space.
        chain: its course, splines and ellipses flattened; None where it has none.
        at: a place on it, where one is known.
        traits: what is odd about it.
        whole: whether `chain` is exact, not flattened.
    """

    handle: str
    kind: str
    layer: str
    space: Space
    chain: Chain | None
    at: Point | None
    traits: tuple[Trait, ...] = ()
    whole: bool = True


class LayerSeen(Struct, frozen=True):
    """A layer of the file's table, or one that only entities name."""

    name: str
    frozen: bool
    off: bool


class Seen(Struct, frozen=True):
    """A file as it was read.

    Attributes:
        name: the file's, as the user gave it.
        version: of the format, as ezdxf calls it: "R12", "R2000".
        unit: what one unit of its coordinates is called; "" where the file does not say.
        per_unit: millimetres that one unit was taken for.
        guessed: whether `per_unit` is a guess, for want of a unit.
        metric: `$MEASUREMENT`, where the file has it.
        items: in the file's order.
        layers: by name.
        texts: every text, for the unit that a file of a version without one may state.
        flaws: what had to be mended to read it at all.
        cycles: names of blocks that hold themselves.
    """

    name: str
    version: str
    unit: str
    per_unit: float
    guessed: bool
    metric: bool | None
    items: tuple[Element, ...]
    layers: tuple[LayerSeen, ...]
    texts: tuple[str, ...]
    flaws: tuple[str, ...] = ()
    cycles: tuple[str, ...] = ()

    @property
    def told_in(self) -> Unit:
        """What lengths of it are told in: its unit, or what its coordinates were taken for; others in millimetres."""
        return "in" if self.per_unit == float(MM_PER_INCH) else "mm"


class LayerRole(Struct, frozen=True):
    """What a layer was taken for, why, and how many entities lie on it."""

    name: str
    role: Role
    why: str
    count: int


def in_unit(seen: Seen, per: float) -> Seen:
    """A file as it is read where one unit of its coordinates comes to so many millimetres."""
    by = per / seen.per_unit

    def there(point: Point) -> Point:
        return point[0] * by, point[1] * by

    items = tuple(
        replace(
            item,
            chain=None if item.chain is None else replace(item.chain, points=tuple(map(there, item.chain.points))),
            at=None if item.at is None else there(item.at),
        )
        for item in seen.items
    )
    return replace(seen, per_unit=per, items=items)


class Hit(Struct, frozen=True):
    """One place where a finding's look found something.

    Attributes:
        at: where, millimetres in the file's frame; None: the file as a whole.
        detail: what the finding's words are completed with.
        handle: of the entity.
        layer: of the entity.
        size: millimetres, where one number says how bad it is.
    """

    at: Point | None = None
    detail: str = ""
    handle: str = ""
    layer: str = ""
    size: float | None = None


class Finding(Struct, frozen=True):
    """Something that is wrong, or worth knowing, with its place and a way out."""

    kind: str
    severity: Severity
    words: str
    way_out: str
    hit: Hit


class Laid(Struct, frozen=True):
    """A part of a job as a file has it.

    Attributes:
        name: the job's for it.
        handle: of its outline.
        at: where the lower left corner of the design's box lies, file's frame.
        turn: degrees that the design is turned by, counter-clockwise.
        mirrored: whether it is a mirror image.
        scale: its size over the design's.
        grown: how far the line runs outside the design all round, millimetres.
        deviation: the greatest, millimetres.
        deviation_at: where, file's frame.
        throats: by tread: its number, the throat as drawn, and by design.
    """

    name: str
    handle: str
    at: Point
    turn: float
    mirrored: bool
    scale: float
    grown: float
    deviation: float
    deviation_at: Point
    throats: tuple[tuple[int, float, float], ...]


class PartCutHere(Struct, frozen=True):
    """What a file cuts of one part that it does not hold whole.

    Attributes:
        name: the job's for it.
        number: on its board, counted from the left, 1 for the first.
        share: of all that is cut to free it, how much is cut here by the job.
        deviation: the greatest, millimetres.
        deviation_at: where, file's frame.
    """

    name: str
    number: int
    share: float
    deviation: float
    deviation_at: Point


class Followed(Struct, frozen=True):
    """A file known as that of one set-up of a job, or of a board whose parts share cuts.

    Attributes:
        board: its number, 1 for the first.
        set_up: its number; 0: the whole board.
        of: set-ups of the board.
        where: how it lies, in words; "": as the job has it.
        parts: those that it cuts.
        index_holes: holes of the job's own that are none of a part, as far as they are there.
    """

    board: int
    set_up: int
    of: int
    where: str
    parts: tuple[PartCutHere, ...]
    index_holes: int


class Inspected(Struct, frozen=True):
    """What came of looking at a file.

    Attributes:
        seen: the file.
        roles: what each layer was taken for.
        findings: what spoils a cut first; of one kind no more than `find.table.MOST_TOLD`.
        counts: how many of each kind there were, by its id.
        closed: contours on cut layers that are closed.
        open: those that are not.
        laid: the parts of a job that were found, where the file is held against one.
        job: its name.
        followed: what of the job's the file is, where it holds no part whole.
        sizes: how many times its own size all that was found of the job is drawn.
    """

    seen: Seen
    roles: tuple[LayerRole, ...]
    findings: tuple[Finding, ...]
    counts: tuple[tuple[str, int], ...]
    closed: int
    open: int
    laid: tuple[Laid, ...] = ()
    job: str | None = None
    followed: Followed | None = None
    sizes: frozenset[float] = frozenset()

    @property
    def spoils(self) -> bool:
        """Whether anything was found that spoils a cut."""
        return any(f.severity == "spoils" for f in self.findings)
