"""Mutation testing: small faults put into the modules that a stair hangs on, one by one, and whether a test finds each.

Run: python -m benchmarks.mutants [module or its start ...] [--most 60] [--seed 1] [--again] [--list]

A mutant differs in one place: a comparison, an operator, a number, a condition, `min` for `max`, a `raise` or
`continue` that is not reached. One process imports and collects everything once. Each test is run by itself in a fork,
which tells the lines that it reaches and the processor time that it takes. For each mutant a process is forked, the
code of the one function exchanged, and the tests that reach its lines run, quickest first, until one fails. A test
that takes many times its own processor time has been made endless and counts as a find; clocks tell nothing on a busy
machine. What was tried is kept in .cache/mutants, so that a run goes on where the last one stopped; `--again` tries
what survived once more, with whatever tests there are since. Of each module so many mutants are tried as `--most`
says, in an order drawn by the seed. docs/tested-tests.md keeps the figures. Needs a system that forks.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import copy
import functools
import gc
import hashlib
import importlib
import io
import json
import os
import pickle
import random
import re
import resource
import shutil
import signal
import sys
import threading
import time
import types
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

import pytest
from _pytest.runner import runtestprotocol
from hypothesis import Phase, settings

ROOT = Path(__file__).parent.parent
KEPT = ROOT / ".cache" / "mutants"

#: What is tried, and the files whose tests are; which of these reach a line is seen by running them.
GUARDS: dict[tuple[str, ...], tuple[str, ...]] = {
    ("nest.boards.verify", "nest.boards.verify_shared", "nest.sheets.verify", "nest.lumber.verify"): (
        "test_boards_held",
        "test_shared_held",
        "test_sheets_held",
        "test_lumber_held",
        "test_verifiers",
        "test_bill",
        "test_common_nest",
        "test_sheets",
        "test_lumber_nest",
    ),
    ("design.throat", "outline", "cut.relief_kinds", "cut.relief", "design.stringer"): (
        "test_outline",
        "test_throat",
        "test_check_values",
        "test_relief_kinds",
        "test_stringer",
        "test_tape",
    ),
    ("cut.paths", "cut.offset.chain", "cut.offset.piece", "cut.offset.raw"): (
        "test_offset",
        "test_paths",
        "test_verifiers",
        "test_outline",
        "sources/test_clipper",
        "sources/test_geos_buffer",
    ),
    (
        "cut.simulate.compare",
        "cut.simulate.sweep",
        "cut.simulate.throat",
        "cut.simulate.edge",
    ): (
        "test_compared_by_hand",
        "test_verifiers",
        "test_simulate",
    ),
    ("cut.simulate.bearing",): ("test_tabs",),
    ("dxf.read_back", "dxf.audit", "dxf.tags", "dxf.write", "dxf.escapes"): (
        "test_dxf_held",
        "test_verifiers",
        "test_dxf_files",
        "test_dxf_drawing",
        "test_dxf_audit",
        "sources/test_dxf_reference",
    ),
    (
        "inspect.find.contours",
        "inspect.find.tool",
        "inspect.find.traits",
        "inspect.find.whole",
        "inspect.find.looked",
        "inspect.contacts",
        "inspect.contours",
        "inspect.near",
        "inspect.repair.whole",
        "inspect.repair.arcs",
    ): ("test_inspect_by_hand", "test_inspect", "test_inspect_good", "test_repair"),
    (
        "inspect.against.compare",
        "inspect.against.followed",
        "inspect.against.lie",
        "inspect.against.drawn",
        "inspect.against.whole",
    ): ("test_against_by_hand", "test_followed_by_hand", "test_laid_by_hand"),
    ("inspect.against.program",): ("test_followed_by_hand", "test_laid_by_hand", "test_against_exports"),
    ("design.straight",): ("test_housed",),
    ("design.as_cut.shape", "design.as_cut.fit", "design.as_cut.causes"): ("test_as_cut",),
    ("units",): ("test_units",),
}
MODULES = tuple(f"cutpath.{name}" for names in GUARDS for name in names)

#: Looked at one by one and left: the place (module, function, change) and why no test could or should tell.
ACCEPTED: dict[tuple[str, str, str], str] = {
    (
        "cutpath.nest.boards.verify",
        "verify_bill",
        "0.0 -> 1.0 in board.offcut - keep.saw if keep else 0.0",
    ): "read only where offcuts are worth something",
    (
        "cutpath.nest.boards.verify",
        "verify_bill",
        "1 -> 2 in 1 + len(layout.boards)",
    ): "of what a sum may be off by: a board more",
    (
        "cutpath.nest.boards.verify",
        "_verify_board",
        "Lt -> LtE in motion.cos < 0",
    ): "a cosine that is neither 1 nor -1 is refused",
    (
        "cutpath.nest.boards.verify",
        "_verify_board",
        "0 -> 1 in motion.cos < 0",
    ): "a cosine that is neither 1 nor -1 is refused",
    (
        "cutpath.nest.boards.verify",
        "_verify_board",
        "Add -> Sub in gap + GAP_SLACK",
    ): "still all pairs that are nearer than is let through",
    (
        "cutpath.nest.boards.verify_shared",
        "_verify_cut",
        "Add -> Sub in gap + width + GAP_SLACK",
    ): "0.005 mm of what lies beside a cut, and stricter",
    (
        "cutpath.nest.boards.verify_shared",
        "_verify_cut",
        "64 -> 65 in shapely.buffer(shapely.union_all(lines), gap + width + GAP_SLACK, quad_segs=64)",
    ): "chords finer by one",
    ("cutpath.nest.boards.verify_shared", "_sides", "Gt -> GtE in high > low"): "a stretch without length adds nothing",
    (
        "cutpath.nest.sheets.verify",
        "_verify_sheet",
        "Add -> Sub in gap + GAP_SLACK",
    ): "still all pairs that are nearer than is let through",
    (
        "cutpath.nest.lumber.verify",
        "_verify_length",
        "0.0 -> 1.0 in piece.ripped or 0.0",
    ): "lumber is wider than a millimetre",
    (
        "cutpath.nest.lumber.verify",
        "_lying",
        "0.0 -> 1.0 in (x, 0.0, 0.0)",
    ): "along the axis that the cut runs level in",
    (
        "cutpath.nest.lumber.verify",
        "_lying",
        "0.0 -> 1.0 in (way / size, -way * run / size, 0.0)",
    ): "the nearest corner is the one at 0 of that axis",
    (
        "cutpath.nest.lumber.verify",
        "_lying",
        "Lt -> LtE in tuple(runs) < (-runs[0], -runs[1])",
    ): "two square ends: their slants are 0 either way",
    ("cutpath.nest.lumber.verify", "_lying", "Lt -> Gt in tuple(runs) < (-runs[0], -runs[1])"): "all pieces mirrored",
    (
        "cutpath.nest.lumber.verify",
        "_lying",
        "condition turned round in tuple(runs) < (-runs[0], -runs[1])",
    ): "all pieces mirrored",
    ("cutpath.nest.lumber.verify", "_lying", "USub dropped in -runs[0]"): "it is 0 there",
    (
        "cutpath.nest.lumber.verify",
        "_lying",
        "Mult -> Div in -runs[0] * high",
    ): "never more than 0, and so the other is chosen",
    (
        "cutpath.nest.lumber.verify",
        "_lying",
        "condition turned round in on_edge",
    ): "the two axes across change names, for all pieces",
    (
        "cutpath.nest.lumber.verify",
        "_verify_length",
        "0 -> 1 in sawn[i].corners[0]",
    ): "another left corner: the same order of pieces that lie apart",
    (
        "cutpath.nest.lumber.verify",
        "_verify_length",
        "0 -> 1 in sawn[j].corners[0]",
    ): "another left corner: the same order of pieces that lie apart",
    (
        "cutpath.nest.lumber.verify",
        "_verify_length",
        "Lt -> LtE in sawn[i].corners[0][0] < sawn[j].corners[0][0]",
    ): "two that begin at one place: both ways are refused",
    (
        "cutpath.nest.lumber.verify",
        "_beside",
        "6 -> 7 in round(corner[0], 6)",
    ): "places told apart by less than anything measures",
    ("cutpath.nest.lumber.verify", "_beside", "0 -> 1 in ends[0]"): "the two were just found to be equal",
    (
        "cutpath.design.throat",
        "_drawn",
        "ceil -> floor in math.ceil(abs(arc.sweep) / math.acos(1 - min(0.5, _FINE / arc.radius)))",
    ): "one chord less than its bound, of hundreds",
    (
        "cutpath.design.throat",
        "_drawn",
        "0.5 -> 1.5 in min(0.5, _FINE / arc.radius)",
    ): "for reliefs under a micrometre, which no tool has",
    (
        "cutpath.design.throat",
        "_drawn",
        "64 -> 65 in max(64, math.ceil(abs(arc.sweep) / math.acos(1 - min(0.5, _FINE / arc.radius))))",
    ): "the least count of chords: one more is only finer",
    ("cutpath.outline", "Chain.flattened", "Lt -> LtE in chord < arc.radius"): "the same step, where the two are equal",
    (
        "cutpath.outline",
        "Chain.flattened",
        "2 -> 3 in max(2, math.ceil(abs(arc.sweep) / step))",
    ): "the least count of chords: one more is only finer",
    ("cutpath.outline", "box_round", "2 -> 3 in :2"): "the third is not read",
    (
        "cutpath.cut.relief",
        "cut_part",
        "0.0 -> 1.0 in part.throat if part.throat is not None else 0.0",
    ): "where one relief has no notch to measure, none has",
    (
        "cutpath.design.stringer",
        "build_stringer",
        "Add -> Sub in -H + SAME_POINT",
    ): "an edge shorter than a point is, which no file may carry",
    (
        "cutpath.dxf.read_back",
        "_read",
        "0.0 -> 1.0 in Note('', (float(end[10]), float(end[20])), 0.0)",
    ): "a height that is not read",
    ("cutpath.dxf.audit", "_Audit._contacts", "Lt -> Gt in i < j"): "the same pairs, named the other way round",
    ("cutpath.dxf.audit", "_key", "LtE -> Lt in a <= b"): "a segment whose ends are one was refused before",
    (
        "cutpath.dxf.audit",
        "_Audit._contacts",
        "1 -> 2 in shapely.buffer([lines[i] for i, _ in rest], self.near, quad_segs=1)",
    ): "chords finer by one, of a nanometre",
    ("cutpath.dxf.escapes", "carried", "0 -> 1 in (0, len(line))"): "one letter always fits",
    (
        "cutpath.cut.offset.raw",
        "_joined",
        "LtE -> Lt in abs(turn) <= math.radians(180 - SHARPEST_MITRE)",
    ): "a corner of the stated sharpness to the last bit",
    ("cutpath.cut.offset.raw", "_joined", "Lt -> LtE in turn * distance < 0"): "no turn at all was passed over before",
    ("cutpath.cut.offset.raw", "_joined", "Mult -> Div in turn * distance"): "its sign alone is asked for",
    (
        "cutpath.cut.offset.raw",
        "_trims",
        "min -> max in min((other for _, other in found))",
    ): "what is not trimmed is cut at the crossing and taken away",
    (
        "cutpath.cut.offset.raw",
        "split",
        "Sub -> Add in cut - marks[-1]",
    ): "a part without length, put together again with its neighbour",
    (
        "cutpath.cut.offset.raw",
        "split",
        "And -> Or in (cut - marks[-1]) * piece.length > FILE_MATCH and (1 - cut) * piece.length > FILE_MATCH",
    ): "a part without length, put together again with its neighbour",
    (
        "cutpath.cut.offset.raw",
        "split",
        "Mult -> Div in (cut - marks[-1]) * piece.length",
    ): "a part without length, put together again with its neighbour",
    (
        "cutpath.cut.offset.raw",
        "split",
        "1 -> 2 in 1 - cut",
    ): "a part without length, put together again with its neighbour",
    ("cutpath.cut.offset.raw", "split", "condition turned round in i < j"): "the same pairs, the other way round",
    ("cutpath.cut.offset.raw", "split", "Lt -> LtE in i < j"): "no piece meets itself",
    ("cutpath.cut.offset.raw", "split", "Lt -> Gt in i < j"): "the same pairs, the other way round",
    ("cutpath.cut.offset.raw", "_alone", "0 -> 1 in piece.heading(0)"): "a straight has one heading",
    (
        "cutpath.cut.offset.raw",
        "set_off",
        "Sub -> Add in end - start",
    ): "what is trimmed to nothing lies too near, and is taken away",
    (
        "cutpath.cut.offset.raw",
        "set_off",
        "Mult -> Div in (end - start) * off.length",
    ): "what is trimmed to nothing lies too near, and is taken away",
    (
        "cutpath.cut.offset.chain",
        "offset_chain",
        "0 -> 1 in source[0]",
    ): "never told: a place is found wherever this is used",
    ("cutpath.cut.offset.chain", "_gap", "0 -> 1 in raws[0]"): "some place of a contour of which nothing is left",
    ("cutpath.cut.offset.chain", "_gap", "0.0 -> 1.0 in (0.0, 0.0)"): "some place, where nothing is left at all",
    ("cutpath.cut.offset.chain", "_gap", "2 -> 3 in 2 * FILE_MATCH"): "a micrometre of tolerance more",
    ("cutpath.cut.simulate.compare", "_holder", "1 -> 2 in (0.0, -1)"): "read only with an area",
    ("cutpath.cut.simulate.compare", "_holder", "USub dropped in -1"): "read only with an area",
    (
        "cutpath.cut.simulate.compare",
        "_holder",
        "0.0 -> 1.0 in (0.0, -1)",
    ): "the first look only saves the second, which finds the same",
    (
        "cutpath.cut.simulate.compare",
        "_holder",
        "Div -> Mult in design.area / 2",
    ): "the first look only saves the second, which finds the same",
    (
        "cutpath.cut.simulate.compare",
        "_holder",
        "2 -> 3 in design.area / 2",
    ): "the first look only saves the second, which finds the same",
    (
        "cutpath.cut.simulate.compare",
        "_greatest",
        "Gt -> GtE in depths.max() > 0",
    ): "what is looked at lies farther off than chords hide",
    (
        "cutpath.cut.simulate.compare",
        "_fillets",
        "Gt -> GtE in depths > least",
    ): "a fillet as deep as chords hide, to the last bit",
    (
        "cutpath.cut.simulate.sweep",
        "swept",
        "Add -> Sub in centres[:, None, :] + disc[None, :, :]",
    ): "a disc is its own mirror image",
    (
        "cutpath.cut.simulate.sweep",
        "swept",
        "0.0 -> 1.0 in Arc((0.0, 0.0), radius, 0.0, math.tau)",
    ): "a disc that begins elsewhere",
    (
        "cutpath.cut.simulate.sweep",
        "_band",
        "LtE -> Lt in arc.radius - radius <= chord",
    ): "a hole as small as a chord is off",
    (
        "cutpath.cut.simulate.sweep",
        "round_places",
        "1 -> 2 in max(1, math.ceil(abs(arc.sweep) / step)) + 1",
    ): "chords finer by one",
    (
        "cutpath.cut.simulate.sweep",
        "round_places",
        "1 -> 2 in max(1, math.ceil(abs(arc.sweep) / step))",
    ): "chords finer by one",
    (
        "cutpath.cut.simulate.sweep",
        "round_places",
        "0.5 -> 1.5 in min(chord / arc.radius, 0.5)",
    ): "for tools under two micrometres",
    (
        "cutpath.cut.simulate.throat",
        "_along",
        "0 -> 1 in (:, 0)",
    ): "the middle and one end tell the other end to a hair",
    (
        "cutpath.cut.simulate.throat",
        "_reaches",
        "min -> max in min(through, default=radius)",
    ): "one arc goes through a corner",
    ("cutpath.cut.simulate.throat", "throats_as_cut", "Add -> Sub in reach + off"): "0.05 mm at the mouths of a relief",
    (
        "cutpath.cut.simulate.edge",
        "Edge.distances",
        "False -> True in self._tree.query_nearest(geometries, return_distance=True, all_matches=False)",
    ): "of several nearest all are as near",
    (
        "cutpath.cut.simulate.compare",
        "_holder",
        "max -> min in max(((float(design.intersection(pieces[i]).area), int(i)) for i in near), default=(0.0, -1",
    ): "the first look only saves the second, which finds the same",
    ("cutpath.inspect.find.contours", "direction", "And -> Or in left and right"): "the fewer of the two are none then",
    (
        "cutpath.inspect.find.contours",
        "zero_length",
        "1.0 -> 2.0 in _short(look, -1.0, NO_LENGTH)",
    ): "no length is less than nothing",
    (
        "cutpath.inspect.find.contours",
        "_short",
        "Lt -> LtE in least < length <= most",
    ): "a segment of the limit to the last bit",
    (
        "cutpath.inspect.find.contours",
        "_short",
        "LtE -> Lt in least < length <= most",
    ): "a segment of the limit to the last bit",
    ("cutpath.inspect.find.contours", "split_ends", "0 -> 1 in end.mate < 0"): "the pair is found from its other end",
    ("cutpath.inspect.find.tool", "tight_radius", "Lt -> LtE in len(rows) < 3"): "a place on the arc or on its chord",
    ("cutpath.inspect.find.tool", "tight_radius", "Lt -> LtE in course.bulge[row] < 0"): "a straight is no arc",
    ("cutpath.inspect.find.tool", "narrow_slot", "Mult -> Div in radius * radius"): "how small a sliver is passed over",
    (
        "cutpath.inspect.find.tool",
        "narrow_slot",
        "Lt -> LtE in piece.area < radius * radius / 100",
    ): "how small a sliver is passed over",
    ("cutpath.inspect.find.tool", "narrow_slot", "LtE -> Lt in radius <= 0"): "a tool of 0.02 mm to the last bit",
    (
        "cutpath.inspect.find.whole",
        "_largest",
        "3 -> 4 in len(p) > 3",
    ): "an oblong has five places, its first one twice",
    (
        "cutpath.inspect.find.whole",
        "_fits",
        "LtE -> Lt in across <= long * 0.001",
    ): "a cut as thin as that to the last bit",
    (
        "cutpath.inspect.find.looked",
        "_is_dot",
        "any -> all in any(chain.bulges)",
    ): "a half moon of a hundredth of a millimetre",
    ("cutpath.inspect.find.looked", "Looked.contacts", "0 -> 1 in (0, 0)"): "of marks, which may touch",
    ("cutpath.inspect.find.looked", "Looked.depth", "USub dropped in -1"): "asked for only of what lies in another",
    ("cutpath.inspect.find.looked", "Looked.board", "0 -> 1 in p.area > 0"): "a board of a square millimetre",
    ("cutpath.cut.relief", "behind", "1 -> 2 in top - 1"): "of a mirrored part the seat's back, of another one a tooth",
    ("cutpath.dxf.audit", "_apart", "GtE -> Gt in one[1] >= other[3]"): "a note against the geometry to the last bit",
    ("cutpath.cut.offset.chain", "offset_chain", "0 -> 1 in chain.points[0]"): "its points are one",
    (
        "cutpath.inspect.find.contours",
        "_at_shared",
        "Add -> Sub in (look.kerf or 2 * _WIDEST) / 2 + JOINED",
    ): "0.02 mm of how near an end lies",
    (
        "cutpath.inspect.find.contours",
        "_at_shared",
        "3 -> 4 in 3 * reach",
    ): "how much of its own contour beside an end is passed over",
    ("cutpath.inspect.find.contours", "length_words", "Lt -> LtE in mm < 1"): "how a whole millimetre is written",
    (
        "cutpath.inspect.find.contours",
        "split_ends",
        "Add -> Sub in round(gap / _ONE_WIDTH) + d",
    ): "a width more and one less, in the other order",
    ("cutpath.inspect.find.contours", "order", "Gt -> GtE in first > then"): "no contour lies in itself",
    ("cutpath.inspect.find.looked", "Looked.contacts", "1 -> 2 in [-1]"): "of marks, which are in no contour",
    ("cutpath.inspect.find.looked", "Looked.contacts", "USub dropped in -1"): "of marks, which are in no contour",
    (
        "cutpath.inspect.find.looked",
        "Looked.depth",
        "0 -> 1 in shapely.get_point(shapely.get_exterior_ring(polygons), 0)",
    ): "any point of a ring",
    ("cutpath.inspect.find.looked", "Looked.board", "Gt -> GtE in p.area > 0"): "nothing lies on a board without area",
    ("cutpath.inspect.contacts", "_span", "GtE -> Gt in c.sweep[i] >= 0"): "no arc has no sweep",
    ("cutpath.inspect.contacts", "_Pairs._tangent", "2 -> 3 in 2 * ARC_CHORD"): "a micrometre of tolerance more",
    (
        "cutpath.inspect.contacts",
        "_Pairs._meet_again",
        "2 -> 3 in 2 * JOINED",
    ): "0.01 mm of what is left out beside an end",
    (
        "cutpath.inspect.contacts",
        "_Pairs._meet_again",
        "0.0 -> 1.0 in np.where(c.curved[i], c.radius[i], 0.0)",
    ): "the greater of the two counts",
    ("cutpath.inspect.contacts", "contacts", "0 -> 1 in np.zeros(0, dtype=bool)"): "where nothing is there at all",
    (
        "cutpath.inspect.contacts",
        "_Pairs._joints",
        "1 -> 2 in np.array(self.joined.degree, dtype=np.int64).reshape(-1, 2)",
    ): "any number under none stands for the rest",
    ("cutpath.inspect.contacts", "_Pairs.__init__", "1 -> 2 in len(course) + 1"): "a last one that is not read",
    (
        "cutpath.inspect.contacts",
        "_Pairs._joints",
        "0 -> 1 in max(len(self.sound) - 1, 0)",
    ): "where nothing is there at all",
    ("cutpath.inspect.near", "pairs", "0 -> 1 in np.zeros(0, dtype=np.int64)"): "where nothing is there at all",
    ("cutpath.inspect.near", "pairs", "16 -> 17 in 16 * step"): "how many are asked after at a time",
    ("cutpath.inspect.near", "pairs", "Mult -> Div in 16 * step"): "how many are asked after at a time",
    ("cutpath.inspect.near", "pairs", "Lt -> Gt in each.shape[1] < 16 * step"): "how many are asked after at a time",
    ("cutpath.inspect.near", "pairs", "Lt -> LtE in each.shape[1] < 16 * step"): "how many are asked after at a time",
    (
        "cutpath.inspect.near",
        "pairs",
        "condition turned round in each.shape[1] < 16 * step",
    ): "how many are asked after at a time",
    (
        "cutpath.inspect.near",
        "pairs",
        "4096 -> 4097 in 4096 if each.shape[1] < 16 * step else _STEP",
    ): "how many are asked after at a time",
    ("cutpath.inspect.near", "pairs", "Gt -> GtE in count > MOST_PAIRS"): "a pair more of two million",
    ("cutpath.inspect.near", "pairs", "0 -> 1 in count = 0"): "a pair more of two million",
    ("cutpath.inspect.near", "pairs", "Lt -> LtE in first < len(shapes)"): "a last step of nothing",
    ("cutpath.inspect.contours", "_nodes", "4 -> 5 in x / near * 4"): "cells finer by one",
    ("cutpath.inspect.contours", "_nodes", "Lt -> Gt in pairs[0] < pairs[1]"): "the same pairs, the other way round",
    ("cutpath.inspect.contours", "_nodes", "Lt -> LtE in pairs[0] < pairs[1]"): "no place is told from itself",
    (
        "cutpath.inspect.contours",
        "join",
        "Gt -> GtE in len(chains[k].points) > 2",
    ): "a line without length, which is no contour",
    ("cutpath.inspect.contours", "join", "0 -> 1 in (0, 0)"): "of closed ones, which are not asked",
    ("cutpath.inspect.contours", "_walk", "False -> True in (start, False)"): "which is asked for, and not how it runs",
    ("cutpath.outline", "Chain.flattened", "2 -> 3 in math.pi / 2"): "arcs smaller than a chord may be off",
    ("cutpath.outline", "Chain.flattened", "Div -> Mult in math.pi / 2"): "arcs smaller than a chord may be off",
    ("cutpath.outline", "Arc.covers", "GtE -> Gt in self.sweep >= 0"): "no arc has no sweep",
    ("cutpath.design.stringer", "build_stringer", "Sub -> Add in max(xs) - min(xs)"): "the least x is 0",
    (
        "cutpath.design.stringer",
        "build_stringer",
        "GtE -> Gt in y_heel >= y_top",
    ): "a heel without height to the last bit",
    (
        "cutpath.design.stringer",
        "build_stringer",
        "0 -> 1 in width <= 0",
    ): "what is narrower than a notch is deep is refused next",
    (
        "cutpath.cut.simulate.compare",
        "_holder",
        "Lt -> LtE in area < design.area / 2",
    ): "the first look only saves the second, which finds the same",
    ("cutpath.dxf.audit", "_key", "condition turned round in a <= b"): "one of the two ways round for all",
    ("cutpath.dxf.audit", "_key", "LtE -> Gt in a <= b"): "one of the two ways round for all",
    ("cutpath.dxf.audit", "_apart", "GtE -> Gt in one[0] >= other[2]"): "a note against the geometry to the last bit",
    ("cutpath.dxf.audit", "_apart", "LtE -> Lt in one[3] <= other[1]"): "a note against the geometry to the last bit",
    ("cutpath.dxf.audit", "_apart", "LtE -> Lt in one[2] <= other[0]"): "a note against the geometry to the last bit",
    (
        "cutpath.dxf.read_back",
        "read_dxf",
        "1000 -> 1001 in _ACADVER.search(data, 0, 1000)",
    ): "how far a version is looked for",
    (
        "cutpath.dxf.read_back",
        "read_dxf",
        "0 -> 1 in _ACADVER.search(data, 0, 1000)",
    ): "no version stands in the first letter",
    ("cutpath.dxf.audit", "_key", "Add -> Sub in bulge + 0.0"): "no bulge is as much as none",
    ("cutpath.inspect.against.compare", "_Compare._throats", "100000.0 -> 100001.0 in x + 100000.0"): "beyond any part",
    ("cutpath.inspect.against.compare", "_Compare._throats", "100000.0 -> 100001.0 in x - 100000.0"): "beyond any part",
    (
        "cutpath.inspect.against.compare",
        "_Compare._throats",
        "100000.0 -> 100001.0 in shapely.box(x - 100000.0, -100000.0, x + 100000.0, y - 0.5 * notch.throat)",
    ): "beyond any part",
    (
        "cutpath.inspect.against.compare",
        "_Compare._throats",
        "64 -> 65 in self.map(shapely.Point(c)).buffer(r / self.lie.scale, 64)",
    ): "chords finer by one",
    ("cutpath.inspect.against.compare", "_Compare._triangles", "Add -> Sub in k + way"): "both ways are run",
    (
        "cutpath.inspect.against.compare",
        "_Compare._triangles",
        "Gt -> GtE in _apart(points[k], notch.corner) > 2 * self.tool + 5",
    ): "on the bound to the last bit",
    (
        "cutpath.inspect.against.compare",
        "_Compare._notches",
        "Lt -> LtE in piece.distance(shapely.Point(corner)) < self.tool + 1",
    ): "on the bound to the last bit",
    (
        "cutpath.inspect.against.compare",
        "_Compare._reliefs",
        "Gt -> GtE in p.area > 0.001 * self.tool ** 2",
    ): "on the bound to the last bit",
    (
        "cutpath.inspect.against.compare",
        "_Compare._holes",
        "Gt -> GtE in abs(2 * rounds[k][1] - hole.diameter) > _SIZE",
    ): "on the bound to the last bit",
    ("cutpath.inspect.against.compare", "_Compare._holes", "Gt -> GtE in off > _SIZE"): "on the bound to the last bit",
    ("cutpath.inspect.against.compare", "_Compare._inner", "Gt -> GtE in off > _SIZE"): "on the bound to the last bit",
    (
        "cutpath.inspect.against.compare",
        "_Compare._inner",
        "Lt -> LtE in best[1] < _SAME",
    ): "on the bound to the last bit",
    (
        "cutpath.inspect.against.compare",
        "_Compare._inner",
        "USub dropped in -1",
    ): "with nothing common no index is read",
    (
        "cutpath.inspect.against.compare",
        "_Compare._inner",
        "1 -> 2 in (-1, 0.0)",
    ): "with nothing common no index is read",
    (
        "cutpath.inspect.against.compare",
        "_Compare._deviation",
        "And -> Or in gone is not None and len(points)",
    ): "nothing intersects no region, and of no points none is left out",
    (
        "cutpath.inspect.against.compare",
        "_Compare._deviation",
        "Gt -> GtE in off[k] > worst",
    ): "either place is as far off",
    (
        "cutpath.inspect.against.compare",
        "_Compare._deviation",
        "Gt -> GtE in there[:, 1] > low + _EDGE",
    ): "on the bound to the last bit",
    (
        "cutpath.inspect.against.compare",
        "_Compare._deviation",
        "Gt -> GtE in here[:, 1] > low - _EDGE",
    ): "on the bound to the last bit",
    ("cutpath.inspect.against.compare", "_as_cut", "Gt -> GtE in grown > 0"): "nothing grown has come back before",
    (
        "cutpath.inspect.against.compare",
        "_common",
        "Or -> And in other.is_empty or not one.intersects(other)",
    ): "nothing meets what is empty, and what doesn't meet has nothing in common",
    (
        "cutpath.inspect.against.compare",
        "_common",
        "0.0 -> 1.0 in float(one.intersection(other).area / both) if both else 0.0",
    ): "polygons that meet cover something",
    (
        "cutpath.inspect.against.compare",
        "_Compare._deviation",
        "Sub -> Add in low - _EDGE",
    ): "two hundredths of a millimetre above the edge or below",
    (
        "cutpath.inspect.against.followed",
        "follow",
        "Gt -> GtE in each[0].length > _PIECE",
    ): "on the bound to the last bit",
    ("cutpath.inspect.against.followed", "_holes", "Gt -> GtE in off > _SIZE"): "on the bound to the last bit",
    (
        "cutpath.inspect.against.followed",
        "_holes",
        "0 -> 1 in each[0]",
    ): "stands for the type alone: a drilled hole has a centre",
    ("cutpath.inspect.against.followed", "follow", "Gt -> GtE in off > CUT"): "on the bound to the last bit",
    (
        "cutpath.inspect.against.followed",
        "follow",
        "1.0 -> 2.0 in outline / program.whole[number] if program.whole[number] else 1.0",
    ): "never more than 1 is told",
    ("cutpath.inspect.against.followed", "_pockets", "Gt -> GtE in off > _SIZE"): "on the bound to the last bit",
    ("cutpath.inspect.against.program", "_shares", "LtE -> Lt in other <= SAME_LINE"): "on the bound to the last bit",
    (
        "cutpath.inspect.against.program",
        "_shares",
        "Lt -> LtE in np.all((along >= low) & (along <= high), axis=1).mean() < _LEAST",
    ): "on the bound to the last bit",
    ("cutpath.inspect.against.program", "_shares", "LtE -> Lt in along <= high"): "on the bound to the last bit",
    ("cutpath.inspect.against.program", "which", "Lt -> LtE in best[1] < _LEAST"): "on the bound to the last bit",
    ("cutpath.inspect.against.program", "which", "LtE -> Lt in best[0] <= _SURE"): "on the bound to the last bit",
    ("cutpath.inspect.against.whole", "_told", "Sub -> Add in least - LIMIT_SLACK"): "a millionth of a millimetre",
    (
        "cutpath.inspect.against.whole",
        "_told",
        "Gt -> GtE in abs(lie.scale - 1) > _SCALED",
    ): "on the bound to the last bit",
    (
        "cutpath.inspect.against.whole",
        "_told",
        "Lt -> LtE in abs(lie.scale / size - 1) < 0.005",
    ): "on the bound to the last bit",
    (
        "cutpath.inspect.against.whole",
        "_told",
        "Gt -> GtE in compared.deviation > MOST_OFF",
    ): "on the bound to the last bit",
    (
        "cutpath.inspect.against.whole",
        "_believed",
        "Gt -> GtE in abs(lie.scale / size - 1) > _SCALED",
    ): "on the bound to the last bit",
    (
        "cutpath.inspect.against.whole",
        "_likeliest",
        "Lt -> LtE in abs(off - size) < most",
    ): "on the bound to the last bit",
    (
        "cutpath.inspect.against.whole",
        "_unknown",
        "GtE -> Gt in each.outline.area >= _LEAST * least",
    ): "on the bound to the last bit",
    (
        "cutpath.inspect.against.whole",
        "held_against",
        "2 -> 3 in round(each.outline.length, 2)",
    ): "fewer are held for alike, and are looked at again",
    (
        "cutpath.inspect.against.whole",
        "held_against",
        "1 -> 2 in round(each.outline.area, 1)",
    ): "fewer are held for alike, and are looked at again",
    (
        "cutpath.inspect.against.whole",
        "_best",
        "Sub -> Add in lie.share - (0.005 if lie.mirrored else 0.0) - (0.002 if lie.grown != grown[0] else 0.0)",
    ): "the nearest in shape comes first, and where it is whole the last",
    (
        "cutpath.inspect.against.whole",
        "_best",
        "0.002 -> 1.002 in 0.002 if lie.grown != grown[0] else 0.0",
    ): "less, by however much",
    (
        "cutpath.inspect.against.whole",
        "_best",
        "0.999 -> 1.999 in rank > 0.999",
    ): "no more are looked for where one is whole",
    (
        "cutpath.cut.relief",
        "fillet_in",
        "Lt -> LtE in 0 < radius < min(room_a, room_b)",
    ): "on the bound to the last bit",
}

#: A bound with a tolerance on it, or one that is a tolerance. Whether what lies on it to the last bit is let through is
#: nobody's matter: such comparisons' mutants "or equal" are accepted.
_AT_A_TOLERANCE = re.compile(
    r"(Lt -> LtE|LtE -> Lt|Gt -> GtE|GtE -> Gt) in .*"
    r"(\b[A-Z_]*SLACK|\bslack|\b_SHARE|SAME_POINT|FILE_MATCH|ARC_CHORD|JOINED|self\.near|self\.along|_FITS|_IN_LINE|"
    r"\bapart <= reach|_LONG|_ACROSS|_CORNER|\b1e-\d+)"
)

_COMPARE: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.Gt),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.Lt),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
}
_OPERATOR: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
}
_CALLS = {"min": "max", "max": "min", "any": "all", "all": "any", "floor": "ceil", "ceil": "floor", "sin": "cos"}
_CALLS |= {"cos": "sin"}

#: Of the tests that reach a line, quickest first, those that together take so long, seconds of processor time.
BUDGET = 4.0
#: A test that takes longer, watched, is not tried at all.
LONGEST = 12.0
#: A test is endless when it takes so many times the time that it took when it was watched, and a second.
TIMES = 3
#: What is written meanwhile may take so much memory, bytes.
MEMORY = 4 << 30
#: Files whose tests were made for what is tried: their tests come first, and then the others, quickest first.
_BY_HAND = re.compile(r"_held|_by_hand|test_throat|test_outline|test_paths|test_bill")
#: So many calls of one function are followed line by line in one test.
FOLLOWED = 300
#: Where words go while pytest is quiet.
SHOWN = sys.stdout


class Mutant:
    """One change: the function it is in, its lines, what it reads as, and how to make it in the tree."""

    def __init__(
        self, owner: str, lines: range, line: int, words: str, make: Callable[[], None], undo: Callable[[], None]
    ) -> None:
        self.owner, self.lines, self.line, self.words, self.make, self.undo = owner, lines, line, words, make, undo
        self.key = ""


def changes(node: ast.AST) -> Iterator[tuple[str, ast.AST | None]]:
    """What can be put in a node's place; None: nothing, where it is a statement."""

    def new(**fields: object) -> ast.AST:
        other = copy.copy(node)
        for name, value in fields.items():
            setattr(other, name, value)
        return other

    match node:
        case ast.Compare(ops=ops):
            for index, op in enumerate(ops):
                for kind in _COMPARE.get(type(op), ()):
                    yield f"{type(op).__name__} -> {kind.__name__}", new(ops=[*ops[:index], kind(), *ops[index + 1 :]])
        case ast.BinOp(op=op) if type(op) in _OPERATOR:
            kind = _OPERATOR[type(op)]
            yield f"{type(op).__name__} -> {kind.__name__}", new(op=kind())
        case ast.BoolOp(op=ast.And()):
            yield "And -> Or", new(op=ast.Or())
        case ast.BoolOp(op=ast.Or()):
            yield "Or -> And", new(op=ast.And())
        case ast.UnaryOp(op=ast.USub() | ast.Not(), operand=operand):
            yield f"{type(node.op).__name__} dropped", operand
        case ast.Constant(value=bool() as value):
            yield f"{value} -> {not value}", new(value=not value)
        case ast.Constant(value=int() | float() as value):
            yield f"{value} -> {value + 1}", new(value=value + 1)
        case ast.Name(id=name, ctx=ast.Load()) if name in _CALLS:
            yield f"{name} -> {_CALLS[name]}", new(id=_CALLS[name])
        case ast.Attribute(attr=name, value=ast.Name(id="math")) if name in _CALLS:
            yield f"{name} -> {_CALLS[name]}", new(attr=_CALLS[name])
        case ast.If(test=test) | ast.IfExp(test=test):
            yield "condition turned round", new(test=ast.UnaryOp(ast.Not(), test))
        case ast.Raise() | ast.Continue() | ast.Break():
            yield f"{type(node).__name__} left out", ast.copy_location(ast.Pass(), node)


