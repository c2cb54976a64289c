"""Dead load alone is judged by its own, longer duration: members by hand, whose shares follow from the code's factors.

NDS: strengths are for the shortest load of a combination, CD 0.9 for dead load alone against 1.0, 1.15 or 1.25 for live
load (table 2.3.2, memory), and none of it square to the grain (table 4.3.1, memory). EN 1995-1-1: kmod likewise, of
permanent 0.6 against 0.8 of medium-term and 0.9 of short-term, in service class 3 0.5 against 0.65 and 0.7 (table 3.1,
memory), and of all strengths; dead load times 1.35, live load times 1.5 (EN 1990 table A1.2, memory).
"""

from __future__ import annotations

import pytest
import shapely
from msgspec.structs import replace

from cutpath.design.strength.judge import judge
from cutpath.design.strength.materials import steel, wood
from cutpath.design.strength.values import Bearing, LoadsOnStair, Material, Strength
from cutpath.job.values import Wood
from cutpath.rules.values import Check
from tests.stairs import mm
from tests.test_strength import DECK, WOOD, drawn
from tests.test_strength_by_hand import BOX, HEADER, PLAIN, SEAT, notched, rows

US = replace(PLAIN, method="NDS", dead_factor=1.0, live_factor=1.0, lasting=0.9, lasting_said="load duration 0.9")
EU = replace(PLAIN, dead_factor=1.35, lasting=0.75, lasting_bearing=0.75, lasting_said="kmod 0.6")


def judged(material: Material, live: float, dead: float, point: float = 0.0) -> Strength:
    """So many N a millimetre of level on a metre of stair, 2000 from bearing to bearing."""
    return judge(BOX, material, LoadsOnStair(live / 1000, point, dead / 1000, ("made",)), 1000.0, mm)


@pytest.mark.parametrize(
    ("name", "duration", "wet", "share", "said"),
    [
        ("SPF", "normal", True, 0.9, "load duration 0.9 (permanent)"),
        ("SPF", "permanent", False, 1.0, "load duration 0.9 (permanent)"),
        ("Southern Pine", "two months", True, 0.9 / 1.15, "load duration 0.9 (permanent)"),
        ("Southern Pine", "seven days", False, 0.9 / 1.25, "load duration 0.9 (permanent)"),
        ("C24", "normal", False, 0.6 / 0.8, "kmod 0.6 (permanent)"),
        ("C24", "permanent", False, 1.0, "kmod 0.6 (permanent)"),
        ("C18", "two months", False, 0.6 / 0.9, "kmod 0.6 (permanent)"),
        ("C18", "normal", True, 0.5 / 0.65, "kmod 0.5 (permanent)"),
        ("C18", "seven days", True, 0.5 / 0.7, "kmod 0.5 (permanent)"),
    ],
    ids="abcdefghi",
)
def test_the_strength_that_lasts(name: str, duration: str, wet: bool, share: float, said: str) -> None:
    found = wood(Wood(name, None if name.startswith("C") else "No. 2", wet=wet), duration, 286.0, 3, 400.0)
    assert (found.lasting, found.lasting_said) == (pytest.approx(share), said)
    assert found.lasting_bearing == pytest.approx(share if found.method == "EN 1995-1-1" else 1.0)
    # What a live load as long would be judged by is the same.
    lasting = wood(Wood(name, None if name.startswith("C") else "No. 2", wet=wet), "permanent", 286.0, 3, 400.0)
    assert lasting.bending == pytest.approx(found.bending * share)
    assert lasting.shear == pytest.approx(found.shear * share)
    assert lasting.bearing is not None and found.bearing is not None
    assert lasting.bearing == pytest.approx(found.bearing * found.lasting_bearing)


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_steel_bears_the_same_however_long(unit: str) -> None:
    found = steel("S235", "mm" if unit == "mm" else "in")
    assert (found.lasting, found.lasting_bearing) == (1.0, 1.0)


