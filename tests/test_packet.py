"""The packet without a browser: well-formed, self-contained, escaped, true to result.json, the same every time."""

from __future__ import annotations

import base64
import functools
import hashlib
import html
import itertools
import json
import math
import re
from html.parser import HTMLParser

import pytest

from cutpath.cautions import CAUTIONS, SHORT_CAUTION
from cutpath.packet.page import embedded_json, packet_html
from cutpath.units import parse_length
from tests.jobs import FIXTURES, job_with
from tests.packets import Made, demo_packet, made_of

DEMOS = sorted(path.stem for path in FIXTURES.glob("*.toml"))
#: Elements without an end tag (HTML, "void elements").
VOID = frozenset(["area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"])
NASTY = "\U0001f9d7 </script><script>alert(1)</script><!-- \"quotes\" & 'more' <b>bold</b> \u05e9\u05dc\u05d5\u05dd"


class Page(HTMLParser):
    """A page taken apart; every end tag has to close the element that is open."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[tuple[tuple[str, ...], str]] = []
        self.values: list[float] = []
        self.feed(html)
        self.close()
        assert not self.open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert len({key for key, _ in attrs}) == len(attrs), f"an attribute twice in {tag}"
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)
        if tag == "data":
            self.values.append(float(dict(attrs)["value"] or ""))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert "svg" in self.open, f"<{tag}/> outside a drawing"
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.texts.append((tuple(self.open), data))

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attrs for name, attrs in self.tags if name == tag]

    def inside(self, tag: str) -> list[str]:
        """Text of every element of a tag, pieces joined."""
        found: list[str] = []
        last: tuple[str, ...] = ()
        for path, words in self.texts:
            if tag in path:
                if tag in last and found:
                    found[-1] += words
                else:
                    found.append(words)
            last = path
        return found


@functools.cache
def packet(name: str) -> Made:
    return demo_packet(name)


def numbers_in(data: object) -> list[float]:
    if isinstance(data, dict):
        return [n for value in data.values() for n in numbers_in(value)]
    if isinstance(data, list):
        return [n for value in data for n in numbers_in(value)]
    return [float(data)] if isinstance(data, int | float) and not isinstance(data, bool) else []


@pytest.mark.slow
@pytest.mark.parametrize("name", DEMOS)
def test_page_is_well_formed(name: str) -> None:
    page = Page(packet(name).html)
    ids = [attrs["id"] for _, attrs in page.tags if "id" in attrs]
    assert len(set(ids)) == len(ids)
    links = [attrs["href"] for attrs in page.all("a")]
    # Two pages more, for the saw and for treads and rail, where a job has them.
    pages = 9 + 2 * (packet(name).plan.design.pieces is not None)
    assert len(links) == pages + 1
    assert all(link and link[0] == "#" and link[1:] in ids for link in links)
    labels = [attrs["aria-labelledby"] for attrs in page.all("section")]
    assert len(labels) == pages
    assert all(label in ids for label in labels)
    assert page.all("html") == [{"lang": "en"}]
    assert len(page.all("h1")) == 1
    levels = [int(tag[1]) for tag, _ in page.tags if re.fullmatch("h[1-6]", tag)]
    assert all(after - before <= 1 for before, after in itertools.pairwise(levels))
    assert len(page.all("table")) == len(page.all("caption")) == len(page.all("thead"))
    assert all(attrs.get("scope") in ("row", "col") for attrs in page.all("th"))
    drawings = [attrs["data-drawing"] for attrs in page.all("figure")]
    corners = ["corners"] if packet(name).plan.job.stringer.toothed else []
    assert drawings[: 2 + len(corners)] == ["stair", "stringer", *corners]
    assert ("corners" in drawings) == bool(corners), "no page without a drawing on it"
    assert len(drawings) == sum(path.startswith("pictures/") for path in packet(name).files)


@pytest.mark.parametrize("name", DEMOS)
def test_page_needs_nothing_else(name: str) -> None:
    html = packet(name).html
    page = Page(html)
    assert "http:" not in html
    assert "https:" not in html
    assert "url(" not in html
    assert "@import" not in html
    assert "eval(" not in html
    loading = {"img", "link", "iframe", "object", "embed", "audio", "video", "source", "form", "base"}
    assert not loading & {tag for tag, _ in page.tags}
    for _, attrs in page.tags:
        assert "src" not in attrs
        assert "style" not in attrs, "the page's own policy forbids it"
        assert not any(key.startswith("on") for key in attrs)
    assert len(html.encode()) < 500_000


def test_policy_allows_just_the_style_and_the_script_that_are_there() -> None:
    page = Page(packet("orchard-steps").html)
    (policy,) = [m["content"] for m in page.all("meta") if m.get("http-equiv") == "Content-Security-Policy"]
    assert policy is not None
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert rules["default-src"] == "'none'"
    (style,) = page.inside("style")
    scripts = re.findall(r"<script>(.*?)</script>", packet("orchard-steps").html, re.DOTALL)
    for words, rule in ((style, "style-src"), (scripts[0], "script-src")):
        digest = base64.b64encode(hashlib.sha256(words.encode()).digest()).decode()
        assert rules[rule] == f"'sha256-{digest}'"
    assert len(scripts) == 1


@pytest.mark.parametrize("name", DEMOS)
def test_same_job_gives_same_bytes(name: str) -> None:
    made = packet(name)
    assert packet_html(made.plan, made.result, made.files) == made.html
    assert demo_packet(name).html == made.html


@pytest.mark.parametrize("name", DEMOS)
def test_figures_are_those_of_the_result(name: str) -> None:
    made = packet(name)
    result = made.result
    page = Page(made.html)
    shown = set(page.values)
    stair, stringer, nest = result["stair"], result["stringer"], result["nest"]
    for key in ("risers", "treads", "unit_rise", "unit_run", "total_rise", "pitch_deg", "pad_reveal"):
        assert stair[key] is None or stair[key] in shown, key
    assert stair["foot"]["out"] in shown
    assert stringer["length"] in shown
    assert stringer["throat"] is None or stringer["throat"] in shown
    for check in result["checks"]:
        assert check["value"] is None or check["value"] in shown, check["id"]
        assert all(check[end] is None or check[end] in shown for end in ("least", "most")), check["id"]
    for board in nest["boards"]:
        assert {board["length"], board["offcut"], *(p["x"] for p in board["parts"])} <= shown
    for board in result["shop"]["boards"]:
        assert {board["travel"], board["travel_bound"], *(n for _, n in board["operations"])} <= shown
    for cut in result["shop"]["simulated_cut"]:
        assert {cut["gouge"], cut["leftover"], cut["throat_as_cut"] or 0.0} <= shown
    for entry in result["files"]:
        assert made.html.count(entry["sha256"]) == (2 if entry["path"].startswith("boards/") else 1), entry


def test_cover_holds_no_figure_of_its_own() -> None:
    """Every number on the first three sheets stands in result.json, or is a count of what is there."""
    made = packet("orchard-steps")
    known = set(numbers_in(made.result)) | {float(len(made.result["nest"]["boards"]))}
    head = made.html[: made.html.index('<section id="shop"')]
    found = [float(v) for v in re.findall(r'<data value="([^"]*)">', head)]
    assert len(found) > 50
    assert set(found) <= known


@pytest.mark.parametrize("name", DEMOS)
def test_shown_lengths_are_the_values_beside_them(name: str) -> None:
    """What is read and what is kept for machines are the same length, to the decimals shown."""
    made = packet(name)
    # The list for the saw is rounded to what its stop is set to.
    shown = re.sub(r'<section id="saw".*?</section>', "", made.html, flags=re.DOTALL)
    pairs = re.findall(r'<data value="([^"]*)">(-?[0-9.]+)(?: (?:in|mm))?(?: \((~?)([^)]*)\))?</data>', shown)
    assert len(pairs) > 60
    for value, words, about, mixed in pairs:
        assert math.isclose(float(value), float(words), abs_tol=0.0051), (value, words)
        if mixed:
            whole = float(parse_length(html.unescape(mixed), "in")) / 25.4
            assert abs(whole - float(value)) <= 1 / 32 + 1e-9
            assert (about == "") == (abs(whole - float(value)) < 1e-6)


def test_cautions_stand_on_every_sheet_and_whole_at_the_end() -> None:
    made = packet("orchard-steps")
    sheets = made.html.split("<section ")[1:]
    assert len(sheets) == 11
    assert all(SHORT_CAUTION in sheet for sheet in sheets)
    assert all(caution.replace("'", "&#x27;") in sheets[-1] for caution in CAUTIONS)
    assert "Required checks FAIL" not in made.html


def test_failing_checks_are_told_on_every_sheet() -> None:
    made = made_of(job_with(stringer={"throat_least": 9}))
    assert [c["id"] for c in made.result["checks"] if c["required"] and not c["ok"]] == ["throat"]
    page = Page(made.html)
    required = sum(c["required"] for c in made.result["checks"])
    assert f"1 of {required} required checks FAIL: throat. Not for cutting." in page.inside("p")
    assert made.html.count("Required checks FAIL: throat. Not for cutting.") == 9
    assert "checks hold" not in made.html


@pytest.mark.slow
def test_any_name_is_only_text() -> None:
    made = made_of(job_with(job={"name": NASTY}))
    page = Page(made.html)
    assert len(page.all("script")) == 2
    assert not page.all("b")
    assert page.inside("h1") == [NASTY]
    assert page.inside("title")[0].startswith(NASTY)
    assert not any(tag == "svg" and "xmlns" in attrs for tag, attrs in page.tags)
    (data,) = re.findall(r'<script type="application/json" id="measures">(.*?)</script>', made.html, re.DOTALL)
    assert "<" not in data
    json.loads(data)


def test_embedded_json_can_not_end_its_element() -> None:
    data = {"name": NASTY, "line": "\u2028 ]]>"}
    words = embedded_json(data)
    assert json.loads(words) == data
    assert not set("<>&\u2028") & set(words)


@pytest.mark.parametrize("name", DEMOS)
def test_measured_points_are_the_stairs(name: str) -> None:
    """Distances of points by plain trigonometry from rise and run; sheet places by one scale for all of a drawing."""
    made = packet(name)
    stair, nest = made.result["stair"], made.result["nest"]
    (words,) = re.findall(r'id="measures">(.*?)</script>', made.html, re.DOTALL)
    data = json.loads(words)
    assert {drawing["unit"] for drawing in data.values()} == {made.result["units"]}
    assert list(data) == ["stair", "stringer", *(f"board-{i + 1:02d}" for i in range(len(nest["boards"])))]
    step = math.hypot(stair["unit_rise"], stair["unit_run"])
    for key, drawing in data.items():
        points = {p[4]: p for p in drawing["points"]}
        lead = "part 1: " if key.startswith("board") else ""
        if made.plan.job.stringer.toothed:
            a, b = points[f"{lead}tip 1"], points[f"{lead}tip 2"]
            assert math.dist(a[2:4], b[2:4]) == pytest.approx(step, abs=1e-8)
        a = drawing["points"][0]
        far = max(drawing["points"], key=lambda p: math.dist(a[2:4], p[2:4]))
        scale = math.dist(a[:2], far[:2]) / math.dist(a[2:4], far[2:4])
        for p in drawing["points"]:
            assert math.dist(a[:2], p[:2]) == pytest.approx(scale * math.dist(a[2:4], p[2:4]), abs=0.003)
    nosings = [p for p in data["stair"]["points"] if p[4].startswith("nosing")]
    assert len(nosings) >= stair["treads"] - 1
    for a, b in itertools.pairwise(nosings):
        assert math.dist(a[2:4], b[2:4]) == pytest.approx(step, abs=1e-8)
    outline = {tuple(p[:2]) for p in made.result["stringer"]["outline"]}
    on_board = {tuple(p[2:4]) for p in data["stringer"]["points"]}
    assert outline <= on_board
    corners = {tuple(n["corner"]) for n in made.result["stringer"]["notches"]}
    assert not made.plan.job.stringer.toothed or corners <= on_board
    tips = [p for p in data["stair"]["points"] if p[4].startswith("tip ")]
    assert [p[4] for p in tips] == [f"tip {n}" for n in range(1, len(tips) + 1)]
    assert all(b[2] - a[2] == pytest.approx(stair["unit_run"]) for a, b in itertools.pairwise(tips))


@pytest.mark.slow
def test_set_ups_of_boards_longer_than_the_bed() -> None:
    from cutpath.tables.setups import setup_result
    from cutpath.work.boards import board_program, label_places
    from cutpath.work.setups import board_setups

    made = made_of(job_with(machine={"bed": [90, 60]}))
    places = label_places(made.plan)
    boards = range(len(made.plan.layout.boards))
    set_ups = [board_setups(made.plan, i, board_program(made.plan, i, places)) for i in boards]
    lists = setup_result(made.plan, set_ups)
    assert lists
    result = {**made.result, "shop": {**made.result["shop"], "set_ups": lists}}
    page = Page(packet_html(made.plan, result, made.files))
    shown = set(page.values)
    for board in lists:
        for one in board["set_ups"]:
            assert {one["slide"], one["extents"][0], one["extents"][2]} <= shown
            assert one["stop"] is None or one["stop"] in shown
            assert one["file"] in page.inside("code")
    assert "all fit the stated bed" not in " ".join(page.inside("p"))
