"""Lengths: every form a tape gives, exact; refusals; printing back."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutpath.units import (
    cell,
    feet_inches,
    nearest,
    numbered_parts,
    on_tape,
    parse_length,
    plain,
    quoted,
    show,
    sixteenths,
    to_nearest,
    to_unit,
    written,
)
from tests.jobs import FIXTURES

# An inch is 25.4 mm, exactly: international yard and pound agreement of 1959 (memory).
INCH = Fraction(127, 5)

UNITS = st.sampled_from(["in", "mm"])

# What it says, and how many inches it is in a job in inches.
INCHES = [
    (7, "7"),
    (7.25, "29/4"),
    (0.1, "1/10"),
    (1e-3, "1/1000"),
    ("7", "7"),
    ("7.", "7"),
    (".5", "1/2"),
    ("7.25", "29/4"),
    ("7 1/2", "15/2"),
    ("7-1/2 in", "15/2"),
    ("7 - 1/2", "15/2"),
    ("  7   1 / 2  ", "15/2"),
    ("1/3", "1/3"),
    ("3/2", "3/2"),
    ("7 1/2 inches", "15/2"),
    ("1 inch", "1"),
    ("7 1/2IN.", "15/2"),
    ('7 1/2"', "15/2"),
    ("7 1/2''", "15/2"),
    ("½", "1/2"),
    ("⅛", "1/8"),
    ("⅞ in", "7/8"),
    ("7½", "15/2"),
    ("7 ½", "15/2"),
    ("7-½", "15/2"),
    ("11⅟8", "89/8"),
    ("7 1⁄2", "15/2"),
    ("7¹⁄₂", "15/2"),
    ("11 ³⁄₁₆", "179/16"),
    ("3' 4 1/2\"", "81/2"),
    ("3 ft 4 1/2 in", "81/2"),
    ("3ft4½in", "81/2"),
    ("3 ft. 4 1/2 in.", "81/2"),
    ("3 feet 4 1/2 inches", "81/2"),
    ("1 foot 1 inch", "13"),
    ("3'-4 1/2\"", "81/2"),
    ("3' - 4 1/2\"", "81/2"),
    ("3' 4 1/2", "81/2"),
    ("3'4", "40"),
    ("3' 1/2", "73/2"),
    ("3' 0\"", "36"),
    ("3′ 4 1/2″", "81/2"),
    ("3′4½″", "81/2"),
    ("3’ 4½”", "81/2"),
    ("3‘ 4½“", "81/2"),
    ("3′ 4½′′", "81/2"),
    ("3'", "36"),
    ("3 1/2 ft", "42"),
    ("0.5'", "6"),
    ("7\u00a01/2", "15/2"),
    ("7\u20091/2\u202fin", "15/2"),
    ("7\u20111/2", "15/2"),
    ("-7 1/2", "-15/2"),
    ("\u22127 1/2", "-15/2"),
    ("- 3' 4\"", "-40"),
    ("+2", "2"),
    ("７ １／２", "15/2"),
    ("７．５＂", "15/2"),
]

MILLIMETRES = [
    ("190 mm", "190"),
    ("190mm", "190"),
    ("190 MM", "190"),
    ("19 cm", "190"),
    ("2.4 m", "2400"),
    ("2.4 metres", "2400"),
    ("1 meter", "1000"),
    ("3 millimetres", "3"),
    ("1 1/2 cm", "15"),
    ("0.3 mm", "3/10"),
]


@pytest.mark.parametrize(("text", "inches"), INCHES)
def test_reads_inches_exactly(text: str | float, inches: str) -> None:
    assert parse_length(text, "in") == Fraction(inches) * INCH


@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize(("text", "mm"), MILLIMETRES)
def test_metric_units_stand_in_any_job(text: str, mm: str, unit) -> None:
    assert parse_length(text, unit) == Fraction(mm)


def test_bare_numbers_take_the_jobs_unit() -> None:
    assert parse_length("190", "mm") == parse_length(190, "mm") == parse_length(190.0, "mm") == 190
    assert parse_length("7 1/2", "mm") == Fraction(15, 2)


def test_what_follows_feet_is_inches_in_a_metric_job_too() -> None:
    assert parse_length("3' 4 1/2", "mm") == Fraction("81/2") * INCH
    assert parse_length("3'", "mm") == 36 * INCH


@pytest.mark.parametrize(
    ("value", "why"),
    [
        (True, "true is no length"),
        (False, "false is no length"),
        (None, "none is no length"),
        ([7], "[7] is no length"),
        (b"7", "b'7' is no length"),
        (7j, "7j is no length"),
        (float("nan"), "nan is no length"),
        (float("inf"), "inf is no length"),
        ("", "nothing there"),
        ("  \u00a0 ", "nothing there"),
        ("1/0", "a fraction over zero"),
        ("7 0/0", "a fraction over zero"),
        ("7 3/2", "3/2 after a whole number is not less than 1"),
        ("7 2/2", "not less than 1"),
        ("7,5", "decimals take a point"),
        ("1,200 mm", "decimals take a point"),
        ("4 furlongs", 'unknown unit "furlongs"'),
        ("7 1/2 mmm", 'unknown unit "mmm"'),
        ("1e3", "no exponents"),
        ("1.5E-2 m", "no exponents"),
        ("3 4", "not one number"),
        ("1 200 mm", "not one number"),
        ("3 4 1/2", "not one number"),
        ("7.5 1/2", "not one number"),
        ("1.5/2", "not one number"),
        ("1/2/3", "not one number"),
        ("½2", "not one number"),
        ("½½", "not one number"),
        ("--4", "not one number"),
        ("4\" 3'", "not one number"),
        ("3' 4'", "not one number"),
        ("3' -4 1/2", "not one number"),
        ("7 -1/2", "not one number"),
        ("1 m 20 cm", "not one number"),
        ("3' 100 mm", "not one number"),
        ("3.5' 4\"", "feet before inches are a whole number"),
        ("1/2' 4\"", "feet before inches are a whole number"),
        ("3' 12\"", "less than 12"),
        ("in", "no number there"),
        ("'", "no number there"),
        (".", "no number there"),
        ("7²", "unknown unit"),
        ("٧", "no number there"),
        ("0x10", "unknown unit"),
        ("9" * 65, "longer than 64 characters"),
    ],
)
def test_refuses(value: Any, why: str) -> None:
    with pytest.raises(ValueError, match=r"write a length like") as fault:
        parse_length(value, "in")
    assert why in str(fault.value)
    if isinstance(value, str):
        assert quoted(value) in str(fault.value)


@given(st.one_of(st.text(max_size=80), st.text("0123456789 /.'\"-–½⅛′″infmte,", max_size=20)), UNITS)
@settings(max_examples=300, deadline=None)
def test_any_text_is_read_or_refused_with_one_kind_of_error(text: str, unit) -> None:
    try:
        length = parse_length(text, unit)
    except ValueError as fault:
        assert "\n" not in str(fault)
    else:
        assert isinstance(length, Fraction)


@given(st.integers(-(10**6), 10**6), st.sampled_from([1, 2, 4, 8, 16, 32, 64, 3, 7]), UNITS)
@settings(max_examples=100, deadline=None)
def test_written_fractions_read_back_exactly(over: int, under: int, unit) -> None:
    length = Fraction(over, under)
    whole, rest = divmod(abs(length), 1)
    sign = "-" if length < 0 else ""
    factor = INCH if unit == "in" else 1
    for form in (f"{sign}{whole} {rest}", f"{sign}{whole}-{rest}") if "/" in str(rest) else (f"{sign}{whole}",):
        assert parse_length(form, unit) == length * factor


@given(st.integers(0, 500), st.integers(0, 191), st.sampled_from(["{}' {}\"", "{} ft {} in", "{}′-{}″", "{}' {}"]))
@settings(max_examples=100, deadline=None)
def test_feet_and_inches_read_back_exactly(feet: int, count: int, form: str) -> None:
    length = (12 * feet + Fraction(count, 16)) * INCH
    inches = sixteenths(Fraction(count, 16) * INCH)
    assert parse_length(form.format(feet, inches), "mm") == length
    assert parse_length(feet_inches(length), "mm") == length


@given(st.floats(-1e9, 1e9))
@settings(max_examples=200, deadline=None)
def test_any_float_of_millimetres_is_the_nearest_float_of_inches(mm: float) -> None:
    assert to_unit(mm, "in") == float(Fraction(mm) / INCH)


@given(st.decimals(-100_000, 100_000, places=9), UNITS)
@settings(max_examples=200, deadline=None)
def test_a_decimal_goes_to_millimetres_and_back_unchanged(value, unit) -> None:
    number = float(value)
    exact = parse_length(number, unit)
    assert to_unit(exact, unit) == number
    assert written(exact, unit) == round(number, 9)
    # Through a float of millimetres too, which is all that later stages keep.
    if abs(number) < 1000:
        assert written(float(exact), unit) == round(number, 9)


def test_floats_stand_for_their_decimals() -> None:
    assert parse_length(0.1, "mm") == Fraction(1, 10)
    assert parse_length(7.1, "in") == Fraction(71, 10) * INCH


def test_written_has_no_negative_zero_and_nine_decimals() -> None:
    assert str(written(-1e-12, "in")) == "0.0"
    assert written(58 / 8 * 25.4, "in") == 7.25
    assert written(Fraction(1, 3), "mm") == 0.333333333


@pytest.mark.parametrize(
    ("inches", "text", "feet"),
    [
        ("7 1/4", "7 1/4", '7 1/4"'),
        ("88.4663", "88 7/16", "7'-4 7/16\""),
        ("88 7/16", "88 7/16", "7'-4 7/16\""),
        ("12", "12", "1'-0\""),
        ("11.99", "12", "1'-0\""),
        ("1/2", "1/2", '1/2"'),
        ("0", "0", '0"'),
        ("-0.01", "0", '0"'),
        ("-1/2", "-1/2", '-1/2"'),
        ("-14 1/8", "-14 1/8", "-1'-2 1/8\""),
        ("7.28125", "7 5/16", '7 5/16"'),
        ("-7.28125", "-7 5/16", '-7 5/16"'),
    ],
)
def test_nearest_sixteenth_in_lowest_terms(inches: str, text: str, feet: str) -> None:
    length = parse_length(inches, "in")
    assert sixteenths(length) == sixteenths(float(length)) == text
    assert feet_inches(length) == feet


@pytest.mark.parametrize(
    ("mm", "inches", "metric"),
    [
        (184.15, "7.25 in (7 1/4)", "184.15 mm"),
        (7.2604 * 25.4, "7.2604 in (~7 1/4)", "184.41 mm"),
        (177.8, "7 in", "177.8 mm"),
        (190, "7.4803 in (~7 1/2)", "190 mm"),
        (25.4 * 58 / 8 * 3, "21.75 in (1'-9 3/4\")", "552.45 mm"),
        (-12.7, "-0.5 in (-1/2)", "-12.7 mm"),
        (0, "0 in", "0 mm"),
        (25.4 / 64, "0.0156 in", "0.4 mm"),
        (-1e-9, "0 in", "0 mm"),
    ],
)
def test_shown_to_people(mm: float, inches: str, metric: str) -> None:
    assert show(mm, "in") == inches
    assert show(mm, "mm") == metric
    assert cell(mm, "in") == inches.replace(" in", "")
    assert cell(mm, "mm") == metric.removesuffix(" mm")


@pytest.mark.parametrize(
    ("inches", "shown", "taped", "beside"),
    [
        (11, "11 in", "11 in", "11"),
        (11.9375, "11.9375 in (11 15/16)", "11.9375 in (11 15/16)", "11 15/16"),
        # From a foot on drawings have feet and inches, and a tape counts inches through.
        (12, "12 in (1'-0\")", "12 in", "1'-0\""),
        (60, "60 in (5'-0\")", "60 in", "5'-0\""),
        (61.9916, "61.9916 in (~5'-2\")", "61.9916 in (~62)", "5'-2\""),
        (52.5, "52.5 in (4'-4 1/2\")", "52.5 in (52 1/2)", "4'-4 1/2\""),
        (-12, "-12 in (-1'-0\")", "-12 in", "-1'-0\""),
        (0.035, "0.035 in (~1/16)", "0.035 in (~1/16)", "1/16"),
        (0.05, "0.05 in (~1/16)", "0.05 in (~1/16)", "1/16"),
        (-0.05, "-0.05 in (~-1/16)", "-0.05 in (~-1/16)", "-1/16"),
        (0.01, "0.01 in", "0.01 in", "0"),
    ],
)
def test_beside_decimals_stand_feet_and_inches_and_on_a_tape_inches(
    inches: float, shown: str, taped: str, beside: str
) -> None:
    mm = inches * 25.4
    assert (show(mm, "in"), on_tape(mm, "in"), nearest(mm)) == (shown, taped, beside)
    assert on_tape(184.15, "mm") == "184.15 mm"


@pytest.mark.parametrize(
    ("mm", "unit", "step", "text"),
    [
        (52.5 * 25.4, "in", 25.4 / 16, "52 1/2"),
        (52 * 25.4, "in", 25.4 / 16, "52"),
        (0.5 * 25.4, "in", 25.4 / 16, "1/2"),
        (0, "in", 25.4 / 16, "0"),
        # Halves go up, and what is under them down.
        (7.28125 * 25.4, "in", 25.4 / 16, "7 5/16"),
        (7.28124 * 25.4, "in", 25.4 / 16, "7 1/4"),
        (7.28125 * 25.4, "in", 25.4 / 8, "7 1/4"),
        (7.96875 * 25.4, "in", 25.4 / 16, "8"),
        (88.4663 * 25.4, "in", 25.4 / 32, "88 15/32"),
        (1283.4, "mm", 1.0, "1283"),
        (1283.5, "mm", 1.0, "1284"),
        (1283.4, "mm", 0.5, "1283.5"),
        (1283.2, "mm", 0.5, "1283"),
        (12833.4, "mm", 10.0, "12830"),
    ],
)
def test_to_the_nearest_step_of_a_tape_or_a_saws_stop(mm: float, unit: Any, step: float, text: str) -> None:
    assert to_nearest(mm, unit, step) == text


def test_parts_are_counted_from_one() -> None:
    assert numbered_parts([0]) == "part 1"
    assert numbered_parts([1, 4]) == "parts 2 and 5"
    assert numbered_parts([0, 1, 2]) == "parts 1, 2 and 3"


def test_the_longest_text_that_is_read_and_the_longest_that_is_shown() -> None:
    assert parse_length("9" * 64, "mm") == int("9" * 64)
    assert plain("abcd", 4) == "abcd" and plain("abcde", 4) == "abc…" and plain("a\tb\x1b", 9) == r"a\tb\x1b"
    assert quoted("a" * 60) == f'"{"a" * 60}"' and quoted("a" * 61) == f'"{"a" * 59}…"'


def test_quotes_stand_round_what_has_none_of_their_kind() -> None:
    assert quoted("7 1/2") == '"7 1/2"' and quoted("3'") == '"3\'"'
    assert quoted('7"') == "'7\"'" and quoted("3' 4\"") == '"3\' 4""'


@given(st.text(max_size=100))
@settings(max_examples=100, deadline=None)
def test_quoted_text_is_one_printable_line(text: str) -> None:
    assert quoted(text).isprintable()
    assert len(quoted(text)) <= 602


def test_feet_alone_and_a_fraction_of_an_inch_are_told_apart_from_feet_and_inches() -> None:
    assert feet_inches(84.5 * 25.4) == "7'-0 1/2\"", "never 7' 1/2\""
    assert feet_inches(84 * 25.4) == "7'-0\""


@pytest.mark.slow
@pytest.mark.parametrize("job", sorted(FIXTURES.glob("*.toml")), ids=lambda p: p.stem)
def test_tables_on_a_terminal_keep_to_80_columns(job, capsys) -> None:
    from cutpath.cli.main import run

    for command in ("solve", "check", "site", "nest"):
        assert run([command, str(job)]) == 0
        lines = capsys.readouterr().out.splitlines()
        # Lines of a table have columns, and so two spaces somewhere; prose has none.
        tables = [line for line in lines if "  " in line.strip()]
        assert len(tables) >= 3
        assert [line for line in tables if len(line) > 80] == [], command


def test_a_table_that_is_too_wide_goes_on_below_with_its_first_column() -> None:
    from cutpath.screen import table

    assert table(("part", "a" * 40, "b" * 40), [("1", "x", "y")]) == "\n".join(
        [f"part  {'a' * 40}", f"   1  {'x':>40}", "", f"part  {'b' * 40}", f"   1  {'y':>40}"]
    )
    told = table(("key", "words"), [("1", "so many words " * 9)], left=frozenset({1}))
    assert len(told.splitlines()) == 3 and max(map(len, told.splitlines())) <= 80
