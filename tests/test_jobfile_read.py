"""Reading job files: every key, every default, what they become."""

from __future__ import annotations

import json
import math
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutpath.job.compound import Fixed, ListOf, Record, fill
from cutpath.job.keys import CUTTER, JOB, MACHINE, STAIR, STRINGER
from cutpath.job.kinds import Context, Length, OneOf, Whole
from cutpath.job.near import every_key
from cutpath.job.read import ReadJob, job_of, read_job
from cutpath.job.values import Cutter, Layers, Machine, Pad, SillNotch, Site, StairSpec, StockBoards, StringerSpec

INCH = 25.4
LANDING = "[site]\ntotal_rise = 40\n"


def read(text: str, name: str = "shed.toml") -> ReadJob:
    return job_of(tomllib.loads(text), Path(name))


def without_nones(value):
    if isinstance(value, dict):
        return {key: without_nones(item) for key, item in value.items() if item is not None}
    return [without_nones(item) for item in value] if isinstance(value, list) else value


def test_every_key_of_a_full_job(tmp_path: Path) -> None:
    path = tmp_path / "quay.toml"
    path.write_text(
        """
        units = "in"
        [job]
        name = "Quay / 🪜 steps"
        [site]
        profile = [[2, 30], ["3' 2 1/2", "31 1/4"], {along = "7 ft 3 in", down = 38}, ["3 m", "100 cm"]]
        pad_reveal = {least = "1/4", most = 2}
        [stair]
        rules = "town.toml"
        top_tread = "at-floor"
        unit_run = "11"
        unit_rise = "6 5/8"
        risers = 6
        clear_width = 44
        tread_thickness = 1
        riser_board = "5/8"
        nosing = "7/8"
        floor_overhang = 2
        header_depth = 17
        [stringer]
        count = 4
        throat_least = 4.75
        edges = "trimmed"
        edge_trim = "1/16"
        sill_notch = {deep = 4, high = "1 1/8"}
        sill_depth_least = "2 1/2"
        top_gap = "1/32"
        [pad]
        depth = "4'"
        width = 50
        thickness = "100 mm"
        bag_yield = 0.5
        bag_source = "label"
        [cutter]
        kind = "beam"
        width = "0.2 mm"
        corner = "rounded"
        path = "centre"
        overrun = "5/8"
        [machine]
        bed = ["10'", 50]
        part_gap = "3/4"
        end_trim = 1
        [[stock]]
        size = [2, "11 1/2"]
        length = "13'"
        quantity = 7
        price = 40
        widths = ["11 5/8", "11 7/16", "11 1/2"]
        defects = [[50, 60], [10, 12], [58, 63]]
        [layers]
        PART = "P-1"
        cut = "Schnitt"
        [dxf]
        version = "r2013"
        """,
        encoding="utf-8",
    )
    job = read_job(path).job
    assert (job.units, job.name, job.dxf_version) == ("in", "Quay / 🪜 steps", "r2013")
    assert job.site.total_rise is None
    assert (job.site.reveal_least, job.site.reveal_most) == (0.25 * INCH, 2 * INCH)
    assert job.site.profile is not None
    expected = [(2, 30), (38.5, 31.25), (math.sqrt(87**2 - 38**2), 38), (3000 / INCH, 1000 / INCH)]
    for (out, down), (x, y) in zip(job.site.profile, expected, strict=True):
        # What a taut tape comes to is kept to nine decimals of an inch.
        assert out == pytest.approx(x * INCH, abs=1.3e-8)
        assert down == pytest.approx(y * INCH, rel=1e-15)
    assert job.stair == StairSpec(
        rules=tmp_path / "town.toml",
        top_tread="at-floor",
        unit_run=279.4,
        unit_rise=168.275,
        risers=6,
        clear_width=1117.6,
        tread_thickness=25.4,
        riser_board=15.875,
        nosing=22.225,
        floor_overhang=50.8,
        header_depth=431.8,
    )
    assert job.stringer == StringerSpec(
        count=4,
        throat_least=120.65,
        edges="trimmed",
        edge_trim=1.5875,
        sill_notch=SillNotch(101.6, 28.575),
        sill_depth_least=63.5,
        top_gap=0.79375,
    )
    # 1 ft3 is 28.316846592 litres by the definition of the foot, 0.3048 m.
    assert job.pad == Pad(1219.2, 1270.0, 100.0, 14_158_423.296, "label")
    assert job.cutter == Cutter(kind="beam", width=0.2, corner="rounded", path="centre", overrun=15.875)
    assert job.machine == Machine(bed=(3048.0, 1270.0), part_gap=19.05, end_trim=25.4)
    assert job.stock == (
        StockBoards(
            size="2 x 11.5 in",
            thickness=50.8,
            width=292.1,
            least_width=290.5125,
            length=3962.4,
            quantity=7,
            price=40.0,
            defects=((254.0, 304.8), (1270.0, 1600.2)),
        ),
    )
    assert job.layers == Layers(part="P-1", cut="Schnitt")


