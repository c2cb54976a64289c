"""docs/ says what the program does now: real output, computed tables, pictures, links, numbers in the prose."""

import re
from pathlib import Path

import pytest
from msgspec.structs import astuple

from cutpath.cut.relief import relieved
from cutpath.cut.relief_kinds import RELIEFS
from cutpath.export.one import export_files
from cutpath.job.values import Layers
from cutpath.rules.load import load_rules
from tests.docs_pictures import PAGE_PICTURES, PICTURES, picture, planned
from tests.docs_tables import SHOP_FILES, losses
from tests.renew_docs import DOCS, PAGES, ROOT, edited, renewed

RENEW = "run: python -m tests.renew_docs, and read what changed"
EVERY_PAGE = sorted([*ROOT.glob("*.md"), *DOCS.glob("*.md")])
FENCED = re.compile(r"^```.*?^```$", re.MULTILINE | re.DOTALL)
IN = 25.4


def text_of(page: str) -> str:
    return (DOCS / page).read_text(encoding="utf-8")


@pytest.mark.slow
@pytest.mark.parametrize("page", PAGES)
def test_output_and_tables_are_what_the_program_gives(page: str) -> None:
    assert text_of(page) == renewed(page), RENEW


@pytest.mark.parametrize("name", PICTURES)
def test_pictures_are_what_the_program_draws(name: str) -> None:
    assert (DOCS / "pictures" / name).read_text(encoding="utf-8") == picture(name), RENEW


def test_every_picture_is_shown_and_no_other_is_kept() -> None:
    shown = {m for page in EVERY_PAGE for m in re.findall(r"pictures/([\w-]+\.(?:svg|webp))\)", page.read_text())}
    kept = {path.name for path in (DOCS / "pictures").iterdir()}
    assert shown == kept == {*PICTURES, *PAGE_PICTURES}


def anchor(heading: str) -> str:
    """A heading's anchor as GitHub makes it: lower case, punctuation dropped, spaces as dashes."""
    return re.sub(r"[^\w\- ]", "", heading.strip().lower()).replace(" ", "-")


def test_every_page_is_linked_from_the_readme() -> None:
    linked = set(re.findall(r"\]\(docs/([\w-]+\.md)", (ROOT / "README.md").read_text(encoding="utf-8")))
    assert linked == {path.name for path in DOCS.glob("*.md")}


@pytest.mark.parametrize("page", EVERY_PAGE, ids=lambda p: p.name)
def test_links_resolve(page: Path) -> None:
    text = FENCED.sub("", page.read_text(encoding="utf-8"))
    targets = re.findall(r"\]\(([^)\s]+)\)", text) + re.findall(r"^\[[^\]]+\]: (\S+)$", text, re.MULTILINE)
    for name in re.findall(r"\]\[([^\]]+)\]", text):
        assert re.search(rf"^\[{re.escape(name)}\]: ", text, re.MULTILINE), name
    for target in targets:
        if "://" in target:
            continue
        path, _, fragment = target.partition("#")
        there = page if not path else (page.parent / path).resolve()
        assert there.is_file(), f"{page.name}: {target}"
        if fragment:
            headings = re.findall(r"^#+ (.*)$", FENCED.sub("", there.read_text(encoding="utf-8")), re.MULTILINE)
            assert fragment in map(anchor, headings), f"{page.name}: {target}"


@pytest.mark.parametrize("page", sorted(path.name for path in DOCS.glob("*.md") if path.name != "job-file.md"))
def test_lines_of_prose_keep_to_120_characters(page: str) -> None:
    assert [line for line in FENCED.sub("", text_of(page)).splitlines() if len(line) > 120 and line[0] != "|"] == []


@pytest.mark.parametrize("page", sorted(path.name for path in DOCS.glob("*.md")))
def test_nothing_is_called_safe_or_approved(page: str) -> None:
    text = text_of(page).lower()
    assert not re.search(r"\b(safe|safely|approved|guaranteed)\b", text)
    assert "local code and a licensed professional decide" in " ".join(text.split())


#: Numbers in prose that stand for themselves: general statements, sums that the sentence shows, kinds of boards,
#: constants of a published formula.
OWN_NUMBERS = {"8 3/4", "5 3/4", "25.4", "5 1/2", "0.001", "0.064", "0.025", "1.25", "1.5", "6.031", "0.215"}


@pytest.mark.parametrize("page", PAGES)
def test_numbers_in_the_prose_stand_in_its_blocks_or_jobs(page: str) -> None:
    text = text_of(page)
    blocks = " ".join(FENCED.findall(text)) + " ".join(re.findall(r"^\|.*\|$", text, re.MULTILINE))
    prose = re.sub(r"^\|.*\|$|<!--.*?-->|`[^`]*`", "", FENCED.sub("", text), flags=re.MULTILINE)
    known = blocks + " ".join(path.read_text() for path in (ROOT / "fixtures").glob("*.toml"))
    for number in re.findall(r"\d+ \d+/\d+|\d+/\d+|\d+\.\d+", prose):
        assert number in OWN_NUMBERS or re.search(rf"(?<![\d/]){re.escape(number)}(?!\d)", known), number


