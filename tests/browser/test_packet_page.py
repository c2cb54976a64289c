"""The packet as people use it: opened from a file, zoomed, panned, layers hidden, measured, printed."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

import pytest

from cutpath.cautions import SHORT_CAUTION
from tests.browser.chromium import printed, requests_of
from tests.browser.paper import sheets
from tests.packets import Made

Open = Callable[..., Made]
A4, LETTER = (210 / 25.4, 297 / 25.4), (8.5, 11.0)
STRINGER = '[data-drawing="stringer"]'


def js(page: Any, words: str, *values: Any) -> Any:
    return page.execute_script(words, *values)


def view_of(page: Any, drawing: str = STRINGER) -> list[float]:
    box = js(page, "return document.querySelector(arguments[0] + ' svg').getAttribute('viewBox')", drawing)
    return [float(v) for v in box.split()]


def pressed(page: Any, label: str, drawing: str = STRINGER) -> None:
    """Press a drawing's button by the name that a screen reader says."""
    names = js(
        page,
        "return [...document.querySelectorAll(arguments[0] + ' .tools button')]"
        ".filter(b => b.getAttribute('aria-label')?.startsWith(arguments[1] + ':')).map(b => (b.click(), b.title))",
        drawing,
        label,
    )
    assert names == [label]


def panel(page: Any, name: str, drawing: str = STRINGER) -> Any:
    """Open one of a drawing's panels."""
    return js(
        page,
        "const d = [...document.querySelectorAll(arguments[0] + ' details')]"
        ".find(d => d.querySelector('summary').textContent === arguments[1]); d.open = true; return d",
        drawing,
        name,
    )


def measured(page: Any, start: str, end: str, drawing: str = STRINGER) -> str:
    """Choose two points by name, as with a keyboard; gives what a screen reader is told."""
    from selenium.webdriver.support.ui import Select

    box = panel(page, "Measure", drawing)
    for field, name in zip(box.find_elements("tag name", "select"), (start, end), strict=True):
        Select(field).select_by_visible_text(name)
    status = box.find_element("css selector", '[role="status"]')
    return str(status.text)


def length_in(words: str) -> float:
    found = re.search(r": (-?[0-9.]+) (?:in|mm)", words)
    assert found, words
    return float(found[1])


@pytest.mark.slow
@pytest.mark.parametrize("name", ["orchard-steps", "garden-room", "closed-string"])
def test_opens_without_an_error_or_a_request(page: Any, opened: Open, name: str) -> None:
    opened(page, name)
    assert page.get_log("browser") == []
    asked = requests_of(page)
    assert len(asked) == 1
    assert asked[0].startswith("file:///")
    assert js(page, "return document.documentElement.scrollWidth <= innerWidth"), "the page scrolls sideways"
    assert js(page, "return document.querySelectorAll('figure .tools').length") >= 4


@pytest.mark.slow
def test_a_table_that_is_cut_off_says_so(page: Any, opened: Open) -> None:
    cut_off = (
        "return [...document.querySelectorAll('.wide')].filter(e => e.scrollWidth > e.clientWidth)"
        ".map(e => getComputedStyle(e.querySelector('caption'), '::after').content)"
    )
    opened(page)
    found = js(page, cut_off)
    if js(page, "return innerWidth") < 1000:
        assert len(found) >= 3
        assert set(found) == {'"Slide sideways where it is cut off."'}
    else:
        assert found == []
        assert js(page, "return getComputedStyle(document.querySelector('.wide caption'), '::after').content") == "none"


@pytest.mark.slow
def test_requests_are_seen_where_there_are_any(desktop: Any, opened: Open) -> None:
    """The check above can fail, and the packet's own policy stops what would be loaded into it."""
    desktop.get("data:text/html,<img src='http://127.0.0.1:9/none.png'>")
    assert "http://127.0.0.1:9/none.png" in requests_of(desktop)
    opened(desktop)
    stopped = desktop.execute_async_script(
        "const done = arguments[0]; document.addEventListener('securitypolicyviolation', e => done(e.blockedURI));"
        "document.body.append(Object.assign(new Image(), {src: 'http://127.0.0.1:9/none.png'}));"
    )
    assert stopped.startswith("http://127.0.0.1:9")


