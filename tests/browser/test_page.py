"""The live page in a browser: a job typed in as one would, on a desktop and a phone."""

from __future__ import annotations

import re
import shutil
import signal
import time
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("selenium", reason="selenium is not installed")
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.keys import Keys

from cutpath.cli.main import run
from cutpath.job.read import job_from_text, read_job
from cutpath.page.edit import typed_in
from tests.browser.axe import axe_source
from tests.browser.chromium import NARROW, requests_of, shown_as
from tests.test_page import DEMO, Served, end, start

# A browser, a service and its workers take seconds to do what a hand does; each test says what it is there for.
pytestmark = pytest.mark.slow

#: The demo's stringers without what goes with them: boards and pieces are no matter where readings are dragged.
STRINGERS = re.sub(r"^# The rest of the stair.*", "", DEMO.read_text(), flags=re.MULTILINE | re.DOTALL)


@pytest.fixture(scope="module")
def _services(tmp_path_factory: pytest.TempPathFactory) -> Iterator[list[Served]]:
    running = [start(tmp_path_factory.mktemp("served") / "job.toml")]
    yield running
    for each in running:
        if each.process.poll() is None:
            each.process.send_signal(signal.SIGCONT)
            end(each)


@pytest.fixture(scope="module")
def begun(_services: list[Served]) -> str:
    """The job that a service begins with where there is none."""
    return _services[0].job.read_text()


@pytest.fixture
def served(_services: list[Served], begun: str, _browser: Any) -> Iterator[Served]:
    """A service on a job that was just begun, alone in its folder; one for all tests, since it keeps nothing."""
    (found,) = _services
    for each in found.job.parent.iterdir():
        shutil.rmtree(each) if each.is_dir() else each.unlink()
    found.job.write_text(begun)
    yield found
    # A page that is left asks for nothing more, and tells no error, while the next test looks for both.
    only(_browser, _browser.window_handles[0])
    _browser.get("data:,")


def wait(page: Any, true: Callable[[], Any], seconds: float = 60) -> Any:
    late = time.monotonic() + seconds
    while time.monotonic() < late:
        found = true()
        if found:
            return found
        time.sleep(0.05)
    raise AssertionError(page.find_element("id", "state").text + page.find_element("id", "trouble").text)


def until(page: Any, words: str, *values: Any) -> Any:
    """Wait in the page, which costs nothing, until an expression of its language is true; gives what it comes to."""
    found = page.execute_async_script(
        "const done = arguments[arguments.length - 1], given = [...arguments], since = performance.now();"
        f"(function look() {{ const found = {words};"
        "if (found) done(found);"
        "else if (performance.now() - since < 60000) setTimeout(look, 20); else done(null); })()",
        *values,
    )
    assert found, page.find_element("id", "state").text + page.find_element("id", "trouble").text
    return found


def opened(page: Any, served: Served) -> None:
    # What a test before typed in this tab would come again.
    at_first = {"source": "sessionStorage.clear()"}
    known = page.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", at_first)
    page.get_log("browser")
    page.get(f"http://127.0.0.1:{served.port}/{served.key}/")
    page.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", known)
    drawn(page)


def drawn(page: Any) -> None:
    """Wait until all that was typed is in the text, and faults or the stair are shown; boards come a while later."""
    until(page, "window.cutpathStairBusy === false")


def laid(page: Any) -> str:
    """Wait until the page has answered all that was typed."""
    still = "window.cutpathBusy === false && document.querySelector('#boards-old').hidden"
    return str(until(page, f"{still} && document.querySelector('#state').textContent"))


def field(page: Any, key: str, *, css: bool = False) -> Any:
    found = page.find_element("css selector", key if css else f'[data-key="{key}"]')
    page.execute_script(
        "for (let at = arguments[0]; at; at = at.parentElement) if (at.tagName === 'DETAILS') at.open = true;"
        "arguments[0].scrollIntoView({block: 'center'})",
        found,
    )
    return found


def write(page: Any, key: str, typed: str) -> None:
    # Selected and typed over, as a hand does it: the driver's way of clearing a field tells the page nothing.
    field(page, key).send_keys("\ue009a\ue000" + (typed or Keys.DELETE))


