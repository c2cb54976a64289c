"""Whether the tool can make the holes and slots that are asked for."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.design.holes import Opening
from cutpath.job.values import Cutter
from cutpath.rules.check import within
from cutpath.rules.values import Check


def tool_checks(openings: Sequence[Opening], cutter: Cutter, thickness: float) -> tuple[Check, ...]:
    """Check the openings' widths against the cutter.

    A slot must take the tool. A round hole narrower than a router's tool, or than the board is thick for a beam, is
    advice only: it stands on a layer of its own, so that a shop can drill it.

    Args:
        openings: holes and slots.
        cutter: the tool.
        thickness: of the thickest board in stock, millimetres.
    """
    checks = []
    for slots, least, source in (
        (True, cutter.width, "cutter.width of the job"),
        (
            False,
            thickness if cutter.kind == "beam" else cutter.width,
            "the stock's thickness, for a beam (common practice of cutting services)"
            if cutter.kind == "beam"
            else "cutter.width of the job",
        ),
    ):
        found = [o for o in openings if (len(o.ends) > 1) == slots]
        if not found:
            continue
        narrow = min(found, key=lambda o: o.width)
        what = "slot" if slots else "hole"
        note = f"narrowest {what}: {narrow.name}"
        ok = within(narrow.width, least, None)
        ways = "a wider slot, or a narrower cutter" if slots else "have it drilled with a bit of its own size"
        mend = "" if ok else ways
        checks.append(Check(f"{what}-size", ok, slots, "length", narrow.width, least, None, source, note, mend=mend))
    return tuple(checks)
