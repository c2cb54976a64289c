"""Faults between keys of a job file, each of which is accepted alone, but not together with the other.

Values come as read, with every default filled in and `BAD` for what is at fault already; lengths are exact
millimetres.
"""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise
from typing import Any

from cutpath.job.as_cut_keys import as_cut_faults
from cutpath.job.kinds import BAD, Context, Values
from cutpath.job.piece_faults import piece_faults
from cutpath.tolerances import ONE_THICKNESS
from cutpath.units import MM_PER_INCH, show

#: How much wider than its size a board may be by tape; more is a slip (common practice, no source).
_WIDER_THAN_SIZE = MM_PER_INCH / 2

#: Names that R12 holds, by the DXF reference of that version (memory).
_R12_NAME = "[A-Za-z0-9_$-]{1,31}"


def check(values: Values, ctx: Context) -> None:
    """Note every fault between keys in `ctx`."""
    parts = (("site", _site), ("stringer", _stringer), ("pad", _pad))
    for name, judge in parts:
        if values[name] is not BAD:
            judge(values[name], ctx)
    if isinstance(values["stock"], list):
        for index, board in enumerate(values["stock"]):
            if board is not BAD:
                board_faults(board, f"stock[{index}]", ctx)
        if values["stringer"] is not BAD:
            _sheets([b for b in values["stock"] if b is not BAD], values["stringer"], ctx)
            if values["extras"] is not BAD:
                _sill_plate(values["extras"], [b for b in values["stock"] if b is not BAD], values["stringer"], ctx)
    if values["machine"] is not BAD and values["machine"]["common_cuts"] is True:
        _common_cuts(values, ctx)
    if isinstance(values["holes"], list):
        for index, hole in enumerate(values["holes"]):
            if hole is not BAD:
                _hole(hole, f"holes[{index}]", ctx)
    if isinstance(values["support"], list):
        _supports([(i, s) for i, s in enumerate(values["support"]) if s is not BAD and _known(*s.values())], ctx)
    piece_faults(values, ctx)
    as_cut_faults(values["as_cut"], ctx)
    if values["layers"] is not BAD:
        version = BAD if values["dxf"] is BAD else values["dxf"]["version"]
        _layers(values["layers"], version, ctx)


def _known(*values: Any) -> bool:
    """Whether all of the values are given and none of them is at fault."""
    return not any(value is None or value is BAD for value in values)


def _site(site: Values, ctx: Context) -> None:
    profile, rise, reveal = site["profile"], site["total_rise"], site["pad_reveal"]
    if profile is not None and rise is not None:
        ctx.bad("site", "has profile and total_rise: keep the one you measured, and drop the other")
    elif profile is None and rise is None:
        ctx.bad(
            "site",
            "has neither profile (tape readings) nor total_rise (an existing landing): give one",
        )
    elif rise is not None and reveal is not None:
        ctx.bad("site.pad_reveal", "means nothing beside total_rise: the landing exists; drop one of the two")
    if _known(reveal) and _known(reveal["least"], reveal["most"]) and reveal["least"] > reveal["most"]:
        least, most = (show(reveal[end], ctx.unit) for end in ("least", "most"))
        ctx.bad("site.pad_reveal.least", f"{least} is more than most, {most}: give both, in order")
    if isinstance(profile, list):
        _outward(profile, ctx)
    if isinstance(site["above"], list):
        _overhead(site["above"], ctx)


def _overhead(above: list[Any], ctx: Context) -> None:
    """Points of the ceiling must run outward; two may stand one over the other."""
    for index in range(1, len(above)):
        if BAD in (above[index - 1], above[index]):
            continue
        before, here = above[index - 1]["out"], above[index]["out"]
        if _known(before, here) and here < before:
            ctx.bad(
                f"site.above[{index}].out",
                f"{show(here, ctx.unit)} is less than the {show(before, ctx.unit)} of site.above[{index - 1}]: "
                "points run outward",
            )


def _outward(profile: list[Any], ctx: Context) -> None:
    """Readings must run outward, each past the one before it."""
    for index in range(1, len(profile)):
        before, here = profile[index - 1], profile[index]
        if _known(before, here) and here[0] <= before[0]:
            ctx.bad(
                f"site.profile[{index}]",
                f"lies {show(here[0], ctx.unit)} out, not past site.profile[{index - 1}] "
                f"at {show(before[0], ctx.unit)}: readings run outward",
            )