def test_defaults_of_a_job_in_inches() -> None:
    job = read("[site]\nprofile = [[0, 30], [60, 40]]\n", "Back step.v2.toml").job
    assert (job.units, job.name, job.dxf_version, job.layers) == ("in", "Back step.v2", "r2000", Layers())
    assert job.site == Site(((0.0, 762.0), (1524.0, 1016.0)), None, 0.0, 76.2)
    assert job.stair == StairSpec("irc-2021", "one-below", 266.7, None, None, 914.4, 38.1, 0.0, 25.4, 25.4, None)
    assert job.stringer == StringerSpec(3, 127.0, "factory", 0.0, None, 76.2, 0.0)
    assert job.pad == Pad(None, None, 101.6, None, None)
    assert job.cutter == Cutter("router", 9.525, "relieved", "design", 12.7)
    assert job.machine == Machine(None, 12.7, 6.35)
    assert [board.length for board in job.stock] == [2438.4, 3048.0, 3657.6, 4267.2, 4876.8]
    assert all((b.size, b.quantity, b.price, b.defects) == ("2x12", None, None, ()) for b in job.stock)


def test_defaults_of_a_job_in_millimetres() -> None:
    job = read('units = "mm"\n[site]\nprofile = [[0, 800], [1500, 1000]]\n').job
    assert job.site == Site(((0.0, 800.0), (1500.0, 1000.0)), None, 0.0, 75.0)
    assert job.stair == StairSpec("irc-2021", "one-below", 275.0, None, None, 915.0, 38.0, 0.0, 25.0, 25.0, None)
    assert job.stringer == StringerSpec(3, 127.0, "factory", 0.0, None, 75.0, 0.0)
    assert job.cutter == Cutter("router", 10.0, "relieved", "design", 12.0)
    assert job.machine == Machine(None, 12.0, 6.0, "stop", 10.0, 6.0)
    assert [board.length for board in job.stock] == [2438.4, 3048.0, 3657.6, 4267.2, 4876.8]


def test_a_bags_yield_is_in_cubic_feet_or_litres() -> None:
    bag = '[pad]\nthickness = "3 1/2"\nbag_yield = 0.6\nbag_source = "label"\n'
    assert read(LANDING + bag).job.pad == Pad(thickness=88.9, bag_yield=0.6 * 304.8**3, bag_source="label")
    metric = read('units = "mm"\n[site]\ntotal_rise = 900\n[pad]\nbag_yield = 17\nbag_source = "label"')
    assert metric.job.pad == Pad(thickness=100.0, bag_yield=17e6, bag_source="label")
    assert metric.values["pad"]["bag_yield"] == 17.0


def test_a_beams_default_width_is_a_kerf() -> None:
    assert read(LANDING + '[cutter]\nkind = "beam"').job.cutter.width == INCH / 64
    assert read('units = "mm"\n[site]\ntotal_rise = 900\n[cutter]\nkind = "beam"').job.cutter.width == 0.3


def test_the_floor_edge_is_detailed_like_the_treads_by_default() -> None:
    job = read(LANDING + '[stair]\nnosing = "1 1/4"\nriser_board = "3/4"').job
    assert job.stair.floor_overhang == 2 * INCH
    assert read(LANDING + '[stair]\nnosing = "1 1/4"\nfloor_overhang = 0').job.stair.floor_overhang == 0


def test_an_existing_landing_has_no_pad_reveal() -> None:
    both = read('[site]\ntotal_rise = "4\' 6\\""')
    assert both.job.site == Site(None, 54 * INCH, 0.0, 0.0)
    assert both.values["site"] == {"profile": None, "total_rise": 54.0, "pad_reveal": None, "above": []}


