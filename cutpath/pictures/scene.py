"""What the drawing of a stair starts from: the stair, its ground as far as it is shown, and the view."""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from cutpath.design.profile import GroundLine
from cutpath.design.stair import Stair, landing_depth
from cutpath.outline import Point
from cutpath.pictures.canvas import View
from cutpath.pictures.marks import WIDTH
from cutpath.pictures.words import size_text
from cutpath.plan.values import Plan

#: Where the drawing starts on the canvas; left of it there is room for one dimension.
LEFT: Final = 75.0
# How far floor and header are shown inward, at most, millimetres.
_STUB: Final = 330.0
# How deep the header is drawn, at most, not dimensioned; millimetres.
_HEADER: Final = 150.0


class Scene(Struct, frozen=True):
    """A stair to be drawn.

    Attributes:
        plan: the whole job.
        stair: its stair.
        profile: the readings that are shown; empty for an existing landing.
        pad_end: x of the pad's far edge, stair frame.
        right: x of the rightmost place shown.
        view: from the stair frame to the canvas.
    """

    plan: Plan
    stair: Stair
    profile: GroundLine
    pad_end: float
    right: float
    view: View

    @property
    def left(self) -> float:
        """Least x shown, stair frame."""
        return -(self.view.x - LEFT) / self.view.scale

    @property
    def header_back(self) -> float:
        """X of the header's inner face as it is drawn, stair frame."""
        return max(self.left, -_HEADER)

    def size(self, mm: float) -> str:
        """A dimension in the job's unit."""
        return size_text(mm, self.plan.job.units)

    @property
    def fronts(self) -> list[Point]:
        """Nosings on the canvas, the floor's own edge first where the top tread lies below it."""
        s = self.stair
        own = [(s.riser_cut(k) + s.riser_board + s.nosing, -k * s.unit_rise) for k in s.steps]
        if s.top_tread == "one-below":
            own.insert(0, (s.floor_overhang, 0.0))
        return [self.view(p) for p in own]


def scene_of(plan: Plan) -> Scene:
    """The scene of a plan, as large as the canvas takes it."""
    stair = plan.stair
    pad_end = stair.foot_out + landing_depth(plan.job.pad, plan.rules, stair)
    profile = plan.job.site.profile or ()
    # Readings far past the pad are left off the picture, so that it stays large; the table has them.
    shown = [p for i, p in enumerate(profile) if i == 0 or profile[i - 1][0] < pad_end]
    right = max(pad_end, shown[-1][0] if shown else 0.0)
    left = -min(_STUB, 0.25 * right)
    scale = (WIDTH - 150) / (right - left)
    return Scene(plan, stair, tuple(shown), pad_end, right, View(scale, LEFT - scale * left, 0.0))
