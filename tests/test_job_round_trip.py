"""What a job was read as, or `result.json` holds of it, reads as the very same job again."""

from __future__ import annotations

import copy
import json
import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cutpath.faults import JobFaults, KeyFault
from cutpath.job.compound import Key, ListOf, Pair, Record
from cutpath.job.form_keys import Treads
from cutpath.job.keys import JOB
from cutpath.job.kinds import Context, Kind, Length, Money, OneOf, Text, Whole, YesNo, YesOrCount, settled
from cutpath.job.load_keys import Load
from cutpath.job.read import ReadJob, job_from_text, job_of, read_job
from cutpath.job.special import BoardSize, LayerName, Reading, Volume
from cutpath.job.starter import starter
from cutpath.units import Unit, parse_length, written

FIXTURES = Path(__file__).parent.parent / "fixtures"
DEMOS = sorted(FIXTURES.glob("*.toml"))
INCH = 25.4


def again(read: ReadJob, path: Path) -> ReadJob:
    """The job read from its own values, as they come out of a JSON file."""
    return job_of(json.loads(json.dumps(read.values, allow_nan=False)), path)


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_the_job_in_a_result_is_the_job(path: Path) -> None:
    first = read_job(path)
    assert again(first, path) == first
    held = json.loads((FIXTURES / "golden" / path.stem / "result.json").read_text(encoding="utf-8"))["job"]
    assert job_of(held, path) == first


def lengths(kind: Length, unit: str) -> st.SearchStrategy[Any]:
    """Lengths within a kind's bounds in every form: whole, thirds, any float, the other unit, the bounds."""
    low, high = (bound / (INCH if unit == "in" else 1) for bound in (kind.low, kind.high))
    return st.one_of(
        st.floats(low, high),
        st.integers(int(low) + 1, max(int(high), int(low) + 1)),
        st.integers(int(low) + 1, max(int(high) - 1, int(low) + 1)).map(lambda whole: f"{whole} 1/3"),
        st.floats(kind.low, kind.high).map(lambda mm: f"{mm:.4f} mm"),
        st.floats(kind.low / INCH, kind.high / INCH).map(lambda inch: f"{inch:.5f} in"),
        st.sampled_from([f"{kind.low} mm", f"{kind.high} mm"]),
    )


def values_of(kind: Kind, unit: str) -> st.SearchStrategy[Any]:
    """Whatever a kind may take, as it stands in a file."""
    match kind:
        case Length():
            return lengths(kind, unit)
        case LayerName():
            return st.text("AbÜ_-7 ", min_size=1, max_size=12)
        case Text(longest=longest):
            return st.text(max_size=min(longest, 30))
        case Whole(low=low, high=high):
            return st.integers(low, high)
        case OneOf(words=words):
            return st.sampled_from(words)
        case YesNo():
            return st.booleans()
        case YesOrCount():
            return st.one_of(st.booleans(), st.integers(1, 20))
        case Money(high=high):
            return st.floats(0, high)
        case Volume():
            return st.floats(0.02, 60)
        case Load(unit=(_, name)):
            return st.one_of(
                st.sampled_from(["40 psf", "33.3 psf"] if "m2" in name else ["300 lb", "133 lb"]),
                st.floats(0.01, 90).map(lambda load: f"{load:.7f} {name}"),
            )
        case Treads():
            return st.one_of(st.just("all"), st.integers(1, 60), st.lists(st.integers(1, 60), min_size=1, max_size=9))
        case BoardSize(pair=pair):
            return st.one_of(st.sampled_from(["2x12", "2 x 10"]), values_of(pair, unit))
        case Reading(level=level, taut=taut):
            return st.one_of(values_of(level, unit), values_of(taut, unit))
        case Pair(items=items):
            return st.tuples(*(values_of(inner, unit) for _, inner in items)).map(list)
        case ListOf(item=item, least=least):
            return st.lists(values_of(item, unit), min_size=least, max_size=least + 3)
        case Record(keys=keys):
            return st.fixed_dictionaries({}, optional={key.name: values_of(key.kind, unit) for key in keys})
    raise AssertionError(kind)


def leaves(record: Record, at: tuple[str, ...] = ()) -> list[tuple[tuple[str, ...], Key]]:
    """Every key with the tables that lead to it, lists taken whole."""
    found: list[tuple[tuple[str, ...], Key]] = []
    for key in record.keys:
        found += leaves(key.kind, (*at, key.name)) if isinstance(key.kind, Record) else [((*at, key.name), key)]
    return found


LEAVES = leaves(JOB)
BASES = [*(path.read_text(encoding="utf-8") for path in DEMOS), starter("in"), starter("mm")]


@st.composite
def any_jobs(draw: st.DrawFn) -> dict[str, Any]:
    """Demos and starters with any keys set to anything they may take, as long as that is without fault."""
    data = tomllib.loads(draw(st.sampled_from(BASES)))
    for way, key in draw(st.lists(st.sampled_from(LEAVES), max_size=12)):
        if key.name == "units":
            continue
        changed = copy.deepcopy(data)
        inner = changed
        for name in way[:-1]:
            inner = inner.setdefault(name, {})
        inner[way[-1]] = draw(values_of(key.kind, data.get("units", "in")))
        try:
            job_of(changed)
        except JobFaults:
            continue
        data = changed
    return data


