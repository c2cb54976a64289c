"""The bill of materials: what cutpath is made with, of what licence, as its environment has it.

`python -m tests.bill` prints every package that is needed here, with version and licence; the table in
docs/dependencies.md comes from `BILL`. tests/test_distribution.py holds it to pyproject.toml and to what is installed.
"""

from __future__ import annotations

import importlib.metadata
import re
import tomllib
from pathlib import Path
from typing import NamedTuple

PROJECT = tomllib.loads((Path(__file__).parent.parent / "pyproject.toml").read_text(encoding="utf-8"))["project"]


class Entry(NamedTuple):
    """A package: what it is for, its licence by SPDX's names, and what its wheels carry of another licence."""

    use: str
    licence: str
    carries: str = ""


#: Everything that a run needs, whatever the versions, and what can be had besides.
BILL: dict[str, Entry] = {
    "click": Entry("the command line", "BSD-3-Clause"),
    "ezdxf": Entry("writing DXF files", "MIT"),
    "highspy": Entry("HiGHS, the whole-number programs of the nests", "MIT"),
    "jinja2": Entry("packet and page", "BSD-3-Clause"),
    "msgspec": Entry("frozen values", "BSD-3-Clause"),
    "numpy": Entry("arrays", "BSD-3-Clause", "OpenBLAS (BSD-3-Clause), libgfortran (GPL-3.0 with GCC's exception)"),
    "reportlab": Entry("the pattern's PDF", "BSD-3-Clause"),
    "segno": Entry("the square code of the page's address", "BSD-3-Clause"),
    "shapely": Entry("areas, distances, offsets to compare with", "BSD-3-Clause", "GEOS, linked (LGPL-2.1-or-later)"),
    "starlette": Entry("the page's server", "BSD-3-Clause"),
    "tomlkit": Entry("changing a stock file's text", "MIT"),
    "uvicorn": Entry("the page's server", "BSD-3-Clause"),
    "spyrrow": Entry("search for fewer sheets, if installed", "MIT", "sparrow's library (MPL-2.0), linked"),
    "anyio": Entry("through starlette", "MIT"),
    "charset-normalizer": Entry("through reportlab", "MIT"),
    "fonttools": Entry("through ezdxf", "MIT"),
    "h11": Entry("through uvicorn", "MIT"),
    "idna": Entry("through anyio", "BSD-3-Clause"),
    "markupsafe": Entry("through jinja2", "BSD-3-Clause"),
    "pillow": Entry("through reportlab", "MIT-CMU"),
    "pyparsing": Entry("through ezdxf", "MIT"),
    "sniffio": Entry("through older anyio", "MIT OR Apache-2.0"),
    "typing-extensions": Entry("through several", "PSF-2.0"),
}

#: Tools for tests alone, of weak copyleft, none of which is shipped or linked.
TEST_TOOLS_OF_MPL = {"hypothesis", "pathspec", "certifi"}


def plain(name: str) -> str:
    """A package's name as the index compares them."""
    return re.sub("[-_.]+", "-", name).lower()


def asked(line: str) -> str:
    """The name that a line of requirements asks for."""
    found = re.match(r"[\w.-]+", line)
    assert found is not None
    return plain(found[0])


def direct(*extras: str) -> set[str]:
    """What pyproject.toml asks for."""
    more = (line for extra in extras for line in PROJECT["optional-dependencies"][extra])
    return {asked(line) for line in (*PROJECT["dependencies"], *more)}


def installed(names: set[str]) -> dict[str, importlib.metadata.Distribution]:
    """Those of the names that are installed here, and all that they need in turn."""
    from packaging.requirements import Requirement

    found: dict[str, importlib.metadata.Distribution] = {}
    open_names = sorted(names)
    while open_names:
        name = open_names.pop()
        if name in found:
            continue
        try:
            found[name] = importlib.metadata.distribution(name)
        except importlib.metadata.PackageNotFoundError:
            continue
        for line in found[name].requires or ():
            wanted = Requirement(line)
            if wanted.marker is None or wanted.marker.evaluate({"extra": ""}):
                open_names.append(plain(wanted.name))
    return found


def licence(package: importlib.metadata.Distribution) -> str:
    """What a package says of its licence, in a line."""
    data = package.metadata
    text = data.get("License-Expression") or (data.get("License") or "").strip().split("\n")[0]
    kinds = [c.split(" :: ")[-1] for c in data.get_all("Classifier") or () if c.startswith("License ::")]
    return text or ", ".join(kinds) or "not stated in its metadata"


def bill_table() -> str:
    """The table of docs/dependencies.md."""
    needed, own = direct(), direct("search")
    rows = [
        (
            f"`{name}`",
            "needed" if name in needed else "may be had" if name in own else "by others",
            entry.use,
            entry.licence,
            entry.carries,
        )
        for name, entry in BILL.items()
    ]
    head = ("package", "asked for", "for", "licence", "its wheels carry")
    lines = [head, ("---",) * len(head), *rows]
    return "\n".join("| " + " | ".join(line) + " |" for line in lines)


if __name__ == "__main__":
    for name, package in sorted(installed(direct("search", "dev")).items()):
        print(f"{name:28}{package.version:22}{licence(package)}")
