"""What each layer of a file is taken for: by the job's names, by names that were given, or by what is usual."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from typing import Final

from cutpath.inspect.values import LayerRole, Role, Seen
from cutpath.job.values import Layers

#: Words in names of layers that a shop doesn't cut through (common practice, no source). Whole words, any language's
#: letters around them ending one.
_WORDS: Final[dict[Role, str]] = {
    "note": (
        "note notes text texts txt dim dims dimension dimensions anno annotation annotations label labels title "
        "titleblock border frame defpoints construction center centre centerline centreline hidden guide guides "
        "reference ref info comment comments legend viewport viewports bom"
    ),
    "stock": "stock sheet material blank workpiece",
    "mark": "mark marks marking engrave engraving etch etching score scoring scribe pen lead leads",
}
_GEOMETRY: Final = frozenset(("LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "SPLINE", "ELLIPSE", "HELIX"))


def roles_of(
    seen: Seen, layers: Layers, cut_layers: Sequence[str] = (), *, of_job: bool = False
) -> tuple[LayerRole, ...]:
    """What each layer is taken for.

    Args:
        seen: the file.
        layers: the job's names, or the default ones.
        cut_layers: names of layers that are cut, as they were given; then no other is.
        of_job: whether `layers` are a job's, that the file is held against.

    Returns:
        One a layer that anything lies on, in the file's order.
    """
    counts: Counter[str] = Counter(item.layer.casefold() for item in seen.items)
    drawn = {item.layer.casefold() for item in seen.items if item.kind in _GEOMETRY}
    ours: dict[str, tuple[Role, str]] = {}
    for name in (layers.part, layers.cut, layers.drill):
        ours[name.casefold()] = ("cut", "")
    for name in (layers.pocket, layers.mark, layers.tab, layers.lead):
        ours[name.casefold()] = ("mark", "")
    ours[layers.stock.casefold()] = ("stock", "")
    ours[layers.note.casefold()] = ("note", "")
    own = any(name.casefold() in drawn for name in (layers.part, layers.cut))
    given = {name.casefold() for name in cut_layers}
    found = []
    for layer in seen.layers:
        key = layer.name.casefold()
        if not counts[key]:
            continue
        role, why = _role(key, ours, given, own=own, of_job=of_job, drawn=key in drawn)
        if role == "cut" and (layer.frozen or layer.off) and why == _EVERY:
            role, why = "hidden", "frozen or off"
        found.append(LayerRole(layer.name, role, why, counts[key]))
    return tuple(found)


_EVERY: Final = "every layer that is none of the others is cut"


def _role(
    key: str, ours: dict[str, tuple[Role, str]], given: set[str], *, own: bool, of_job: bool, drawn: bool
) -> tuple[Role, str]:
    if key in given:
        return "cut", "--cut-layer"
    known = ours.get(key)
    if given:
        if known is not None and known[0] != "cut":
            return known[0], "its name"
        usual = _usual(key)
        return (usual, "its name") if usual else ("off", "not among --cut-layer")
    if known is not None:
        return known[0], "the job's name for it" if of_job else "its name"
    if own:
        usual = _usual(key)
        if usual == "note":
            return usual, "its name"
        return (
            ("off", "no layer of the job's" if of_job else "no layer of cutpath's")
            if drawn
            else ("note", "no lines on it")
        )
    usual = _usual(key)
    if usual:
        return usual, "its name"
    return ("cut", _EVERY) if drawn else ("note", "no lines on it")


def _usual(key: str) -> Role | None:
    """What a layer of that name is in most shops, if that can be said."""
    words = set(re.findall(r"[^\W\d_]+", key))
    for role, names in _WORDS.items():
        if words & set(names.split()):
            return role
    return None
