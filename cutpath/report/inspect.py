"""What was found in a file, in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from cutpath.inspect.repair.values import Repaired
from cutpath.inspect.values import Finding, Followed, Inspected, LayerRole
from cutpath.screen import clean, fit, table
from cutpath.tables.inspected import in_file
from cutpath.tolerances import CUT
from cutpath.units import Show, many, shown_in

#: Places of one kind that are told in words; JSON has more.
_SHOWN: Final = 5
_ROLES: Final = {
    "cut": "cut through",
    "mark": "marks: followed, not cut through",
    "stock": "stock: not cut",
    "note": "notes: not cut",
    "hidden": "frozen or off: not cut",
    "off": "none: not known",
}


def inspect_text(found: Inspected) -> str:
    """What a file was taken for, and what is wrong with it."""
    lines = [clean(found.seen.name, line_ends=False), "", _about(found), "", _layers(found.roles), ""]
    for severity, words in (("spoils", "spoils a cut"), ("told", "worth knowing")):
        these = [f for f in found.findings if f.severity == severity]
        if these:
            lines += [f"{words}:", *_findings(found, these), ""]
    if found.job is not None:
        lines += [*_laid(found), ""]
    return fit([*lines, verdict(found)])


def repaired_text(repaired: Repaired, left: Inspected, target: str) -> str:
    """What a repair did and what it left, then what is found in the new file."""
    lines: list[str] = []
    for kind, words in (("changed", "changed:"), ("left", "left as it was:")):
        these = [c for c in repaired.changes if c.kind == kind]
        lines += [words] if these else []
        for each in these:
            place = ""
            if each.at is not None:
                x, y = in_file(each.at, repaired.per_unit)
                place = f"at ({x:.8g}, {y:.8g}): "
            lines += [f"  {row}" for row in fit([place + clean(each.words, line_ends=False)], 76).split("\n")]
    name = clean(target, line_ends=False)
    written = (
        f"{name} is written; nothing else was touched"
        if repaired.data is not None
        else "nothing to mend was found; no file was written"
    )
    return fit([*lines, written, "", verdict(left)])


def _about(found: Inspected) -> str:
    seen = found.seen
    guess = "inches" if seen.told_in == "in" else "millimetres"
    unit = seen.unit or f"no unit stated, taken for {guess}"
    count = found.closed + found.open
    return (
        f"DXF {seen.version}, {unit}; {many(len(seen.items), 'entity', 'entities')}; on layers that are cut "
        f"{many(count, 'contour')}: {found.closed} closed, {found.open} open"
    )


def _layers(roles: Sequence[LayerRole]) -> str:
    rows = [(clean(r.name, line_ends=False)[:40], _ROLES[r.role], r.why, str(r.count)) for r in roles]
    return table(("layer", "taken for", "by", "entities"), rows, left=frozenset({0, 1, 2}))


def _findings(found: Inspected, these: Sequence[Finding]) -> list[str]:
    counts = dict(found.counts)
    lines: list[str] = []
    for kind in dict.fromkeys(f.kind for f in these):
        own = [f for f in these if f.kind == kind]
        lines.append(f"{kind} ({counts[kind]}): {own[0].way_out}")
        for each in own[:_SHOWN]:
            # Set in by hand: what begins with a space is left as it stands.
            told = fit([f"{_place(each, found.seen.per_unit)}{clean(each.words, line_ends=False)}"], 76).split("\n")
            lines += [f"  {line}" for line in told]
        if counts[kind] > _SHOWN:
            lines.append(
                f"  and {counts[kind] - _SHOWN} more{'' if counts[kind] > len(own) else ': --json has them all'}"
            )
    return lines


def _laid(found: Inspected) -> list[str]:
    """How each part of the job lies in the file, how far it is off, and its throats."""
    job = clean(found.job or "", line_ends=False)
    if found.followed is None and not found.laid:
        return [f"against {job}: no part was held against it"]
    lines = [f"against {job}:"]
    show = shown_in(found.seen.told_in)
    if found.followed is not None:
        lines += _followed(found.followed, found.seen.per_unit, show)
    for part in found.laid:
        x, y = in_file(part.at, found.seen.per_unit)
        how = [f"lower left at ({x:.6g}, {y:.6g})", f"turned {part.turn:g} degrees"]
        if part.mirrored:
            how.append("mirrored")
        if abs(part.scale - 1) > 1e-4:
            how.append(f"{part.scale:.6g} times the size")
        if part.grown:
            how.append(f"the line {show(abs(part.grown))} {'outside' if part.grown > 0 else 'inside'} the design")
        off = in_file(part.deviation_at, found.seen.per_unit)
        where = f", at ({off[0]:.6g}, {off[1]:.6g})" if part.deviation > CUT else ""
        lines.append(f"{clean(part.name, line_ends=False)}: {', '.join(how)}")
        told = [f"greatest deviation {show(part.deviation)}{where}"]
        if part.throats:
            tread, drawn, design = min(part.throats, key=lambda t: t[1])
            told.append(f"least throat as drawn {show(drawn)} at tread {tread}, by design {show(design)}")
        lines += [f"  {row}" for each in told for row in fit([each], 76).split("\n")]
    return lines


def _followed(here: Followed, per_unit: float, show: Show) -> list[str]:
    """What a set-up's file, or that of parts which share cuts, is, and what it cuts of each part."""
    what = f"set-up {here.set_up} of {here.of} of board {here.board}" if here.set_up else f"board {here.board}"
    lines = [f"{what}, {f'drawn {here.where}' if here.where else 'where the job has it'}"]
    for part in here.parts:
        share = "all" if part.share > 0.9995 else f"{part.share:.0%}"
        x, y = in_file(part.deviation_at, per_unit)
        where = f", at ({x:.6g}, {y:.6g})" if part.deviation > CUT else ""
        told = (
            f"part {part.number} from the left, {clean(part.name, line_ends=False)}: {share} of its cuts belong here, "
        )
        lines += [
            f"  {row}" for row in fit([f"{told}greatest deviation {show(part.deviation)}{where}"], 76).split("\n")
        ]
    if here.index_holes:
        lines.append(f"  {many(here.index_holes, 'index hole')}, in waste")
    return lines


def _place(found: Finding, per_unit: float) -> str:
    hit = found.hit
    parts = []
    if hit.at is not None:
        x, y = in_file(hit.at, per_unit)
        parts.append(f"at ({x:.8g}, {y:.8g})")
    if hit.handle:
        parts.append(f"handle {clean(hit.handle, line_ends=False)}")
    if hit.layer and hit.at is not None:
        parts.append(f"layer {clean(hit.layer, line_ends=False)[:40]}")
    return f"{', '.join(parts)}: " if parts else ""


def verdict(found: Inspected) -> str:
    """The last line: whether anything spoils a cut."""
    counts = dict(found.counts)
    spoils = {f.kind for f in found.findings if f.severity == "spoils"}
    if not spoils:
        more = "" if found.job is not None else "; whether it is the part that is wanted, --against JOB says"
        return f"nothing was found that spoils a cut{more}"
    count = sum(counts[k] for k in spoils)
    return f"{many(count, 'finding')} that {'spoils' if count == 1 else 'spoil'} a cut: {', '.join(sorted(spoils))}"
