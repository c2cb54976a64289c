"""The packet held against WCAG 2.2 AA by axe-core, and what it can't see: keyboard, targets."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from tests.browser.axe import axe_source
from tests.browser.chromium import NARROW, shown_as
from tests.packets import Made

Open = Callable[..., Made]
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def violations(page: Any, *, contrast: bool = True) -> list[str]:
    """What axe-core finds; contrast, which takes most of its time, is the same at every width."""
    if page.execute_script("return !window.axe"):
        page.execute_script(axe_source())
    found = page.execute_async_script(
        "const done = arguments[arguments.length - 1];"
        "axe.run(document, {runOnly: {type: 'tag', values: arguments[0]},"
        "rules: {'color-contrast': {enabled: arguments[1]}}, resultTypes: ['violations']}).then(r => done("
        "{passed: r.passes.length, broken: r.violations.map(v => v.id + ': ' + v.nodes.map(n => n.target).join(' | '))}"
        "), e => done({passed: 0, broken: [String(e)]}))",
        TAGS,
        contrast,
    )
    assert found["passed"] > 20, "hardly any rule applied"
    return list(found["broken"])


@pytest.mark.slow
@pytest.mark.parametrize(("page", "name"), [("desktop", "orchard-steps"), ("phone", "garden-room")], indirect=["page"])
def test_no_violation_of_axe(page: Any, opened: Open, name: str) -> None:
    """With all panels open, and contrast, on a wide one; as it opens on a narrow one."""
    opened(page, name)
    if name == "orchard-steps":
        all_open(page)
    assert violations(page, contrast=name == "orchard-steps") == []


@pytest.mark.slow
@pytest.mark.parametrize(("page", "name"), [("desktop", "shop"), ("phone", "site")], indirect=["page"])
def test_no_violation_in_the_packets_of_several_jobs(page: Any, opened_shared: Open, name: str) -> None:
    """As it opens, with contrast, on a wide one; with all panels open on a narrow one."""
    opened_shared(page, name)
    if name == "site":
        all_open(page)
    assert violations(page, contrast=name == "shop") == []


def all_open(page: Any) -> None:
    """Open all panels of a page and measure between two points in each."""
    page.execute_script(
        "for (const d of document.querySelectorAll('details')) d.open = true;"
        "for (const ends of document.querySelectorAll('.ends'))"
        "for (const [i, list] of ends.querySelectorAll('select').entries())"
        "{ list.value = String(i + 1); list.dispatchEvent(new Event('change')); }"
    )


@pytest.mark.slow
def test_axe_sees_what_is_wrong(desktop: Any, opened_shared: Open) -> None:
    opened_shared(desktop, "site")
    desktop.execute_script(
        "document.documentElement.lang = ''; document.querySelector('svg title').remove();"
        "document.querySelector('h2').style.color = '#999'"
    )
    broken = " ".join(violations(desktop))
    assert "html-has-lang" in broken
    assert "svg-img-alt" in broken
    assert "color-contrast: h2" in broken or "color-contrast: #" in broken, broken


@pytest.mark.slow
def test_targets_are_large_enough(page: Any, opened: Open) -> None:
    """At least 24 CSS pixels each way (WCAG 2.2, 2.5.8), links in a list of their own too."""
    opened(page)
    page.execute_script("for (const d of document.querySelectorAll('details')) d.open = true;")
    small = page.execute_script(
        "return [...document.querySelectorAll('button, summary, select, label, nav a')]"
        ".map(e => [e.textContent.slice(0, 20), e.getBoundingClientRect()])"
        ".filter(([, b]) => b.width < 24 || b.height < 24).map(([t]) => t)"
    )
    assert small == []


@pytest.mark.slow
def test_keyboard_reaches_everything(desktop: Any, opened: Open) -> None:
    """The first stop skips to the pages; every control and drawing is a stop, in the order of the page."""
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.keys import Keys

    opened(desktop)
    ActionChains(desktop).send_keys(Keys.TAB).perform()
    first = desktop.switch_to.active_element
    assert first.text == "Skip to the pages"
    assert first.rect["x"] >= 0, "hidden though it has the focus"
    ActionChains(desktop).send_keys(Keys.ENTER).perform()
    assert desktop.switch_to.active_element.get_attribute("id") == "content"
    names = []
    for _ in range(11):
        ActionChains(desktop).send_keys(Keys.TAB).perform()
        active = desktop.switch_to.active_element
        names.append(active.get_attribute("aria-label") or active.text)
    assert names[0] == "Zoom in: The stair on its ground"
    assert names[7:9] == ["Layers", "Measure"]
    assert names[9].startswith("The stair on its ground, drawing.")
    assert names[10] == "Zoom in: The stringer on its board"


@pytest.mark.slow
def test_page_reflows_on_a_narrow_screen(phone: Any, opened: Open) -> None:
    """At 320 CSS pixels nothing but tables scrolls sideways (WCAG 1.4.10)."""
    opened(phone)
    shown_as(phone, NARROW)
    assert phone.execute_script("return document.documentElement.scrollWidth") <= 320
