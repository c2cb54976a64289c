"""Write the pictures of the live page in docs/pictures/ anew: run `python -m tests.renew_page_pictures`.

They show the demo job in Chromium, and so the fonts of the machine that this is run on; no test compares them.
"""

from __future__ import annotations

import base64
import tempfile
import time
from pathlib import Path
from typing import Any

from tests.browser.chromium import DESKTOP, PHONE, browser
from tests.browser.test_page import laid, opened
from tests.docs_pictures import PAGE_PICTURES
from tests.test_page import DEMO, Served, end, start

PICTURES = Path(__file__).parent.parent / "docs" / "pictures"
#: What is changed in the job, and what the page is scrolled to, by the picture's name and the page's size.
SHOWN: dict[str, tuple[tuple[int, int], tuple[str, str], str]] = {
    "page-desktop.webp": (DESKTOP, ("", ""), "#answer h2"),
    "page-phone.webp": (PHONE, ("", ""), "#facts"),
    "page-mends.webp": (DESKTOP, ("throat_least = 5\n", "throat_least = 5.3\n"), "#mends"),
}


def shown(page: Any, served: Served, at: str) -> bytes:
    """What the window shows, scrolled to a place of the page."""
    opened(page, served)
    laid(page)
    page.execute_script("document.querySelector(arguments[0]).scrollIntoView()", at)
    time.sleep(0.5)
    shot = page.execute_cdp_cmd("Page.captureScreenshot", {"format": "webp", "quality": 80})
    return base64.b64decode(shot["data"])


def main() -> None:
    """Write them."""
    assert set(SHOWN) == set(PAGE_PICTURES)
    for name, (size, (old, new), at) in SHOWN.items():
        with tempfile.TemporaryDirectory() as folder, browser(size) as page:
            job = Path(folder) / DEMO.name
            text = DEMO.read_text(encoding="utf-8")
            job.write_text(text.replace(old, new) if old else text, encoding="utf-8")
            served = start(job)
            try:
                if size == PHONE:
                    device = {"width": size[0], "height": size[1], "deviceScaleFactor": 2, "mobile": True}
                    page.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", device)
                (PICTURES / name).write_bytes(shown(page, served, at))
            finally:
                end(served)


if __name__ == "__main__":
    main()
