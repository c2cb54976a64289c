"""Rule sets as data, and the checks that read them, against published values."""

import json
import math
import re
from importlib import resources
from pathlib import Path

import pytest
from msgspec.structs import replace

from cutpath.cli.main import run
from cutpath.design.built import surfaces
from cutpath.design.checks import wood_checks
from cutpath.design.setout import set_out
from cutpath.design.stair import Stair
from cutpath.design.stringer import Stringer, build_stringer
from cutpath.faults import Fault, ImpossiblePiece
from cutpath.job.values import SillNotch
from cutpath.pictures.elevation import stair_svg
from cutpath.rules.check import rule_checks
from cutpath.rules.load import load_rules, shipped
from cutpath.rules.values import Check, RuleSet
from tests.jobs import job_with, plan_anew
from tests.lines import unwrapped
from tests.stairs import IN, mm, spec

IRC = load_rules("irc-2021")


def drawn(**changed) -> tuple[Stair, Stringer]:
    values = {
        "risers": 8, "unit_rise": 7.25 * IN, "unit_run": 10.5 * IN, "top_tread": "one-below",
        "tread_thickness": 1.5 * IN, "riser_board": 0.0, "nosing": IN, "floor_overhang": IN,
    }  # fmt: skip
    stair = Stair(**{**values, **changed})
    return stair, build_stringer(stair, spec(), 11.25 * IN, mm)


def stair_checks(stair: Stair, stringer: Stringer, width: float, rules: RuleSet) -> tuple[Check, ...]:
    return rule_checks(rules, replace(surfaces(stair, stringer), clear_width=width, landing_clear=36 * IN), mm)


@pytest.mark.parametrize(
    ("changed", "width", "failing"),
    [
        ({}, 36 * IN, set()),
        ({}, 35.9 * IN, {"clear-width"}),
        ({"unit_rise": 7.75 * IN}, 36 * IN, set()),
        ({"unit_rise": 7.76 * IN}, 36 * IN, {"rise"}),
        ({"unit_run": 9.99 * IN}, 36 * IN, {"run"}),
        ({"nosing": 0.5 * IN}, 36 * IN, {"nosing"}),
        ({"nosing": 1.5 * IN, "floor_overhang": 1.5 * IN}, 36 * IN, {"nosing"}),
        ({"nosing": 0.0, "unit_run": 11 * IN}, 36 * IN, set()),
        ({"risers": 20, "unit_rise": 7.6 * IN}, 36 * IN, {"flight-rise"}),
    ],
)
def test_each_rule_fails_just_past_its_limit(changed: dict, width: float, failing: set) -> None:
    stair, stringer = drawn(**changed)
    checks = stair_checks(stair, stringer, width, IRC)
    assert {c.id for c in checks if c.required and not c.ok} == failing
    assert all(c.source for c in checks)
    assert all(c.mend for c in checks if c.required and not c.ok)


def test_uniformity_is_measured_on_the_outline_that_would_be_cut() -> None:
    """A tip moved by 1/2 in breaks the 3/8 in of IRC R311.7.5.1 and .2 (memory); the stair's own numbers stay equal."""
    stair, stringer = drawn()
    moved = tuple(
        replace(v, point=(v.point[0] + 0.5 * IN, v.point[1] + 0.5 * IN)) if i == 5 else v
        for i, v in enumerate(stringer.vertices)
    )
    assert moved[5].role == "tip" and moved != stringer.vertices
    checks = stair_checks(stair, replace(stringer, vertices=moved), 36 * IN, IRC)
    assert {c.id for c in checks if not c.ok} >= {"rise-spread", "run-spread"}


def wood(sill: SillNotch | None = None, header: float | None = None, throat: float | None = 130.0, **changed):
    stair, _ = drawn(**changed)
    kept = spec(sill)
    stringer = build_stringer(stair, kept, 11.25 * IN, mm)
    other = build_stringer(replace(stair, top_tread="at-floor"), kept, 11.25 * IN, mm)
    return {c.id: c for c in wood_checks(kept, stringer, throat, header, ("at-floor", other), mm)}


