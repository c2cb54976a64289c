"""The one table of what a file can differ in from its job: id, severity, what it looks for, words, way out."""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from cutpath.inspect.values import Severity


class AgainstKind(Struct, frozen=True):
    """A kind of difference, as `find.table.FindingKind` has it, but for how it is looked for."""

    id: str
    severity: Severity
    about: str
    words: str
    way_out: str


def _row(id: str, severity: Severity, about: str, words: str, way_out: str) -> AgainstKind:
    return AgainstKind(id, severity, about, words, way_out)


#: Off by more than this, the cut is not the one that was meant; by less it is one drawn by hand (common practice, no
#: source).
MOST_OFF: Final = 0.5
_AGAIN: Final = "export the job anew, or draw it as the job has it"

AGAINST: Final = {
    each.id: each
    for each in (
        _row("no-part", "spoils", "a file with none of the job's parts", "none of the job's parts was found{}",
             "see that job and file belong together"),
        _row("unknown-set-up", "spoils", "a set-up's file that is none of the job's",
             "it says that it is one set-up, and is none of those that the job now has{}",
             "name every job that it was exported with, and the stock file that its boards came off: --stock"),
        _row("set-up-moved", "spoils", "a set-up that lies elsewhere on the bed", "the set-up lies {}",
             "put it back: where the board is stopped or pinned goes by these coordinates"),
        _row("missing-cut", "spoils", "cuts that lack", "a cut {} long is missing", _AGAIN),
        _row("extra-cut", "spoils", "cuts that are too many", "a cut {} long is none of the job's", _AGAIN),
        _row("part-lacking", "spoils", "a board's file that lacks parts", "{}",
             "export the job anew; of boards that came off a stock list name that: --stock"),
        _row("parts-over", "told", "more parts than the job has on its boards", "{}",
             "delete what is too many, unless more are meant to be cut"),
        _row("several-files", "spoils", "files of one set-up each, or of parts that share cuts, laid in one",
             "it holds {} in one, each of which is a file of its own; what is in it was not held against the job",
             "send each by itself; a board is put anew for each of its set-ups: export the job anew"),
        _row("parts-left", "spoils", "more outlines than are held against a job",
             "{} could be a part and was not held against the job", "send it in several files"),
        _row("frame-cut", "spoils", "rectangles that make holes of the parts in them",
             "this runs round the job's parts, which would be cut as holes of it{}",
             "move it to a layer that isn't cut: a sheet's edge to one of stock"),
        _row("off-board", "spoils", "parts and cuts that lie off the board", "it lies up to {} off the board",
             "move it onto the board, or draw the board as large as it is"),
        _row("not-a-part", "told", "outlines that are none of the job's parts",
             "an outline is none of the job's parts{}",
             "delete it if nobody wants it"),
        _row("other-unit", "spoils", "coordinates in another unit than the one that is stated",
             "by the job's parts its coordinates are in {}; what is stated is {}",
             "state the unit that it was drawn in: cutpath repair --units in|mm, or in R12 a note"),
        _row("scaled", "spoils", "a part drawn in another size", "the part is drawn {}",
             "scale it back, or state the unit that it was drawn in"),
        _row("mirrored", "told", "a part drawn as its mirror image", "the part is drawn as its mirror image{}",
             "turn it over on the board: it has no face"),
        _row("mirrored-face", "spoils", "a part with a face drawn as its mirror image",
             "the part is drawn as its mirror image, and is milled on one face{}", "mirror it back"),
        _row("deviation", "spoils", "an outline off the design", "the outline is {} off the design here", _AGAIN),
        _row("small-deviation", "told", "an outline off the design by little",
             "the outline is {} off the design here", _AGAIN),
        _row("missing-notch", "spoils", "notches that lack", "the notch {} is missing", _AGAIN),
        _row("extra-notch", "spoils", "notches that are too many", "wood is cut away that the design keeps{}", _AGAIN),
        _row("missing-hole", "spoils", "holes that lack", "a hole is missing: {}", _AGAIN),
        _row("extra-hole", "spoils", "holes that are too many", "a hole is none of the design's: {}", _AGAIN),
        _row("hole-size", "spoils", "holes of another size", "a hole is of another size: {}", _AGAIN),
        _row("hole-moved", "spoils", "holes in another place", "a hole is in another place: {}", _AGAIN),
        _row("missing-slot", "spoils", "slots that lack", "a slot is missing{}", _AGAIN),
        _row("extra-slot", "spoils", "inner contours that are too many",
             "an inner contour is none of the design's{}", _AGAIN),
        _row("missing-pocket", "spoils", "pockets that lack", "a pocket is missing{}", _AGAIN),
        _row("extra-pocket", "spoils", "pockets that are too many", "a pocket is none of the design's{}", _AGAIN),
        _row("pocket-through", "spoils", "pockets drawn as cuts", "a pocket is drawn on a layer that is cut through{}",
             "move it to the layer of pockets"),
        _row("inner-shape", "spoils", "holes, slots and pockets of another shape", "{} off the design's", _AGAIN),
        _row("small-inner-shape", "told", "holes, slots and pockets of another shape by little",
             "{} off the design's", _AGAIN),
        _row("thin-throat", "spoils", "a throat under the job's least", "the throat as drawn is {}",
             "deepen the board, or draw the notch as the job has it: the throat carries the stair"),
        _row("other-relief", "told", "inside corners without their relief",
             "inside corners are drawn otherwise than relieved: {}",
             "square boards seat in a corner only where it is relieved, or finished by hand"),
        _row("compensated", "spoils", "the tool's radius added where the design line is wanted",
             "the line is {} outside the design: it is compensated for the tool, and would be once more",
             "export with cutter.path = \"design\", or switch the machine's own compensation off"),
        _row("compensated-inside", "spoils", "the tool's radius added on the wrong side",
             "the line is {} inside the design: it is compensated for the tool on the wrong side", _AGAIN),
        _row("uncompensated", "spoils", "the design line where the tool's centre line is wanted",
             "the line is the design's, where the job asks for the tool's centre line{}",
             "export with cutter.path = \"centre\", or have the machine compensate"),
    )
}  # fmt: skip


def shape_kind(off: float) -> str:
    """The kind of difference that a hole, slot or pocket is which is off its own by so many millimetres."""
    return "inner-shape" if off > MOST_OFF else "small-inner-shape"