def write_all(page: Any, values: dict[str, str]) -> None:
    """Each field is given its text, and the page told, no answer waited for.

    Not as by a hand: Chromium then reads the whole form anew for each field, for what it could fill in by itself, and
    computes for many seconds beside the test.
    """
    page.execute_script(
        "for (const [key, typed] of Object.entries(arguments[0])) {"
        "const field = document.querySelector(`[data-key='${key}']`);"
        "field.value = typed;"
        "for (const each of ['input', 'change']) field.dispatchEvent(new Event(each, {bubbles: true})); }",
        values,
    )


def press(page: Any, css: str) -> None:
    found = page.find_element("css selector", css)
    page.execute_script("arguments[0].scrollIntoView({block: 'center'})", found)
    found.click()


def value(page: Any, key: str) -> str:
    return str(page.execute_script("return document.querySelector(arguments[0]).value", f'[data-key="{key}"]'))


def holds(page: Any, key: str, wanted: str) -> None:
    """Wait until a field holds what is wanted."""
    until(page, "document.querySelector(given[0]).value === given[1]", f'[data-key="{key}"]', wanted)


def errors(page: Any) -> list[str]:
    return [entry["message"] for entry in page.get_log("browser") if entry["level"] == "SEVERE"]


def rows_as(page: Any, counts: dict[str, int]) -> None:
    """Add and take out rows until there are so many of each, one press after the other."""
    page.execute_script(
        "for (const [key, count] of Object.entries(arguments[0])) {"
        "const box = document.querySelector(`[data-rows='${key}']`);"
        "for (let at = box; at; at = at.parentElement) if (at.tagName === 'DETAILS') at.open = true;"
        "const rows = [...box.querySelectorAll(':scope > ol > li')];"
        "for (const row of rows.slice(count).reverse()) row.querySelector('[data-row=out]').click();"
        "for (let now = rows.length; now < count; now++) box.querySelector(`[data-add='${key}']`).click(); }",
        counts,
    )
    until(
        page,
        "Object.entries(given[0]).every(([key, count]) =>"
        "document.querySelectorAll(`[data-rows='${key}'] > ol > li`).length === count)",
        counts,
    )


def tapes_as(page: Any, tapes: list[str]) -> None:
    """Choose how each reading was taken."""
    page.execute_script(
        "for (const [number, tape] of arguments[0].entries()) {"
        "const s = document.querySelector(`[data-item='site.profile[${number}]'] [data-part=tape]`);"
        "s.value = tape; s.dispatchEvent(new Event('change', {bubbles: true})); }",
        tapes,
    )
    until(
        page,
        "given[0].every((tape, number) => document.querySelector(`[data-key='site.profile[${number}].${tape}']`))",
        tapes,
    )


@cache
def by_command(text: str, folder: Path) -> dict[str, bytes]:
    """What the command writes for a job."""
    (folder / "job.toml").write_text(text)
    assert run(["export", str(folder / "job.toml"), "-o", str(folder / "out")]) == 0
    return files(folder / "out")