class Tree:
    """A module's syntax tree, and the mutants of its functions; docstrings and annotations are let be."""

    def __init__(self, module: str, source: str) -> None:
        self.module, self.whole = module, ast.parse(source)
        self.mutants: list[Mutant] = []
        self.functions: dict[str, ast.AST] = {}
        self._walk(self.whole, "", False, range(0), [])
        for mutant in self.mutants:
            mutant.make()
            text = ast.unparse(self.functions[mutant.owner])
            mutant.undo()
            mutant.key = f"{module}:{mutant.owner}:{hashlib.sha1(text.encode()).hexdigest()[:14]}"

    def _walk(self, node: ast.AST, owner: str, inside: bool, lines: range, above: list[ast.AST]) -> None:
        for name, value in ast.iter_fields(node):
            if name in ("annotation", "returns", "decorator_list") or isinstance(value, ast.arguments):
                continue
            for index, child in enumerate(value if isinstance(value, list) else [value]):
                if not isinstance(child, ast.AST):
                    continue
                # Words are for people; golden files and docs hold them. A strict zip only ever fails where others do.
                if isinstance(child, ast.JoinedStr) or (isinstance(child, ast.keyword) and child.arg == "strict"):
                    continue
                place = index if isinstance(value, list) else None
                named = isinstance(child, ast.FunctionDef | ast.ClassDef)
                here = f"{owner}.{child.name}".lstrip(".") if named and not inside else owner
                within = inside or isinstance(child, ast.FunctionDef)
                if named and not inside:
                    self.functions[here] = child
                if isinstance(child, ast.stmt):
                    heads = [n for n in ast.iter_child_nodes(child) if isinstance(n, ast.expr)]
                    end = max([n.end_lineno or 0 for n in heads], default=child.lineno)
                    around = range(child.lineno, end + 1)
                else:
                    around = lines
                if inside:
                    for words, other in changes(child):
                        self._add(node, name, place, child, other, owner, around, words, above)
                self._walk(child, here, within, around, [*above, node])

    def _add(
        self, node: ast.AST, name: str, place: int | None, child: ast.AST, other: ast.AST | None,
        owner: str, lines: range, words: str, above: list[ast.AST],
    ) -> None:  # fmt: skip
        def make() -> None:
            _exchange(node, name, place, other)
            ast.fix_missing_locations(self.whole)

        def undo() -> None:
            _exchange(node, name, place, child)

        if isinstance(child, ast.If | ast.IfExp):
            text = ast.unparse(child.test)
        elif isinstance(child, ast.Constant | ast.Name | ast.Attribute):
            shown: ast.AST = node
            for higher in reversed(above):
                if isinstance(shown, ast.keyword | ast.UnaryOp | ast.Attribute | ast.comprehension):
                    shown = higher
            text = ast.unparse(shown).partition("\n")[0]
        else:
            text = ast.unparse(child)
        words = f"{words} in {text[:90]}"
        self.mutants.append(Mutant(owner, lines, getattr(child, "lineno", 0), words, make, undo))


