"""Packets and patterns of several jobs: the shop gets the boards, each site its own stair."""

from __future__ import annotations

import itertools
import json
import re
from pathlib import Path

import pytest

from cutpath.cautions import CAUTIONS, SHORT_CAUTION
from cutpath.cli.main import run
from tests import kept
from tests.jobs import FIXTURES, export_of, job_with
from tests.packets import Shared, shared, two_jobs
from tests.pattern_reader import black_paths, opened
from tests.test_packet import Page, numbers_in
from tests.test_pattern import TRUE, held_against, marked

SHOP, ORCHARD, KELTER = "packet.html", "sites/orchard-steps/packet.html", "sites/kelterweg/packet.html"


def measures_of(html: str) -> dict[str, dict[str, object]]:
    (words,) = re.findall(r'id="measures">(.*?)</script>', html, re.DOTALL)
    return dict(json.loads(words))


@pytest.mark.slow
@pytest.mark.parametrize(("path", "sheets"), [(SHOP, 8), (ORCHARD, 5), (KELTER, 5)])
def test_pages_are_well_formed_and_need_nothing_else(path: str, sheets: int) -> None:
    made = two_jobs()
    html = made.html(path)
    page = Page(html)
    ids = [attrs["id"] for _, attrs in page.tags if "id" in attrs]
    assert len(set(ids)) == len(ids)
    for link in (attrs["href"] or "" for attrs in page.all("a")):
        assert link[1:] in ids if link.startswith("#") else f"{Path(path).parent / link}" in made.files, link
    assert len(page.all("section")) == sheets == sum(SHORT_CAUTION in part for part in html.split("<section ")[1:])
    levels = [int(tag[1]) for tag, _ in page.tags if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1 and all(after - before <= 1 for before, after in itertools.pairwise(levels))
    captions = page.inside("caption")
    assert len(set(captions)) == len(captions) == len(page.all("table"))
    drawings = [attrs["data-drawing"] for attrs in page.all("figure")]
    assert len(set(drawings)) == len(drawings) >= 3
    assert set(measures_of(html)) <= set(drawings)
    assert not any("src" in attrs for _, attrs in page.tags)
    assert not any(words in html for words in ("http:", "https:", "url(", "@import"))


def test_the_shop_gets_the_boards_and_each_job_s_stringer() -> None:
    made = two_jobs()
    page = Page(made.html(SHOP))
    drawings = [attrs["data-drawing"] for attrs in page.all("figure")]
    boards = [f"board-{i + 1:02d}" for i in range(len(made.result["nest"]["boards"]))]
    assert drawings == ["job-1-stringer", "job-1-corners", "job-2-stringer", "job-2-corners", *boards]
    required = sum(c["required"] for job in made.result["jobs"] for c in job["checks"])
    assert f"Over advice: spacing (Kelterweg). All {required} required checks hold." in page.inside("p")
    for job in made.result["jobs"]:
        own = sum(c["required"] for c in job["checks"])
        assert any(words.endswith(f"All {own} required checks hold.") for words in page.inside("p"))
        assert job["packet"] in [attrs["href"] for attrs in page.all("a")]
        assert job["stringer"]["throat"] in page.values and job["stringer"]["length"] in page.values
    for entry in made.result["files"]:
        if entry["path"] != SHOP:
            assert entry["sha256"] in made.html(SHOP), entry["path"]
    assert all(caution.replace("'", "&#x27;") in made.html(SHOP) for caution in CAUTIONS)
    # Up to the cut list every number stands in result.json, or counts what is there.
    head = made.html(SHOP)[: made.html(SHOP).index('<section id="cut-list"')]
    found = {float(v) for v in re.findall(r'<data value="([^"]*)">', head)}
    parts = sum(len(board["parts"]) for board in made.result["nest"]["boards"])
    assert len(found) > 40
    assert found <= {*numbers_in(made.result), float(len(boards)), float(parts), *range(1, len(boards) + 1)}


def test_a_site_gets_its_own_stair_and_nothing_of_the_others() -> None:
    made = two_jobs()
    for path, own, other in ((ORCHARD, "Orchard steps", "Kelterweg"), (KELTER, "Kelterweg", "Orchard")):
        html = made.html(path)
        page = Page(html)
        assert page.inside("h1") == [own]
        assert other.casefold() not in html.casefold()
        drawn = ["stair", "stringer", "corners", *(["strength"] if own == "Orchard steps" else [])]
        assert [attrs["data-drawing"] for attrs in page.all("figure")] == drawn, "strength where the wood is named"
        assert list(measures_of(html)) == ["stair", "stringer"]
        assert "Tape sheet of one stringer" in page.inside("h3")
        assert all(caution.replace("'", "&#x27;") in html for caution in CAUTIONS)


def test_a_site_s_figures_are_those_of_the_job_by_itself() -> None:
    """Stringers of boards of one width are the same alone as with others: so are their set-out and tape sheet."""
    made = two_jobs()
    alone = json.loads(export_of(job_with()).files["result.json"])
    (job,) = [job for job in made.result["jobs"] if job["name"] == "Orchard steps"]
    for key in ("set_out", "tape", "stair", "stringer"):
        assert job[key] == alone[key], key
    numbers = set(Page(made.html(ORCHARD)).values)
    marks = [mark["along"]["tape"] for mark in job["tape"]["marks"]]
    feet = [foot["slope"] for foot in job["set_out"]["feet"]]
    assert len(marks) > 10 and {*marks, *feet} <= numbers


def test_each_drawing_is_measured_in_its_own_unit() -> None:
    made = two_jobs()
    found = {key: drawing["unit"] for key, drawing in measures_of(made.html(SHOP)).items()}
    assert found.pop("job-2-stringer") == "mm"
    assert found and set(found.values()) == {"in"}
    assert {d["unit"] for d in measures_of(made.html(KELTER)).values()} == {"mm"}


def test_one_pattern_a_job_at_full_size() -> None:
    made = two_jobs()
    for plan, job in zip(made.together.plans, made.result["jobs"], strict=True):
        (page,) = opened(made.files[job["pattern"]]).pages
        (drawn,) = black_paths(page)
        part, start = marked(plan), drawn[0][1][0]
        assert held_against(part, drawn, (part.points[0][0] - start[0], part.points[0][1] - start[1])) < TRUE
        assert plan.job.name in page.extract_text()


@pytest.mark.slow
def test_failing_checks_are_told_with_whose_they_are() -> None:
    made = shared(job_with(), job_with(job={"name": "Thin"}, stringer={"throat_least": 6}))
    shop, thin, good = (made.html(p) for p in (SHOP, "sites/thin/packet.html", ORCHARD))
    required = sum(c["required"] for job in made.result["jobs"] for c in job["checks"])
    assert f"1 of {required} required checks FAIL: throat (Thin). Not for cutting." in Page(shop).inside("p")
    assert shop.count("Required checks FAIL: throat (Thin). Not for cutting.") == 8
    assert thin.count("Required checks FAIL: throat. Not for cutting.") == 5
    assert "FAIL" not in good


@pytest.mark.slow
def test_names_are_only_text_and_told_apart() -> None:
    nasty = '<b>"x"</b> & \u05e9\u05dc\u05d5\u05dd/..'
    made = shared(job_with(job={"name": nasty}), job_with(job={"name": nasty}))
    assert [job["name"] for job in made.result["jobs"]] == [nasty, f"{nasty} (2)"]
    packets = [job["packet"] for job in made.result["jobs"]]
    assert packets == ["sites/b-x-b/packet.html", "sites/b-x-b-2/packet.html"]
    for path in (SHOP, *packets):
        page = Page(made.html(path))
        assert not page.all("b") and len(page.all("script")) == 2
    assert Page(made.html(packets[1])).inside("h1") == [f"{nasty} (2)"]


@pytest.mark.slow
def test_the_same_jobs_give_the_same_bytes() -> None:
    once = two_jobs().files
    kept.work_out_anew()
    again: Shared = two_jobs.__wrapped__()
    assert again.files == once


@pytest.mark.slow
def test_export_writes_them_on_the_paper_asked_for_and_opens_the_shop_s(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    launched: list[str] = []
    monkeypatch.setattr("click.launch", lambda url: launched.append(url) or 0)
    text = (FIXTURES / "orchard-steps.toml").read_text()
    (tmp_path / "a.toml").write_text(text)
    (tmp_path / "b.toml").write_text(text.replace('"Orchard steps"', '"Pump house"'))
    jobs = [str(tmp_path / name) for name in ("a.toml", "b.toml")]
    out = tmp_path / "out"
    assert run(["export", *jobs, "-o", str(out), "--pattern", "a4", "--open"]) == 0
    assert launched == [str(out / "packet.html")]
    listed = {entry["path"] for entry in json.loads((out / "result.json").read_text())["files"]}
    written = {p.relative_to(out).as_posix() for p in out.rglob("*") if p.is_file()}
    assert written == {*listed, "result.json"}
    assert {f"sites/{job}/{what}" for job in ("orchard-steps", "pump-house") for what in ("packet.html", "pattern.pdf")}
    assert len(opened((out / "sites/pump-house/pattern.pdf").read_bytes()).pages) > 2
    assert "sites/pump-house/packet.html" in capsys.readouterr().out
