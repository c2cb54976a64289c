"""Supports under the stringers: where they stand, in table, file, page and picture; and where mends set them."""

from __future__ import annotations

import itertools
import math
import re
from pathlib import Path

import pytest
from msgspec.structs import replace

from cutpath.cli.main import run
from cutpath.faults import Fault
from cutpath.job.read import job_from_text
from cutpath.job.values import Support
from cutpath.packet.html import Lengths
from cutpath.packet.source import Source
from cutpath.packet.strength import strength_page
from cutpath.pictures.elevation import stair_canvas, stair_svg
from cutpath.plan.connections import joints
from cutpath.plan.stages import plan
from cutpath.plan.support_places import APART, placings
from cutpath.tables.site_data import setout_data
from cutpath.tables.site_text import setout_text
from cutpath.tables.strength import lifted, strength_lines, strength_result

IN = 25.4
#: Nine risers of 10 1/2 runs on ground that falls from 60 to 70 in; the lower edge falls 0.6557 in an inch.
GROUND = """
[job]
name = "Deck"
[site]
profile = [[0, 60], [40, 62], [100, 64], [220, 70]]
{site}
[stair]
tread_thickness = "1 1/2"
[stringer]
count = 3
[[stock]]
size = "2x12"
length = "16'"
"""
POSTS = "[[support]]\nat = 60\n[[support]]\nat = 25\nlength = 5\n"


def told(text: str) -> str:
    return " ".join(text.split())


def test_supports_stand_where_trigonometry_puts_them() -> None:
    planned = plan(job_from_text(GROUND.format(site="") + POSTS).job)
    data = setout_data(planned)
    slope = math.tan(math.radians(data["pitch_deg"]))
    first, second = data["supports"]
    # Numbered from the header out, whichever the file has first; the lower edge starts where the plumb cut ends.
    assert (first["number"], first["at"], second["at"]) == (1, 25, 60)
    for one, at, half in ((first, 25, 2.5), (second, 60, 1.75)):
        under = data["bottom_down"] + slope * at
        assert one["underside"]["middle"] == pytest.approx(under)
        assert one["underside"]["upper"] == pytest.approx(under - slope * half)
        assert one["underside"]["lower"] == pytest.approx(under + slope * half)
    # The ground: 60 + 2 x 25/40 at the first, 62 + 2 x 20/60 at the second.
    assert first["height"] == pytest.approx(61.25 - first["underside"]["middle"])
    assert second["ground"] == pytest.approx(62 + 2 / 3)
    text = told(setout_text(planned))
    assert "support 1 middle 25 in" in text and "above the ground" in text and "support 2" in text


def test_a_support_s_reaction_stands_beside_its_own_number() -> None:
    wood = '[wood]\nspecies = "Southern Pine"\ngrade = "No. 2"\n'
    planned = plan(job_from_text(GROUND.format(site="") + POSTS + wood).job)
    held = {joint.what: joint for joint in joints(planned)}
    assert held["support 1"].bears == pytest.approx(5 * IN), "the one nearer the header is 5 in long"
    assert planned.design.strength is not None
    assert [b.length for b in planned.design.strength.bearings[1:3]] == pytest.approx([5 * IN, 3.5 * IN])
    # 300 lb on the long span beyond the support at 25 in lifts the header off: both forms say so, and by how much.
    (line,) = [line for line in strength_lines(planned) if line.startswith("lifts off header ")]
    (lift, *rest) = [bearing["lift"] for bearing in strength_result(planned)["bearings"]]
    assert f"header {lift:.0f} lb" in line and lift > 10 and "fasten it down" in line
    assert lift == pytest.approx(planned.design.strength.lifts[0] / 4.4482216152605) and len(rest) == 3
    assert lifted(planned) == line
    assert lifted(replace(planned, design=replace(planned.design, strength=None))) == ""
    flat = replace(planned.design.strength, lifts=(0.0,) * 4)
    level = replace(planned, design=replace(planned.design, strength=flat))
    assert lifted(level) == ""
    # So does the packet, beside what bears.
    shown = {"strength": strength_result(planned), "job": {}}
    page, other = (strength_page(Source(one, shown, {}, Lengths("in"))) for one in (planned, level))
    assert f"A stringer {line}." in page and "lifts off" not in other