@pytest.mark.parametrize(("material", "said"), [(US, "load duration 0.9"), (EU, "kmod 0.6")], ids=["NDS", "EN"])
def test_dead_load_alone_is_held_against_what_lasts(material: Material, said: str) -> None:
    """5 N/mm: M 2.5 kNm, V 5 kN, square to the board 4, each times the factor on dead load."""
    found = judged(material, 0.0, 5.0)
    row, dead, left = rows(found), material.dead_factor, material.lasting
    bending = dead * 5 * 2000**2 / 8 / (40 * 200**2 / 6) / 20
    assert row["bending"].share == pytest.approx(bending / left) and row["bending"].at == pytest.approx(1000)
    shear = dead * 1.5 * 5000 * 0.8 / (40 * 0.5 * 200) / 2
    assert row["shear"].share == pytest.approx(shear / left)
    assert row["bearing"].share == pytest.approx(dead * 5000 / (40 * 100) / 3 / material.lasting_bearing)
    assert row["bending"].note == row["shear"].note == f"greatest stress, dead load alone, {said}"
    assert row["bearing"].note.endswith(f", dead load alone, {said}") == (material.lasting_bearing < 1)
    assert row["deflection"].share == 0.0
    # Forces and stresses are what they are; the share is of what lasts.
    middle = found.sections[5]
    assert middle.moment == pytest.approx(dead * 2.5e6) and middle.bending_stress == pytest.approx(bending * 20)
    assert middle.share == pytest.approx(bending / left)
    assert max(share for _, _, _, share in found.curve) == pytest.approx(shear / left)
    assert found.sections[0].share == pytest.approx(shear / left)
    assert found.reactions == pytest.approx((5000, 5000))


@pytest.mark.parametrize(
    ("material", "live"), [(US, 5 / 9), (EU, 5 * (1.35 / 0.75 - 1.35) / 1.5)], ids=["ninth", "three tenths"]
)
def test_which_combination_governs(material: Material, live: float) -> None:
    """Dead load D alone, over 0.9, is as much as D + L where L is a ninth of it; 1.35 D / 0.75 as 1.35 D + 1.5 L."""
    for part, alone in ((0.99, True), (1.01, False)):
        found = rows(judged(material, live * part, 5.0))
        notes = [found["bending"].note, found["shear"].note]
        assert all(("dead load alone" in note) == alone for note in notes)
        greatest = max(
            5 * material.dead_factor / material.lasting, 5 * material.dead_factor + live * part * material.live_factor
        )
        assert found["bending"].share == pytest.approx(greatest * 2000**2 / 8 / (40 * 200**2 / 6) / 20)
        assert ("dead load alone" in found["bearing"].note) == (alone and material is EU)
    # Without dead load none of it lasts.
    none = rows(judged(material, 20.0, 0.0))["bending"]
    assert none.share == pytest.approx(material.live_factor * 20 * 2000**2 / 8 / (40 * 200**2 / 6) / 20)
    assert none.note == "greatest stress"
    # With a load of 2 kN somewhere dead load alone governs nothing.
    assert not any("alone" in row.note for row in judged(material, 0.0, 5.0, 2000.0).rows)


def test_each_place_is_judged_by_what_governs_there() -> None:
    """Live load on one of two spans of 1000 does less in the other than 5 N/mm of dead load, lasting, does there."""
    held = replace(BOX, bearings=(HEADER, Bearing("support 1", 1000.0, 90.0), SEAT))
    loads = LoadsOnStair(0.0005, 0.0, 0.005, ("made",))
    found, never = (judge(held, replace(US, lasting=lasting), loads, 1000.0, mm) for lasting in (0.9, 1.0))
    over = 5 * 1000**2 / 8 / (40 * 200**2 / 6) / 20
    # Over the support 5.5 against 5 / 0.9; in the spans one loaded alone adds 0.0957 / 0.0703 of its load.
    assert rows(found)["bending"].share == pytest.approx(over / 0.9)
    assert rows(never)["bending"].share == pytest.approx(over * 1.1)
    assert all(a >= b for (*_, a), (*_, b) in zip(found.curve, never.curve, strict=True))
    at = min(found.curve, key=lambda each: abs(each[0] - 468.75))
    live = 5 * (375 * 375 - 375**2 / 2) + 0.5 * (437.5 * 375 - 375**2 / 2)
    assert live > 5 * 375**2 / 2 / 0.9
    assert at[3] == pytest.approx(max(live, 5 * 375**2 / 2 / 0.9) / (40 * 200**2 / 6) / 20, rel=2e-2)


