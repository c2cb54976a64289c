"""What a job file's keys come to, and the line that each fault is told in: written down here key by key."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from cutpath.faults import JobFaults
from cutpath.job.read import ReadJob, job_of
from cutpath.stockfile.read import stock_of

LANDING = "[site]\ntotal_rise = 40\n"


def read(text: str) -> ReadJob:
    return job_of(tomllib.loads(text), Path("a.toml"))


def faults(data: dict[str, Any] | str) -> list[str]:
    """Every line of fault, without the file's name; none where it reads."""
    try:
        job_of(tomllib.loads(data) if isinstance(data, str) else data, Path("a.toml"))
    except JobFaults as fault:
        return [line.removeprefix("a.toml: ") for line in fault.lines]
    return []


# Where the unit is at fault nothing is known of lengths.

NO_UNIT = 'units: "cm" is not accepted: write "in" or "mm"'


@pytest.mark.parametrize("size", [10**400, 1e300, 1e308, 38, 0], ids=["whole", "1e300", "1e308", "38", "0"])
def test_a_unit_at_fault_is_told_alone_whatever_the_lengths_are(size: float) -> None:
    """Bounds, comparisons of keys and square roots of taut tapes would each be in a unit that nobody stated."""
    jobs: list[dict[str, Any]] = [
        {"site": {"profile": [[0, 1], {"along": size, "down": 0}, {"along": 0, "down": size}]}},
        {"site": {"profile": [[size, 1], [size, 1]], "pad_reveal": {"least": size, "most": 1}}},
        {"site": {"total_rise": size, "above": [{"out": size, "up": 1}, {"out": -5, "up": 3}]}},
        {"stringer": {"edge_trim": size}},
        {"stringer": {"form": "plate", "plate": {"bracket": {"slot": size, "diameter": size}}}},
        {"support": [{"at": size, "length": size}, {"at": size, "length": size}]},
        {"stock": [{"size": [size, size], "length": size, "widths": [size], "defects": [[size, 2], [0, size]]}]},
        {"stringer": {"sill_notch": {"deep": size, "high": size}}, "extras": {"sill_plate": True}},
        {"stringer": {"form": "housed"}, "treads": {"size": [size, size], "side_overhang": size}},
        {"stair": {"nosing": size, "riser_board": size}, "riser_boards": {"size": [size, size]}},
        {"holes": [{"what": "x", "diameter": size, "near": "foot", "at": [size, size]}]},
    ]
    for raw in jobs:
        assert faults({"units": "cm", "site": {"total_rise": 1}, **raw}) == [NO_UNIT], raw
    boards = {"size": [size, size], "length": size, "widths": [size], "defects": [[size, 2], [0, size]]}
    with pytest.raises(JobFaults) as caught:
        stock_of({"units": "cm", "keep_over": size, "stock": [boards], "offcut": [{"name": "A", **boards}]}, "a.toml")
    assert caught.value.lines == (f"a.toml: {NO_UNIT}",)


def test_a_unit_at_fault_hides_no_fault_that_is_none_of_lengths() -> None:
    text = (
        "units = 'cm'\n[site]\ntotal_rise = '8 furlongs'\npad_reveal = {most = 5}\n[stair]\nrisers = 1\n"
        "[pad]\nbag_yield = true\nbag_source = 'x'"
    )
    told = faults(text)
    assert [line.split(": ")[0] for line in told] == [
        *("units", "site.total_rise", "stair.risers", "pad.bag_yield", "site.pad_reveal")
    ]


# Keys that don't go together: where each begins to be at fault, to the last that is none.

GROUND = "[site]\nprofile = [[0, 30], [40, 34], [80, 44]]\n"
#: A board of 1 1/2 by 11 1/4 in, and a sheet.
BOARD = LANDING + "[[stock]]\nsize = '2x12'\nlength = 120\n"
SHEET = "[[stock]]\nsize = [0.75, 48]\nlength = 96\nkind = 'sheet'\n"
SHEETS = LANDING + "[stringer]\nwidth = 11\nedges = 'trimmed'\n"
#: The same with room for what stands at a file's top.
ROOMY = "site = {total_rise = 40}\n"
SHARED = LANDING + "[machine]\ncommon_cuts = true\n"
CENTRE = "[cutter]\npath = 'centre'\n"

