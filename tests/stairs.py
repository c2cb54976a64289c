"""Stairs for tests: hypothesis strategies, and short ways to draw one."""

from hypothesis import strategies as st
from msgspec import Struct

from cutpath.design.stair import Stair
from cutpath.design.stringer import Stringer, build_stringer
from cutpath.job.values import SillNotch, StringerSpec

IN = 25.4


def mm(value: float) -> str:
    return f"{value:.4f} mm"


def spec(sill: SillNotch | None = None, gap: float = 0.0, **kept: object) -> StringerSpec:
    values = {"count": 3, "throat_least": 127.0, "edges": "factory", "edge_trim": 0.0, "sill_depth_least": 75.0}
    return StringerSpec(**{**values, **kept, "sill_notch": sill, "top_gap": gap})  # type: ignore[arg-type]


class Drawn(Struct, frozen=True, dict=True):
    stair: Stair
    spec: StringerSpec
    width: float

    def stringer(self) -> Stringer:
        return build_stringer(self.stair, self.spec, self.width, mm)


@st.composite
def drawings(draw: st.DrawFn, most_risers: int = 20) -> Drawn:
    """Combinations of every input of the outline, possible ones and impossible ones."""

    def between(low: float, high: float) -> st.SearchStrategy[float]:
        return st.floats(low, high, allow_nan=False, width=32)

    stair = Stair(
        risers=draw(st.integers(2, most_risers)),
        unit_rise=draw(between(100, 230)),
        unit_run=draw(between(200, 420)),
        top_tread=draw(st.sampled_from(["one-below", "at-floor"])),
        tread_thickness=draw(between(8, 60)),
        riser_board=draw(st.sampled_from([0.0, 12.0, 19.05])),
        nosing=draw(between(0, 40)),
        floor_overhang=draw(between(0, 60)),
    )
    sill = draw(st.none() | st.builds(SillNotch, between(20, 120), between(10, 60)))
    return Drawn(stair, spec(sill, draw(st.sampled_from([0.0, 3.0]))), draw(between(180, 420)))
