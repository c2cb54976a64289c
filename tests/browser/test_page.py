"""The live page in a browser: a job typed in as one would, on a desktop and a phone."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from cutpath.cli.main import run
from tests.browser.axe import axe_source
from tests.browser.chromium import requests_of
from tests.test_page import DEMO, Served, end, start

#: Readings of our own, out and down.
READINGS = (("0", "36"), ("30", "38 1/2"), ("60", "3' 5\""), ("110", "44 3/4"))


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    found = start(tmp_path / "job.toml")
    yield found
    if found.process.poll() is None:
        end(found)


def wait(page: Any, true: Callable[[], Any], seconds: float = 60) -> Any:
    late = time.monotonic() + seconds
    while time.monotonic() < late:
        found = true()
        if found:
            return found
        time.sleep(0.1)
    raise AssertionError(page.find_element("id", "state").text + page.find_element("id", "trouble").text)


def opened(page: Any, served: Served) -> None:
    page.get(f"http://127.0.0.1:{served.port}/{served.key}/")
    laid(page)


def laid(page: Any) -> str:
    """Wait until the page has answered all that was typed."""
    return wait(
        page,
        lambda: page.execute_script(
            "return window.cutpathBusy === false && document.querySelector('#boards-old').hidden "
            "&& document.querySelector('#state').textContent"
        ),
    )


def field(page: Any, key: str) -> Any:
    found = page.find_element("css selector", f'[data-key="{key}"]')
    page.execute_script(
        "for (let at = arguments[0]; at; at = at.parentElement) if (at.tagName === 'DETAILS') at.open = true;"
        "arguments[0].scrollIntoView({block: 'center'})",
        found,
    )
    return found


def write(page: Any, key: str, typed: str) -> None:
    # Selected and typed over, as a hand does it: the driver's way of clearing a field tells the page nothing.
    field(page, key).send_keys("\ue009a\ue000" + typed)


def press(page: Any, css: str) -> None:
    found = page.find_element("css selector", css)
    page.execute_script("arguments[0].scrollIntoView({block: 'center'})", found)
    found.click()


def value(page: Any, key: str) -> str:
    return str(page.execute_script("return document.querySelector(arguments[0]).value", f'[data-key="{key}"]'))


def errors(page: Any) -> list[str]:
    return [entry["message"] for entry in page.get_log("browser") if entry["level"] == "SEVERE"]


@pytest.mark.slow
def test_from_an_empty_folder_to_the_command_s_files(page: Any, served: Served, tmp_path: Path) -> None:
    requests_of(page)
    opened(page, served)
    for number, (out, down) in enumerate(READINGS):
        if number == 2:
            write_tape(page, number, "out")
        write(page, f"site.profile[{number}].out", out)
        write(page, f"site.profile[{number}].down", down)
    write(page, "job.name", "Shed steps")
    laid(page)
    assert page.find_elements("css selector", "#pictures svg") and page.find_elements("css selector", "#boards svg")

    counts = page.find_elements("css selector", "[data-count]")
    other = next(
        row.get_attribute("data-count") for row in counts if "chosen" not in row.find_element("xpath", "../..").text
    )
    press(page, f'[data-count="{other}"]')
    wait(page, lambda: value(page, "stair.risers") == other)
    press(page, "#undo")
    wait(page, lambda: value(page, "stair.risers") == "")
    press(page, "#redo")
    wait(page, lambda: value(page, "stair.risers") == other)
    press(page, "#undo")
    wait(page, lambda: value(page, "stair.risers") == "")
    laid(page)

    press(page, "#export")
    said = wait(
        page,
        lambda: page.execute_script("return document.querySelector('#exported pre, #exported .fault')?.textContent"),
    )
    assert "wrote to" in said, said
    assert 'name = "Shed steps"' in served.job.read_text() and served.job.read_text().startswith("# A job for cutpath")
    status = run(["export", str(served.job), "-o", str(tmp_path / "by-command")])
    assert status in (0, 1)

    def files(folder: Path) -> dict[str, bytes]:
        return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}

    assert files(tmp_path / "job") == files(tmp_path / "by-command") != {}
    assert errors(page) == []
    assert {address.split("/")[2] for address in requests_of(page) if address.startswith("http")} == {
        f"127.0.0.1:{served.port}"
    }
    assert page.execute_script("return document.documentElement.scrollWidth <= innerWidth")


def write_tape(page: Any, number: int, kind: str) -> None:
    page.execute_script(
        "const s = document.querySelector(arguments[0]); s.value = arguments[1];"
        "s.dispatchEvent(new Event('change', {bubbles: true}))",
        f'[data-item="site.profile[{number}]"] [data-part="tape"]',
        kind,
    )
    wait(page, lambda: page.find_elements("css selector", f'[data-key="site.profile[{number}].out"]'))


@pytest.mark.slow
def test_a_wrong_field_shows_its_fault_and_the_last_stair_stays(page: Any, served: Served) -> None:
    opened(page, served)
    write(page, "stair.unit_run", "10 1/")
    fault = page.find_element("css selector", '.field[data-field="stair.unit_run"] .fault')
    wait(page, lambda: fault.text)
    assert "10 1/" in fault.text and value(page, "stair.unit_run") == "10 1/"
    assert field(page, "stair.unit_run").get_attribute("aria-invalid") == "true"
    assert page.find_element("id", "old").is_displayed() and page.find_elements("css selector", "#pictures svg")
    assert 'unit_run = "10 1/"' in page.execute_script("return document.querySelector('#text').value")
    write(page, "stair.unit_run", "10 1/2")
    laid(page)
    assert not page.find_element("id", "old").is_displayed() and not fault.is_displayed()


@pytest.mark.slow
def test_a_length_typed_slowly_stays_as_it_is_typed(desktop: Any, served: Served) -> None:
    opened(desktop, served)
    found = field(desktop, "stair.unit_run")
    found.send_keys("\ue009a\ue000")
    for some in ("10", " ", "1/", "4"):
        found.send_keys(some)
        time.sleep(0.3)
        wait(desktop, lambda: desktop.execute_script("return window.cutpathBusy") is False)
    assert value(desktop, "stair.unit_run") == "10 1/4"
    assert 'unit_run = "10 1/4"' in desktop.execute_script("return document.querySelector('#text').value")


@pytest.mark.slow
def test_a_failing_throat_is_mended_by_a_button(desktop: Any, served: Served) -> None:
    served.job.write_text(DEMO.read_text().replace("throat_least = 5\n", "throat_least = 5.3\n"))
    opened(desktop, served)
    assert "FAILS" in desktop.find_element("id", "verdict").text
    mends = desktop.find_elements("css selector", "#mends li")
    enough = next(m for m in mends if ", enough" in m.text and m.find_elements("css selector", "button"))
    button = enough.find_element("css selector", "button")
    desktop.execute_script("arguments[0].scrollIntoView({block: 'center'})", button)
    button.click()
    wait(desktop, lambda: "FAILS: throat" not in desktop.find_element("id", "verdict").text)
    assert "throat" not in laid(desktop)


@pytest.mark.slow
def test_changed_underneath_both_are_shown_and_none_is_lost(desktop: Any, served: Served) -> None:
    opened(desktop, served)
    write(desktop, "job.name", "Mine")
    laid(desktop)
    theirs = "[site]\ntotal_rise = 42\n"
    served.job.write_text(theirs)
    press(desktop, "#save")
    wait(desktop, lambda: desktop.find_element("id", "meanwhile").is_displayed())
    assert served.job.read_text() == theirs
    assert 'name = "Mine"' in desktop.find_element("id", "mine").text
    assert desktop.find_element("id", "theirs").text == theirs.strip()
    desktop.find_element("id", "take-theirs").click()
    wait(desktop, lambda: value(desktop, "site.total_rise") == "42")
    press(desktop, "#undo")
    wait(desktop, lambda: value(desktop, "job.name") == "Mine")


@pytest.mark.slow
def test_what_is_typed_outlives_the_service(desktop: Any, served: Served) -> None:
    opened(desktop, served)
    end(served)
    write(desktop, "job.name", "Still here")
    wait(desktop, lambda: "does not answer" in desktop.find_element("id", "trouble").text)
    assert value(desktop, "job.name") == "Still here"


@pytest.mark.slow
def test_axe_finds_nothing(page: Any, served: Served) -> None:
    source = axe_source()
    opened(page, served)
    page.execute_script("for (const part of document.querySelectorAll('details')) part.open = true")
    # The page's policy lets no script of another in; the driver's own runs beside it.
    page.execute_script(source)
    found = page.execute_async_script(
        "const done = arguments[arguments.length - 1]; axe.run(document).then((r) => done(r.violations))"
    )
    assert [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found] == []
