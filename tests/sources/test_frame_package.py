"""Notched boards as beams of varying depth, held against a finite-element package.

Source: PyNiteFEA, a reference package for frames (MIT), given the same boards as inclined chains of short prismatic
members in the stair's own position, with upright loads and upright bearings.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from cutpath.design.strength.beam import respond
from cutpath.design.strength.sections import sections
from tests.notched_boards import notched_board

E, BREADTH, PIECES = 9650.0, 38.1, 150


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(5))
def test_moments_and_deflections_agree_to_one_percent(seed: int) -> None:
    # Imported here: it brings a whole library of plots, for a second.
    fe = pytest.importorskip("Pynite", reason="the reference package is not installed")
    random = np.random.default_rng(seed)
    board, pitch = notched_board(random)
    start, end = 60.0, board.bounds[2] - 60.0
    nodes = np.linspace(start, end, PIECES + 1)
    middles = sections(board, (nodes[:-1] + nodes[1:]) / 2)
    inertias = [BREADTH * s.inertia for s in middles if s]
    held = [0, PIECES] if seed % 2 == 0 else [0, int(random.integers(50, 100)), PIECES]
    cos = math.cos(pitch)
    # One newton a millimetre, counted on the level; and a point load at one node.
    w, p, at = 1.0, 1500.0, int(random.integers(15, 135))
    points = np.zeros((2, PIECES + 1))
    points[1, at] = p * cos
    spread = np.zeros((2, PIECES))
    spread[0] = w * cos * cos
    ours = respond(nodes, [E * i for i in inertias], held, spread, points)

    model = fe.FEModel3D()
    model.add_material("wood", E, E / 16, 0.3, 0.0)
    for i, s in enumerate(nodes - start):
        model.add_node(f"n{i}", s * cos, -s * math.sin(pitch), 0.0)
    for i, inertia in enumerate(inertias):
        model.add_section(f"s{i}", 1e5, 1e8, inertia, 1e8)
        model.add_member(f"m{i}", f"n{i}", f"n{i + 1}", "wood", f"s{i}")
        model.add_member_dist_load(f"m{i}", "FY", -w * cos, -w * cos, case="spread")
    for k, i in enumerate(held):
        model.def_support(f"n{i}", k == 0, True, True, True, True, False)
    model.add_node_load(f"n{at}", "FY", -p, case="point")
    for case in ("spread", "point"):
        model.add_load_combo(case, {case: 1.0})
    model.analyze_linear()
    for row, case in enumerate(("spread", "point")):
        theirs = np.array([model.members[f"m{i}"].moment("Mz", 0.0, case) for i in range(PIECES)])
        scale = np.abs(theirs).max()
        assert np.abs(np.abs(ours.moments[row, :-1]) - np.abs(theirs)).max() < 0.01 * scale
        # Square to the board; the axis is as good as stiff against its own length.
        node = int(np.abs(ours.deflections[row]).argmax())
        moved = model.nodes[f"n{node}"]
        square = -(moved.DY[case] * cos + moved.DX[case] * math.sin(pitch))
        assert ours.deflections[row, node] == pytest.approx(square, rel=0.01)