def _exchange(node: ast.AST, name: str, place: int | None, child: ast.AST | None) -> None:
    if place is None:
        setattr(node, name, child)
    else:
        getattr(node, name)[place] = child


def put_in(module: types.ModuleType, tree: ast.Module, owner: str) -> None:
    """Give the function's code as it stands in a tree to the one that everything else already knows."""
    names = vars(types.ModuleType(module.__name__))
    names.update(__name__=module.__name__, __package__=module.__package__, __file__=module.__file__)
    exec(compile(tree, str(module.__file__), "exec"), names)  # the module anew, its other parts unused
    old: object = module
    new: object = types.SimpleNamespace(**{k: v for k, v in names.items() if k.isidentifier()})
    for step in owner.split("."):
        old, new = _static(old, step), _static(new, step)
    before, after = plain(old).__code__, plain(new).__code__
    plain(old).__code__ = after
    # What a function made when everything was imported, a look of a table, has its own code.
    inner = dict(zip(_inner(before), _inner(after), strict=True))
    if inner:
        gc.unfreeze()
        for each in gc.get_objects():
            if isinstance(each, types.FunctionType) and each.__code__ in inner:
                each.__code__ = inner[each.__code__]


def _inner(code: types.CodeType) -> list[types.CodeType]:
    """Code of functions made in a function, not of what it runs itself."""
    return [c for c in code.co_consts if isinstance(c, types.CodeType) and not c.co_name.startswith("<")]


