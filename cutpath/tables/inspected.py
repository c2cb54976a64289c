"""What was found in a file, as JSON: places in the file's own unit."""

from __future__ import annotations

from cutpath.inspect.repair.values import Repaired
from cutpath.inspect.values import Finding, Followed, Inspected, Laid
from cutpath.json_text import Json
from cutpath.outline import Point
from cutpath.screen import clean


def inspected_data(found: Inspected) -> Json:
    """Everything that was found; of one kind no more than are told, with the number of all."""
    seen = found.seen
    return {
        "schema_version": 1,
        "file": clean(seen.name, line_ends=False),
        "format": seen.version,
        "units": seen.unit or None,
        "units_guessed": seen.told_in if seen.guessed else None,
        "layers": [
            {"name": clean(r.name, line_ends=False), "role": r.role, "why": r.why, "entities": r.count}
            for r in found.roles
        ],
        "contours": {"closed": found.closed, "open": found.open},
        "against": _against(found),
        "spoils": found.spoils,
        "counts": dict(found.counts),
        "findings": [finding_data(each, seen.per_unit) for each in found.findings],
    }


def repaired_data(repaired: Repaired, left: Inspected, target: str) -> Json:
    """What a repair did, what it left, and what is found in the new file."""
    changes: dict[str, list[Json]] = {"changed": [], "left": []}
    for each in repaired.changes:
        at = None if each.at is None else list(in_file(each.at, repaired.per_unit))
        text = clean(each.words, line_ends=False)
        changes[each.kind].append({"text": text, "at": at, "handles": list(each.handles)})
    file = clean(target, line_ends=False) if repaired.data is not None else None
    return {"schema_version": 1, "written": file, **changes, "inspected": inspected_data(left)}


def _against(found: Inspected) -> Json | None:
    if found.job is None:
        return None
    data: Json = {"job": found.job, "parts": [_laid(part, found.seen.per_unit) for part in found.laid]}
    if found.followed is not None:
        data["file_of"] = _followed(found.followed, found.seen.per_unit)
    return data


def _followed(here: Followed, per_unit: float) -> Json:
    """What a file is that holds no part whole."""
    return {
        "board": here.board,
        "set_up": here.set_up or None,
        "set_ups": here.of or None,
        "lies": here.where or None,
        "index_holes": here.index_holes,
        "parts": [
            {
                "name": part.name,
                "number": part.number,
                "share_of_its_cuts": round(part.share, 4),
                "deviation_mm": round(part.deviation, 4),
                "deviation_at": list(in_file(part.deviation_at, per_unit)),
            }
            for part in here.parts
        ],
    }


def _laid(part: Laid, per_unit: float) -> Json:
    return {
        "name": part.name,
        "handle": part.handle or None,
        "at": list(in_file(part.at, per_unit)),
        "turn_deg": part.turn,
        "mirrored": part.mirrored,
        "scale": round(part.scale, 6),
        "line_outside_mm": round(part.grown, 6),
        "deviation_mm": round(part.deviation, 4),
        "deviation_at": list(in_file(part.deviation_at, per_unit)),
        "throats_mm": [{"tread": n, "drawn": round(a, 4), "design": round(b, 4)} for n, a, b in part.throats],
    }


def finding_data(found: Finding, per_unit: float) -> Json:
    """One finding.

    Args:
        found: what was found.
        per_unit: millimetres in one unit of the file.
    """
    hit = found.hit
    return {
        "id": found.kind,
        "severity": found.severity,
        "at": None if hit.at is None else list(in_file(hit.at, per_unit)),
        "handle": hit.handle or None,
        "layer": clean(hit.layer, line_ends=False) or None,
        "text": clean(found.words, line_ends=False),
        "way_out": found.way_out,
        "mm": None if hit.size is None else round(hit.size, 6),
    }


def in_file(at: Point, per_unit: float) -> Point:
    """A place in the file's own unit, to a digit that any reader of it can set."""
    return (round(at[0] / per_unit, 6) + 0.0, round(at[1] / per_unit, 6) + 0.0)
