"""Drawings of treads, riser boards and rail: what they say, that nothing on them lies over anything else."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from cutpath.export.outputs import Of, made
from cutpath.faults import Fault
from cutpath.job.read import job_from_text
from cutpath.nest.values import Layout
from cutpath.outline import straight
from cutpath.pictures.rail_cuts import laid_down
from cutpath.pictures.tread import _risers
from cutpath.pictures.words import size_text
from cutpath.plan.drawn import board_widths, design
from cutpath.plan.stages import solve
from cutpath.plan.values import Plan
from cutpath.rules.load import load_rules
from cutpath.rules.values import RuleSet
from cutpath.units import shown_in
from tests.jobs import job_with
from tests.packets import made_of, shared
from tests.test_packet import Page
from tests.test_pictures import NO_RULES, SVG, assert_clear, words

IN = 25.4
INSIDE = """
[treads]
size = "2x6"
side_overhang = 1
[riser_boards]
size = "1x8"
[rail]
posts = [1, 3, 5]
place = "inside"
"""


def plan_of(text: str, rules: RuleSet | None = None) -> Plan:
    """A job drawn, by its own rule set or another, without a layout of its stringers."""
    job = job_from_text(text).job
    rules, show = rules or load_rules(job.stair.rules), shown_in(job.units)
    choice = solve(job, rules, show)
    drawn = design(job, rules, choice.stair, board_widths(job)[0], show)
    return Plan(job, rules, choice, drawn, Layout((), "length", None, 0.0, 0.0, 0.0))


def stair_of(more: str, *, risers: int = 6, rise: float = 7.25, riser: float = 0.75, stringer: str = "") -> str:
    return f"""
[site]
total_rise = {risers * rise}
[stair]
risers = {risers}
unit_run = 10.5
riser_board = {riser}
nosing = 1
tread_thickness = "1 1/2"
clear_width = 36
[stringer]
throat_least = 0
sill_notch = {{deep = "3 1/2", high = "1 1/2"}}
{stringer}
[[stock]]
size = "2x12"
length = "16'"
{more}
"""


_OTHERS = ("stringer.svg", "corners.svg", "strength.svg")


def drawings(plan: Plan) -> dict[str, str]:
    """Those of treads, riser boards and rail, and the stair's elevation, which shows a rail too."""
    found = made("job drawn", Of(plan))
    return {name.removesuffix(".svg"): svg.decode() for name, svg in found.items() if name not in _OTHERS}


def flat(svg: str) -> str:
    """Its words in one line."""
    return " ".join(words(svg))


FORMS = (
    "",
    'form = "housed"\n[stringer.housing]\ndepth = {14}\ntread_length_play = {1}',
    'form = "plate"\n[stringer.plate]\nprofile = "straight"\n'
    "bracket = @diameter = {14}, slot = {28}, at = [{75}, {30}]~",
)


