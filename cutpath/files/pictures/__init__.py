"""Working drawings of a job as SVG: the stair, the stringer, its inside corners, every board."""

from cutpath.files.pictures.board import board_svg
from cutpath.files.pictures.corner import corner_svg
from cutpath.files.pictures.elevation import stair_svg
from cutpath.files.pictures.notches import stringer_svg

__all__ = ["board_svg", "corner_svg", "stair_svg", "stringer_svg"]
