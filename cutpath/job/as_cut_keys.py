"""The keys of what was read by tape off the first stringer as it was cut, and the faults between them."""

from __future__ import annotations

from typing import Any, Final

from cutpath.job.as_cut_values import OF_MARK, OF_PART, AsCutReading
from cutpath.job.compound import Absent, Key, Record
from cutpath.job.kinds import BAD, Context, Length, Text

#: Far longer than any stringer: a reading in the wrong unit is what is to be found.
_READ: Final = Length(0, 600_000)
_NOT_READ: Final = Absent("not read")

AS_CUT: Final = Record(
    Key(
        "mark",
        Text(60),
        Absent("what is read belongs to the whole stringer"),
        'a mark by its name on the tape sheet, as "tip 2", "corner 3" or "seat, front"',
    ),
    Key("along", _READ, _NOT_READ, "of the mark, along the board, hooked at the upper end"),
    Key("from_lower_end", _READ, _NOT_READ, "of the mark, along the board, hooked at the lower end"),
    Key("from_edge", _READ, _NOT_READ, "of the mark, square in from a straightedge over the tips"),
    Key("throat", _READ, _NOT_READ, "wood left behind the corner that mark names; without a mark, the least of all"),
    Key("length", _READ, _NOT_READ, "of the whole stringer along the board"),
    Key("width", _READ, _NOT_READ, "of the whole stringer, tips to lower edge"),
    Key("tip_to_tip", _READ, _NOT_READ, "from one tip to the next, or nosing to nosing on a stringer without teeth"),
    into=AsCutReading,
)


def as_cut_faults(entries: Any, ctx: Context) -> None:
    """Note what is wrong between the keys of `[[as_cut]]`; which marks there are is known once there is a stair."""
    if not isinstance(entries, list):
        return
    for index, entry in enumerate(entries):
        if entry is BAD:
            continue
        at = f"as_cut[{index}]"
        given = [name for name in (*OF_MARK, *OF_PART) if entry[name] is not None]
        alone = [name for name in given if name in OF_MARK and name != "throat"]
        if not given:
            ctx.bad(at, f"holds no reading: give one of {', '.join((*OF_MARK, *OF_PART))}, or drop the table")
        elif entry["mark"] is None and alone:
            ctx.bad(f"{at}.mark", f"missing beside {alone[0]}: name the mark as the tape sheet does")