@pytest.mark.slow
def test_zooms_and_pans_by_buttons(page: Any, opened: Open) -> None:
    opened(page)
    whole = view_of(page)
    pressed(page, "Zoom in")
    closer = view_of(page)
    assert closer[2] == pytest.approx(whole[2] / 1.5, abs=0.01)
    assert closer[3] / closer[2] == pytest.approx(whole[3] / whole[2], abs=1e-4)
    assert closer[0] + closer[2] / 2 == pytest.approx(whole[0] + whole[2] / 2, abs=0.01)
    pressed(page, "Move right")
    assert view_of(page)[0] > closer[0]
    pressed(page, "Move up")
    assert view_of(page)[1] < closer[1]
    for _ in range(20):
        pressed(page, "Move right")
    at_edge = view_of(page)
    assert at_edge[0] + at_edge[2] == pytest.approx(whole[0] + whole[2], abs=0.01), "moved off the sheet"
    pressed(page, "Whole drawing")
    assert view_of(page) == whole
    pressed(page, "Zoom out")
    assert view_of(page) == whole


@pytest.mark.slow
def test_zooms_and_pans_by_keyboard(desktop: Any, opened: Open) -> None:
    from selenium.webdriver.common.keys import Keys

    opened(desktop)
    sheet = desktop.find_element("css selector", f"{STRINGER} .picture")
    whole = view_of(desktop)
    sheet.send_keys("+")
    sheet.send_keys("+")
    closer = view_of(desktop)
    assert closer[2] == pytest.approx(whole[2] / 1.25**2, abs=0.01)
    sheet.send_keys(Keys.ARROW_LEFT)
    assert view_of(desktop)[0] == pytest.approx(closer[0] - 0.1 * closer[2], abs=0.01)
    sheet.send_keys("0")
    assert view_of(desktop) == whole
    outline = js(desktop, "return getComputedStyle(arguments[0]).outlineStyle", sheet)
    assert outline == "solid", "the focus can't be seen"


@pytest.mark.slow
def test_wheel_zooms_the_drawing_only_when_it_has_the_focus(desktop: Any, opened: Open) -> None:
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.actions.wheel_input import ScrollOrigin

    opened(desktop)
    sheet = desktop.find_element("css selector", f"{STRINGER} .picture")
    js(desktop, "arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})", sheet)
    whole = view_of(desktop)
    origin = ScrollOrigin.from_element(sheet, 100, 50)
    ActionChains(desktop).scroll_from_origin(origin, 0, -40).perform()
    assert view_of(desktop) == whole
    js(desktop, "arguments[0].scrollIntoView({block: 'center', behavior: 'instant'}); arguments[0].focus()", sheet)
    ActionChains(desktop).scroll_from_origin(origin, 0, -200).perform()
    closer = view_of(desktop)
    assert closer[2] < 0.9 * whole[2]
    assert closer[0] + closer[2] / 2 > whole[0] + whole[2] / 2, "what is under the pointer stays there"


@pytest.mark.slow
def test_drags_what_is_zoomed(desktop: Any, opened: Open) -> None:
    from selenium.webdriver.common.action_chains import ActionChains

    opened(desktop)
    sheet = desktop.find_element("css selector", f"{STRINGER} .picture")
    js(desktop, "arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})", sheet)
    for _ in range(3):
        pressed(desktop, "Zoom in")
    before = view_of(desktop)
    wide = js(desktop, "return arguments[0].querySelector('svg').getBoundingClientRect().width", sheet)
    ActionChains(desktop, duration=50).move_to_element(sheet).click_and_hold().move_by_offset(
        -60, 20
    ).release().perform()
    after = view_of(desktop)
    assert after[0] - before[0] == pytest.approx(60 * before[2] / wide, rel=0.05)
    assert after[1] - before[1] == pytest.approx(-20 * before[2] / wide, rel=0.05)


@pytest.mark.slow
def test_two_fingers_zoom(phone: Any, opened: Open) -> None:
    opened(phone)
    sheet = phone.find_element("css selector", f"{STRINGER} .picture")
    js(phone, "arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})", sheet)
    box = js(phone, "const b = arguments[0].getBoundingClientRect(); return [b.left, b.top, b.width, b.height]", sheet)
    x, y = box[0] + box[2] / 2, box[1] + box[3] / 2
    whole = view_of(phone)

    def touch(kind: str, apart: float | None) -> None:
        points = [] if apart is None else [{"x": x - apart, "y": y, "id": 0}, {"x": x + apart, "y": y, "id": 1}]
        phone.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", 30)
    for apart in range(35, 95, 5):
        touch("touchMove", apart)
    touch("touchEnd", None)
    closer = view_of(phone)
    assert closer[2] == pytest.approx(whole[2] / 3, rel=0.1), "from 30 to 90 apart is three times"
    assert closer[0] + closer[2] / 2 == pytest.approx(whole[0] + whole[2] / 2, rel=0.05)