@st.composite
def stairs(draw: st.DrawFn) -> str:
    """Stairs of many sizes and forms with some of their other pieces, in both units; lengths in braces are in mm."""

    def pick(*of: Any) -> Any:
        return draw(st.sampled_from(of))

    risers, rise, run = draw(st.integers(2, 14)), draw(st.integers(120, 200)), draw(st.integers(230, 360))
    treads, thick, riser = risers - 1, pick(35, 40), pick(0, 20)
    form = pick(*FORMS, "", "")
    more = []
    if treads < 2 or draw(st.booleans()):
        more.append(f"[treads]\nsize = [{{{thick}}}, {{{pick(90, 140, 190, 300)}}}]\ngap = {{{pick(0, 3, 10)}}}")
        more += [] if form else [f"side_overhang = {{{pick(0, 25, 60)}}}"]
    if riser and draw(st.booleans()):
        more.append(f'[riser_boards]\nsize = [{{{riser}}}, {{260}}]\nfoot = "{pick("behind", "standing")}"')
    if treads >= 2 and (draw(st.booleans()) or not more):
        posts = sorted({1, treads, *draw(st.lists(st.integers(1, treads), max_size=3))})
        size = pick(40, 89, 120)
        more += [
            f'[rail]\nside = "{pick("both", "left", "right")}"',
            f'place = "{"outside" if form else pick("outside", "inside")}"',
            f"posts = {posts}\npost = [{{{size}}}, {{{size}}}]\nopening_most = {{{pick(80, 100, 110)}}}",
            f'height = {{{pick(860, 915, 1100)}}}\nends = "{pick("plumb", "square")}"',
            f"baluster = [{pick('{12}, {12}', '{38}, {38}', '{20}, {45}')}]",
            f"top_rail = [{pick('{38}, {89}', '{45}, {70}')}]\nbottom_rail = [{{38}}, {{89}}]",
        ]
    name = pick(
        "Byre", "A name that is far longer than any that a drawing has room for on one of its lines, as some are"
    )
    notch = "" if form else pick("", "sill_notch = @deep = {89}, high = {38}~")
    text = f"""
[job]
name = "{name}"
[site]
total_rise = {{{risers * rise}}}
[stair]
risers = {risers}
unit_run = {{{run}}}
tread_thickness = {{{thick}}}
riser_board = {{{riser}}}
nosing = {{{pick(0, 20, 25)}}}
clear_width = {{{pick(700, 915, 1400)}}}
top_tread = "{pick("one-below", "at-floor")}"
[stringer]
count = {2 if form else pick(2, 3, 5)}
throat_least = 0
{notch}
{form}
[[stock]]
size = [{{{6 if "plate" in form else 45}}}, {{300}}]
length = {{6000}}
"""
    unit = pick("mm", "in")
    lengths = re.sub(r"\{(\d+)\}", r"\1" if unit == "mm" else r'"\1 mm"', "\n".join([text, *more]))
    return f'units = "{unit}"\n{lengths.replace("@", "{").replace("~", "}")}'


@pytest.mark.slow
@settings(max_examples=12, deadline=None)
@given(stairs())
def test_nothing_lies_over_anything(text: str) -> None:
    try:
        plan = plan_of(text, NO_RULES)
    except Fault:
        assume(False)
    for name, svg in drawings(plan).items():
        try:
            assert_clear(svg)
        except AssertionError as fault:
            raise AssertionError(f"{name}: {fault}") from fault


def rounded(inches: float) -> str:
    return size_text(inches * IN, "in")


def test_the_rail_is_dimensioned_by_plain_trigonometry() -> None:
    found = drawings(plan_of(stair_of(INSIDE)))
    # By hand, inches: the pitch's tangent is 7.25 / 10.5. Tread 1 ends 12.25 out, since the floor overhangs by nosing
    # and riser board; its post's front is 1.75 back from there, and 3.5 behind that its back.
    rail, slope = flat(found["rail"]), 7.25 / 10.5
    for n, back in ((1, 7.0), (3, 28.0), (5, 49.0)):
        assert f"post, tread {n}: {rounded(back)}" in rail
    cosine = math.cos(math.atan(slope))
    # Top rail 36 over the nosings, 1 1/2 thick square to the slope; a post's back is 5.25 behind its tread's nosing and
    # the line of nosings that much times the slope higher. The tip below is 1.75 in from the nosing and a tread lower;
    # the board is 11 1/4 wide square to the line of the tips, which the back meets 3.5 further up.
    over = 36 - 1.5 / cosine + 5.25 * slope
    under = 11.25 / cosine + 1.5 - 3.5 * slope
    assert f"long point {rounded(over + under)}, short point {rounded(over + under - 3.5 * slope)}" in rail
    # The last one stands on the sill plate, a rise less its height below tread 5.
    assert f"Posts, tread 5: long point {rounded(over + 7.25 - 1.5)}" in rail
    assert "3'-0\" over the nosings" in rail and 'bottom rail 1/2" over the nosings' in rail
    # 17.5 between posts, 3 balusters of 1 1/2 leave four gaps of 13 / 4.
    marks = words(found["rail-marks"])
    assert any(f"gaps {rounded(3.25)} level, {rounded(3.25 / cosine)} along the slope" in each for each in marks)
    for k in range(3):
        assert rounded((3.25 + 4.75 * k) / cosine) in marks
    cuts = flat(found["rail-cuts"])
    assert cuts.count("34.6° off square") == 7 and cuts.count("square") >= 8
    assert f"Bottom rail of 2x4, every bay, both sides: 4 of {rounded(17.5 / cosine + 1.5 * slope)}" in cuts
    assert f"Baluster of 2x2, every bay, both sides: 12 of {rounded(36 - 0.5 - 3 / cosine + 1.5 * slope)}" in cuts
    assert "laid out on the broad face, the saw swung (a mitre)" in cuts