def test_throat_under_the_required_one_fails() -> None:
    assert wood(throat=127.0)["throat"].ok
    assert not wood(throat=126.9)["throat"].ok


def test_sill_depth_is_rise_less_tread_less_notch() -> None:
    found = wood(SillNotch(88.9, 38.1))["sill-depth"]
    assert found.value == pytest.approx((7.25 - 1.5 - 1.5) * IN)
    assert found.ok
    assert not wood(SillNotch(88.9, 75.0))["sill-depth"].ok
    assert "sill-depth" not in wood()


def test_the_whole_heel_has_to_bear_on_the_header() -> None:
    """Check values: first seat 8.75 in down, heel 6.4212 in, so the header has to reach 15.1712 in."""
    assert wood(header=15.18 * IN)["header-bearing"].ok
    short = wood(header=12 * IN)["header-bearing"]
    assert not short.ok and short.required
    assert short.value == pytest.approx(3.25 * IN)
    assert f"{(15.1712 - 12) * IN:.1f}"[:4] in short.note
    assert 'stair.top_tread "at-floor"' in short.mend and "bears whole" in short.mend
    assert "would not bear whole" in wood(header=5 * IN)["header-bearing"].note


BAD_SETS = {
    "title = 3\n[limit.rise]\nmost = '1 in'\nsource='x'": "title",
    "title = 'x'": "at least one",
    "title = 'x'\n[limit.rize]\nmost='1 in'": "limit.rize",
    "[limit.rise]\nsource='x'": "limits nothing",
    "[limit.rise]\nmost=7\nsource='x'": "limit.rise.most",
    "[limit.rise]\nmost='7 3/4 in'": "limit.rise.source",
    "[limit.rise]\nmost='7 3/4 in'\nsource='x'\nbasis='guess'": "limit.rise.basis",
    "[limit.rise]\nmost='7 in'\nleast='8 in'\nsource='x'": "limit.rise",
    "[limit.rise]\nhighest='7 in'\nsource='x'": "limit.rise.highest",
    "[limit.pitch]\nmost='x'\nsource='x'": "limit.pitch.most",
    "[limit.rise": "is no TOML",
    "[limit.rise]\nmost='7 in'\nsource='x'\nabove='1 in'": "limit.rise.above",
    "[limit.open-gap]\nmost='4 in'\nsource='x'\nabove=30": "limit.open-gap.above",
    "[limit.handrail]\nleast=3\nsource='x'": "limit.handrail: write most alone",
    "[limit.rise]\nleast='8 in'\nmost='7 in'\nsource='x'": "limit.rise: least is more than most",
    "[limit.handrail]\nmost=3\nheight_least='38 in'\nheight_most='34 in'\nsource='x'": (
        "limit.handrail: height_least is more than height_most"
    ),
    "[limit.rise]\nmost='7 in'\nsource='x'\nrequired='no'": "limit.rise.required",
    "[limit.rise]\nmost='7 in'\nsection='4.1'": "limit.rise.source",
    "[limit.pitch]\nmost=inf\nsource='x'": "limit.pitch.most",
    "country=1\n[limit.rise]\nmost='7 in'\nsource='x'": "country",
    "based_on='irc-1999'": "irc-2021",
    "based_on='irc-2021'\nwithout=['pitch']": 'without: irc-2021 states no limit "pitch"',
    "based_on='irc-2021'\nwithout='nosing'": "without: write the names",
    "without=['nosing']\n[limit.rise]\nmost='7 in'\nsource='x'": "without: means nothing",
    "colour='x'": "colour",
}


