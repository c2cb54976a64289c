"""Working drawings of a job as SVG: the stair, its stringer, its other pieces, every board and length of lumber."""

from cutpath.pictures.board import board_svg, board_view
from cutpath.pictures.corner import corner_svg
from cutpath.pictures.elevation import stair_svg
from cutpath.pictures.gauge import gauge_part, gauge_svg
from cutpath.pictures.notches import stringer_svg, stringer_view

__all__ = [
    "board_svg",
    "board_view",
    "corner_svg",
    "gauge_part",
    "gauge_svg",
    "stair_svg",
    "stringer_svg",
    "stringer_view",
]