def test_the_notch_at_the_seat_splits_under_what_lasts() -> None:
    load = LoadsOnStair(0.0, 0.0, 0.005, ("made",))
    found, never = (
        rows(judge(notched(), replace(US, lasting=lasting), load, 1000.0, mm))["shear"] for lasting in (0.9, 1.0)
    )
    assert found.note == "at the seat, as an end notch, dead load alone, load duration 0.9"
    assert never.note == "at the seat, as an end notch"
    assert found.share == pytest.approx(never.share / 0.9)
    assert never.share == pytest.approx(1.5 * 4000 / (40 * 0.5 * 125) / 2 / (125 / 200) ** 2)


@pytest.mark.parametrize("least", [1.0, 1.35], ids=["once", "same"])
def test_dead_load_that_relieves_counts_at_its_least(least: float) -> None:
    """Spans of 1000 and 1200: live load w on the second bends the first up, where dead load d bends it down.

    At x from the header -w b3 x / 8 a (a + b), and d (a / 2 - (a3 + b3) / 8 a (a + b)) x - d x2 / 2 (three moments).
    """
    a, b, d, w = 1000.0, 1200.0, 0.5, 3.0
    support = Bearing("support 1", a, 90.0)
    held = replace(BOX, bearings=(HEADER, support, replace(SEAT, at=a + b)), wood=shapely.box(-100, 0, 2900, 200))
    loads = LoadsOnStair(w / 1000, 0.0, d / 1000, ("made",))
    found = judge(held, replace(EU, relieving_factor=least), loads, 1000.0, mm)
    for along, low, high, _ in found.curve:
        x = 0.8 * along
        if not 100 < x < 600:
            continue
        live = -w * b**3 * x / 8 / a / (a + b)
        dead = d * (a / 2 - (a**3 + b**3) / 8 / a / (a + b)) * x - d * x**2 / 2
        assert dead > 0 > 1.5 * live + 1.35 * dead
        assert low == pytest.approx(1.5 * live + least * dead)
        alone = w * (a / 2 - a**3 / 8 / a / (a + b)) * x - w * x**2 / 2
        assert high == pytest.approx(1.5 * alone + 1.35 * dead)


def test_by_which_rules_dead_load_counts_less_where_it_relieves() -> None:
    """1.0 of it by EN 1990, table A1.2(B), beside 1.35 (memory); the NDS has one factor, 1."""
    for found, factors in (
        (wood(Wood("C24", None), "normal", 286.0, 3, 400.0), (1.35, 1.0)),
        (wood(Wood("SPF", "No. 2"), "normal", 286.0, 3, 400.0), (1.0, 1.0)),
        (steel("S235", "mm"), (1.35, 1.0)),
        (steel("A36", "in"), (1.0, 1.0)),
    ):
        assert (found.dead_factor, found.relieving_factor) == factors


def test_a_stair_of_stone_treads_is_told_by_its_dead_load() -> None:
    """A job whose treads weigh 150 psf and that nobody walks on; with people on it they govern."""

    def checks(text: str) -> dict[str, Check]:
        return {check.id: check for check in drawn(DECK + WOOD + text).checks if check.id in ("bending", "bearing")}

    heavy = '[loads]\ndead = "150 psf"\n'
    alone = checks(f'{heavy}live = "0 psf"\npoint = "0 lb"\n')
    assert "dead load alone, load duration 0.9 (permanent)" in alone["bending"].note
    assert "alone" not in alone["bearing"].note
    people = checks(heavy)
    assert "alone" not in people["bending"].note and alone["bending"].value is not None
    assert people["bending"].value == pytest.approx(alone["bending"].value * 0.9 * 190 / 150)
