"""A document mended step by step, and the mended file held against what it was."""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from cutpath.faults import Fault
from cutpath.inspect.blocks import TooMuch
from cutpath.inspect.find.ends import open_contour
from cutpath.inspect.find.looked import Looked
from cutpath.inspect.load import BINARY, bounded_bytes, document_of, load
from cutpath.inspect.read import seen as seen_of
from cutpath.inspect.repair.check import check_cuts, check_untouched
from cutpath.inspect.repair.explode import explode
from cutpath.inspect.repair.mend import Repairing
from cutpath.inspect.repair.steps import drop_empty, drop_twice, flatten, join_ends, set_units
from cutpath.inspect.repair.values import Allowed, Mended, Repaired
from cutpath.job.values import Layers
from cutpath.screen import clean

#: Gaps wider than this are no slip: what belongs there is not known.
MOST_GAP: Final = 1.0
_WOULD_BE: Final = "holds what would be damaged if it were written anew"
#: Chords that stand for the longest curve that is made into arcs lie no further off it, millimetres.
_CHORDS: Final = 0.2


def repair(path: Path, allowed: Allowed) -> Repaired:
    """Mend a file as far as that is no guess.

    Args:
        path: of the file; it is only read.
        allowed: what may be done.

    Raises:
        NotReadable: the file can't be read.
        Fault: it is damaged, so that what it held would be a guess.
        FileMismatch: the repaired file, read back, has something else changed than is listed.
    """
    document, flaws = load(path)
    if flaws:
        raise Fault(f"{path}: is damaged ({flaws[0]}), and what it held would be a guess; have it saved anew")
    try:
        before = seen_of(str(path), document)
        mend = Repairing(document, before, allowed)
        _run(path, mend)
    except TooMuch as why:
        raise Fault(f"{path}: {why}: see that its unit is right, explode and purge it, or split it") from None
    if all(c.kind == "left" for c in mend.changes):
        return Repaired(None, tuple(mend.changes), before.per_unit)
    for entity in (e for block in document.blocks for e in block):
        if document.dxfversion < entity.MIN_DXF_VERSION_FOR_EXPORT:
            what = f"{entity.dxftype()} {clean(entity.dxf.handle)} is newer than the file's version "
            what += f"({document.acad_release})"
            raise Fault(f"{path}: {what}, and would be lost in writing it anew; have it saved as a later one")
    if document.loaded_dxfversion != document.dxfversion:
        mend.note(f"the version is {document.acad_release} now: the file's older one can't be written")
    if document.dxfversion <= "AC1009" and document.header.get("$INSUNITS", 0):
        mend.note("$INSUNITS is dropped, as the version (R12) has no such thing: write the unit in a note")
    if bounded_bytes(path).startswith(BINARY):
        mend.note("the file is written as text, not binary")
    with _writing(path):
        stream = io.StringIO()
        document.write(stream)
        data = document.encode(stream.getvalue())
        again, flaws = document_of(data)
        after = seen_of(str(path), again)
    if flaws:
        raise Fault(f"{path}: {_WOULD_BE} ({flaws[0]}); have it saved anew")
    scale = after.per_unit / before.per_unit
    check_untouched(str(path), [e for e in before.items if e.handle not in mend.touched], after.items, scale)
    reach = 2 * (allowed.gap + allowed.tolerance) + _CHORDS
    was, now = (Looked(seen, mend.roles, Layers()) for seen in (before, after))
    check_cuts(str(path), was, now, scale, reach)
    return Repaired(data, tuple(mend.changes), after.per_unit)


def _run(path: Path, mend: Repairing) -> None:
    """All steps in turn."""
    set_units(mend)
    with _writing(path):
        explode(mend)
    flatten(mend)
    drop_empty(mend)
    drop_twice(mend)
    join_ends(mend)
    for hit in open_contour(mend.look()):
        words = f"a contour stays open, {hit.detail}{_joined_by(hit.size)}"
        mend.changes.append(Mended("left", words, hit.at, (hit.handle,)))


def _joined_by(gap: float | None) -> str:
    """The option that has ends so far apart joined; empty where none does."""
    if gap is None or gap > MOST_GAP:
        return ""
    return f"; if these two are to meet: --gap {math.ceil(gap * 100 + 1) / 100:g}mm"


@contextmanager
def _writing(path: Path) -> Iterator[None]:
    """Have whatever the library raises at what a file holds be a fault of the file."""
    try:
        yield
    except Exception as why:
        said = clean(" ".join(str(why).split())[:160]) or type(why).__name__
        raise Fault(f"{path}: {_WOULD_BE} ({said}); have it saved anew") from None
