"""What goes on which board, sheet or length of lumber: placements, costs, the bound. Knows no files and no drawing."""

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
