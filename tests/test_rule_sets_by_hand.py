"""What a rule set of one's own is read as, the line that each fault of it is told in, and each limit that is over."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from cutpath.faults import Fault
from cutpath.rules.load import load_rules
from cutpath.rules.told import besides, over, over_lines, unsigned
from cutpath.rules.values import Check, Limit, RuleSet

INCH = 25.4


def own(tmp_path: Path, text: str) -> RuleSet:
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    return load_rules(path)


def fault(tmp_path: Path, text: str) -> str:
    with pytest.raises(Fault) as caught:
        own(tmp_path, text)
    (line,) = caught.value.lines
    return line.removeprefix(f"stair.rules: {tmp_path / 'own.toml'}: ")


#: Lengths as written, in millimetres; None: it has no unit of its own, and would be another length to the next reader.
LENGTHS = (
    *(("7 3/4 in", 7.75 * INCH), ("190 mm", 190.0), ("19 cm", 190.0), ("0.19 m", 190.0), ('7 1/2\\"', 7.5 * INCH)),
    *(("6' 8", 80 * INCH), ("3 ft", 36 * INCH), ("0", 0.0)),
    *(("7 3/4", None), ("190", None), ("10.5", None), ("½", None), ("-7", None)),
)


@pytest.mark.parametrize("key", ["least", "most", "run_under", "height_least", "opening"])
def test_a_limit_s_length_carries_its_unit(tmp_path: Path, key: str) -> None:
    table = "guard" if key in ("opening", "height_least") else "rise"
    rest = "" if key in ("least", "most") else 'most = "9 m"\n'
    for text, length in LENGTHS:
        whole = f'[limit.{table}]\n{key} = "{text}"\n{rest}source = "s"\n'
        if length is None:
            told = fault(tmp_path, whole)
            assert told.startswith(f'limit.{table}.{key}: "{text}": write it with its unit, as in '), text
        else:
            (limit,) = own(tmp_path, whole).limits
            assert getattr(limit, key) == pytest.approx(length, abs=1e-9), text


RISE = '[limit.rise]\nmost = "7 in"\nsource = "s"\n'
RAIL = '[limit.handrail]\nmost = 3\nsource = "s"\n'
UNSEEN = "holds what can't be seen, as a line break: write plain text"
NUMBER = "must be a number that a stair can have"

#: A rule set, and the start of its fault; a line that ends here is the whole.
FAULTS = (
    ("", "needs at least one [limit.NAME] table, or based_on with the name of a set that ships."),
    ("limit = 3", "needs at least one [limit.NAME] table, or based_on with the name of a set that ships."),
    ("limit = 3\nbased_on = 'irc-2021'", "needs at least one [limit.NAME] table, or"),
    (
        f"colour = 1\nbrim = 1\n{RISE}",
        'unknown key "brim"; a rule set holds title, code, edition, country, based_on, without and [limit.NAME] '
        "tables.",
    ),
    *((f"{key} = 3\n{RISE}", f"{key}: 3: write a text in quotes.") for key in ("title", "code", "edition", "country")),
    ("based_on = 3", "based_on: 3: write a text in quotes."),
    (f'title = "a\\nb"\n{RISE}', f'title: "a\\nb" {UNSEEN}.'),
    (f'title = "a\u202eb"\n{RISE}', f'title: "a\\u202eb" {UNSEEN}.'),
    (f'title = "a\u2028b"\n{RISE}', f'title: "a\\u2028b" {UNSEEN}.'),
    (f'title = "a\u2029b"\n{RISE}', f'title: "a\\u2029b" {UNSEEN}.'),
    ("based_on = 'irc-1999'", 'based_on: no rule set "irc-1999"; shipped are aba-504, din-18065, '),
    (f"without = []\n{RISE}", "without: means nothing where there is no based_on to leave limits out of."),
    ("based_on = 'irc-2021'\nwithout = 'nosing'", 'without: write the names of limits, as in ["nosing"].'),
    ("based_on = 'irc-2021'\nwithout = ['nosing', 3]", 'without: write the names of limits, as in ["nosing"].'),
    (
        "based_on = 'irc-2021'\nwithout = ['nosing', 'pitch']",
        'without: irc-2021 states no limit "pitch"; it states rise, run, ',
    ),
    ("[limit.rize]\nmost = 3", "limit.rize: no such limit; known are rise, run, "),
    (f"[limit.{'x' * 61}]\nmost = 3", f"limit.{'x' * 59}…: no such limit; known are rise, "),
    ("limit.rise = 3", "limit.rise: must be a table with least, most, source, basis."),
    (
        f"{RISE}highest = 3",
        "limit.rise.highest: no such key; known are least, most, run_under, section, edition, source, seen, basis, "
        "required.",
    ),
    (f"{RISE}{'x' * 61} = 3", f"limit.rise.{'x' * 59}…: no such key; known are least, "),
    (f"{RISE}opening = '4 in'", "limit.rise.opening: no such key; known are least, "),
    ("[limit.rise]\nsource = 's'", "limit.rise: states neither least nor most, so it limits nothing."),
    (f"{RISE}least = '7.01 in'", "limit.rise: least is more than most, so nothing could keep it."),
    (
        f"{RAIL}height_least = '38 in'\nheight_most = '37 in'",
        "limit.handrail: height_least is more than height_most, so nothing could keep it.",
    ),
    ("[limit.handrail]\nleast = 3\nsource = 's'", "limit.handrail: write most alone: the "),
    (f"{RAIL}least = 3", "limit.handrail: write most alone: the "),
    (
        "[limit.rise]\nmost = '7 in'",
        "limit.rise.source: name the clause that the limit comes from (or section, with code at the file's top).",
    ),
    ("[limit.rise]\nmost = '7 in'\nsection = '4'", "limit.rise.source: name the clause "),
    ("edition = '2020'\n[limit.rise]\nmost = '7 in'\nsection = '4'", "limit.rise.source: name the clause "),
    ("code = 'C'\n[limit.rise]\nmost = '7 in'", "limit.rise.source: name the clause "),
    (f"{RISE}section = 3", "limit.rise.section: 3: write a text in quotes."),
    (f"{RISE}edition = 3", "limit.rise.edition: 3: write a text in quotes."),
    (f"{RISE}seen = 3", "limit.rise.seen: 3: write a text in quotes."),
    (f"{RISE}required = 1", "limit.rise.required: 1: write true or false."),
    (f"{RISE}basis = 'guess'", 'limit.rise.basis: "guess"; must be one of looked up, second hand, memory.'),
    (
        "[limit.rise]\nmost = 7\nsource = 's'",
        "limit.rise.most: 7: write it with its unit, as in '7 3/4 in' or '190 mm'.",
    ),
    (f"{RISE}run_under = 7", "limit.rise.run_under: 7: write it with its unit, as in "),
    ("[limit.rise]\nmost = 'x in'\nsource = 's'", 'limit.rise.most: "x in": can\'t read "x in": '),
    *(
        (f"[limit.{key}]\nmost = {raw}\nsource = 's'", f"limit.{key}.most: {shown}: {NUMBER}.")
        for key in ("handrail", "pitch")
        for raw, shown in (
            *(("true", "true"), ("'3'", '"3"'), ("inf", "inf"), ("nan", "nan"), ("1e30", "1e+30"), ("-1e30", "-1e+30")),
            ("1" + "0" * 31, "a whole number of 103 bits"),
        )
    ),
    *((f"{RAIL}sides = {n}", f"limit.handrail.sides: {n}: a stair has 1 or 2 of them.") for n in (0, 1.5, 3)),
    *(
        (
            f"[limit.rise]\n{key} = '-7 in'\nsource = 's'",
            f'limit.rise.{key}: "-7 in": is less than 0, and would hold for ',
        )
        for key in ("least", "most")
    ),
    (f"{RISE}run_under = '-1 mm'", 'limit.rise.run_under: "-1 mm": is less than 0, and would hold for '),
    *((f"[limit.{key}]\nmost = -1\nsource = 's'", f"limit.{key}.most: -1: {NUMBER}.") for key in ("handrail", "pitch")),
    (f"{RAIL}sides = '2 in'", f'limit.handrail.sides: "2 in": {NUMBER}.'),
)


def test_each_fault_is_one_line_with_its_key(tmp_path: Path) -> None:
    for text, start in FAULTS:
        told = fault(tmp_path, text)
        assert told == start[:-1] if start.endswith(".") else told.startswith(start), (text, told)


def test_a_limit_holds_all_that_its_table_says(tmp_path: Path) -> None:
    """Lengths in millimetres, counts and degrees as they stand."""
    whole = own(
        tmp_path,
        """
        title = "Own"
        code = "C 1"
        edition = "2020"
        country = "XX"
        [limit.rise]
        least = "7 in"
        most = "7 in"
        run_under = "11 in"
        section = "4.1"
        edition = "2021"
        seen = "a page"
        basis = "second hand"
        required = false
        [limit.handrail]
        most = 3
        sides = 2
        height_least = "900 mm"
        height_most = "900 mm"
        section = "4.2"
        [limit.guard]
        most = "30 in"
        beside = "36 in"
        opening = "4 in"
        triangle = "6 in"
        height_least = "36 in"
        source = "D"
        section = "5"
        [limit.open-gap]
        most = "4 in"
        above = "30 in"
        section = "6"
        [limit.pitch]
        most = 42.5
        section = "7"
        """,
    )
    assert (whole.name, whole.title, whole.country, whole.based_on) == ("own", "Own", "XX", "")
    assert whole.limits == (
        Limit(
            *("rise", "length", 177.8, 177.8, 11 * INCH, "C 1 2021 4.1", "second hand"),
            section="4.1", edition="2021", seen="a page", required=False,
        ),
        Limit(
            "handrail", "count", None, 3.0, None, "C 1 2020 4.2", "memory",
            height_least=900.0, height_most=900.0, sides=2.0, section="4.2", edition="2020",
        ),
        Limit(
            "guard", "length", None, 30 * INCH, None, "D", "memory", beside=36 * INCH, opening=4 * INCH,
            triangle=152.4, height_least=36 * INCH, section="5", edition="2020",
        ),
        Limit(
            "open-gap", "length", None, 4 * INCH, None, "C 1 2020 6", "memory", above=30 * INCH, section="6",
            edition="2020",
        ),
        Limit("pitch", "angle", None, 42.5, None, "C 1 2020 7", "memory", section="7", edition="2020"),
    )  # fmt: skip
    none = own(tmp_path, f"{RAIL.replace('3', '0')}sides = 1\n[limit.nosing]\nmost = '0'\nsource = 's'").limits
    assert (none[0].most, none[0].sides, none[1].most) == (0.0, 1.0, 0.0)
    bare = own(tmp_path, 'code = "C"\n[limit.rise]\nleast = "1 in"\nsection = "2"')
    assert (bare.title, bare.country, bare.limits[0].source, bare.limits[0].edition) == ("own", "", "C 2", "")


def test_a_set_based_on_one_that_ships(tmp_path: Path) -> None:
    below = load_rules("irc-2021")
    same = own(tmp_path, "based_on = 'irc-2021'")
    assert (same.limits, same.country, same.based_on, same.title) == (
        below.limits, "US", "irc-2021", f"own, on {below.title}"
    )  # fmt: skip
    more = own(
        tmp_path,
        "based_on = 'irc-2021'\nwithout = ['nosing', 'run']\ncountry = 'XX'\ntitle = 'T'\n"
        f"[limit.comfort]\nmost = '25 in'\nsource = 's'\n{RISE}",
    )
    dropped = [limit.key for limit in below.limits if limit.key not in ("nosing", "run")]
    assert [limit.key for limit in more.limits] == [*dropped, "comfort"]
    assert (more.limits[0].key, more.limits[0].most, more.country, more.title) == ("rise", 177.8, "XX", "T")
    assert list(more.limits[1:-1]) == [limit for limit in below.limits if limit.key in dropped[1:]]


def test_a_set_that_does_not_ship_is_told_with_those_that_do() -> None:
    with pytest.raises(Fault) as caught:
        load_rules("irc-1999")
    assert caught.value.lines[0].startswith('stair.rules: no rule set "irc-1999"; shipped are aba-504, din-18065, ')


# Limits that are over, in words.


def check(name: str, **more: Any) -> Check:
    return Check(name, **{"ok": False, "required": True, "quantity": "length", "value": 200.0, "least": None,
                             "most": 190.0, "source": "S 1", "note": "", **more})  # fmt: skip


def test_what_is_over_is_told_with_what_is_required_first() -> None:
    checks = (
        check("a", required=False),
        check("b"),
        check("c", ok=True),
        check("d", nature="duty"),
        check("e", nature="open"),
        check("f", required=False),
        check("g"),
    )
    assert [each.id for each in over(checks)] == ["b", "g", "a", "f"]
    assert [line.split(" ")[0] for line in over_lines(checks, "mm")] == ["b", "g", "a", "f"]


@pytest.mark.parametrize(
    ("more", "units", "line"),
    [
        ({}, "mm", "a FAILS: 200 mm, most 190 mm (S 1)"),
        ({"value": 8 * INCH, "most": 7.5 * INCH}, "in", "a FAILS: 8 in, most 7.5 in (7 1/2) (S 1)"),
        ({"least": 250.0}, "mm", "a FAILS: 200 mm, least 250 mm, most 190 mm (S 1)"),
        ({"least": 0.0, "most": None}, "mm", "a FAILS: 200 mm, least 0 mm (S 1)"),
        ({"value": None}, "mm", "a FAILS (S 1)"),
        ({"note": "why", "mend": "do it"}, "mm", "a FAILS: 200 mm, most 190 mm (S 1); why; to mend it: do it"),
        ({"required": False, "note": "advice; why"}, "mm", "a over advice: 200 mm, most 190 mm (S 1); why"),
        ({"quantity": "angle", "value": 42.1234567, "most": 42.0}, "mm",
         "a FAILS: 42.1235 degrees, most 42 degrees (S 1)"),
        ({"quantity": "count", "value": 17.0, "most": 16.0}, "mm", "a FAILS: 17, most 16 (S 1)"),
        ({"quantity": "share", "value": 1.2345, "most": 1.0}, "mm", "a FAILS: 123.4%, most 100.0% (S 1)"),
        # Less than nothing is told without its sign, from what is shown on.
        ({"value": -3.0, "least": 5.0, "most": None, "under_zero": "behind it"}, "mm",
         "a FAILS: 3 mm behind it, least 5 mm (S 1)"),
        ({"value": -0.0051, "least": 5.0, "most": None}, "mm", "a FAILS: 0.01 mm beyond 0, least 5 mm (S 1)"),
        ({"value": -0.0049, "least": 5.0, "most": None}, "mm", "a FAILS: 0 mm, least 5 mm (S 1)"),
    ],
    ids=[
        *("most", "inches", "both", "least", "no value", "note and mend", "advice", "angle", "count", "share"),
        *("below", "just below", "nothing"),
    ],
)  # fmt: skip
def test_the_line_of_a_limit_that_is_over(more: dict[str, Any], units: Any, line: str) -> None:
    assert over_lines((check("a", **more),), units) == (line,)


def test_a_value_without_its_sign() -> None:
    assert unsigned(check("a", value=-2.0), lambda value: f"<{value:g}>") == "<2> beyond 0"
    assert unsigned(check("a", value=2.0), lambda value: f"<{value:g}>") == "<2>"


def test_what_is_to_be_provided_and_what_was_not_judged() -> None:
    checks = (
        check("rail", nature="duty"),
        check("seen", nature="duty", ok=True),
        check("head", nature="open", ok=True),
        check("over"),
        check("guard", nature="duty"),
    )
    assert besides(checks) == "needed: rail, guard; not judged: head"
    assert besides(checks[2:4]) == "not judged: head" and besides(checks[:2]) == "needed: rail"
    assert besides((check("over"), check("x", ok=True))) == ""