@pytest.mark.slow
def test_layers_are_shown_or_hidden(page: Any, opened: Open) -> None:
    opened(page)
    box = panel(page, "Layers")
    parts = {
        "Cut lines": ".shapes .cut",
        "Board and work": ".shapes .kept",
        "Dimension lines": ".dimensions",
        "Words and figures": ".words",
    }

    def visible() -> dict[str, bool]:
        return {
            name: js(
                page,
                "return getComputedStyle(document.querySelector(arguments[0])).display !== 'none'",
                f"{STRINGER} {part}",
            )
            for name, part in parts.items()
        }

    labels = {label.text: label for label in box.find_elements("tag name", "label")}
    assert set(parts) < set(labels)
    assert all(visible().values())
    for name in parts:
        labels[name].click()
        assert visible() == {other: other != name for other in parts}
        labels[name].click()
    assert all(visible().values())
    assert js(page, "return getComputedStyle(document.querySelector('[data-drawing=stair] .cut')).display") != "none"


@pytest.mark.slow
def test_measures_by_name(page: Any, opened: Open) -> None:
    """Tip to tip is the hypotenuse of run and rise; nosings by plain trigonometry too."""
    made = opened(page)
    rise, run = made.result["stair"]["unit_rise"], made.result["stair"]["unit_run"]
    assert (rise, run) == (7.25, 10.5)
    words = measured(page, "tip 1", "tip 3")
    # 2 * sqrt(7.25^2 + 10.5^2) = 25.5196 in, which is 2 ft 1.5196 in; 0.5196 is nearest to 8/16.
    assert words == (
        "tip 1 to tip 3: 25.5196 in (~2'-1 1/2\"). "
        "Along 25.5196 in (~2'-1 1/2\"). Across 0 in (0\")."
    )  # fmt: skip
    assert length_in(words) == pytest.approx(2 * math.hypot(rise, run), abs=5e-5)
    stair = '[data-drawing="stair"]'
    words = measured(page, "nosing of tread 1", "nosing of tread 5", stair)
    assert length_in(words) == pytest.approx(4 * math.hypot(rise, run), abs=5e-5)
    assert "Level 42 in (3'-6\"). Plumb 29 in (2'-5\")" in words
    board = '[data-drawing="board-01"]'
    words = measured(page, "board, lower left", "board, upper right", board)
    assert length_in(words) == pytest.approx(math.hypot(144, 11.1875), abs=5e-5)


@pytest.mark.slow
def test_measures_in_millimetres(desktop: Any, opened: Open) -> None:
    made = opened(desktop, "garden-room")
    stair = made.result["stair"]
    words = measured(desktop, "tip 1", "tip 2")
    assert length_in(words) == pytest.approx(math.hypot(stair["unit_rise"], stair["unit_run"]), abs=0.005)
    assert words.count(" mm") == 3
    assert '"' not in words


@pytest.mark.slow
@pytest.mark.parametrize("zooms", [0, 2])
def test_measures_between_points_that_were_clicked(page: Any, opened: Open, zooms: int) -> None:
    """A click near a point takes the point itself, so its place on the screen adds no error."""
    opened(page)
    panel(page, "Measure")
    sheet = page.find_element("css selector", f"{STRINGER} .picture")
    for _ in range(zooms):
        pressed(page, "Zoom in")
    js(page, "arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})", sheet)
    for name in ("tip 2", "tip 3"):
        x, y = js(
            page,
            "const point = JSON.parse(document.getElementById('measures').textContent).stringer.points"
            ".find(p => p[4] === arguments[1]);"
            "const at = new DOMPoint(point[0], point[1]).matrixTransform("
            "arguments[0].querySelector('svg').getScreenCTM()); return [at.x, at.y]",
            sheet,
            name,
        )
        for kind in ("mousePressed", "mouseReleased"):
            page.execute_cdp_cmd(
                "Input.dispatchMouseEvent",
                {"type": kind, "x": x + 4, "y": y - 3, "button": "left", "clickCount": 1, "pointerType": "mouse"},
            )
    status = page.find_element("css selector", f'{STRINGER} [role="status"]').text
    assert status.startswith("tip 2 to tip 3: ")
    assert length_in(status) == pytest.approx(math.hypot(7.25, 10.5), abs=5e-5)
    ends = js(page, f"return document.querySelectorAll('{STRINGER} .measured circle').length")
    assert ends >= 2
    page.find_element("css selector", f"{STRINGER} details[open] button").click()
    assert page.find_element("css selector", f'{STRINGER} [role="status"]').text == ""


@pytest.mark.slow
def test_a_drag_picks_no_point(desktop: Any, opened: Open) -> None:
    from selenium.webdriver.common.action_chains import ActionChains

    opened(desktop)
    panel(desktop, "Measure")
    sheet = desktop.find_element("css selector", f"{STRINGER} .picture")
    js(desktop, "arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})", sheet)
    ActionChains(desktop, duration=50).move_to_element(sheet).click_and_hold().move_by_offset(40, 0).release().perform()
    assert desktop.find_element("css selector", f'{STRINGER} [role="status"]').text == ""