TOGETHER: dict[str, list[tuple[str, str]]] = {
    "site": [
        (GROUND + "pad_reveal = {least = 3, most = 3}", ""),
        (
            GROUND + "pad_reveal = {least = 3.001}",
            "site.pad_reveal.least: 3.001 in (~3) is more than most, 3 in: give both, in order",
        ),
        (
            GROUND + "pad_reveal = {least = 24, most = 5}",
            "site.pad_reveal.least: 24 is out of bounds: 0 to 23.622 in is accepted",
        ),
        (
            GROUND + "pad_reveal = {least = 4, most = 24}",
            "site.pad_reveal.most: 24 is out of bounds: 0 to 23.622 in is accepted",
        ),
        (
            "[site]\nprofile = [[0, 30], [0, 31], [2, 32]]",
            "site.profile[1]: lies 0 in out, not past site.profile[0] at 0 in: readings run outward",
        ),
        ("[site]\nprofile = [[0, 30], [0.001, 31], [2, 32]]", ""),
        (
            "[site]\nprofile = [[0, 30], ['x', 31], [0, 32]]",
            'site.profile[1].out: can\'t read "x": unknown unit "x", where in, ft, mm, cm and m are known; write '
            'a length like 10.5, "10 1/2", "3\' 4 1/2\\"" or "190 mm"',
        ),
        (LANDING + "above = [{out = -9, up = 90}, {out = -9, up = 80}, {out = 0, up = 80}]", ""),
        (
            LANDING + "above = [{out = 9, up = 90}, {out = 9, up = 80}, {out = 8.5, up = 80}]",
            "site.above[2].out: 8.5 in (8 1/2) is less than the 9 in of site.above[1]: points run outward",
        ),
        (
            LANDING + "above = [{out = 9, up = 90}, 7, {out = 8, up = 80}]",
            "site.above[1]: 7 is not accepted: write a table with out, up",
        ),
        (
            LANDING + "above = [7, {out = 9, up = 90}, {out = 10, up = true}]",
            "site.above[0]: 7 is not accepted: write a table with out, up; site.above[2].up: true is no length, "
            "which is a number or a text",
        ),
        (
            LANDING + "above = [{out = true, up = 90}, {out = 8, up = 80}, {out = true, up = 1}]",
            "site.above[0].out: true is no length, which is a number or a text; site.above[2].out: true is no "
            "length, which is a number or a text",
        ),
    ],
    "stringer": [
        (LANDING + "[stringer]\nedge_trim = 0", ""),
        (
            LANDING + "[stringer]\nedge_trim = 0.001",
            'stringer.edge_trim: 0.001 in with edges = "factory", which are never cut: write edges = "trimmed", or '
            "edge_trim = 0",
        ),
        (LANDING + "[stringer]\nedge_trim = 1\nedges = 'trimmed'", ""),
        (
            LANDING + "[stringer]\nedge_trim = 1\nedges = 'cut'",
            'stringer.edges: "cut" is not accepted: write "factory" or "trimmed"',
        ),
        (LANDING + "[stringer]\nedge_trim = 6", "stringer.edge_trim: 6 is out of bounds: 0 to 5.905 in is accepted"),
        (LANDING + "[stringer]\nform = 'housed'\nhousing = {}\ncount = 2", ""),
        (LANDING + "[stringer]\nform = 'plate'\nplate = {}\ncount = 3\nturn_over = true", ""),
        (
            LANDING + "[stringer]\nform = 'plate'\nhousing = {}",
            'stringer.housing: means nothing with form = "plate": write form = "housed", or drop it',
        ),
        (
            LANDING + "[stringer]\nplate = {}",
            'stringer.plate: means nothing with form = "notched": write form = "plate", or drop it',
        ),
        (
            LANDING + "[stringer]\nform = 'x'\nplate = {}\nhousing = {}\ncount = 3\nturn_over = true",
            'stringer.form: "x" is not accepted: write "notched", "housed" or "plate"',
        ),
        (
            LANDING + "[stringer]\nform = 'housed'\ncount = 3",
            'stringer.count: 3 with form = "housed": housed stringers come as one left and one right, so write 2; a '
            "stringer between them would need housings in both faces",
        ),
        (
            LANDING + "[stringer]\nform = 'housed'\ncount = 0",
            "stringer.count: 0 is not accepted: write a whole number, 1 to 500",
        ),
        (LANDING + "[stringer]\nform = 'notched'\ncount = 1\nturn_over = true", ""),
        (LANDING + "[stringer]\nform = 'plate'\nplate = {bracket = {slot = 0, diameter = 1}}", ""),
        (LANDING + "[stringer]\nform = 'plate'\nplate = {bracket = {slot = 1.01, diameter = 1}}", ""),
        (
            LANDING + "[stringer]\nform = 'plate'\nplate = {bracket = {slot = '1 mm', diameter = 1}}",
            "stringer.plate.bracket.slot: 0.0394 in (~1/16) long is not more than its width, diameter = 1 in: give a "
            "slot's overall length, or 0 for round holes",
        ),
        (
            LANDING + "[stringer]\nform = 'plate'\nplate = {bracket = {slot = 1, diameter = 1}}",
            "stringer.plate.bracket.slot: 1 in long is not more than its width, diameter = 1 in: give a slot's "
            "overall length, or 0 for round holes",
        ),
        (
            LANDING + "[stringer]\nform = 'plate'\nplate = {bracket = {slot = 0.5, diameter = 1}}",
            "stringer.plate.bracket.slot: 0.5 in (1/2) long is not more than its width, diameter = 1 in: give a "
            "slot's overall length, or 0 for round holes",
        ),
        (
            LANDING + "[stringer]\nform = 'plate'\nplate = {bracket = {slot = 0.5, diameter = true}}",
            "stringer.plate.bracket.diameter: true is no length, which is a number or a text",
        ),
        (
            LANDING + "[stringer]\nform = 'plate'\nplate = {bracket = 3}",
            "stringer.plate.bracket: 3 is not accepted: write a table with diameter, slot, count, at, spacing, "
            "edge_least",
        ),
        (
            LANDING + "[stringer]\nform = 'plate'\nplate = 3",
            "stringer.plate: 3 is not accepted: write a table with profile, bracket",
        ),
    ],
    "common cuts": [
        (
            SHARED + CENTRE + "[stringer]\nwidth = 11\nedges = 'trimmed'\n" + SHEET + BOARD.removeprefix(LANDING),
            "stock[1].kind: boards and sheets in one job: keep one of the two; machine.common_cuts: true with sheets, "
            "on which parts stand at any angle and each is cut alone; use boards, or leave common_cuts out",
        ),
        (SHARED + "[cutter]\npath = 'centre'\n", ""),
        (SHARED + "[cutter]\npath = 'centre'\nlead = 0\n[tabs]\ncount = 0\nwaste = 'free'\n", ""),
        (LANDING + "[tabs]\ncount = 2\nwaste = 'tabbed'\n[cutter]\npath = 'centre'\nlead = 1", ""),
        (
            SHARED + "[cutter]\npath = 'centre'\nlead = 0.001",
            "machine.common_cuts: true with cutter.lead: a contour that leaves the shared line to its neighbour "
            "begins and ends beside it, where no lead fits; write cutter.lead = 0, or leave common_cuts out",
        ),
        (
            SHARED + "[cutter]\npath = 'centre'\n[tabs]\ncount = 1",
            "machine.common_cuts: true with tabs: on a shared line a tab would hold a part by its neighbour, which "
            "comes loose as well; write tabs.count = 0 and let the waste fall free, or leave common_cuts out",
        ),
        (
            SHARED + "[cutter]\npath = 'centre'\n[tabs]\ncount = 51",
            "tabs.count: 51 is not accepted: write a whole number, 0 to 50",
        ),
        (
            SHARED + "[cutter]\npath = 'centre'\nlead = true",
            "cutter.lead: true is no length, which is a number or a text",
        ),
        (SHARED + "[cutter]\npath = 3", 'cutter.path: 3 is not accepted: write "design" or "centre"'),
        (
            SHARED,
            'machine.common_cuts: true with cutter.path = "design": the file would hold two lines one cutter width '
            'apart, and the shop\'s software would cut both; write cutter.path = "centre", or leave common_cuts out',
        ),
        (
            SHARED + "[cutter]\npath = 'centre'\n[[stock]]\nsize = [0.75, 48]\nlength = 96\nkind = 'sheet'\n"
            "[stringer]\nwidth = 11\nedges = 'trimmed'",
            "machine.common_cuts: true with sheets, on which parts stand at any angle and each is cut alone; use "
            "boards, or leave common_cuts out",
        ),
        (
            "stock = 3\n[site]\ntotal_rise = 40\n[machine]\ncommon_cuts = true\n[cutter]\npath = 'centre'\n",
            "stock: 3 is not accepted: write [[stock]]",
        ),
        (
            "stock = [3]\n[site]\ntotal_rise = 40\n[machine]\ncommon_cuts = true\n[cutter]\npath = 'centre'\n",
            "stock[0]: 3 is not accepted: write a table with size, length, kind, grain, quantity, price, widths, "
            "defects",
        ),
        (
            "cutter = 3\n[site]\ntotal_rise = 40\n[machine]\ncommon_cuts = true\n",
            "cutter: 3 is not accepted: write a table with kind, width, corner, path, overrun, relief, outside, "
            "direction, lead",
        ),
        (
            "tabs = 3\n[site]\ntotal_rise = 40\n[machine]\ncommon_cuts = true\n[cutter]\npath = 'centre'\n",
            "tabs: 3 is not accepted: write a table with count, width, waste, shown",
        ),
    ],
    "support": [
        (ROOMY + "support = [{at = 60, length = 4}, {at = 65, length = 6}, {at = 90, length = 6}]", ""),
        (
            ROOMY + "support = [{at = 60, length = 4}, {at = 64.99, length = 6}]",
            "support[1].at: 4.99 in (~5) from support[0].at: they would stand in each other; move one, or drop it",
        ),
        (
            ROOMY + "support = [{at = 90, length = 4}, {at = 30}, {at = 86.5}]",
            "support[0].at: 3.5 in (3 1/2) from support[2].at: they would stand in each other; move one, or drop it",
        ),
        (
            ROOMY + "support = [{at = 60}, 3, {at = 60, length = true}, {at = true}]",
            "support[1]: 3 is not accepted: write a table with at, length; support[2].length: true is no length, "
            "which is a number or a text; support[3].at: true is no length, which is a number or a text",
        ),
        ("support = 3\n[site]\ntotal_rise = 40\n", "support: 3 is not accepted: write [[support]]"),
    ],
    "holes": [
        (ROOMY + "holes = [{what = 'x', diameter = 1, near = 'tread', tread = 2, at = [3, 3]}]", ""),
        (ROOMY + "holes = [{what = 'x', diameter = 1, near = 'foot', at = [3, 3]}]", ""),
        (
            ROOMY + "holes = [{what = 'x', diameter = 1, near = 'foot', at = [3, 3]}, {what = 'x', diameter = 1, "
            "near = 'foot', tread = 'all', at = [3, 3]}]",
            'holes[1].tread: means nothing with near = "foot": write near = "tread", or drop it',
        ),
        (
            ROOMY + "holes = [{what = 'x', diameter = 1, near = 'x', tread = 0, at = [3, 3]}, 3]",
            'holes[0].near: "x" is not accepted: write "tread", "header", "foot" or "edge"; holes[0].tread: 0 is not '
            "accepted: write a whole number, 1 to 60; holes[1]: 3 is not accepted: write a table with what, "
            "diameter, near, tread, at, edge_least",
        ),
        ("holes = 3\n[site]\ntotal_rise = 40\n", "holes: 3 is not accepted: write [[holes]]"),
    ],
    "boards": [
        (BOARD + "widths = ['11 3/4', 3]", ""),
        (
            BOARD + "widths = [3, 11.7501]",
            "stock[0].widths[1]: 11.7501 in (~11 3/4) is far over the board's 11.25 in (11 1/4) by size: at most "
            "11.75 in (11 3/4) is accepted",
        ),
        (
            BOARD + "widths = [3, true, 12]",
            "stock[0].widths[1]: true is no length, which is a number or a text; stock[0].widths[2]: 12 in (1'-0\") "
            "is far over the board's 11.25 in (11 1/4) by size: at most 11.75 in (11 3/4) is accepted",
        ),
        (BOARD + "widths = 3", "stock[0].widths: 3 is not accepted: write an array"),
        (
            LANDING + "[[stock]]\nsize = 'x'\nlength = 120\nwidths = [30]",
            'stock[0].size: "x" is no nominal size: write [thickness, width] as they measure, or one of ',
        ),
        (BOARD + "defects = [[0, 120], [118, 120], [5, 5.001]]", ""),
        (
            BOARD + "defects = [[0, 1], [118, 120.5]]",
            "stock[0].defects[1]: ends at 120.5 in (10'-0 1/2\"), past the board's end at 120 in (10'-0\")",
        ),
        (
            BOARD + "defects = [[130, 125], [7, 7]]",
            "stock[0].defects[0]: from 130 in (10'-10\") to 125 in (10'-5\") is no stretch: write [from, to], from "
            "smaller than to; stock[0].defects[1]: from 7 in to 7 in is no stretch: write [from, to], from smaller "
            "than to",
        ),
        (
            BOARD + "defects = [3, [4, 130]]",
            "stock[0].defects[0]: 3 is not accepted: write [from, to]; stock[0].defects[1]: ends at 130 in "
            "(10'-10\"), past the board's end at 120 in (10'-0\")",
        ),
        (BOARD + "defects = 3", "stock[0].defects: 3 is not accepted: write an array"),
        (
            LANDING + "[[stock]]\nsize = '2x12'\nlength = 3\ndefects = [[4, 5], [6, 5]]",
            "stock[0].length: 3 is out of bounds: 11.812 to 787.401 in is accepted; stock[0].defects[1]: from 6 in "
            "to 5 in is no stretch: write [from, to], from smaller than to",
        ),
        (BOARD + "grain = 'along'", ""),
        (BOARD + "grain = 'free'", 'stock[0].grain: means nothing for a board: write kind = "sheet", or drop it'),
        (BOARD + "grain = 'free'\nkind = 'x'", 'stock[0].kind: "x" is not accepted: write "board" or "sheet"'),
        (SHEETS + "[[stock]]\nsize = [0.75, 48]\nlength = 96\nkind = 'sheet'\ngrain = 'free'", ""),
    ],
    "sheets": [
        (SHEETS + "[[stock]]\nsize = [0.75, 48]\nlength = 96\nkind = 'sheet'\n", ""),
        (
            SHEETS + "[[stock]]\nsize = [0.75, 48]\nlength = 96\nkind = 'sheet'\n[[stock]]\nsize = [0.75, 48]\n"
            "length = 96\nkind = 'sheet'\n",
            "",
        ),
        (
            SHEETS + "[[stock]]\nsize = [0.75, 48]\nlength = 96\nkind = 'sheet'\n[[stock]]\nsize = '2x12'\nlength = "
            "120\n[[stock]]\nsize = [0.75, 48]\nlength = 96\nkind = 'sheet'\n",
            "stock[1].kind: boards and sheets in one job: keep one of the two",
        ),
        (
            LANDING + "[stringer]\nwidth = true\nedges = 'trimmed'\n[[stock]]\nsize = [0.75, 48]\nlength = 96\nkind "
            "= 'sheet'\n",
            "stringer.width: true is no length, which is a number or a text",
        ),
        (
            LANDING + "[stringer]\nedges = 'trimmed'\n[[stock]]\nsize = [0.75, 48]\nlength = 96\nkind = 'sheet'\n",
            'stringer.width: missing beside kind = "sheet": give the stringer\'s, tips to lower edge',
        ),
        (SHEETS, 'stringer.width: means nothing with boards, whose own it is: write kind = "sheet", or drop it'),
        (
            SHEETS + "[[stock]]\nsize = '2x12'\nlength = 120\nkind = 'x'",
            'stock[0].kind: "x" is not accepted: write "board" or "sheet"',
        ),
        (
            LANDING + "[stringer]\nwidth = 11\nedges = 'factory'\n[[stock]]\nsize = [0.75, 48]\nlength = 96\nkind = "
            "'sheet'\n",
            'stringer.edges: "factory" with sheets, whose parts are cut all round: write edges = "trimmed"',
        ),
        (SHEETS + "turn_over = false\n[[stock]]\nsize = [0.75, 48]\nlength = 96\nkind = 'sheet'\n", ""),
        (
            SHEETS + "turn_over = true\n[[stock]]\nsize = [0.75, 48]\nlength = 96\nkind = 'sheet'\n",
            "stringer.turn_over: true with sheets, on which parts keep their face up: write false, or drop it",
        ),
        (
            "stringer = 3\n[site]\ntotal_rise = 40\n[[stock]]\nsize = [0.75, 48]\nlength = 96\nkind = 'sheet'\n",
            "stringer: 3 is not accepted: write a table with form, count, throat_least, edges, edge_trim, width, "
            "sill_notch, sill_depth_least, top_gap, turn_over, margin, level_cut, housing, plate",
        ),
    ],
    "sill plate": [
        (LANDING + "[extras]\nsill_plate = false", ""),
        (LANDING + "[extras]\nsill_plate = 2\n[stringer]\nsill_notch = {deep = 4, high = 1.5}", ""),
        (
            "[extras]\nsill_plate = 2\n[site]\ntotal_rise = 40\n[stringer]\nsill_notch = {deep = 4, high = '38.59 mm'}",
            "",
        ),
        (
            "[extras]\nsill_plate = 2\n[site]\ntotal_rise = 40\n[stringer]\nsill_notch = {deep = 4, high = '38.6 mm'}",
            "extras.sill_plate: a strip of 2x12 is 1.5 in (1 1/2) thick and does not fill a notch 1.5197 in (~1 1/2) "
            "high: give stringer.sill_notch that height, or leave the plate out",
        ),
        (
            "[extras]\nsill_plate = 2\n[site]\ntotal_rise = 40\n[stringer]\nsill_notch = {deep = 4, high = '37.6 mm'}",
            "extras.sill_plate: a strip of 2x12 is 1.5 in (1 1/2) thick and does not fill a notch 1.4803 in (~1 1/2) "
            "high: give stringer.sill_notch that height, or leave the plate out",
        ),
        (
            "[extras]\nsill_plate = true\n[site]\ntotal_rise = 40\n",
            "extras.sill_plate: there is no notch for it: give stringer.sill_notch, or leave the plate out",
        ),
        (
            "[extras]\nsill_plate = true\n[site]\ntotal_rise = 40\n[stringer]\nsill_notch = 3",
            "stringer.sill_notch: 3 is not accepted: write a table with deep, high",
        ),
        (
            "[extras]\nsill_plate = true\n[site]\ntotal_rise = 40\n[stringer]\nsill_notch = {deep = 4, high = 0}",
            "stringer.sill_notch.high: 0 is out of bounds: 0.197 to 11.811 in is accepted",
        ),
        (
            "[extras]\nsill_plate = 21\n[site]\ntotal_rise = 40\n",
            "extras.sill_plate: 21 is not accepted: write true or false, or a whole number, 1 to 20",
        ),
        (
            "extras = 3\n[site]\ntotal_rise = 40\n",
            "extras: 3 is not accepted: write a table with pitch_gauge, trial_piece, sill_plate",
        ),
        (
            "[extras]\nsill_plate = 1\n[site]\ntotal_rise = 40\n[[stock]]\nsize = '2x12'\nlength = 120\n[[stock]]\n"
            "size = '5/4x6'\nlength = 99\nquantity = 0\n[stringer]\nsill_notch = {deep = 4, high = 1.5}",
            "",
        ),
        (
            "[extras]\nsill_plate = 1\n[site]\ntotal_rise = 40\n[[stock]]\nsize = '2x12'\nlength = 120\n[[stock]]\n"
            "size = '5/4x6'\nlength = 99\nquantity = 1\n[stringer]\nsill_notch = {deep = 4, high = 1.5}",
            "extras.sill_plate: a strip of 5/4x6 is 1 in thick and does not fill a notch 1.5 in (1 1/2) high: give "
            "stringer.sill_notch that height, or leave the plate out",
        ),
        (
            "[extras]\nsill_plate = 1\n[site]\ntotal_rise = 40\n[[stock]]\nsize = 3\nlength = 99\n[stringer]\n"
            "sill_notch = {deep = 4, high = 1.5}",
            'stock[0].size: 3 is no size: write one like "2x12", or [thickness, width]',
        ),
        (
            "stock = [3]\n[extras]\nsill_plate = 1\n[site]\ntotal_rise = 40\n[stringer]\nsill_notch = {deep = 4, "
            "high = 1.5}",
            "stock[0]: 3 is not accepted: write a table with size, length, kind, grain, quantity, price, widths, "
            "defects",
        ),
    ],
    "pad": [
        (LANDING + "[pad]\nbag_yield = 1\nbag_source = 'x'", ""),
        (
            LANDING + "[pad]\nbag_yield = 1",
            "pad.bag_source: missing beside bag_yield: say where the number comes from, as the bag's label",
        ),
        (
            LANDING + "[pad]\nbag_source = 'x'",
            "pad.bag_yield: missing beside bag_source: give what one bag makes, or drop the source",
        ),
        (
            "pad = 3\n[site]\ntotal_rise = 40\n",
            "pad: 3 is not accepted: write a table with depth, width, thickness, bag_yield, bag_source",
        ),
    ],
    "layers": [
        (LANDING + "[layers]\nCUT = 'A_$-z0A_$-z0A_$-z0A_$-z0A_$-z0X'\n[dxf]\nversion = 'r12'", ""),
        (
            LANDING + "[layers]\nCUT = 'A_$-z0A_$-z0A_$-z0A_$-z0A_$-z0XX'\n[dxf]\nversion = 'r12'",
            'layers.CUT: "A_$-z0A_$-z0A_$-z0A_$-z0A_$-z0XX" is no name in R12: write up to 31 of A-Z a-z 0-9 _ - $',
        ),
        (LANDING + "[layers]\nCUT = 'A b'\n[dxf]\nversion = 'r2000'", ""),
        (
            LANDING + "[layers]\nCUT = 'A b'\n[dxf]\nversion = 'r12'",
            'layers.CUT: "A b" is no name in R12: write up to 31 of A-Z a-z 0-9 _ - $',
        ),
        (
            LANDING + "[layers]\nCUT = 'A b'\n[dxf]\nversion = 3",
            'dxf.version: 3 is not accepted: write "r2000", "r12", "r2010" or "r2013"',
        ),
        (
            "dxf = 3\n[site]\ntotal_rise = 40\n[layers]\nCUT = 'A b'",
            "dxf: 3 is not accepted: write a table with version",
        ),
        (
            LANDING + "[layers]\nPART = 'Straße'\nNOTE = 'STRASSE'",
            'layers.NOTE: "STRASSE" is the name of PART too: each layer needs its own',
        ),
        (
            LANDING + "[layers]\nPART = 3\nNOTE = 3",
            "layers.PART: 3 is no text: put it in quotes; layers.NOTE: 3 is no text: put it in quotes",
        ),
        (LANDING + "[layers]\nPART = 'CUT'\nCUT = 'PART'", ""),
        (
            "layers = 3\n[site]\ntotal_rise = 40\n",
            "layers: 3 is not accepted: write a table with PART, CUT, DRILL, MARK, STOCK, NOTE, POCKET, TAB, LEAD",
        ),
    ],
    "pieces": [
        (LANDING + "[treads]\nsize = '2x6'\nspan_most = 16\nspan_source = 'x'\nside_overhang = 1", ""),
        (
            LANDING + "[treads]\nsize = '2x6'\nspan_most = 0",
            "treads.span_most: 0 is out of bounds: 1.969 to 118.11 in is accepted; treads.span_source: missing "
            "beside span_most: say where the number comes from, as a maker's sheet",
        ),
        (
            LANDING + "[treads]\nsize = '2x6'\nspan_source = 'x'",
            "treads.span_most: missing beside span_source: give the greatest span, or drop the source",
        ),
        (LANDING + "[stair]\ntread_thickness = '38.59 mm'\n[treads]\nsize = '2x6'", ""),
        (
            LANDING + "[stair]\ntread_thickness = '38.6 mm'\n[treads]\nsize = '2x6'",
            "treads.size: 2x6 is 1.5 in (1 1/2) thick, and stair.tread_thickness is 1.5197 in (~1 1/2): make them "
            "agree",
        ),
        (
            LANDING + "[stair]\ntread_thickness = 1\n[treads]\nsize = [1.5, 5.5]",
            "treads.size: 1.5 x 5.5 in is 1.5 in (1 1/2) thick, and stair.tread_thickness is 1 in: make them agree",
        ),
        (
            LANDING + "[stair]\ntread_thickness = 2\n[treads]\nsize = [1.5, 5.5]",
            "treads.size: 1.5 x 5.5 in is 1.5 in (1 1/2) thick, and stair.tread_thickness is 2 in: make them agree",
        ),
        (
            LANDING + "[stair]\ntread_thickness = true\n[treads]\nsize = '2x6'",
            "stair.tread_thickness: true is no length, which is a number or a text",
        ),
        (LANDING + "[treads]\nsize = 3", 'treads.size: 3 is no size: write one like "2x12", or [thickness, width]'),
        (
            "treads = 3\n[site]\ntotal_rise = 40\n",
            "treads: 3 is not accepted: write a table with boards, size, gap, back_gap_most, side_overhang, "
            "span_most, span_source, post_play",
        ),
        (
            "stair = 3\n[site]\ntotal_rise = 40\n[treads]\nsize = '2x6'\n[riser_boards]\nsize = '1x8'",
            "stair: 3 is not accepted: write a table with rules, top_tread, unit_run, unit_rise, risers, "
            "clear_width, tread_thickness, riser_board, nosing, floor_overhang, header_depth",
        ),
        (
            "riser_boards = 3\n[site]\ntotal_rise = 40\n",
            "riser_boards: 3 is not accepted: write a table with size, gap, foot, floor_thickness",
        ),
        (LANDING + "[stair]\nriser_board = 0.75\n[riser_boards]\nsize = '1x8'", ""),
        (
            LANDING + "[stair]\nriser_board = 0.5\n[riser_boards]\nsize = '1x8'",
            "riser_boards.size: 1x8 is 0.75 in (3/4) thick, and stair.riser_board is 0.5 in (1/2): make them agree",
        ),
        (
            LANDING + "[stair]\nriser_board = 0\n[riser_boards]\nsize = '1x8'",
            "riser_boards: stair.riser_board is 0, so the risers are open: give their thickness there",
        ),
        (
            LANDING + "[stair]\nriser_board = true\n[riser_boards]\nsize = '1x8'",
            "stair.riser_board: true is no length, which is a number or a text",
        ),
        (
            LANDING + "[stringer]\nform = 'plate'\nplate = 3\n[treads]\nsize = '2x6'\nside_overhang = 1",
            "stringer.plate: 3 is not accepted: write a table with profile, bracket",
        ),
        (
            LANDING + "[stringer]\nform = 'housed'\n[treads]\nsize = '2x6'\nside_overhang = true",
            "treads.side_overhang: true is no length, which is a number or a text",
        ),
        (
            "stringer = 3\n[site]\ntotal_rise = 40\n[treads]\nsize = '2x6'\nside_overhang = 1\n[rail]\nplace = "
            "'inside'",
            "stringer: 3 is not accepted: write a table with form, count, throat_least, edges, edge_trim, width, "
            "sill_notch, sill_depth_least, top_gap, turn_over, margin, level_cut, housing, plate",
        ),
        (
            "rail = 3\n[site]\ntotal_rise = 40\n[stringer]\nform = 'housed'",
            "rail: 3 is not accepted: write a table with side, posts, post, place, set_back, post_below, height, "
            "top_rail, past, ends, bottom_rail, bottom_clear, baluster, opening_most",
        ),
    ],
    "as cut": [
        ("as_cut = 3\n[site]\ntotal_rise = 40\n", "as_cut: 3 is not accepted: write [[as_cut]]"),
        ("as_cut = []\n[site]\ntotal_rise = 40\n", ""),
        (LANDING + "[[as_cut]]\nthroat = 5\n[[as_cut]]\nlength = 5\nwidth = 4\ntip_to_tip = 3", ""),
        (LANDING + "[[as_cut]]\nmark = 'tip 1'\nalong = 5\nfrom_lower_end = 4\nfrom_edge = 2\nthroat = 4", ""),
        (
            LANDING + "[[as_cut]]\nalong = 0\n[[as_cut]]\nthroat = 5\nfrom_edge = 2\n[[as_cut]]\nlength = 4\n"
            "from_lower_end = 4",
            "as_cut[0].mark: missing beside along: name the mark as the tape sheet does; as_cut[1].mark: missing "
            "beside from_edge: name the mark as the tape sheet does; as_cut[2].mark: missing beside from_lower_end: "
            "name the mark as the tape sheet does",
        ),
        (
            LANDING + "[[as_cut]]\nalong = true\nmark = 'tip 1'",
            "as_cut[0].along: true is no length, which is a number or a text",
        ),
        (
            "as_cut = [3, {mark = 'tip 1'}]\n[site]\ntotal_rise = 40\n",
            "as_cut[0]: 3 is not accepted: write a table with mark, along, from_lower_end, from_edge, throat, "
            "length, width, tip_to_tip; as_cut[1]: holds no reading: give one of along, from_lower_end, from_edge, "
            "throat, length, width, tip_to_tip, or drop the table",
        ),
    ],
}


