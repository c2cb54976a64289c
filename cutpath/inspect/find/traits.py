"""Findings that reading an entity shows by itself, and where it lies."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from cutpath.inspect.entities import with_article
from cutpath.inspect.find.looked import Looked
from cutpath.inspect.values import Hit, Role

Look = Callable[[Looked], Iterator[Hit]]

_CUT: Final[tuple[Role, ...]] = ("cut",)
#: Where numbers that are none, and entities that can't be read, matter: anywhere.
_ALL: Final[tuple[Role, ...]] = ("cut", "mark", "stock", "note", "hidden", "off")


def trait(kind: str, roles: tuple[Role, ...] = _CUT) -> Look:
    """A look for items of the model space, on layers of some roles, that have a trait."""

    def look(looked: Looked) -> Iterator[Hit]:
        for item in looked.model:
            for each in item.traits:
                if each.kind == kind and looked.role(item) in roles:
                    yield looked.at(item, each.detail or item.kind)

    return look


def anywhere(kind: str) -> Look:
    """A look for items with a trait, whatever their layer is."""
    return trait(kind, _ALL)


def paper_space(look: Looked) -> Iterator[Hit]:
    """Geometry on cut layers that stands on a layout of paper."""
    for item in look.seen.items:
        if item.space == "paper" and item.chain is not None and look.role(item) == "cut":
            yield look.at(item, item.kind)


def off_layers(look: Looked) -> Iterator[Hit]:
    """Geometry on layers that are none of those that say what is cut."""
    for item in look.model:
        if item.chain is not None and look.role(item) == "off":
            yield look.at(item, f"{with_article(item.kind)} on layer {item.layer}")


def hidden_layer(look: Looked) -> Iterator[Hit]:
    """Geometry on cut layers that nobody sees: frozen, off or flagged invisible."""
    hidden = {layer.name.casefold(): layer for layer in look.seen.layers if layer.frozen or layer.off}
    for item in look.model:
        if item.chain is None or look.role(item) != "cut":
            continue
        layer = hidden.get(item.layer.casefold())
        if layer is not None:
            yield look.at(item, "layer is frozen" if layer.frozen else "layer is off")
        elif any(t.kind == "hidden-layer" for t in item.traits):
            yield look.at(item, "flagged invisible")


def left_hidden(look: Looked) -> Iterator[Hit]:
    """Layers of somebody's file that are frozen or off, and so were taken for none that is cut."""
    for role in look.roles:
        if role.role == "hidden":
            yield Hit(None, role.name, "", role.name)