def _static(holder: object, name: str) -> object:
    return vars(holder)[name] if isinstance(holder, type) else getattr(holder, name)


def plain(function: object) -> types.FunctionType:
    """The function below caches, properties, static and class methods."""
    for name in ("fget", "__func__", "__wrapped__", "func"):
        if not isinstance(function, types.FunctionType) and hasattr(function, name):
            function = getattr(function, name)
    while hasattr(function, "__wrapped__"):
        function = function.__wrapped__
    assert isinstance(function, types.FunctionType), function
    return function


def in_child(work: Callable[[], object]) -> tuple[int, object]:
    """Do some work in a process of its own: its status, and what it gave back."""
    get, put = os.pipe()
    pid = os.fork()
    if pid == 0:
        os.close(get)
        os.setpgid(0, 0)
        signal.alarm(900)  # what waits for ever takes no processor time
        resource.setrlimit(resource.RLIMIT_DATA, (MEMORY, MEMORY))
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        os.dup2(1, 2)
        status = 3
        with contextlib.suppress(BaseException):
            given = pickle.dumps(work())
            with os.fdopen(put, "wb") as pipe:
                pipe.write(given)
            status = 0
        os._exit(status)
    os.close(put)
    with os.fdopen(get, "rb") as pipe:
        given = pipe.read()
    code = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    return code, pickle.loads(given) if given else None