def test_sums_in_the_tutorial_are_the_demo_s() -> None:
    stair = planned("orchard-steps").stair
    assert (stair.unit_rise + stair.tread_thickness) / IN == pytest.approx(8.75), "the top seat below the floor"
    assert (stair.unit_rise - stair.tread_thickness) / IN == pytest.approx(5.75), "the lowest riser cut"


@pytest.mark.parametrize("lead", ["After its tables it says what would mend it:", "`widths` left out:"])
def test_where_the_tutorial_says_what_mends_a_throat_it_shows_that(lead: str) -> None:
    text = text_of("first-stair.md")
    block = FENCED.search(text, text.index(lead))
    assert block
    lead_in, head = block[0].splitlines()[1:3]
    assert lead_in == "the throat is under stringer.throat_least; what would mend it:"
    assert head.split() == ["throat", "change"]


def test_excerpts_of_the_job_are_the_demo_s_lines() -> None:
    job = (ROOT / "fixtures" / "orchard-steps.toml").read_text(encoding="utf-8")
    excerpts = re.findall(r"^```toml\n(.*?)^```$", text_of("first-stair.md"), re.MULTILINE | re.DOTALL)
    assert len(excerpts) == 3
    for excerpt in excerpts:
        for line in excerpt.splitlines():
            assert line in job.splitlines(), line


def test_the_example_rule_set_loads_and_says_what_the_page_shows(tmp_path: Path) -> None:
    example = re.search(r"<!-- file: allotments.toml -->\n```toml\n(.*?)^```", text_of("rule-sets.md"), re.M | re.S)
    assert example
    path = tmp_path / "allotments.toml"
    path.write_text(example[1], encoding="utf-8")
    rules = load_rules(path)
    assert rules.title == "Allotment rules, stairs"
    bounds = {m.key: (m.least, m.most, m.run_under, m.basis) for m in rules.limits}
    assert bounds == {
        "rise": (pytest.approx(5 * IN), pytest.approx(7.5 * IN), None, "looked up"),
        "run": (pytest.approx(260), None, None, "looked up"),
        "comfort": (pytest.approx(600), pytest.approx(650), None, "second hand"),
        "pitch": (None, 38, None, "second hand"),
        "risers": (None, 12, None, "memory"),
        "nosing": (None, pytest.approx(1.25 * IN), pytest.approx(11 * IN), "looked up"),
    }


@pytest.mark.slow
def test_the_layers_table_names_every_layer_that_files_hold() -> None:
    named = set(re.findall(r"^\| `([A-Z]+)` \|", text_of("for-shops.md"), re.MULTILINE))
    assert named <= set(astuple(Layers()))
    for job in SHOP_FILES:
        drawn = planned(job, ("layers.CUT =",) if job == "boat-landing" else ())
        files = export_files(drawn, {}, (), with_cuts=True).files
        held = {
            layer.decode()
            for path, data in files.items()
            if path.endswith(".dxf")
            for layer in re.findall(rb"^ *8\r?\n([A-Z]+)\r?$", data, re.MULTILINE)
        }
        assert {"CUT", "MARK", "STOCK", "NOTE", "PART"} <= held
        assert held <= named, job


def test_formulas_of_relief_losses_are_what_is_measured() -> None:
    # Towards the lower edge, on the demo as it is; towards the seat, on the same with a rise that brings the seat near.
    near_edge, near_seat = planned("orchard-steps"), planned("orchard-steps", ("stair.risers = 7", "stair.unit_rise ="))
    for drawn, plain, lost in (
        (
            near_edge,
            near_edge.design.stringer.width - near_edge.design.stringer.notch_depth,
            losses(near_edge.job.cutter.radius, near_edge.stair.pitch),
        ),
        (
            near_seat,
            near_seat.stair.unit_rise - near_seat.stair.tread_thickness,
            {"diagonal": near_seat.job.cutter.radius * (1 - 0.5**0.5), "riser-side": 0.0,
             "tread-side": near_seat.job.cutter.radius},
        ),
    ):  # fmt: skip
        for relief in RELIEFS:
            measured = relieved(drawn.design.stringer, relief, drawn.job.cutter.radius).throat
            assert measured == pytest.approx(plain - lost[relief], abs=1e-4), relief


def test_keys_are_set_and_removed_in_their_own_table_only() -> None:
    job = "[a]\nx = 1\ny = 2  # two\n\n[[b]]\nx = 3\n\n[[b]]\nx = 4\nz = 5\n"
    assert edited(job, ["a.x = 9"]) == job.replace("x = 1", "x = 9")
    assert edited(job, ["a.w = 0"]) == job.replace("[a]\n", "[a]\nw = 0\n")
    assert edited(job, ["b.x = 7"]) == job.replace("x = 3", "x = 7").replace("x = 4", "x = 7")
    assert edited(job, ["b.z ="]) == job.replace("z = 5\n", "")
    with pytest.raises(ValueError, match="no key"):
        edited(job, ["a.z ="])