def files(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


@pytest.fixture(scope="module")
def command_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("command")


def test_from_an_empty_folder_to_the_command_s_files(desktop: Any, served: Served, command_folder: Path) -> None:
    """The demo typed in, field by field; a count chosen by a click, a throat mended by a button, the files written."""
    page = desktop
    requests_of(page)
    opened(page, served)
    demo, begun = typed_in(DEMO.read_text()), typed_in(served.job.read_text())
    rows_as(page, {**dict.fromkeys(begun["rows"], 0), **demo["rows"]})
    tapes_as(page, demo["tapes"])
    there = page.execute_script(
        "return Object.fromEntries([...document.querySelectorAll('[data-key]')].map((f) => [f.dataset.key, f.value]))"
    )
    assert set(demo["values"]) <= set(there)
    wanted = {key: demo["values"].get(key, "") for key in there}
    # One of each by its keys: a line to write in, a list to choose from.
    for key in ("job.name", "stair.rules"):
        write(page, key, wanted[key])
    write_all(page, {key: wanted[key] for key, shown in there.items() if shown != wanted[key]})
    laid(page)
    text = page.execute_script("return document.querySelector('#text').value")
    assert job_from_text(text, served.job).job == read_job(DEMO).job
    assert text.startswith("# A job for cutpath"), "the starter's comments stay"
    assert page.find_elements("css selector", "#pictures svg") and page.find_elements(
        "css selector", "#board-pictures svg"
    )

    press(page, "tr.chosen [data-count]")
    holds(page, "stair.risers", "6")
    press(page, "#undo")
    holds(page, "stair.risers", "")
    press(page, "#redo")
    holds(page, "stair.risers", "6")

    write(page, "stringer.throat_least", "5.3")
    until(page, "document.querySelector('#verdict').textContent.includes('FAILS: throat')")
    laid(page)
    ways = [m for m in page.find_elements("css selector", "#mends li") if ", enough" in m.text]
    button = next(b for m in ways for b in m.find_elements("css selector", "button"))
    page.execute_script("arguments[0].scrollIntoView({block: 'center'})", button)
    button.click()
    until(page, "!document.querySelector('#verdict').textContent.includes('FAILS')")
    assert "throat" not in laid(page)

    press(page, "#export")
    said = until(page, "document.querySelector('#exported pre, #exported .fault')?.textContent")
    assert "wrote to" in said, said
    ours = files(served.job.with_suffix(""))
    assert ours == by_command(served.job.read_text(), command_folder) and "boards/01.dxf" in ours
    assert errors(page) == []
    assert {address.split("/")[2] for address in requests_of(page) if address.startswith("http")} == {
        f"127.0.0.1:{served.port}"
    }
    assert page.execute_script("return document.documentElement.scrollWidth <= innerWidth")


def test_on_a_phone_a_job_is_changed_and_its_files_written(phone: Any, served: Served) -> None:
    """What a finger reaches there: a row, a field, a count, the files."""
    opened(phone, served)
    rows = "#form [data-rows='stock'] > ol > li"
    count = len(phone.find_elements("css selector", rows))
    field(phone, "[data-add='stock']", css=True).click()
    until(phone, "document.querySelectorAll(given[0]).length === given[1]", rows, count + 1)
    field(phone, f"{rows}:last-child [data-row='out']", css=True).click()
    write(phone, "stair.unit_run", "10 1/")
    until(phone, "document.querySelector('.field[data-field=\"stair.unit_run\"] .fault').textContent.includes('10 1/')")
    write(phone, "stair.unit_run", "10 1/2")
    assert "Required checks hold" in laid(phone)
    assert phone.find_elements("css selector", "#pictures svg, #board-pictures svg")
    press(phone, "tr.chosen [data-count]")
    until(phone, "document.querySelector('tr.chosen [data-count]').getAttribute('aria-pressed') === 'true'")
    assert value(phone, "stair.risers") != ""
    press(phone, "#export")
    assert "wrote to" in until(phone, "document.querySelector('#exported pre, #exported .fault')?.textContent")
    assert "risers = " in served.job.read_text() and (served.job.with_suffix("") / "boards" / "01.dxf").exists()
    assert errors(phone) == []
    assert phone.execute_script("return document.documentElement.scrollWidth <= innerWidth")


def test_a_wrong_field_shows_its_fault_and_the_last_stair_stays(desktop: Any, served: Served) -> None:
    page = desktop
    opened(page, served)
    write(page, "stair.unit_run", "10 1/")
    fault = page.find_element("css selector", '.field[data-field="stair.unit_run"] .fault')
    until(page, "given[0].textContent.includes('10 1/')", fault)
    assert "10 1/" in fault.text and value(page, "stair.unit_run") == "10 1/"
    assert field(page, "stair.unit_run").get_attribute("aria-invalid") == "true"
    assert page.find_element("id", "old").is_displayed() and page.find_elements("css selector", "#pictures svg")
    assert 'unit_run = "10 1/"' in page.execute_script("return document.querySelector('#text').value")
    write(page, "stair.unit_run", "10 1/2")
    drawn(page)
    assert not page.find_element("id", "old").is_displayed() and not fault.is_displayed()
    # A reading's fields are narrow: its row has it, as wide as the form.
    write(page, "site.profile[1].down", "34 5/")
    row = page.find_element("css selector", '[data-item="site.profile[1]"] .row-fault')
    until(page, "given[0].textContent.startsWith('Down: ') && given[0].textContent.includes('34 5/')", row)
    assert field(page, "site.profile[1].down").get_attribute("aria-describedby") == row.get_attribute("id")
    assert row.size["width"] > 3 * field(page, "site.profile[1].down").size["width"]
    write(page, "site.profile[1].down", "34 5/8")
    drawn(page)
    assert not row.is_displayed()


def test_a_choice_counts_where_nothing_but_its_change_is_told(desktop: Any, served: Served) -> None:
    """As by what reads the screen aloud; what is still the starter's has its size in the unit that is chosen."""
    opened(desktop, served)
    told = "const field = document.querySelector('[data-key=units]'); field.value = 'mm';"
    desktop.execute_script(told + "field.dispatchEvent(new Event('change', {bubbles: true}))")
    holds(desktop, "stair.nosing", "25")
    press(desktop, "#undo")
    holds(desktop, "stair.nosing", "1")


def test_a_length_typed_slowly_stays_as_it_is_typed(desktop: Any, served: Served) -> None:
    opened(desktop, served)
    found = field(desktop, "stair.unit_run")
    found.send_keys("\ue009a\ue000")
    for some, shown in (("10", "10"), (" ", "10 "), ("1/", "10 1/"), ("4", "10 1/4")):
        found.send_keys(some)
        # Half a value is borne with for a while: this waits until it is told as a fault.
        drawn(desktop)
        assert value(desktop, "stair.unit_run") == shown
        assert (found.get_attribute("aria-invalid") == "true") == some.endswith("/")
    assert 'unit_run = "10 1/4"' in desktop.execute_script("return document.querySelector('#text').value")


def test_changed_underneath_both_are_shown_and_none_is_lost(desktop: Any, served: Served) -> None:
    opened(desktop, served)
    write(desktop, "job.name", "Mine")
    drawn(desktop)
    theirs = "[site]\ntotal_rise = 42\n"
    served.job.write_text(theirs)
    press(desktop, "#save")
    until(desktop, "document.querySelector('#meanwhile').open")
    assert served.job.read_text() == theirs
    assert 'name = "Mine"' in desktop.find_element("id", "mine").text
    assert desktop.find_element("id", "theirs").text == theirs.strip()
    # What only one of them has is marked, which nobody would find among hundreds of lines.
    assert [each.text for each in desktop.find_elements("css selector", "#theirs mark")] == ["total_rise = 42"]
    desktop.find_element("id", "take-theirs").click()
    holds(desktop, "site.total_rise", "42")
    press(desktop, "#undo")
    holds(desktop, "job.name", "Mine")


def hurried(page: Any) -> None:
    """What the page does again and again from now on, such as asking a service that is away, it does soon."""
    page.execute_script("const slow = setInterval; window.setInterval = (what, ms) => slow(what, ms / 10)")


def away(page: Any) -> str:
    return str(page.find_element("id", "away").text)


def test_what_is_typed_outlives_the_service_and_follows_it(
    desktop: Any, served: Served, _services: list[Served]
) -> None:
    """The service ends under an open page and starts again with another key: nothing typed is lost, by itself."""
    opened(desktop, served)
    first = desktop.current_window_handle
    write(desktop, "job.name", "Typed before")
    drawn(desktop)
    hurried(desktop)
    end(served)
    write(desktop, "job.name", "Typed while it was away")
    until(desktop, "document.querySelector('#away').textContent.includes(given[0])", "does not answer")
    again = _services[0] = start(served.job, "--port", str(served.port))
    try:
        assert again.key != served.key
        until(desktop, "document.querySelector('#away').textContent.includes(given[0])", "another address")
        assert value(desktop, "job.name") == "Typed while it was away"
        desktop.switch_to.new_window("tab")
        # Whoever starts it again has its page opened; the one that was open hears of it.
        opened(desktop, again)
        second = desktop.current_window_handle
        assert value(desktop, "job.name") != "Typed while it was away"
        desktop.switch_to.window(first)
        wait(desktop, lambda: again.key in desktop.current_url)
        drawn(desktop)
        assert value(desktop, "job.name") == "Typed while it was away" and not away(desktop)
        press(desktop, "#save")
        wait(desktop, lambda: "Typed while it was away" in again.job.read_text())
        desktop.switch_to.window(second)
        holds(desktop, "job.name", "Typed while it was away")
    finally:
        only(desktop, first)


def only(page: Any, kept: str) -> None:
    for each in page.window_handles:
        if each != kept:
            page.switch_to.window(each)
            page.execute_script("sessionStorage.clear()")
            page.close()
    page.switch_to.window(kept)


def test_a_service_that_comes_back_with_its_key_is_gone_on_with(desktop: Any, served: Served) -> None:
    """As after a network that was gone for a while."""
    opened(desktop, served)
    hurried(desktop)
    served.process.send_signal(signal.SIGSTOP)
    desktop.execute_cdp_cmd("Network.enable", {})
    offline = {"offline": True, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1}
    desktop.execute_cdp_cmd("Network.emulateNetworkConditions", offline)
    write(desktop, "job.name", "Out of reach")
    until(desktop, "document.querySelector('#away').textContent.includes(given[0])", "does not answer")
    served.process.send_signal(signal.SIGCONT)
    desktop.execute_cdp_cmd("Network.emulateNetworkConditions", {**offline, "offline": False})
    until(desktop, "document.querySelector('#away').hidden")
    drawn(desktop)
    assert 'name = "Out of reach"' in desktop.execute_script("return document.querySelector('#text').value")


def test_two_tabs_on_one_job_lose_neither(desktop: Any, served: Served) -> None:
    opened(desktop, served)
    first = desktop.current_window_handle
    write(desktop, "job.name", "Of the first tab")
    drawn(desktop)
    desktop.switch_to.new_window("tab")
    try:
        opened(desktop, served)
        until(desktop, "document.querySelector('#trouble').textContent.includes('another tab')")
        write(desktop, "job.name", "Of the second tab")
        drawn(desktop)
        press(desktop, "#save")
        wait(desktop, lambda: 'name = "Of the second tab"' in served.job.read_text())
        desktop.switch_to.window(first)
        assert value(desktop, "job.name") == "Of the first tab"
        press(desktop, "#save")
        until(desktop, "document.querySelector('#meanwhile').open")
        assert 'name = "Of the second tab"' in desktop.find_element("id", "theirs").text
        desktop.find_element("id", "keep-mine").click()
        wait(desktop, lambda: 'name = "Of the first tab"' in served.job.read_text())
        press(desktop, "#undo")
        holds(desktop, "job.name", "Of the second tab")
    finally:
        only(desktop, first)


def grip(page: Any, key: str) -> tuple[float, float]:
    """Where a handle of the stair's drawing is, window."""
    found = page.execute_script(
        "const g = document.querySelector(`[data-grip='${arguments[0]}'] .seen`); g.scrollIntoView({block: 'center'});"
        "const b = g.getBoundingClientRect(); return [b.x + b.width / 2, b.y + b.height / 2]",
        key,
    )
    return float(found[0]), float(found[1])


def pointer(page: Any, kind: str, x: float, y: float, *, touch: bool) -> None:
    if touch:
        name = {"mousePressed": "touchStart", "mouseMoved": "touchMove", "mouseReleased": "touchEnd"}[kind]
        points = [] if name == "touchEnd" else [{"x": x, "y": y}]
        page.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": name, "touchPoints": points})
    else:
        event = {"type": kind, "x": x, "y": y, "button": "left", "buttons": 1, "clickCount": 1}
        page.execute_cdp_cmd("Input.dispatchMouseEvent", event)


def drag(page: Any, key: str, right: float, down: float) -> None:
    x, y = grip(page, key)
    touch = bool(page.execute_script("return navigator.maxTouchPoints > 0"))
    pointer(page, "mousePressed", x, y, touch=touch)
    for share in (0.3, 0.7, 1.0):
        pointer(page, "mouseMoved", x + right * share, y + down * share, touch=touch)
    pointer(page, "mouseReleased", x + right, y + down, touch=touch)


def test_readings_and_the_foot_are_dragged(page: Any, served: Served) -> None:
    """Their fields follow, along the way that the hand goes, and one Undo takes back one drag."""
    served.job.write_text(STRINGERS)
    opened(page, served)
    text = "return document.querySelector('#text').value"
    before = page.execute_script(text)
    drag(page, "site.profile[1]", 0, 14)
    drawn(page)
    changed = page.execute_script(text)
    down = value(page, "site.profile[1].down")
    assert value(page, "site.profile[1].out") == "24" and 42 < float(down.split()[0]) < 48, down
    assert changed.replace(f'[24, "{down}"]', '[24, "41 3/8"]').replace(f"[24, {down}]", '[24, "41 3/8"]') == before
    press(page, "#undo")
    until(page, "document.querySelector('#text').value === given[0]", before)
    if not page.execute_script("return navigator.maxTouchPoints"):
        # One handle and another differ in nothing that a finger does.
        drawn(page)
        drag(page, "stair.unit_run", 16, 0)
        drawn(page)
        assert float(value(page, "stair.unit_run").split()[0]) >= 10 and page.execute_script(text) != before
        press(page, "#undo")
        until(page, "document.querySelector('#text').value === given[0]", before)
    # The drawing goes back as well, and its handles with it.
    drawn(page)
    # A taut tape's length follows both ways.
    drag(page, "site.profile[3]", 0, 14)
    drawn(page)
    assert value(page, "site.profile[3].along") != "86 5/8" and value(page, "site.profile[3].down") != "48"
    assert errors(page) == []


def test_the_packet_opens_in_a_tab(desktop: Any, served: Served) -> None:
    opened(desktop, served)
    first = desktop.current_window_handle
    write(desktop, "job.name", "Not saved")
    drawn(desktop)
    press(desktop, "#packet")
    wait(desktop, lambda: len(desktop.window_handles) == 2)
    desktop.switch_to.window(next(each for each in desktop.window_handles if each != first))
    wait(desktop, lambda: desktop.find_elements("css selector", "h1"))
    assert "Not saved" in desktop.find_element("css selector", "h1").text
    assert desktop.execute_script("return [origin, document.querySelectorAll('svg').length > 3]") == ["null", True]
    assert errors(desktop) == []
    desktop.close()
    desktop.switch_to.window(first)


#: How many stops of the Tab key lie between where the focus is and what is wanted, as the page is written.
STOPS = """
const all = [...document.querySelectorAll('a[href], button, input, select, textarea, summary, [tabindex="0"]')]
  .filter((e) => !e.disabled && e.checkVisibility());
return all.findIndex((e) => e.matches(arguments[0])) - all.indexOf(document.activeElement);
"""


def tab_to(page: Any, css: str) -> Any:
    """Go on by the Tab key alone until what is wanted has the focus."""
    keys = max(page.execute_script(STOPS, css), 1)
    for more in (keys, *(1,) * 20):
        ActionChains(page, duration=0).send_keys(Keys.TAB * more).perform()
        active = page.switch_to.active_element
        if page.execute_script("return arguments[0].matches(arguments[1])", active, css):
            return active
    raise AssertionError(f"{css} is not reached")


def test_by_keyboard_alone_from_typing_to_files(desktop: Any, served: Served) -> None:
    """Fields, a count, files: reached by Tab, a button that is drawn anew has the focus still; said once, not often."""
    opened(desktop, served)
    laid(desktop)
    # What is said once it stays for a while is kept here until it is asked for, so that no while is too short; and
    # however long boards take, what comes with them is not asked for apart.
    desktop.execute_script(
        "window.staying = new Map(); const [set, clear] = [setTimeout, clearTimeout]; let number = -1;"
        "window.setTimeout = (what, ms, ...more) => ms === 250 ? --number : ms === 800"
        "? (staying.set(--number, what), number) : set(what, ms, ...more);"
        "performance.clearResourceTimings();"
        "window.clearTimeout = (id) => { if (!staying.delete(id)) clear(id); }"
    )
    ActionChains(desktop).send_keys(Keys.TAB).perform()
    skip = desktop.switch_to.active_element
    assert skip.text == "To the stair" and skip.rect["x"] >= 0
    tab_to(desktop, '[data-key="job.name"]').send_keys("By keys")
    tab_to(desktop, '[data-key="site.profile[0].down"]').send_keys("35 1/2")
    assert desktop.execute_script("return getComputedStyle(document.activeElement).outlineStyle") == "solid"
    laid(desktop)
    assert value(desktop, "site.profile[0].down") == "35 1/2"
    asked = desktop.execute_script(
        "return performance.getEntriesByType('resource').map((each) => each.name.split('/').at(-1))"
    )
    assert "boards" in asked and "more" not in asked, asked
    assert desktop.find_elements("css selector", "#more-pictures:not(.late) [data-picture='stringer']")
    count = tab_to(desktop, "tr.chosen [data-count]")
    held = count.get_attribute("data-count")
    count.send_keys(Keys.SPACE)
    holds(desktop, "stair.risers", held)
    laid(desktop)
    assert desktop.execute_script(
        "const say = [...staying.values()]; staying.clear(); for (const each of say) each();"
        "const [told, state] = ['#told', '#state'].map((which) => document.querySelector(which).textContent);"
        "return [say.length, told === state]"
    ) == [1, True]
    kept = desktop.switch_to.active_element
    assert (kept.get_attribute("data-count"), kept.get_attribute("aria-pressed")) == (held, "true")
    kept.send_keys(Keys.SPACE)
    holds(desktop, "stair.risers", "")
    laid(desktop)
    tab_to(desktop, "#export").send_keys(Keys.ENTER)
    until(desktop, "document.querySelector('#exported pre')")
    assert 'name = "By keys"' in served.job.read_text() and (served.job.parent / "job" / "packet.html").exists()


def test_what_is_taken_out_leaves_the_hand_among_the_rows(desktop: Any, served: Served) -> None:
    opened(desktop, served)
    rows = "#form [data-rows='site.profile'] > ol > li"
    count = len(desktop.find_elements("css selector", rows))
    press(desktop, f"{rows}:last-child [data-row='out']")
    until(desktop, "document.querySelectorAll(given[0]).length === given[1]", rows, count - 1)
    assert (
        desktop.execute_script("return document.activeElement.closest('[data-rows]')?.dataset.rows") == "site.profile"
    )


def broken(page: Any, how: dict[str, Any]) -> list[tuple[str, list[str]]]:
    """What axe-core finds, run in a certain way."""
    found = page.execute_async_script(
        "const done = arguments[arguments.length - 1];"
        "axe.run(document, {...arguments[0], resultTypes: ['violations']})"
        ".then((r) => done([r.passes.length, r.violations]))",
        how,
    )
    assert found[0], "no rule applied"
    return [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found[1]]


def test_axe_finds_nothing(page: Any, served: Served) -> None:
    opened(page, served)
    page.execute_script("for (const part of document.querySelectorAll('details')) part.open = true")
    laid(page)
    # The page's policy lets no script of another in; the driver's own runs beside it.
    page.execute_script(axe_source())
    # Contrast takes most of the time: colours are the same at every width, and all else is in every light.
    wide = page.execute_script("return innerWidth") > 1000
    assert broken(page, {"rules": {"color-contrast": {"enabled": wide}}}) == []
    if wide:
        dark = [{"name": "prefers-color-scheme", "value": "dark"}]
        page.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": dark})
        assert broken(page, {"runOnly": ["color-contrast"]}) == []
        page.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})
    small = page.execute_script(
        "return [...document.querySelectorAll('button, select, input, summary, a')].filter((e) => e.checkVisibility())"
        ".map((e) => [e.outerHTML.slice(0, 80), e.getBoundingClientRect()])"
        ".filter(([, b]) => b.width < 24 || b.height < 24)"
        ".map(([t]) => t).filter((t) => !t.includes('skip') && !t.includes('checkbox'))"
    )
    assert small == []


def test_it_is_read_on_320_pixels_without_scrolling_sideways(phone: Any, served: Served) -> None:
    served.job.write_text(DEMO.read_text().replace("throat_least = 5\n", "throat_least = 5.3\n"))
    shown_as(phone, NARROW)
    opened(phone, served)
    laid(phone)
    phone.execute_script("for (const part of document.querySelectorAll('details')) part.open = true")
    assert phone.execute_script("return document.documentElement.scrollWidth") <= 320