def test_a_tread_is_dimensioned() -> None:
    found = drawings(plan_of(stair_of(INSIDE)))
    # By hand: boards of 38 lie 1 past both outer faces, so stringers stand at 1 to 2 1/2 and so on; posts of 3 1/2
    # inside them; 10 1/2 + 1 from the nosing to the riser above, less two boards and a gap of 1/8;
    # 1/8 of play round posts.
    notched, plain = words(found["tread-1"]), words(found["tread-2"])
    for text in ('1"', '2 1/2"', "1'-6 1/4\"", "1'-7 3/4\"", "2'-11 1/2\"", "3'-1\"", '6 1/8"', "2'-7 7/8\"", '1 5/8"'):
        assert text in notched
    for text in ("boards 3'-2\"", 'room 11 1/2"', 'bears 3 3/4"', 'bears 5 1/2"', 'nosing 1"', 'riser 5: 7 1/4"'):
        assert text in plain
    assert '2 boards 1/8" apart; 3/8" open behind the rear one.' in plain
    assert any("Treads 1, 3 and 5" in text for text in notched) and any("Treads 2 and 4" in text for text in plain)


def test_the_plan_says_where_everything_is() -> None:
    text = flat(drawings(plan_of(stair_of(INSIDE)))["plan"])
    for n in range(1, 6):
        assert f"{n}: {rounded(12.25 + 10.5 * (n - 1))}" in text
    assert f"foot: {rounded(52.5)}" in text and "stringers 3'-0\"" in text and "treads 3'-2\"" in text
    assert text.count("1'-5 1/4\"") >= 2, "from middle to middle"
    assert "inner faces of the outer ones" in text
    assert 'Riser board, lowest: 1, 5 3/4" high' in text


@pytest.mark.parametrize(("slope", "square"), [(0.69, False), (0.35, False), (0.69, True)])
def test_a_piece_is_laid_down_with_its_upper_end_left(slope: float, square: bool) -> None:
    long, high = 900.0, 38.0
    angle = math.atan(slope)
    u, v = (math.cos(angle), -math.sin(angle)), (math.sin(angle), math.cos(angle))
    lean = 0.0 if square else high * slope
    # Lying: the long point of a plumb cut is at the upper face of the upper end, and at the lower face of the lower.
    flat_points = [(lean, 0.0), (long, 0.0), (long - lean, high), (0.0, high)]
    there = straight(tuple((x * u[0] + y * v[0] + 70, x * u[1] + y * v[1] - 900) for x, y in flat_points), closed=True)
    for point, meant in zip(laid_down(there).points, flat_points, strict=True):
        assert point == pytest.approx(meant, abs=1e-9)


def test_well_formed_and_self_contained() -> None:
    for svg in drawings(plan_of(stair_of(INSIDE))).values():
        root = ET.fromstring(svg)
        assert [child.tag for child in root][:3] == [f"{SVG}title", f"{SVG}desc", f"{SVG}rect"]
        assert svg.count("http") == 1


