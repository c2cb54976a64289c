"""What a part has inside its outline, drawn: holes with their centre lines, slots, pockets."""

from __future__ import annotations

from cutpath.cut.relief import CutPart
from cutpath.outline import Motion
from cutpath.pictures.canvas import Sheet, View


def draw_inner(sheet: Sheet, view: View, part: CutPart, motion: Motion) -> None:
    """Draw a part's holes and slots as cut, its pockets dashed.

    Args:
        sheet: to draw on.
        view: from the frame drawn in to the sheet.
        part: the part.
        motion: from its board frame to the frame drawn in.
    """
    for slot in part.slots:
        sheet.chain(view, slot.moved(motion), "cut", "#fff")
    for pocket in part.pockets:
        sheet.chain(view, pocket.outline.moved(motion), "tool")
    for hole in part.holes:
        x, y = view(motion(hole.centre))
        radius = hole.diameter / 2 * view.scale
        sheet.circle((x, y), radius, "cut")
        arm = radius + 6
        sheet.strokes([(x - arm, y, x + arm, y), (x, y - arm, x, y + arm)], "centre")
