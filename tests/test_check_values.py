"""The stringer's geometry against check values from a separate calculation (inches; see docs/geometry.md)."""

import math

import pytest

from cutpath.cut.relief import relieved
from cutpath.design.built import surfaces
from cutpath.design.stair import Stair
from cutpath.design.stringer import Stringer, build_stringer
from cutpath.job.values import SillNotch, StringerSpec

IN = 25.4
W = 11.25 * IN

# total rise, risers, run, tread, riser board, nosing, overhang, gap, sill notch, top tread, then the values
CASES = {
    "A": (58, 8, 10.5, 1.5, 0, 1, 1, 0, None, "one-below"),
    "B": (58, 8, 10.5, 1.5, 0, 1, 0, 0, None, "one-below"),
    "C": (43.5, 6, 11, 1, 0.75, 1, 1.75, 0.125, (3.5, 1.5), "one-below"),
    "D": (62, 8, 10, 1.5, 0, 0, 0, 0, None, "at-floor"),
}
VALUES = {
    #     pitch    step     depth   throat  heel    seat     length    foot  area
    "A": (34.6242, 12.7598, 5.9660, 5.2840, 6.4212, 11.4721, 88.4663, 73.5, 692.9603),
    "B": (34.6242, 12.7598, 5.9660, 5.2840, 7.1117, 11.4721, 87.6434, 72.5, 686.1938),
    "C": (33.3885, 13.1743, 6.0534, 5.1966, 6.3061, 7.4601, 64.3914, 55, 496.0604),
    "D": (37.7757, 12.6516, 6.1257, 5.1243, 6.4830, 10.3007, 100.2938, 80, 787.5270),
}
RELIEVED = {
    "A": (5.2809, 5.2508, 5.2030),
    "B": (5.2809, 5.2508, 5.2030),
    "C": (5.1927, 5.1656, 5.1122),
    "D": (5.1228, 5.0850, 5.0516),
}


def case(name: str) -> tuple[Stair, Stringer]:
    rise, n, run, tread, board, nosing, overhang, gap, sill, top = CASES[name]
    stair = Stair(n, rise * IN / n, run * IN, top, tread * IN, board * IN, nosing * IN, overhang * IN)  # type: ignore[arg-type]
    notch = SillNotch(sill[0] * IN, sill[1] * IN) if sill else None
    spec = StringerSpec(3, 5 * IN, "factory", 0, notch, 3 * IN, gap * IN)
    return stair, build_stringer(stair, spec, W, lambda v: f"{v:.1f} mm")


@pytest.mark.parametrize("name", CASES)
def test_stringer_has_the_separately_calculated_sizes(name: str) -> None:
    stair, stringer = case(name)
    part = relieved(stringer, "none", 3 / 16 * IN)
    assert part.throat is not None
    got = (
        math.degrees(stair.pitch),
        stair.step_length / IN,
        stringer.notch_depth / IN,
        part.throat / IN,
        stringer.heel / IN,
        stringer.seat_bearing / IN,
        stringer.length / IN,
        stair.foot_out / IN,
        stringer.outline().area() / IN**2,
    )
    assert got == pytest.approx(VALUES[name], abs=5.1e-5)


@pytest.mark.parametrize("name", CASES)
def test_relieved_throats_are_those_calculated_separately(name: str) -> None:
    _, stringer = case(name)
    got = [relieved(stringer, kind, 3 / 16 * IN).throat for kind in ("diagonal", "riser-side", "tread-side")]
    assert [g / IN for g in got if g is not None] == pytest.approx(RELIEVED[name], abs=5.1e-5)


@pytest.mark.parametrize("name", CASES)
def test_every_rise_and_going_is_equal(name: str) -> None:
    stair, stringer = case(name)
    built = surfaces(stair, stringer)
    rises, goings = built.rises, built.goings
    assert max(rises) - min(rises) == pytest.approx(0, abs=1e-9)
    assert max(goings) - min(goings) == pytest.approx(0, abs=1e-9)
    assert len(rises) == stair.risers and sum(rises) == pytest.approx(stair.total_rise)
