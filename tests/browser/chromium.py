"""A headless Chromium for tests, started and left without a trace; tests skip where there is none."""

from __future__ import annotations

import base64
import contextlib
import json
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-extensions",
    "--disable-default-apps",
    "--disable-breakpad",
    "--mute-audio",
    # Nothing outside is asked, so no process is kept for it, nor one for drawing without a graphics card.
    "--disable-features=Translate,MediaRouter,OptimizationHints,InterestFeedContentSuggestions",
    "--in-process-gpu",
    # Scrolling then is done when a command returns.
    "--force-prefers-reduced-motion",
)
DESKTOP = (1280, 900)
PHONE = (390, 844)
NARROW = (320, 640)


def found(names: tuple[str, ...]) -> str | None:
    """The first of some programs that is installed."""
    return next((path for path in map(shutil.which, names) if path), None)


@contextlib.contextmanager
def browser(size: tuple[int, int]) -> Iterator[Any]:
    """A browser whose window shows a page of a size, as `shown_as` gives it.

    Yields:
        A selenium driver.
    """
    webdriver = pytest.importorskip("selenium.webdriver", reason="selenium is not installed")
    from selenium.webdriver.chrome.service import Service

    chromium, driver = found(("chromium", "chromium-browser")), found(("chromedriver",))
    if chromium is None or driver is None:
        pytest.skip("chromium and chromedriver are not installed (Debian: apt-get install chromium chromium-driver)")
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        options = webdriver.ChromeOptions()
        options.binary_location = chromium
        # An empty page of its own: what a person's new window begins with takes as long as all else to start.
        for flag in (*FLAGS, "--app=data:,", f"--window-size={size[0]},{size[1]}", f"--user-data-dir={profile}"):
            options.add_argument(flag)
        options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
        options.add_experimental_option("perfLoggingPrefs", {"enableNetwork": True, "enablePage": False})
        page = started(lambda: webdriver.Chrome(options=options, service=Service(driver, log_output=os.devnull)))
        try:
            page.set_script_timeout(120)
            shown_as(page, size)
            yield page
        finally:
            page.quit()


def started(start: Callable[[], Any]) -> Any:
    """A driver; the port that was free when it was chosen for one may have been given away a moment later."""
    from selenium.common.exceptions import WebDriverException

    for _ in range(2):
        with contextlib.suppress(WebDriverException):
            return start()
    return start()


def shown_as(page: Any, size: tuple[int, int]) -> None:
    """Give the page that is opened next a size; a phone's has touch and a dense screen."""
    phone = size[0] < DESKTOP[0]
    page.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": size[0], "height": size[1], "deviceScaleFactor": 3 if phone else 1, "mobile": phone},
    )
    touch = {"enabled": phone, **({"maxTouchPoints": 5} if phone else {})}
    page.execute_cdp_cmd("Emulation.setTouchEmulationEnabled", touch)


def requests_of(page: Any) -> list[str]:
    """Addresses that were asked for since the last call."""
    found = []
    for entry in page.get_log("performance"):
        message = json.loads(entry["message"])["message"]
        if message["method"] in ("Network.requestWillBeSent", "Network.webSocketCreated"):
            params = message["params"]
            found.append(params["request"]["url"] if "request" in params else params["url"])
    return found


def printed(page: Any, width: float, height: float) -> bytes:
    """The page printed to PDF on paper of a size in inches, its margins those of the page's own style."""
    done = page.execute_cdp_cmd(
        "Page.printToPDF",
        {"paperWidth": width, "paperHeight": height, "preferCSSPageSize": False, "printBackground": False},
    )
    return base64.b64decode(done["data"])


def screenshot(page: Any, path: Path) -> None:
    """The whole page as a picture, to be looked at."""
    shot = page.execute_cdp_cmd("Page.captureScreenshot", {"format": "png", "captureBeyondViewport": True})
    path.write_bytes(base64.b64decode(shot["data"]))