def _stringer(stringer: Values, ctx: Context) -> None:
    trim = stringer["edge_trim"]
    if _known(trim) and trim > 0 and stringer["edges"] == "factory":
        ctx.bad(
            "stringer.edge_trim",
            f'{show(trim, ctx.unit)} with edges = "factory", which are never cut: '
            'write edges = "trimmed", or edge_trim = 0',
        )
    form = stringer["form"]
    if not _known(form):
        return
    for key, wanted in (("housing", "housed"), ("plate", "plate")):
        if stringer[key] is not None and form != wanted:
            ctx.bad(f"stringer.{key}", f'means nothing with form = "{form}": write form = "{wanted}", or drop it')
    if form == "housed" and _known(stringer["count"]) and stringer["count"] != 2:
        ctx.bad(
            "stringer.count",
            f'{stringer["count"]} with form = "housed": housed stringers come as one left and one right, so write 2; '
            "a stringer between them would need housings in both faces",
        )
    if form == "housed" and stringer["turn_over"] is True:
        ctx.bad(
            "stringer.turn_over",
            'true with form = "housed", whose housings are milled into the face that lies up: write false, or drop it',
        )
    if isinstance(stringer["plate"], dict) and isinstance(stringer["plate"]["bracket"], dict):
        bracket = stringer["plate"]["bracket"]
        if _known(bracket["slot"], bracket["diameter"]) and 0 < bracket["slot"] <= bracket["diameter"]:
            ctx.bad(
                "stringer.plate.bracket.slot",
                f"{show(bracket['slot'], ctx.unit)} long is not more than its width, diameter = "
                f"{show(bracket['diameter'], ctx.unit)}: give a slot's overall length, or 0 for round holes",
            )


def _common_cuts(values: Values, ctx: Context) -> None:
    """Note what keeps neighbours from sharing a cut: the file must hold the cut's own line, made whole in one go."""
    at, drop = "machine.common_cuts", "or leave common_cuts out"
    cutter, tabs, stock = values["cutter"], values["tabs"], values["stock"]
    if cutter is not BAD and cutter["path"] == "design":
        ctx.bad(
            at,
            'true with cutter.path = "design": the file would hold two lines one cutter width apart, and the shop\'s '
            f'software would cut both; write cutter.path = "centre", {drop}',
        )
    if cutter is not BAD and _known(cutter["lead"]) and cutter["lead"] > 0:
        ctx.bad(
            at,
            "true with cutter.lead: a contour that leaves the shared line to its neighbour begins and ends beside it, "
            f"where no lead fits; write cutter.lead = 0, {drop}",
        )
    if tabs is not BAD and ((_known(tabs["count"]) and tabs["count"] > 0) or tabs["waste"] == "tabbed"):
        ctx.bad(
            at,
            "true with tabs: on a shared line a tab would hold a part by its neighbour, which comes loose as well; "
            f"write tabs.count = 0 and let the waste fall free, {drop}",
        )
    if isinstance(stock, list) and any(board is not BAD and board["kind"] == "sheet" for board in stock):
        ctx.bad(at, f"true with sheets, on which parts stand at any angle and each is cut alone; use boards, {drop}")


def _supports(supports: list[tuple[int, Values]], ctx: Context) -> None:
    """Supports must stand clear of each other."""
    ordered = sorted(supports, key=lambda numbered: numbered[1]["at"])
    for (one, inner), (two, outer) in pairwise(ordered):
        apart = outer["at"] - inner["at"]
        if apart < (inner["length"] + outer["length"]) / 2:
            ctx.bad(
                f"support[{two}].at",
                f"{show(apart, ctx.unit)} from support[{one}].at: they would stand in each other; move one, or drop it",
            )


def _hole(hole: Values, at: str, ctx: Context) -> None:
    if _known(hole["tread"], hole["near"]) and hole["near"] != "tread":
        ctx.bad(f"{at}.tread", f'means nothing with near = "{hole["near"]}": write near = "tread", or drop it')


def _pad(pad: Values, ctx: Context) -> None:
    if pad["bag_yield"] is not None and pad["bag_source"] is None:
        ctx.bad("pad.bag_source", "missing beside bag_yield: say where the number comes from, as the bag's label")
    if pad["bag_source"] is not None and pad["bag_yield"] is None:
        ctx.bad("pad.bag_yield", "missing beside bag_source: give what one bag makes, or drop the source")