@pytest.mark.parametrize(
    ("where", "words"),
    [("at = 70\n", "from 1.75 in"), ("at = 300\n", "from 1.75 in"), ("at = 30\n[[support]]\nat = 32\n", "move one")],
)
def test_a_support_that_can_t_stand_there_is_refused_without_wood_too(where: str, words: str) -> None:
    with pytest.raises(Fault) as fault:
        plan(job_from_text(GROUND.format(site="") + "[[support]]\n" + where).job)
    assert "support[" in str(fault.value) and words in str(fault.value)


def test_the_elevation_shows_supports_ceiling_and_guard(tmp_path: Path) -> None:
    above = "above = [{out = -20, up = 90}, {out = 160, up = 30}]"
    planned = plan(job_from_text(GROUND.format(site=above) + POSTS).job)
    canvas = stair_canvas(planned)
    words = [text.words for text in canvas.texts]
    assert "support 1: 2'-1\"" in words and "support 2: 5'-0\"" in words
    assert any(re.match("Support 1: 2'-1\" out, stringers' underside .* above the ground", w) for w in words)
    # 90 - 21/3 over the floor's edge, one inch out.
    assert "headroom 6'-11\"" in words and "overhead, as measured" in words
    assert any(w.startswith("Guard: needed beside treads 1 to 4 from the top") for w in words)
    assert "where a guard is needed" in words
    assert not any(a.box() == b.box() for a, b in itertools.combinations(canvas.texts, 2))
    plain = stair_svg(plan(job_from_text(GROUND.format(site="")).job))
    assert "support" not in plain and "overhead" not in plain and "headroom" not in plain.lower()


def test_the_packet_s_page_for_the_site_has_them(tmp_path: Path) -> None:
    job = tmp_path / "deck.toml"
    job.write_text(GROUND.format(site="") + POSTS, encoding="utf-8")
    assert run(["export", str(job), "-o", str(tmp_path / "out")]) == 0
    page = (tmp_path / "out" / "packet.html").read_text(encoding="utf-8")
    assert "Supports under the stringers, in inches" in page and "above ground" in page


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_no_support_is_set_near_another_and_none_more_than_needed(unit: str) -> None:
    """Every flight and up to two supports of its own, by brute force: against all sets of places a step apart."""
    step = IN if unit == "in" else 10.0
    most = 72 * IN
    for end in range(40, 240, 13):
        foot = end * IN
        for own in ((), (30,), (40,), (74,), (30, 44), (40, end - 14)):
            if any(not 13 <= at <= end - 13 for at in own):
                continue
            kept = tuple(Support(at * IN, 90.0) for at in own)
            found = None
            for one in placings(kept, 0.0, foot, unit, 12, (0.0, foot)):
                ends = [0.0, *(s.at for s in one.supports), foot]
                gaps = [b - a for a, b in itertools.pairwise(ends)]
                assert list(ends) == sorted(ends)
                fresh = {s.at for s in one.new}
                assert all(b - a >= APART - 1e-9 for a, b in itertools.pairwise(ends) if fresh & {a, b})
                assert all(abs(s.at / step - round(s.at / step)) < 1e-9 for s in one.new)
                assert {s.at for s in one.supports} == ({s.at for s in kept} | fresh) - {s.at for s in one.instead_of}
                if found is None and max(gaps) <= most:
                    found = one
            assert found is not None
            # The fewest: no set of fewer parts leaves every part within the most.
            least = max(math.ceil(foot / most - 1e-9) - 1, 0)
            assert len(found.supports) <= max(least, len(kept), 1) + 1
            if not kept:
                assert len(found.supports) == max(1, least) or foot / (least + 1) > most - step
            # Spans that it leaves are even: where nothing stood before, within a step of each other.
            if not kept:
                ends = [0.0, *(s.at for s in found.supports), foot]
                gaps = [b - a for a, b in itertools.pairwise(ends)]
                assert max(gaps) - min(gaps) <= 2 * step


def test_a_support_at_an_awkward_place_is_moved_rather_than_crowded() -> None:
    """Of 147 in one at 74 leaves 74 and 73 where 72 is the most: two evenly set do, three would be crowded."""
    found = next(
        p
        for p in placings((Support(74 * IN, 90.0),), 0.0, 147 * IN, "in", 12, (0.0, 147 * IN))
        if max(b - a for a, b in itertools.pairwise([0.0, *(s.at for s in p.supports), 147 * IN])) <= 72 * IN
    )
    assert found.words(lambda mm: f"{mm / IN:g}") == "support.at 49, support.at 98 instead of 74"