@pytest.mark.slow
@given(any_jobs())
@settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_job_reads_as_itself_again(data: dict[str, Any]) -> None:
    first = job_of(data, Path("a.toml"))
    second = again(first, Path("a.toml"))
    assert second == first
    assert second.values == first.values


@pytest.mark.parametrize(
    "text",
    [
        '[site]\ntotal_rise = "40 1/3"',
        '[site]\ntotal_rise = "1000 mm"',
        'units = "mm"\n[site]\ntotal_rise = "40 1/3 in"',
        "[site]\nprofile = [[0, 30], {along = 70, down = 31}, [90, 40]]",
        '[site]\ntotal_rise = 40\n[pad]\nbag_yield = 0.45000000012345\nbag_source = "bag"',
        '[site]\ntotal_rise = 40\n[stair]\ntread_thickness = "150 mm"',
        '[site]\ntotal_rise = 40\n[cutter]\nwidth = "0.01 mm"',
    ],
)
def test_lengths_that_no_decimal_holds_read_as_themselves_again(text: str) -> None:
    first = job_from_text(text)
    assert again(first, Path("job")) == first


def test_fractions_and_lengths_in_the_other_unit_stay_exact() -> None:
    for text, unit, mm in (
        ("40 1/3", "in", Fraction(121, 3) * Fraction(254, 10)),
        ("190 mm", "in", Fraction(190)),
        ("0.3 mm", "in", Fraction(3, 10)),
        ("3 5/7 in", "mm", Fraction(26, 7) * Fraction(254, 10)),
        ("7 63/64 in", "mm", Fraction(511, 64) * Fraction(254, 10)),
    ):
        ctx = Context(unit)
        length = Length(0, 5000).read(text, "key", ctx)
        assert length == mm, text
        assert Length(0, 5000).read(written(length, unit), "key", ctx) == mm, text


@given(st.sampled_from(["in", "mm"]), st.floats(0, 60000))
def test_a_length_is_kept_to_nine_decimals_of_the_unit(unit: Unit, number: float) -> None:
    exact = parse_length(number, unit)
    step = (INCH if unit == "in" else 1) * 1e-9
    assert abs(settled(exact, unit) - exact) <= step * 1.0001
    assert settled(parse_length(written(exact, unit), unit), unit) == settled(exact, unit)


def test_a_taut_tape_is_held_to_the_bounds_of_the_reading_it_gives() -> None:
    with pytest.raises(JobFaults) as caught:
        job_from_text('units = "mm"\n[site]\nprofile = [[0, 900], {along = 61000, down = 900}]')
    (fault,) = caught.value.faults
    assert fault.key == "site.profile[1].out" and "0 to 60000 mm" in fault.text


def test_null_means_left_out() -> None:
    plain = job_of({"site": {"total_rise": 40}})
    nulls = job_of({"units": None, "job": None, "site": {"total_rise": 40, "profile": None}, "stock": None})
    assert nulls == plain and not nulls.own_stock


def test_a_null_among_values_is_a_fault() -> None:
    with pytest.raises(JobFaults) as caught:
        job_of({"site": {"profile": [[0, 30], [None, 40]]}, "nothing": None})
    assert [fault.key for fault in caught.value.faults] == ["nothing", "site.profile[1].out"]


@pytest.mark.parametrize("values", [None, [], "job", 7])
def test_what_is_no_table_is_no_job(values: Any) -> None:
    with pytest.raises(JobFaults, match="is no job"):
        job_of(values)


def test_a_text_reads_as_its_file_does(tmp_path: Path) -> None:
    for demo in DEMOS:
        assert job_from_text(demo.read_text(encoding="utf-8"), demo) == read_job(demo)
    assert job_from_text("\ufeff[site]\r\ntotal_rise = 40\r\n").job.name == "job"


def test_a_text_too_long_for_a_job_is_refused() -> None:
    with pytest.raises(JobFaults, match="is over 1 MiB"):
        job_from_text("#" * (1 << 20) + "\n")


def test_faults_carry_their_keys() -> None:
    with pytest.raises(JobFaults) as caught:
        job_from_text('[site]\nprofile = [[0, 30], [40, "x"]]\n[stair]\nrisers = 0\nrise = 7', Path("a.toml"))
    faults = caught.value.faults
    assert [fault.key for fault in faults] == ["stair.rise", "site.profile[1].down", "stair.risers"]
    assert faults[2] == KeyFault("stair.risers", "0 is not accepted: write a whole number, 2 to 60")
    assert caught.value.lines[2] == f"a.toml: {faults[2]}"


def test_a_fault_of_the_whole_text_has_no_key() -> None:
    with pytest.raises(JobFaults) as caught:
        job_from_text("[site")
    (fault,) = caught.value.faults
    assert fault.key == "" and str(fault) == fault.text
