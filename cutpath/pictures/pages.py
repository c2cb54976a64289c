"""Drawings kept to a page: what is drawn gets smaller where its words leave less room."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from cutpath.pictures.canvas import Canvas
from cutpath.pictures.marks import EDGE, WIDTH

#: Height over width of an A4 page (ISO 216), a little less.
_PAGE: Final = 1.41
#: What the drawing's own height is cut to, one after the other, until all is on a page.
_SHARES: Final = (1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4)


def on_a_page(draw: Callable[[float], Canvas]) -> Canvas:
    """The largest canvas that fits a page; where none does, the smallest.

    Args:
        draw: makes the canvas, what it draws at most a share of its usual height.
    """
    for share in _SHARES:
        canvas = draw(share)
        if canvas.bottom - canvas.top + 2 * EDGE <= _PAGE * WIDTH:
            break
    return canvas
