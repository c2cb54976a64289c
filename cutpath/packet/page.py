"""`packet.html`: everything that a shop and a site need on paper, in one page that needs nothing else.

The page is read and printed without scripts. With them, drawings are zoomed, layers hidden and distances measured.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any, Final

from msgspec import Struct

from cutpath.cautions import SHORT_CAUTION
from cutpath.packet.cover import cover
from cutpath.packet.html import Lengths, Markup, joined, name, paragraph, text
from cutpath.packet.pages import boards, cautions, cut_list, drawings, file_list
from cutpath.packet.points import measured_points
from cutpath.packet.rest import rest_page
from cutpath.packet.saw import saw_page
from cutpath.packet.shop import shop_page
from cutpath.packet.site import site_page
from cutpath.packet.source import Source, board_keys
from cutpath.packet.strength import strength_page
from cutpath.plan.values import Plan

PACKET_FILE: Final = "packet.html"


class Page(Struct, frozen=True):
    """A page of a packet, its key in links, its title and what stands on it."""

    key: str
    title: str
    content: Markup


_PAGES: Final[tuple[tuple[str, str, Callable[[Source], Markup]], ...]] = (
    ("overview", "The job and its checks", cover),
    ("drawings", "Drawings", drawings),
    ("strength", "Strength", strength_page),
    ("cut-list", "Cut list", cut_list),
    ("boards", "Board layouts", boards),
    ("saw", "For the saw", saw_page),
    ("shop", "For the shop", shop_page),
    ("site", "For the site", site_page),
    ("rest", "Treads, risers, rail", rest_page),
    ("files", "Files", file_list),
    ("cautions", "Cautions", cautions),
)


def packet_html(plan: Plan, result: Mapping[str, Any], files: Mapping[str, bytes]) -> str:
    """The packet of a job.

    Args:
        plan: what was computed.
        result: what `result.json` holds, `files` with their hashes and `shop` among it; the packet's figures are its
            figures. The packet itself is not in `files` yet.
        files: the bytes of those files by path; `pictures/*.svg` are shown as they are.

    Returns:
        One HTML page that loads nothing from anywhere. The same arguments give the same text.
    """
    source = Source(plan, dict(result), files, Lengths(plan.job.units))
    return document(
        "Shop and site packet",
        plan.job.name,
        [Page(key, title, content(source)) for key, title, content in _PAGES if key not in _left_out(plan)],
        [check["id"] for check in source.failing],
        measured_points(plan, board_keys(source.result)),
    )


def _left_out(plan: Plan) -> set[str]:
    """The pages that a job has no need of."""
    return ({"saw"} if plan.lumber is None else set()) | ({"rest"} if plan.design.pieces is None else set())


def document(kind: str, about: str, pages: Sequence[Page], failing: Sequence[str], measures: Mapping[str, Any]) -> str:
    """A packet's whole page.

    Args:
        kind: of packet, as its head says.
        about: the job's name, or several.
        pages: in their order, the first the cover.
        failing: the required checks that don't hold, for the foot of every page.
        measures: what the script measures with.
    """
    style, script = _packaged("packet.css"), _packaged("packet.js")
    policy = (
        f"default-src 'none'; style-src '{_allowed(style)}'; script-src '{_allowed(script)}'; "
        "base-uri 'none'; form-action 'none'"
    )
    title = f"{about}: {kind[0].lower()}{kind[1:]}"
    return "".join(
        [
            '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n',
            f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n',
            '<meta name="viewport" content="width=device-width, initial-scale=1">\n',
            f"<title>{text(title)}</title>\n<style>{style}</style>\n</head>\n<body>\n",
            '<a class="skip" href="#content">Skip to the pages</a>\n',
            f"<header>\n<p>{text(kind)}</p>\n<h1>{name(about)}</h1>\n</header>\n",
            _contents(pages),
            '<main id="content" tabindex="-1">\n',
            *(_section(page, about, failing) for page in pages),
            "</main>\n",
            f'<script type="application/json" id="measures">{embedded_json(measures)}</script>\n',
            f"<script>{script}</script>\n</body>\n</html>\n",
        ]
    )


def embedded_json(data: Any) -> str:
    """JSON for a script element: no text in it can end the element or open a comment."""
    dumped = json.dumps(data, separators=(",", ":"), allow_nan=False)
    return dumped.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _contents(pages: Sequence[Page]) -> str:
    links = "".join([f'<li><a href="#{page.key}">{text(page.title)}</a></li>\n' for page in pages])
    return f'<nav aria-label="Pages">\n<ul>\n{links}</ul>\n</nav>\n'


def _section(page: Page, about: str, failing: Sequence[str]) -> Markup:
    """A section of its own: its head and foot are on every printed page of it."""
    caution: str = SHORT_CAUTION
    if failing:
        caution = f"Required checks FAIL: {', '.join(failing)}. Not for cutting. {SHORT_CAUTION}"
    key, title = page.key, text(page.title)
    return joined(
        [
            Markup(f'<section id="{key}" aria-labelledby="{key}-title">\n'),
            Markup(f'<div class="running" aria-hidden="true">{name(about)}: {title}</div>\n'),
            Markup(f'<div class="body">\n<h2 id="{key}-title">{title}</h2>\n'),
            page.content,
            Markup("</div>\n"),
            Markup(f'<div class="caution">{paragraph(caution)}</div>\n</section>\n'),
        ]
    )


@cache
def _packaged(file: str) -> str:
    return (Path(__file__).parent / file).read_text(encoding="utf-8")


def _allowed(inline: str) -> str:
    """What a content security policy calls an inline script or style."""
    return "sha256-" + base64.b64encode(hashlib.sha256(inline.encode()).digest()).decode()