def test_one_bound_of_the_reveal_may_stand_alone() -> None:
    profile = "[site]\nprofile = [[0, 30], [60, 40]]\n"
    assert read(profile + "pad_reveal = {most = 5}").job.site.reveal_most == 5 * INCH
    site = read(profile + "pad_reveal = {least = 1}").job.site
    assert (site.reveal_least, site.reveal_most) == (25.4, 76.2)


def test_ground_may_rise_above_the_floor_within_bounds() -> None:
    job = read("[site]\nprofile = [[0, -6], {along = 50, down = -4}, [60, 40]]").job
    assert job.site.profile is not None
    assert job.site.profile[1] == pytest.approx((math.sqrt(50**2 - 4**2) * INCH, -4 * INCH))


@pytest.mark.parametrize(
    ("text", "rules"),
    [
        ("irc-2021", "irc-2021"),
        ("my rules", "my rules"),
        ("town.toml", Path("jobs/town.toml")),
        ("TOWN.TOML", Path("jobs/TOWN.TOML")),
        ("../rules/town", Path("jobs/../rules/town")),
        ("/srv/town.toml", Path("/srv/town.toml")),
    ],
)
def test_rules_are_a_name_or_a_path_from_the_jobs_folder(text: str, rules: str | Path) -> None:
    both = read(f'{LANDING}[stair]\nrules = "{text}"', "jobs/porch.toml")
    assert both.job.stair.rules == rules
    assert both.values["stair"]["rules"] == text


def test_like_boards_add_up() -> None:
    boards = read(
        LANDING
        + """
        [[stock]]
        size = "2x12"
        length = "12'"
        quantity = 2
        [[stock]]
        size = "2x12"
        length = "12'"
        quantity = 2
        price = 30
        [[stock]]
        size = "2 X 12"
        length = 144
        quantity = 3
        [[stock]]
        size = "2x12"
        length = "12'"
        price = 30.0
        [[stock]]
        size = "2×10"
        length = "12'"
        quantity = 0
        [[stock]]
        size = "2x12"
        length = "12'"
        price = 30
        quantity = 1
        """
    ).job.stock
    assert [(b.size, b.price, b.quantity) for b in boards] == [
        ("2x12", None, 5),
        ("2x12", 30.0, None),
        ("2x10", None, 0),
    ]


def test_the_narrowest_reading_of_a_board_governs() -> None:
    text = LANDING + '[[stock]]\nsize = "2x12"\nlength = 120\nwidths = ["11 1/4", "11.1", "11 3/16"]'
    board = read(text).job.stock[0]
    assert (board.width, board.least_width) == (11.25 * INCH, 11.1 * INCH)


def test_defects_that_overlap_or_touch_are_one() -> None:
    text = LANDING + '[[stock]]\nsize = "2x12"\nlength = 120\ndefects = [[30, 33], [5, 9], [9, 10], [31, 32]]'
    assert read(text).job.stock[0].defects == ((127.0, 254.0), (762.0, 838.2))


def test_layers_in_lower_case() -> None:
    both = read(LANDING + '[layers]\nmark = "Engrave"\nNOTE = "Text"')
    assert both.job.layers == Layers(mark="Engrave", note="Text")
    assert both.values["layers"]["MARK"] == "Engrave"


@pytest.mark.parametrize("name", ["x", "  a  ", "Ü/\\:*?", "👩‍🔧 deck", "'\"", "0", "x" * 200])
def test_a_name_is_data(name: str) -> None:
    both = job_of({"site": {"total_rise": 40}, "job": {"name": name}}, Path("a.toml"))
    assert both.job.name == both.values["job"]["name"] == name


@pytest.mark.parametrize(
    ("file", "name"),
    [("porch.toml", "porch"), (".toml", ".toml"), ("a\nb.toml", "a_b"), (" .toml", "job"), ("n" * 240, "n" * 200)],
)
def test_a_name_left_out_is_the_files(file: str, name: str) -> None:
    assert read(LANDING, file).job.name == name