@pytest.mark.parametrize("text", BAD_SETS)
def test_a_faulty_rule_set_is_refused_with_its_key(text: str, tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text(text)
    with pytest.raises(Fault) as caught:
        load_rules(path)
    (line,) = caught.value.lines
    assert BAD_SETS[text] in line and "own.toml" in line


def test_rule_sets_of_ones_own_are_read(tmp_path: Path) -> None:
    path = tmp_path / "house.toml"
    path.write_text("[limit.rise]\nleast = '150 mm'\nmost = '22 cm'\nsource = 'house rules'\nbasis = 'looked up'\n")
    own = load_rules(path)
    assert own.name == "house"
    limit = own.limit("rise", None)
    assert (limit.least, limit.most, limit.caveat) == (150, 220, "")


def test_a_few_lines_overlay_a_shipped_set(tmp_path: Path) -> None:
    path = tmp_path / "county.toml"
    path.write_text(
        "based_on = 'irc-2021'\nwithout = ['nosing']\n"
        "[limit.rise]\nmost = '7 1/2 in'\nsource = 'County code 12.3'\nbasis = 'looked up'\n"
        "[limit.pitch]\nmost = 40\nsource = 'County code 12.4'\n"
    )
    own, below = load_rules(path), load_rules("irc-2021")
    assert (own.based_on, own.country, own.name) == ("irc-2021", "US", "county")
    assert own.title == "county, on IRC 2021 R311.7, stairs of dwellings"
    rise = own.limit("rise", None)
    assert (rise.most, rise.source, rise.basis) == (pytest.approx(7.5 * IN), "County code 12.3", "looked up")
    assert own.limit("nosing", unit_run=10 * IN) is None and own.limit("pitch", None).most == 40
    assert {m for m in own.limits if m.key not in ("rise", "pitch")} == {
        m for m in below.limits if m.key not in ("rise", "nosing")
    }
    assert own.limits[0].key == "rise", "a limit stands where it stood"


@pytest.mark.slow
def test_a_limit_under_a_run_is_seen_wherever_one_without_is(tmp_path: Path) -> None:
    """Whoever asks for a limit says for which run: judged, drawn and stood by, as if the run weren't stated."""
    stated = resources.files("cutpath.rules").joinpath("sets", "irc-2021.toml").read_text(encoding="utf-8")
    bare = re.sub(r"^run_under.*\n", "", stated, flags=re.MULTILINE)
    told = {}
    for bound in (None, "100 in", "1 in"):
        path = tmp_path / "own.toml"
        under = "" if bound is None else f"\nrun_under = '{bound}'"
        path.write_text(re.sub(r"^\[limit\..*$", rf"\g<0>{under}", bare, flags=re.MULTILINE))
        try:
            plan = plan_anew(job_with(stair={"rules": str(path)}, rail={"set_back": 2}))
        except ImpossiblePiece as fault:
            told[bound] = str(fault)
            continue
        design = plan.design
        pad = set_out(plan.job, plan.rules, plan.choice, design.stringer)
        told[bound] = (design.checks, design.pieces, pad, stair_svg(plan))
    assert told["100 in"] == told[None] != told["1 in"]
    assert "states no sphere" in told["1 in"], "no limit of this set holds for a run of 10 1/2 in"


def test_an_unknown_rule_set_names_those_that_ship(tmp_path: Path) -> None:
    with pytest.raises(Fault, match="irc-2021"):
        load_rules("irc-1999")
    with pytest.raises(Fault, match="can't be read"):
        load_rules(tmp_path / "none.toml")


LEVEL = """
units = "{unit}"
[job]
name = "Level landing"
[site]
total_rise = {rise}
{above}
[stair]
rules = "{rules}"
risers = {risers}
unit_run = {run}
riser_board = {board}
nosing = {nosing}
tread_thickness = {tread}
clear_width = {width}
[stringer]
throat_least = 0
"""


def answered(tmp_path: Path, capsys: pytest.CaptureFixture[str], **values: object) -> tuple[int, dict, str]:
    """Status, checks by id with their outcomes, and the printed check of a job."""
    job = tmp_path / "job.toml"
    job.write_text(LEVEL.format(**{"above": "", **values}), encoding="utf-8")
    status = run(["check", str(job), "--json"])
    found = json.loads(capsys.readouterr().out)
    checks = {c["id"]: c | o for c, o in zip(found["checks"], found["outcomes"], strict=True)}
    assert run(["check", str(job)]) == status
    return status, checks, capsys.readouterr().out


INCHES = {"unit": "in", "rules": "irc-2021", "run": 10.5, "board": 0.75, "nosing": 1, "tread": 1.5, "width": 36}
METRES = {"unit": "mm", "rules": "england-k-private", "run": 250, "board": 18, "nosing": 20, "tread": 36, "width": 900}


@pytest.mark.parametrize(
    ("values", "rise", "guarded"),
    [
        # IRC R312.1.1 (memory): over 30 in. Eight rises of 7 1/4: treads 50.75, 43.5, 36.25, 29 ... above the landing.
        (INCHES, 58.0, "treads 1 to 3"),
        # Treads 30, 22.5 ... above it: at the limit no guard, a thousandth of an inch on it is one.
        (INCHES, 37.5, None),
        (INCHES, 37.51, "tread 1"),
        # Approved Document K, 3.1 (memory): over 600 mm. Five rises: 600, 450 ...
        (METRES, 750, None),
        (METRES, 751, "tread 1"),
        (METRES, 1600, "treads 1 to 4"),
    ],
)
def test_where_a_guard_starts(
    values: dict, rise: float, guarded: str | None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    count = 8 if rise in (58.0, 1600) else 5
    status, checks, text = answered(tmp_path, capsys, **values, rise=rise, risers=count)
    assert status == 0, "what has to be provided besides is told, and fails no job"
    guard = checks["guard"]
    assert guard["value"] == pytest.approx(rise * (count - 1) / count)
    assert guard["outcome"] == ("not needed" if guarded is None else "needed")
    assert (f"a guard beside {guarded} from the top" in text) is (guarded is not None)


@pytest.mark.parametrize(("risers", "needed"), [(3, False), (4, True)])
def test_a_handrail_from_four_risers_on(
    risers: int, needed: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """IRC R311.7.8, R311.7.8.1 (looked up in the 2018 edition): 34 to 38 in above the nosings."""
    values = INCHES | {"rules": "irc-2018"}
    _, checks, text = answered(tmp_path, capsys, **values, rise=7 * risers, risers=risers)
    assert checks["handrail"]["outcome"] == ("needed" if needed else "not needed")
    assert "at least 34 in (2'-10\") and at most 38 in (3'-2\") above the nosings" in " ".join(unwrapped(text))


@pytest.mark.parametrize("values", [INCHES, METRES])
def test_headroom_is_judged_under_what_is_overhead(
    values: dict, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """6 ft 8 in (IRC R311.7.2, looked up); 2 m (Approved Document K, diagram 1.3, memory)."""
    inch = values["unit"] == "in"
    bound, rise, hair = (80.0, 58.0, 0.001) if inch else (2000.0, 1600.0, 0.01)
    assert answered(tmp_path, capsys, **values, rise=rise, risers=8)[1]["headroom"]["outcome"] == "not judged"
    out = values["nosing"] + values["board"] + 2 * values["run"]
    for off, holds in ((0.0, True), (hair, True), (-hair, False)):
        # A beam over the second tread's nosing, two rises below the floor; open beyond it.
        up = bound + off - rise / 4
        above = f"above = [{{out = {out}, up = {up}}}, {{out = {out + 0.5}, up = {up}}}]"
        status, checks, _ = answered(tmp_path, capsys, **values, rise=rise, risers=8, above=above)
        row = checks["headroom"]
        assert row["value"] == pytest.approx(bound + off) and row["source"]
        assert (row["ok"], status) == ((True, 0) if holds else (False, 1))
        assert bool(row["mend"]) is not holds


def test_guidance_of_one_country_is_not_printed_beside_anothers_rules(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _, there, text = answered(tmp_path, capsys, **METRES, rise=1600, risers=8)
    assert not {"span", "spacing"} & set(there) and "AWC" not in text and "IRC" not in text
    _, here, text = answered(tmp_path, capsys, **INCHES, rise=58, risers=8)
    assert {"span", "spacing"} <= set(here) and "AWC DCA 6" in text


def test_the_code_s_own_rule_for_the_throat_is_held_on_what_is_cut(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """NBC 9.8.9.4: 90 mm behind a notch, square to the lower edge, of a board at least 235 mm deep and 38 mm thick."""
    values = METRES | {"rules": "nbc-canada-2020", "run": 260}
    stock = '[cutter]\nrelief = "diagonal"\n[[stock]]\nsize = [{}, {}]\nlength = 4000\n'
    job = tmp_path / "job.toml"

    def rows(thick: float, wide: float) -> dict:
        job.write_text(LEVEL.format(**values, above="", rise=1400, risers=8) + stock.format(thick, wide))
        run(["check", str(job), "--json"])
        found = json.loads(capsys.readouterr().out)
        assert found["stringer"]["relief"] == "diagonal"
        return {c["id"]: c for c in found["checks"]} | {"drawn": found["stringer"]}

    enough = rows(38, 286)
    deep = 175 * 260 / math.hypot(175, 260)
    lost = 5 * (1 - math.cos(math.pi / 4 - math.atan2(175, 260)))
    assert enough["stringer-throat"]["value"] == pytest.approx(286 - deep - lost, abs=1e-6)
    assert all(enough[key]["ok"] for key in ("stringer-throat", "stringer-depth", "stringer-thickness"))
    # Between centres: (900 - 38) / 2.
    assert enough["stringer-spacing"]["value"] == pytest.approx(431)
    thin = rows(37.9, 234.9)
    assert [thin[key]["ok"] for key in ("stringer-depth", "stringer-thickness")] == [False, False]
    for wide, ok in ((90 + deep + lost + 1e-3, True), (90 + deep + lost - 1e-3, False)):
        assert rows(38, wide)["stringer-throat"]["ok"] is ok


def test_the_command_lists_the_sets_and_shows_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["rules"]) == 0
    # A title goes on in the next line where the terminal is narrow.
    listed = " ".join(capsys.readouterr().out.split())
    for name in shipped():
        assert name in listed and load_rules(name).title in listed
        assert run(["rules", name]) == 0
        shown = capsys.readouterr().out
        for limit in load_rules(name).limits:
            rows = [line for line in shown.splitlines() if line.startswith(f"{limit.key} ")]
            assert limit.source in rows[-1] and any(limit.basis in row for row in rows)
        assert run(["rules", name, "--json"]) == 0
        data = json.loads(capsys.readouterr().out)
        assert [m["key"] for m in data["limits"]] == [m.key for m in load_rules(name).limits]
        assert all(m["section"] and m["source"] and m["basis"] for m in data["limits"])
    assert run(["rules", "--json"]) == 0
    assert [r["name"] for r in json.loads(capsys.readouterr().out)["rules"]] == list(shipped())
    own = tmp_path / "house.toml"
    own.write_text("based_on = 'din-18065'\n[limit.clear-width]\nleast = '900 mm'\nsource = 'house'\n")
    assert run(["rules", str(own)]) == 0
    shown = capsys.readouterr().out
    assert "on top of din-18065" in shown and "least 900 mm" in shown
    assert run(["rules", "irc-1999"]) == 2
    assert "shipped are aba-504" in capsys.readouterr().err


def test_every_shipped_set_is_held_against_its_source() -> None:
    """A file in tests/sources/ for each code names its sets."""
    told = "".join(path.read_text(encoding="utf-8") for path in (Path(__file__).parent / "sources").glob("test_*.py"))
    assert [name for name in shipped() if f"`{name}`" not in told] == []