def board_faults(board: Values, at: str, ctx: Context) -> None:
    """Note what is wrong between a board's keys."""
    size, length, widths, defects = board["size"], board["length"], board["widths"], board["defects"]
    if _known(size, widths):
        most = size.width + _WIDER_THAN_SIZE
        for index, width in enumerate(widths):
            if _known(width) and width > most:
                ctx.bad(
                    f"{at}.widths[{index}]",
                    f"{show(width, ctx.unit)} is far over the board's {show(size.width, ctx.unit)} by size: "
                    f"at most {show(most, ctx.unit)} is accepted",
                )
    for index, defect in enumerate(defects if _known(defects) else ()):
        if not _known(defect):
            continue
        start, end = defect
        if start >= end:
            ctx.bad(
                f"{at}.defects[{index}]",
                f"from {show(start, ctx.unit)} to {show(end, ctx.unit)} is no stretch: write [from, to], "
                "from smaller than to",
            )
        elif _known(length) and end > length:
            ctx.bad(
                f"{at}.defects[{index}]",
                f"ends at {show(end, ctx.unit)}, past the board's end at {show(length, ctx.unit)}",
            )


def grain_faults(board: Values, at: str, ctx: Context) -> None:
    """Note a grain that only a sheet can have."""
    if board["kind"] == "board" and board["grain"] == "free":
        ctx.bad(f"{at}.grain", 'means nothing for a board: write kind = "sheet", or drop it')


def _sill_plate(extras: Values, stock: list[Values], stringer: Values, ctx: Context) -> None:
    """A strip of board is as high as the board is thick: only where the notch is that high does it fill it."""
    if extras["sill_plate"] is False or not _known(extras["sill_plate"]) or stringer["sill_notch"] is BAD:
        return
    notch = stringer["sill_notch"]
    if notch is None:
        ctx.bad("extras.sill_plate", "there is no notch for it: give stringer.sill_notch, or leave the plate out")
        return
    sizes = [board["size"] for board in stock if board["quantity"] != 0 and _known(board["size"])]
    other = [size for size in sizes if _known(notch["high"]) and abs(size.thickness - notch["high"]) >= ONE_THICKNESS]
    if other:
        ctx.bad(
            "extras.sill_plate",
            f"a strip of {other[0].label(ctx.unit)} is {show(other[0].thickness, ctx.unit)} thick and does not fill a "
            f"notch {show(notch['high'], ctx.unit)} high: give stringer.sill_notch that height, or leave the plate out",
        )


def _sheets(stock: list[Values], stringer: Values, ctx: Context) -> None:
    kinds = [entry["kind"] for entry in stock]
    for index, entry in enumerate(stock):
        grain_faults(entry, f"stock[{index}]", ctx)
    if "sheet" not in kinds:
        if _known(stringer["width"]) and "board" in kinds:
            ctx.bad("stringer.width", 'means nothing with boards, whose own it is: write kind = "sheet", or drop it')
        return
    if "board" in kinds:
        ctx.bad(f"stock[{kinds.index('board')}].kind", "boards and sheets in one job: keep one of the two")
    if stringer["width"] is None:
        ctx.bad("stringer.width", 'missing beside kind = "sheet": give the stringer\'s, tips to lower edge')
    if stringer["turn_over"] is True:
        ctx.bad("stringer.turn_over", "true with sheets, on which parts keep their face up: write false, or drop it")
    if stringer["edges"] == "factory":
        ctx.bad("stringer.edges", '"factory" with sheets, whose parts are cut all round: write edges = "trimmed"')


def _layers(layers: Values, version: Any, ctx: Context) -> None:
    first: dict[str, str] = {}
    for key, name in layers.items():
        if not _known(name):
            continue
        if version == "r12" and not re.fullmatch(_R12_NAME, name):
            ctx.bad(f"layers.{key}", f'"{name}" is no name in R12: write up to 31 of A-Z a-z 0-9 _ - $')
        other = first.setdefault(name.casefold(), key)
        if other != key:
            ctx.bad(f"layers.{key}", f'"{name}" is the name of {other} too: each layer needs its own')


def merged(stretches: list[tuple[Fraction, Fraction]]) -> list[tuple[Fraction, Fraction]]:
    """Stretches sorted, and those that overlap or touch joined into one."""
    whole: list[tuple[Fraction, Fraction]] = []
    for start, end in sorted(stretches):
        if whole and start <= whole[-1][1]:
            whole[-1] = (whole[-1][0], max(whole[-1][1], end))
        else:
            whole.append((start, end))
    return whole
