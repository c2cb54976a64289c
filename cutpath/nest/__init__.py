"""What goes on which board: stock, placements, the bound. Knows nothing of DXF or drawing."""

from cutpath.nest.boards.misfits import BadLayout, PartFitsNoBoard, TooFewBoards
from cutpath.nest.boards.nest_boards import nest_parts
from cutpath.nest.boards.verify import verify_layout
from cutpath.nest.shopping import shopping
from cutpath.nest.values import Board, Keep, Layout, PartKind, Placed, Purchase

__all__ = [
    "BadLayout",
    "Board",
    "Keep",
    "Layout",
    "PartFitsNoBoard",
    "PartKind",
    "Placed",
    "Purchase",
    "TooFewBoards",
    "nest_parts",
    "shopping",
    "verify_layout",
]
