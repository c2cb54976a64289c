"""The one table of findings: id, severity, what it looks for, its words, the way out. A new finding is a line here."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from cutpath.inspect.find import contours, ends, frame, tool, traits, whole
from cutpath.inspect.find.looked import Looked
from cutpath.inspect.find.traits import Look, anywhere, trait
from cutpath.inspect.values import Finding, Inspected, Severity

#: Of one kind so many are told with their places; there may be more, and their number is told.
MOST_TOLD: Final = 200


class FindingKind(Struct, frozen=True):
    """A kind of finding.

    Attributes:
        id: its name, for machines.
        severity: whether it spoils a cut.
        about: what it looks for.
        words: what is said of one, `{}` for what differs.
        way_out: what to do about it.
        look: finds all of them in a file.
    """

    id: str
    severity: Severity
    about: str
    words: str
    way_out: str
    look: Look


def _spoils(id: str, about: str, words: str, way_out: str, look: Look) -> FindingKind:
    return FindingKind(id, "spoils", about, words, way_out, look)


def _told(id: str, about: str, words: str, way_out: str, look: Look) -> FindingKind:
    return FindingKind(id, "told", about, words, way_out, look)


_LINES = "draw it as lines and arcs on a cut layer, or move it to a layer that isn't cut"

KINDS: Final = (
    _spoils("broken-file", "a file that had to be mended to be read", "the file is damaged: {}",
            "have it saved anew by the program that it comes from", whole.broken),
    _spoils("units-missing", "no unit in the header", "no unit is stated; {}",
            "set it where it was drawn, or: cutpath repair --units in|mm", whole.units_missing),
    _told("units-unsaid", "no unit in an R12 file's notes", "this version has no unit, and no note says it; {}",
          "tell the shop, or write a note \"Units: inches\" or \"Units: millimetres\"", whole.units_unsaid),
    _told("units-unusual", "a unit other than inches and millimetres", "the unit is {}",
          "save it in inches or millimetres: machines know no other", whole.units_unusual),
    _spoils("units-at-odds", "sizes that no stair has in the stated unit", "nothing of a stair measures {}",
            "state the unit that it was drawn in: cutpath repair --units in|mm, or in R12 a note", whole.units_at_odds),
    _told("metric-at-odds", "$MEASUREMENT against $INSUNITS", "the header's unit and its measurement ({}) differ",
          "set $MEASUREMENT to the unit's system", whole.metric_at_odds),
    _spoils("nothing-to-cut", "no geometry on a cut layer", "nothing is there to be cut; {}",
            "name the layers that are cut: --cut-layer NAME", whole.nothing),
    _spoils("far-from-origin", "cuts over 100 m from the origin", "it lies {} from the origin",
            "move the drawing to the origin", whole.far),
    _spoils("open-contour", "contours that aren't closed, and the gap", "the contour is open, {}",
            "close it, or: cutpath repair", ends.open_contour),
    _told("set-up-end", "cuts that a file of one set-up leaves to the next", "the cut ends on the board, {}",
          "cut every set-up of the board", ends.set_up_end),
    _told("shared-end", "cuts that the line of a neighbour finishes", "the cut ends {} from the line that it shares",
          "cut the neighbour's line too", ends.shared_end),
    _told("tab-gap", "gaps as tabs are left", "a gap of {}",
          "close it if no tab is meant", ends.tab_gap),
    _spoils("duplicate", "segments that are there twice", "a segment is there twice, {}",
            "delete one, or: cutpath repair", contours.twice),
    _spoils("overlap", "segments that run along one another", "a segment runs {}",
            "trim one of the two", contours.along),
    _spoils("zero-length", "segments without length", "{} has no length",
            "delete it, or: cutpath repair", contours.zero_length),
    _spoils("tiny-segment", "segments under a machine's step", "a segment is only {} long",
            "draw it as one line or arc with its neighbour", contours.tiny),
    _spoils("crossing", "cuts that cross", "a cut runs {}", "trim them, or part the contours", contours.crossing),
    _spoils("touching", "cuts that touch, other than end to end", "a cut ends or turns {}",
            "part the contours, or join them to one", contours.touching),
    _spoils("tangled", "more meetings of segments, or contours too near, than are looked at",
            "so many segments meet or lie near that not all were looked at{}",
            "delete what lies on top of other things", contours.tangled),
    _spoils("near-contours", "outlines nearer than the tool is wide", "an outline lies only {}",
            "move them apart by the tool's width and more", tool.near),
    _spoils("tight-radius", "hollow arcs under the tool's radius", "{} is under the tool's",
            "use a smaller tool, or draw it at the tool's radius", tool.tight_radius),
    _spoils("narrow-slot", "slots under the tool's width", "the tool doesn't get in here{}",
            "use a smaller tool, or draw the slot as wide", tool.narrow_slot),
    _told("direction", "contours that run against the others", "the contour runs {}",
          "turn it round, unless the machine's program sees to it", contours.direction),
    _told("frame", "rectangles round other contours, as a drawing's frame is", "a rectangle runs round {}",
          "move it to a layer that isn't cut if it is a frame or the stock's edge", frame.frame),
    _told("order", "inner contours after the outline that frees them", "an inner contour comes {}",
          "put it before, unless the machine's program sorts them", contours.order),
    _spoils("spline", "splines on cut layers", "a {} is no line or arc",
            "convert it to arcs, or: cutpath repair --tolerance LENGTH", trait("spline")),
    _spoils("ellipse", "ellipses on cut layers", "an {} is no line or arc",
            "convert it to arcs, or: cutpath repair --tolerance LENGTH", trait("ellipse")),
    _spoils("text", "text on cut layers", "text ({}) is no line for a tool",
            "move it to a layer of notes, or convert it to lines", trait("text")),
    _spoils("fill", "hatches and fills on cut layers", "a {} is no line for a tool", _LINES, trait("fill")),
    _spoils("block", "blocks on cut layers", "a block ({}) may be left out by a machine",
            "explode it, or: cutpath repair", trait("block")),
    _told("mirrored-insert", "mirrored inserts", "block {} is set mirrored",
          "see that this hand is meant", trait("mirrored-insert")),
    _told("scaled-insert", "scaled inserts", "block {} is set scaled",
          "see that this size is meant", trait("scaled-insert")),
    _spoils("image", "images on cut layers", "an {} is no line for a tool", _LINES, trait("image")),
    _spoils("solid", "3D bodies and faces on cut layers", "a {} is no line in the plane", _LINES, trait("solid")),
    _told("point", "points on cut layers", "a {} is cut by no tool",
          "draw a circle of the hole's size, or delete it", trait("point")),
    _spoils("endless", "lines without end on cut layers", "a {} has no end", "trim it to a line", trait("endless")),
    _spoils("unknown-kind", "entities of other kinds on cut layers", "a {} is read by few machines",
            _LINES, trait("unknown-kind")),
    _spoils("tilted", "extrusions out of the plane", "its plane is tilted {}",
            "draw it in the plane, seen from above", trait("tilted", ("cut", "mark"))),
    _spoils("not-flat", "heights and thicknesses", "it is not flat: {}",
            "set its height and thickness to 0", trait("not-flat", ("cut", "mark"))),
    _told("wide-line", "polylines with a width", "a {} has a width, which no tool goes by",
          "set it to 0", trait("wide-line")),
    _spoils("not-finite", "numbers that are none, or beyond 10,000 km",
            "{} has a number that is none, or too large", "draw it anew", anywhere("not-finite")),
    _spoils("unreadable", "entities that are damaged", "{} is damaged", "draw it anew", anywhere("unreadable")),
    _spoils("cyclic-block", "blocks that hold themselves", "block {} holds itself", "draw it anew, or purge it",
            whole.cycles),
    _spoils("paper-space", "cuts on a layout of paper", "a {} stands in paper space",
            "move it to the model space, or delete it", traits.paper_space),
    _spoils("off-layers", "geometry off the layers", "{} is on none of the layers that say what is done",
            "move it to the layer of its cut, or name that: --cut-layer NAME", traits.off_layers),
    _spoils("hidden-layer", "cuts that are frozen, off or invisible", "a cut can't be seen: {}",
            "show it, or delete it if it isn't meant", traits.hidden_layer),
    _told("left-hidden", "layers that are frozen or off", "layer {} is frozen or off, and was taken for not cut",
          "show it, or name it: --cut-layer NAME", traits.left_hidden),
)  # fmt: skip


def inspected(look: Looked, kinds: Sequence[FindingKind] = KINDS) -> Inspected:
    """Everything that is found in a file.

    Args:
        look: the file being looked at.
        kinds: what to look for.
    """
    findings: list[Finding] = []
    counts: list[tuple[str, int]] = []
    for kind in sorted(kinds, key=lambda k: k.severity != "spoils"):
        count = 0
        for hit in kind.look(look):
            count += 1
            if count <= MOST_TOLD:
                words = " ".join(kind.words.format(hit.detail).split())
                findings.append(Finding(kind.id, kind.severity, words, kind.way_out, hit))
        if count:
            counts.append((kind.id, count))
    closed = sum(c.closed for c in look.joined.contours)
    return Inspected(
        look.seen, tuple(look.roles), tuple(findings), tuple(counts), closed, len(look.joined.contours) - closed
    )