def sha(path: Path) -> str:
    return hashlib.sha1(path.read_bytes()).hexdigest()


class Reached:
    """Which tests reach which lines and functions of the modules, each run by itself once; kept by files' hashes."""

    def __init__(self, files: dict[str, str]) -> None:
        self.files, self.path = files, KEPT / "reached.pickle"
        self.of: dict[str, dict[str, object]] = pickle.loads(self.path.read_bytes()) if self.path.exists() else {}
        self.shas = {name: sha(Path(file)) for file, name in files.items()}

    def collect(self, items: list[pytest.Item]) -> None:
        """Run what has not been run since its file changed."""
        stale = [i for i in items if self.of.get(i.nodeid, {}).get("sha") != sha(i.path)]
        begun = time.monotonic()
        for index, item in enumerate(stale):
            code, seen = in_child(lambda item=item: self.watched(item))
            entry = {"sha": sha(item.path), "passed": code == 0, "of": self.shas}
            self.of[item.nodeid] = entry | (seen if isinstance(seen, dict) else {"passed": False})
            if index % 50 == 49 or index + 1 == len(stale):
                print(
                    f"  {index + 1} of {len(stale)} tests watched, {time.monotonic() - begun:.0f} s",
                    file=SHOWN,
                    flush=True,
                )
                self.path.write_bytes(pickle.dumps(self.of))

    def watched(self, item: pytest.Item) -> dict[str, object]:
        """Run a test as it is: its processor time, and the lines and functions that it reached."""
        lines: set[tuple[str, int]] = set()
        calls: dict[types.CodeType, int] = {}
        files = self.files

        def by_line(frame: types.FrameType, event: str, arg: object) -> object:
            if event == "line":
                lines.add((frame.f_code.co_filename, frame.f_lineno))
            return by_line

        def by_call(frame: types.FrameType, event: str, arg: object) -> object:
            code = frame.f_code
            if code.co_filename not in files:
                return None
            calls[code] = calls.get(code, 0) + 1
            return by_line if calls[code] < FOLLOWED else None

        signal.setitimer(signal.ITIMER_PROF, LONGEST)
        begun = time.process_time()
        sys.settrace(by_call)
        threading.settrace(by_call)
        good = passes(item)
        sys.settrace(None)
        took = time.process_time() - begun
        assert good, item.nodeid
        return {
            "took": took,
            "lines": {(files[file], line) for file, line in lines},
            "functions": {(files[code.co_filename], code.co_qualname.partition(".<")[0]) for code in calls},
        }

    def tests_of(self, module: str, mutant: Mutant, guards: set[str], budget: float) -> list[str]:
        """The tests that reach a mutant's lines (its function, where the module changed since), quickest first."""
        found = []
        for test, entry in self.of.items():
            if (
                test.partition("::")[0] not in guards
                or not entry["passed"]
                or (module, mutant.owner) not in entry["functions"]
            ):
                continue
            same = entry["of"].get(module) == self.shas[module]
            if same and not any((module, line) in entry["lines"] for line in mutant.lines):
                continue
            found.append((not _BY_HAND.search(test), entry["took"], test))
        total, chosen = 0.0, []
        for _, took, test in sorted(found):
            total += took
            if total > budget:
                break
            chosen.append(test)
        return chosen