@pytest.mark.parametrize("about", TOGETHER)
def test_keys_that_don_t_go_together(about: str) -> None:
    for text, wanted in TOGETHER[about]:
        told = "; ".join(faults(text))
        # What ends open goes on with a list that another file is about.
        assert told == wanted or (wanted.endswith(" ") and told.startswith(wanted)), text


@pytest.mark.parametrize(
    ("stringer", "bare"),
    [
        ("form = 'notched'", False),
        ("form = 'housed'", True),
        ("form = 'plate'", True),
        ("form = 'plate'\nplate = {profile = 'straight'}", True),
        ("form = 'plate'\nplate = {profile = 'saw-tooth'}", False),
    ],
    ids=["notched", "housed", "plate", "straight", "saw-tooth"],
)
def test_treads_that_end_at_the_stringers_stand_out_nowhere_and_go_round_no_post(stringer: str, bare: bool) -> None:
    over = "treads.side_overhang: 0.0394 in (~1/16) where the treads end at the stringers: leave it out"
    inside = (
        'rail.place: "inside" where the treads end at the stringers, and no tread is notched round a post: '
        'write "outside"'
    )
    for overhang, place, told in (
        (0, "outside", []),
        ("'1 mm'", "outside", [over]),
        (0, "inside", [inside]),
        ("'1 mm'", "inside", [over, inside]),
    ):
        text = f"{LANDING}[stringer]\n{stringer}\n[treads]\nsize = '2x6'\nside_overhang = {overhang}"
        assert faults(f"{text}\n[rail]\nplace = '{place}'") == (told if bare else [])