def test_a_byte_order_mark_and_windows_line_ends_are_read(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_bytes(b"\xef\xbb\xbf" + LANDING.replace("\n", "\r\n").encode())
    assert read_job(path).job.site.total_rise == 40 * INCH


def test_every_default_is_accepted_by_its_own_key() -> None:
    for unit in ("in", "mm"):
        for name, key in every_key(JOB):
            if isinstance(key.default, Fixed):
                ctx = Context(unit)
                key.kind.read(key.default.raw(unit), name, ctx)
                assert (ctx.faults, ctx.unknown) == ([], []), name


def test_values_are_plain_and_hold_every_key() -> None:
    values = read("[site]\nprofile = [[0, 30], [60, 40]]\n[stringer]\nsill_notch = {deep = 4, high = 1}").values
    assert json.loads(json.dumps(values, allow_nan=False)) == values
    told = set()

    def walk(record: Record, data: dict, at: str) -> None:
        for key in record.keys:
            told.add(f"{at}{key.name}")
            if key.unwritten and key.name not in data:
                continue
            assert key.name in data, f"{at}{key.name}"
            if isinstance(key.kind, Record) and data[key.name] is not None:
                walk(key.kind, data[key.name], f"{at}{key.name}.")

    walk(JOB, values, "")
    assert {"stair.floor_overhang", "stringer.sill_notch.deep", "site.pad_reveal.most"} <= told
    assert set(values["stock"][0]) == {*("size", "length", "kind", "grain", "quantity", "price", "widths", "defects")}


def lengths(kind: Length, unit: str):
    """Lengths on a tape's marks, within a kind's bounds, as numbers."""
    step = INCH / 64 if unit == "in" else 0.1
    per = 64 if unit == "in" else 10
    low, high = math.ceil(kind.low / step), math.floor(kind.high / step)
    return st.integers(low, high).map(lambda count: count / per)


GRAINS = ["along", "free"]


@st.composite
def jobs(draw) -> dict:
    """Jobs with any of their keys given, each within its bounds."""
    unit = draw(st.sampled_from(["in", "mm"]))
    raw: dict = {"units": unit, "site": {"total_rise": draw(lengths(Length(100, 15000), unit))}}
    for table, record in (("stair", STAIR), ("stringer", STRINGER), ("cutter", CUTTER), ("machine", MACHINE)):
        raw[table] = {}
        for key in record.keys:
            values = {
                Length: lambda kind: lengths(kind, unit),
                Whole: lambda kind: st.integers(kind.low, kind.high),
                OneOf: lambda kind: st.sampled_from(kind.words),
            }.get(type(key.kind))
            if values and draw(st.booleans()):
                raw[table][key.name] = draw(values(key.kind))
    if raw["stringer"].get("edges") != "trimmed":
        raw["stringer"].pop("edge_trim", None)
        raw["stringer"].pop("width", None)
    if "width" in raw["stringer"]:
        # A width goes with sheets, and sheets with trimmed edges.
        size, length = ([0.75, 48], 96) if unit == "in" else ([18, 1220], 2440)
        raw["stock"] = [{"size": size, "length": length, "kind": "sheet", "grain": draw(st.sampled_from(GRAINS))}]
    if raw["stringer"].get("form") == "housed":
        raw["stringer"].pop("count", None)
    return raw


@pytest.mark.slow
@given(jobs())
@settings(max_examples=100, deadline=None)
def test_values_read_as_a_job_give_the_same_job(raw: dict) -> None:
    first = job_of(raw, Path("a.toml"))
    again = job_of(without_nones(first.values), Path("a.toml"))
    assert again == first
    for table, keys in raw.items():
        if isinstance(keys, dict):
            for key, value in keys.items():
                assert first.values[table][key] == value


def records(record: Record, at: str = "") -> Iterator[tuple[str, Record]]:
    yield at, record
    for key in record.keys:
        kind = key.kind.item if isinstance(key.kind, ListOf) else key.kind
        if isinstance(kind, Record):
            yield from records(kind, f"{at}.{key.name}")


def test_every_key_of_a_table_is_an_attribute_and_every_attribute_has_a_key() -> None:
    made = {at: record for at, record in records(JOB) if hasattr(record.into, "__struct_fields__")}
    assert {".stair", ".cutter", ".stringer.plate.bracket", ".stringer.sill_notch"} <= set(made)
    for at, record in made.items():
        assert set(record.into.__struct_fields__) == {key.name for key in record.keys}, at


def test_fill_leaves_what_is_given() -> None:
    values = {"kind": "beam"}
    fill(CUTTER, values, "mm")
    assert values["kind"] == "beam"
    assert set(values) == {key.name for key in CUTTER.keys}
