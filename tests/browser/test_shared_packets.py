"""The packets of jobs that share boards, opened from their files: the shop's, and a site's."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from cutpath.cautions import SHORT_CAUTION
from tests.browser.chromium import printed, requests_of
from tests.browser.paper import sheets
from tests.browser.test_packet_page import A4, LETTER, js, length_in, measured
from tests.packets import two_jobs

Open = Callable[..., None]


@pytest.mark.slow
@pytest.mark.parametrize("name", ["shop", "site"])
def test_opens_without_an_error_or_a_request(page: Any, opened_shared: Open, name: str) -> None:
    opened_shared(page, name)
    assert page.get_log("browser") == []
    assert len(requests_of(page)) == 1
    assert js(page, "return document.documentElement.scrollWidth <= innerWidth"), "the page scrolls sideways"
    names = js(page, "return [...document.querySelectorAll('.tools button')].map(b => b.getAttribute('aria-label'))")
    spoken = [name for name in names if name]
    assert len(spoken) > 20 and len(set(spoken)) == len(spoken), "two buttons are called alike"


@pytest.mark.slow
def test_leads_from_the_shop_to_each_site(desktop: Any, opened_shared: Open) -> None:
    opened_shared(desktop, "shop")
    desktop.find_element("css selector", '#overview a[href="sites/kelterweg/packet.html"]').click()
    assert desktop.find_element("css selector", "h1").text == "Kelterweg"
    desktop.back()
    desktop.find_element("css selector", '#overview a[href="#job-2"]').click()
    assert desktop.current_url.endswith("#job-2")


@pytest.mark.slow
def test_measures_each_stringer_in_its_own_unit(page: Any, opened_shared: Open) -> None:
    """Tip to tip is rise and run of its own stair, by plain trigonometry."""
    opened_shared(page, "shop")
    for key, job in zip(("job-1", "job-2"), two_jobs().result["jobs"], strict=True):
        words = measured(page, "tip 1", "tip 2", f'[data-drawing="{key}-stringer"]')
        stair = job["stair"]
        assert length_in(words) == pytest.approx((stair["unit_rise"] ** 2 + stair["unit_run"] ** 2) ** 0.5, abs=0.005)
        assert words.count(" mm") == (3 if job["units"] == "mm" else 0)


@pytest.mark.slow
@pytest.mark.parametrize(("name", "paper"), [("shop", LETTER), ("site", A4)])
def test_prints_clean_pages(desktop: Any, opened_shared: Open, name: str, paper: tuple[float, float]) -> None:
    opened_shared(desktop, name)
    pages = sheets(printed(desktop, *paper))
    assert all(sheet.left > 25 and sheet.right < sheet.width - 25 for sheet in pages)
    texts = [sheet.text for sheet in pages]
    assert all(SHORT_CAUTION in text and "Kelterweg" in text for text in texts)
    assert all(f"{i} / {len(texts)}" in text for i, text in enumerate(texts, start=1))
    boards = len(two_jobs().result["nest"]["boards"])
    # The shop: cover, three pages a job, cut list, boards, two for the shop at most three, files and cautions.
    # The site: cover, three drawings, the set-out, the tape sheet and the cautions.
    least, most = (11 + boards, 14 + boards) if name == "shop" else (6, 10)
    assert least <= len(texts) <= most
    whole = " ".join(texts)
    assert ("Orchard steps" in whole) == ("For the shop" in whole) == (name == "shop")
    assert ("Tape sheet of one stringer" in whole) == (name == "site")