def piece_pictures(made: Any) -> list[str]:
    """The drawings of treads, riser boards, rail and lumber that an export wrote."""
    kinds = ("plan", "tread", "rail", "lumber")
    paths = [each["path"] for each in made.result["files"]]
    return [p for p in paths if p.startswith("pictures/") and p.removeprefix("pictures/").startswith(kinds)]


@pytest.mark.slow
@pytest.mark.parametrize(("name", "paper"), [("orchard-steps", LETTER), ("garden-room", A4)])
def test_prints_clean_pages(desktop: Any, opened: Open, name: str, paper: tuple[float, float]) -> None:
    made = opened(desktop, name)
    for _ in range(4):
        pressed(desktop, "Zoom in")
    zoomed = view_of(desktop)
    pdf = printed(desktop, *paper)
    assert view_of(desktop) == zoomed, "printing put the view back"
    pages = sheets(pdf)
    for sheet in pages:
        assert (sheet.width, sheet.height) == pytest.approx((72 * paper[0], 72 * paper[1]), abs=1)
        assert sheet.left > 25, "a margin that any printer can keep"
        assert sheet.right < sheet.width - 25
    texts = [sheet.text for sheet in pages]
    # The cover, three drawings, the cut list, each board; two pages for the shop at most and four for the site; files;
    # strength: a line on a page where it isn't judged, else two more.
    boards = len(made.result["nest"]["boards"])
    judged = 3 if made.result["strength"]["method"] else 1
    # Of the stair's other pieces: a page a drawing at most, the list for the saw, what is cut from which, their shapes.
    drawn = len(piece_pictures(made))
    assert drawn >= 3
    assert 9 + boards + judged <= len(texts) <= 13 + boards + judged + drawn + 3
    assert all(SHORT_CAUTION in text for text in texts)
    assert all(f"{i} / {len(texts)}" in text for i, text in enumerate(texts, start=1))
    job = made.plan.job.name
    assert all(job in text for text in texts)
    assert "required checks hold" in texts[0]
    assert any("Notes to the checks" in text for text in texts[:2])
    whole = next(text for text in texts if "The stringer on its board" in text)
    assert "tooth" in whole
    assert "overall" in whole
    assert not any("Zoom" in text or "Measure on" in text for text in texts)


@pytest.mark.slow
def test_long_tables_repeat_their_heads(desktop: Any, opened: Open) -> None:
    opened(desktop)
    js(
        desktop,
        "const body = [...document.querySelectorAll('#cut-list table')][0];"
        "body.className = 'long'; const row = body.tBodies[0].rows[0];"
        "for (let i = 0; i < 120; i++) body.tBodies[0].append(row.cloneNode(true));"
        # Printing all else takes most of the time.
        "for (const part of document.querySelectorAll('main > section:not(#cut-list)')) part.remove();",
    )
    texts = [sheet.text for sheet in sheets(printed(desktop, *A4))]
    pages = [text for text in texts if "Orchard steps: Cut list" in text]
    assert len(pages) >= 3
    assert all("turned end for end" in text and SHORT_CAUTION in text for text in pages[:3])


@pytest.mark.slow
def test_is_read_and_printed_without_scripts(desktop: Any, opened: Open) -> None:
    desktop.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    try:
        made = opened(desktop)
        pdf = printed(desktop, *A4)
        tools = desktop.find_elements("css selector", ".tools")
        drawings = desktop.find_elements("css selector", "figure svg")
        closed = desktop.find_elements("css selector", "details")
    finally:
        desktop.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})
    assert not tools, "a button that does nothing"
    assert not closed
    assert len(drawings) == 6 + len(piece_pictures(made))
    text = " ".join(sheet.text for sheet in sheets(pdf))
    for words in ("required checks hold", "overall 5'-2\"", "Tape sheet of one stringer", "Layers; one that"):
        assert words in text


@pytest.mark.slow
def test_motion_is_reduced_on_request(desktop: Any, opened: Open) -> None:
    opened(desktop)
    found = {}
    try:
        for wish in ("no-preference", "reduce"):
            media = {"features": [{"name": "prefers-reduced-motion", "value": wish}]}
            desktop.execute_cdp_cmd("Emulation.setEmulatedMedia", media)
            found[wish] = js(desktop, "return getComputedStyle(document.documentElement).scrollBehavior")
    finally:
        desktop.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})
    assert found == {"no-preference": "smooth", "reduce": "auto"}