def accepted(module: str, mutant: Mutant) -> bool:
    return (module, mutant.owner, mutant.words) in ACCEPTED or bool(_AT_A_TOLERANCE.match(mutant.words))


def passes(item: pytest.Item) -> bool:
    return not any(report.failed for report in runtestprotocol(item, nextitem=None, log=False))


class Trials:
    """A plug-in of pytest that, once tests are collected, tries mutants with them in place of running them."""

    def __init__(self, asked: argparse.Namespace, trees: dict[str, Tree]) -> None:
        self.asked, self.trees = asked, trees
        self.path = KEPT / "results.json"
        self.results: dict[str, list[str]] = json.loads(self.path.read_text()) if self.path.exists() else {}

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        base = session.config._tmp_path_factory.getbasetemp()  # made once, not by each child
        for each in gc.get_objects():
            if isinstance(each, functools._lru_cache_wrapper):
                each.cache_clear()  # what was worked out while tests were collected
        gc.collect()
        gc.freeze()
        modules = {name: importlib.import_module(name) for name in self.trees}
        reached = Reached({str(importlib.import_module(name).__file__): name for name in MODULES})
        reached.collect(session.items)
        self.items = {item.nodeid: item for item in session.items}
        self.guarded = {
            f"cutpath.{name}": {f"tests/{test}.py" for test in tests}
            for names, tests in GUARDS.items()
            for name in names
        }
        reached.of = {test: entry for test, entry in reached.of.items() if test in self.items}
        for name, tree in self.trees.items():
            sound: dict[str, bool] = {}
            every = list(tree.mutants)
            random.Random(self.asked.seed).shuffle(every)
            for mutant in every[: self.asked.most]:
                kind = self.results.get(mutant.key, ["new"])[0]
                if accepted(name, mutant):
                    continue
                if kind not in ("new", "survived", "unreached")[: 3 if self.asked.again else 1]:
                    continue
                tests = reached.tests_of(name, mutant, self.guarded[name], self.asked.budget)
                if mutant.owner not in sound:
                    # Unchanged code put in the same way must pass, else nothing is told by a find.
                    sound[mutant.owner] = (
                        self.tried(modules[name], tree, mutant.owner, tests[:4], reached)[0] == "survived"
                    )
                if not sound[mutant.owner]:
                    self.results[mutant.key] = ["broken", ""]
                elif not tests:
                    self.results[mutant.key] = ["unreached", ""]
                else:
                    mutant.make()
                    self.results[mutant.key] = list(self.tried(modules[name], tree, mutant.owner, tests, reached))
                    mutant.undo()
                shutil.rmtree(base, ignore_errors=True)
                base.mkdir(mode=0o700, exist_ok=True)
                if self.results[mutant.key][0] in ("survived", "unreached"):
                    print(f"  ... {name}:{mutant.line} {mutant.owner}: {mutant.words}", file=SHOWN, flush=True)
                self.path.write_text(json.dumps(self.results, indent=0))
            self.told(name, every[: self.asked.most], len(every))
        return True

    def told(self, name: str, tried: list[Mutant], every: int) -> None:
        """Say a module's figures and what survived."""
        seen = {"found": 0, "accepted": 0, "survived": 0, "unreached": 0, "broken": 0, "new": 0}
        for mutant in tried:
            kind = self.results.get(mutant.key, ["new"])[0]
            if kind != "found" and accepted(name, mutant):
                kind = "accepted"
            elif kind in ("survived", "unreached", "broken"):
                print(f"  {kind}: {name}:{mutant.line} {mutant.owner}: {mutant.words}", file=SHOWN)
            seen[kind] += 1
        print(f"{name:34}{len(tried):5} of {every}: {seen}", file=SHOWN, flush=True)

    def tried(
        self, module: types.ModuleType, tree: Tree, owner: str, tests: list[str], reached: Reached
    ) -> tuple[str, str]:
        """Run tests with the tree's code: "found" and by which test, "survived", or "broken": it can't be put in."""
        get, put = os.pipe()

        def work() -> tuple[str, str]:
            try:
                put_in(module, tree.whole, owner)
            except Exception:
                return "broken", ""
            for test in tests:
                os.write(put, test.encode() + b"\n")
                signal.setitimer(signal.ITIMER_PROF, TIMES * float(reached.of[test]["took"]) + 1)
                if not passes(self.items[test]):
                    return "found", test
            return "survived", ""

        os.set_blocking(put, False)
        code, answer = in_child(work)
        os.close(put)
        with os.fdopen(get, "rb") as pipe:
            last = pipe.read().decode().split("\n")[-2:][0]
        return answer if code == 0 and isinstance(answer, tuple) else ("found", f"{last} (ended)")


