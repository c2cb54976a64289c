"""One browser for all sizes, one packet for each job, for all browser tests."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from tests.browser.chromium import DESKTOP, PHONE, browser, shown_as
from tests.packets import Made, demo_packet, two_jobs

Opened = tuple[Any, Made]

#: Packets of two jobs on shared boards, by what the tests call them.
SHARED = {"shop": "packet.html", "site": "sites/kelterweg/packet.html"}


@pytest.fixture(scope="session")
def _packet(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], tuple[Path, Made]]:
    folder = tmp_path_factory.mktemp("packets")

    @cache
    def made(name: str) -> tuple[Path, Made]:
        found = demo_packet(name)
        path = folder / f"{name} packet.html"
        path.write_text(found.html, encoding="utf-8")
        return path, found

    return made


@pytest.fixture(scope="session")
def _browser() -> Iterator[Any]:
    with browser(DESKTOP) as page:
        yield page


@pytest.fixture
def desktop(_browser: Any) -> Any:
    """The browser at a desktop's size."""
    shown_as(_browser, DESKTOP)
    return _browser


@pytest.fixture
def phone(_browser: Any) -> Any:
    """The same one at a phone's size."""
    shown_as(_browser, PHONE)
    return _browser


@pytest.fixture(params=["desktop", "phone"])
def page(request: pytest.FixtureRequest) -> Any:
    """Both, one after the other."""
    return request.getfixturevalue(request.param)


@pytest.fixture(scope="session")
def _shared(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    folder = tmp_path_factory.mktemp("shared")
    for path in SHARED.values():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_bytes(two_jobs().files[path])
    return lambda name: folder / SHARED[name]


@pytest.fixture
def opened_shared(_shared: Callable[[str], Path]) -> Callable[..., None]:
    """Opens the shop's packet of two jobs, or a site's, from its file."""

    def open_in(page: Any, name: str) -> None:
        page.get_log("browser")
        page.get_log("performance")
        page.get(_shared(name).as_uri())

    return open_in


@pytest.fixture
def opened(_packet: Callable[[str], tuple[Path, Made]]) -> Callable[..., Made]:
    """Opens a demo's packet from its file."""

    def open_in(page: Any, name: str = "orchard-steps") -> Made:
        path, made = _packet(name)
        page.get_log("browser")
        page.get_log("performance")
        page.get(path.as_uri())
        return made

    return open_in
