"""Beams with uniform and concentrated loads.

Source: any structural handbook; simple beams as in USDA Wood Handbook FPL-GTR-190, chapter 9 (M = wL2/8, V = wL/2,
deflection 5wL4/384EI); continuous beams of two and three equal spans as in the usual tables of coefficients (memory).
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from cutpath.design.strength.beam import moved, respond
from cutpath.design.strength.guidance import bending
from tests.stairs import IN

SPAN, EI, W, P = 3000.0, 4.2e11, 2.5, 1334.0


def level(pieces: int, spans: int = 1):
    nodes = np.linspace(0.0, SPAN * spans, pieces * spans + 1)
    return nodes, [EI] * (pieces * spans), [i * pieces for i in range(spans + 1)]


@pytest.mark.parametrize("pieces", [2, 10, 64])
def test_simple_beam_under_a_uniform_load(pieces: int) -> None:
    nodes, ei, held = level(pieces)
    found = respond(nodes, ei, held, np.full((1, pieces), W), np.zeros((1, pieces + 1)))
    middle = pieces // 2
    assert found.moments[0, middle] == pytest.approx(W * SPAN**2 / 8, rel=1e-12)
    assert found.shears[0, 0, 1] == pytest.approx(W * SPAN / 2) and found.shears[0, -1, 0] == pytest.approx(
        -W * SPAN / 2
    )
    assert found.deflections[0, middle] == pytest.approx(5 * W * SPAN**4 / (384 * EI), rel=1e-12)
    assert found.reactions[0] == pytest.approx([W * SPAN / 2] * 2)


@pytest.mark.parametrize("share", [0.1, 0.25, 0.5, 0.7])
def test_simple_beam_under_a_point_load(share: float) -> None:
    nodes, ei, held = level(20)
    points = np.zeros((1, 21))
    at = round(share * 20)
    points[0, at] = P
    found = respond(nodes, ei, held, np.zeros((1, 20)), points)
    a, b = nodes[at], SPAN - nodes[at]
    assert found.moments[0, at] == pytest.approx(P * a * b / SPAN, rel=1e-12)
    # Under the load: P a2 b2 / 3 E I L.
    assert found.deflections[0, at] == pytest.approx(P * a**2 * b**2 / (3 * EI * SPAN), rel=1e-12)
    assert found.reactions[0] == pytest.approx([P * b / SPAN, P * a / SPAN])


def test_two_equal_spans() -> None:
    nodes, ei, held = level(64, 2)
    found = respond(nodes, ei, held, np.full((1, 128), W), np.zeros((1, 129)))
    assert found.moments[0, 64] == pytest.approx(-W * SPAN**2 / 8, rel=1e-9)
    assert found.moments[0].max() == pytest.approx(9 / 128 * W * SPAN**2, rel=1e-9)
    assert found.reactions[0] == pytest.approx(W * SPAN * np.array([3, 10, 3]) / 8, rel=1e-9)
    # 0.0054 w L4 / E I, at 0.4215 L.
    assert found.deflections[0].max() == pytest.approx(0.00542 * W * SPAN**4 / EI, rel=2e-3)


def test_three_equal_spans_and_one_of_them_loaded() -> None:
    nodes, ei, held = level(10, 3)
    spread = np.zeros((2, 30))
    spread[0], spread[1, 10:20] = W, W
    found = respond(nodes, ei, held, spread, np.zeros((2, 31)))
    assert found.moments[0, [10, 20]] == pytest.approx([-0.1 * W * SPAN**2] * 2, rel=1e-9)
    assert found.reactions[0] == pytest.approx(W * SPAN * np.array([0.4, 1.1, 1.1, 0.4]), rel=1e-9)
    assert found.moments[1, [10, 15, 20]] == pytest.approx(W * SPAN**2 * np.array([-0.05, 0.075, -0.05]), rel=1e-9)


def test_bending_is_that_of_a_simple_beam() -> None:
    """M = wL2/8 (any handbook), by hand in pounds and inches: 40 psf, 18 in, 72 in span, 1 1/2 x 5 in."""
    found = bending(72 * IN, 36 * IN, 1.5 * IN, 3, 5 * IN)
    pounds_per_inch = 40 / 144 * 18
    psi = pounds_per_inch * 72**2 / 8 / (1.5 * 5**2 / 6)
    assert found.stress * 145.03773773 == pytest.approx(psi, rel=1e-6)


@pytest.mark.parametrize("held", [[0, 17], [0, 6, 17]], ids=["two", "three"])
def test_a_load_that_moves_is_one_at_every_place_in_turn(held: list[int]) -> None:
    """Lines of influence beside each case solved by itself: at every node, a hair beside it, and at tenths between."""
    nodes = [20 + 5.0 * i + 0.3 * (i % 3) + i**2 for i in range(18)]
    ei = [EI * (1 + i % 4) for i in range(17)]
    found = moved(nodes, ei, held, 7.5)
    parts = np.array([0.0, 1e-7, *np.arange(1, 10) / 10, 1 - 1e-7])
    fine = [a + (b - a) * part for a, b in pairwise(nodes) for part in parts] + nodes[-1:]
    count, step = len(fine), len(parts)
    stiff, at = np.repeat(ei, step).tolist(), [step * i for i in held]
    each = [respond(fine, stiff, at, np.zeros((1, count - 1)), 7.5 * np.eye(count)[[i]]) for i in range(count)]
    for name in ("moments", "shears", "reactions"):
        cases = np.concatenate([getattr(one, name) for one in each])
        cases = cases if name == "reactions" else cases[:, ::step]
        wanted = np.stack([cases.min(axis=0), cases.max(axis=0)])
        assert getattr(found, name) == pytest.approx(wanted, rel=1e-3, abs=1e-6)
        assert (getattr(found, name)[0] <= wanted[0] + 1e-9).all()
        assert (getattr(found, name)[1] >= wanted[1] - 1e-9).all()