def main() -> None:
    """Try what is asked for, and print what survived and the figures."""
    said = argparse.ArgumentParser(description=__doc__)
    said.add_argument("modules", nargs="*", help="modules, or the start of their names; none: all")
    said.add_argument("--most", type=int, default=60, help="mutants of each module")
    said.add_argument("--seed", type=int, default=1)
    said.add_argument("--budget", type=float, default=BUDGET, help="seconds of tests for each mutant")
    said.add_argument("--again", action="store_true", help="try what survived once more")
    said.add_argument("--figures", action="store_true", help="only say what was tried before")
    said.add_argument("--list", action="store_true", help="only count")
    asked = said.parse_args()
    os.environ["CI"] = "1"
    sys.path.insert(0, str(ROOT))
    os.chdir(ROOT)
    KEPT.mkdir(parents=True, exist_ok=True)

    def chosen(names: Iterable[str]) -> list[str]:
        return [n for n in names if not asked.modules or any(n.startswith(each) for each in asked.modules)]

    trees = {}
    for short in chosen(name for names in GUARDS for name in names):
        name = f"cutpath.{short}"
        trees[name] = Tree(name, (ROOT / (name.replace(".", "/") + ".py")).read_text(encoding="utf-8"))
        if asked.list:
            print(f"{name:36}{len(trees[name].mutants):5}")
    if asked.list:
        return
    if asked.figures:
        trials = Trials(asked, trees)
        for name, tree in trees.items():
            random.Random(asked.seed).shuffle(tree.mutants)
            trials.told(name, tree.mutants[: asked.most], len(tree.mutants))
        return
    importlib.import_module("tests.conftest")
    # What is found need not be made small.
    phases = [Phase.explicit, Phase.generate]
    settings.register_profile("mutants", settings.get_profile("ci"), phases=phases, database=None)
    settings.load_profile("mutants")
    files = {f"tests/{test}.py": 0 for names, tests in GUARDS.items() for test in tests if chosen(names)}
    options = ["-q", "-p", "no:cacheprovider", "-p", "no:xdist", "-s", "-o", "addopts=", "--tb=native"]
    with contextlib.redirect_stdout(io.StringIO()):
        pytest.main([*options, *files], plugins=[Trials(asked, trees)])


if __name__ == "__main__":
    main()