@pytest.mark.slow
def test_the_packet_shows_them_in_the_order_of_work() -> None:
    read = job_with(treads={"size": "2x6", "side_overhang": 1}, rail={"posts": [1, 3, 5], "place": "inside"})
    made_ = made_of(read)
    page = Page(made_.html)
    drawn = [attrs["data-drawing"] for attrs in page.all("figure")]
    first = drawn.index("plan")
    assert drawn[first:] == ["plan", "tread-1", "tread-2", "rail", "rail-cuts", "rail-marks"]
    steps = page.inside("li")
    order = [
        next(i for i, step in enumerate(steps) if step.startswith(word)) for word in ("Posts:", "Treads, from", "Top")
    ]
    assert order == sorted(order), "notched treads are laid round posts that stand"
    assert any(words.startswith("What holds a post decides") for words in page.inside("p"))
    plain = made_of(job_with("closed-string"))
    assert "Treads, risers, rail" not in plain.html


@pytest.mark.slow
def test_jobs_cut_together_show_each_site_its_own() -> None:
    read = job_with(rail={"place": "outside"})
    both = shared(read, job_with("orchard-steps", job={"name": "Kelterweg"}))
    own = both.html("sites/orchard-steps/packet.html")
    assert 'data-drawing="rail"' in own and 'data-drawing="plan"' in own
    assert 'data-drawing="rail"' not in both.html("sites/kelterweg/packet.html")
    assert "pictures/orchard-steps/rail.svg" in both.files


def test_a_rail_of_several_pieces_is_drawn_with_each_one_s_length() -> None:
    more = '[rail]\nposts = [1, 5, 9, 13]\n[[lumber]]\nsize = "2x4"\nlength = "8\'"'
    text = stair_of(more, risers=14, rise=7).replace("16'", "20'")
    found = drawings(plan_of(text))
    for svg in found.values():
        assert_clear(svg)
    lines = words(found["rail-cuts"])
    tops = [i for i, line in enumerate(lines) if line.startswith("Top rail of 2x4")]
    assert len(tops) == 3 and all("along its upper face" in lines[i + 1] for i in tops)


def _numbered(svg: str) -> list[str]:
    """What stands on the treads in plan: bold figures alone."""
    bold = [t for t in ET.fromstring(svg).iter(f"{SVG}text") if t.get("font-weight") == "bold"]
    return [t.text for t in bold if t.text and t.text.isdigit()]


@pytest.mark.parametrize("risers", [6, 11, 14, 17, 26])
def test_treads_in_plan_are_numbered_all_or_none(risers: int) -> None:
    """Two figures found no room where one did: treads 1 to 9 of 16 were numbered."""
    text = stair_of('[treads]\nsize = "2x6"', risers=risers, rise=5.0)
    found = _numbered(drawings(plan_of(text, NO_RULES))["plan"])
    assert found in ([], [str(n) for n in range(1, risers)])
    assert found or risers > 10


def test_riser_boards_that_are_not_listed_stand_where_listed_ones_do() -> None:
    """They stood on the tread below in section, and the tread was told to end at their face all the same."""
    treads = '[treads]\nsize = "2x6"\n'
    outlines = []
    for more in (treads, treads + '[riser_boards]\nsize = "1x8"'):
        plan = plan_of(stair_of(more), NO_RULES)
        assert plan.design.pieces is not None
        outlines.append({tuple(map(to_tenths, o.points)) for o in _risers(plan, plan.design.pieces)})
    plain, listed = ({(min(o), max(o)) for o in found} for found in outlines)
    assert len(plain) == 5 and len(listed) == 6, "the uppermost stands on no tread's front"
    assert plain < listed


def to_tenths(point: tuple[float, float]) -> tuple[float, float]:
    return round(point[0], 1), round(point[1], 1)
