"""Write anew what stands in docs/ but comes from the program: run `python -m tests.renew_docs`.

Marks are HTML comments, each on a line of its own:

- `<!-- file: NAME -->` before a fenced block: the block is put into the page's work folder as NAME.
- `<!-- job: NAME from PATH; TABLE.KEY = VALUE; ... -->`: a copy of a job in the work folder with keys set, or removed
  where no value is given; in every table of that name.
- `<!-- run: COMMAND; parts A-B; status S -->` before a fenced block: the block is what COMMAND prints, or of that the
  parts A to B, counted from 1, as blank lines divide it.
- `<!-- table: NAME -->` before a table: the table is what `TABLES` gives for NAME.

Commands run in a folder that holds the page's files and a copy of fixtures/, in the order of the page.
"""

from __future__ import annotations

import contextlib
import io
import re
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

from cutpath.cli.main import run
from tests.docs_tables import TABLES

ROOT = Path(__file__).parent.parent
DOCS = ROOT / "docs"
PAGES = (
    "first-stair.md",
    "geometry.md",
    "rule-sets.md",
    "for-shops.md",
    "trial-piece.md",
    "set-ups.md",
    "forms.md",
    "boards.md",
    "strength.md",
    "dependencies.md",
    "inspecting.md",
)

_MARK = re.compile(r"^<!-- (file|job|run|table): (.*) -->$")
_FENCE = re.compile(r"^```")


def edited(text: str, edits: list[str]) -> str:
    """A job's text with keys set or removed.

    Args:
        text: TOML as the fixtures are written: a key a line, tables by their headings.
        edits: of `table.key = value`; without a value the key is removed.
    """
    for edit in edits:
        name, _, value = (part.strip() for part in edit.partition("="))
        table, _, key = name.rpartition(".")
        lines: list[str] = []
        here, found = "", False
        for line in text.splitlines():
            heading = re.fullmatch(r"\[+([^\]]+)\]+", line.strip())
            here = heading[1] if heading else here
            if here == table and re.match(rf"{re.escape(key)}\s*=", line):
                found = True
                if value:
                    lines.append(f"{key} = {value}")
                continue
            lines.append(line)
        if not found and value:
            lines.insert(lines.index(f"[{table}]") + 1, f"{key} = {value}")
        elif not found:
            raise ValueError(f"no key {name} to remove")
        text = "\n".join(lines) + "\n"
    return text


def said(command: str, folder: Path, status: int) -> str:
    """What a `cutpath` command prints, both streams as a terminal shows them.

    Raises:
        AssertionError: it ends with another status than the page says.
    """
    words = command.split()
    assert words[0] == "cutpath", command
    out, err = io.StringIO(), io.StringIO()
    with contextlib.chdir(folder), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        ended = run(words[1:])
    assert ended == status, f"{command}: status {ended}, not {status}: {err.getvalue()}"
    return "\n".join(text.rstrip() for text in (out.getvalue(), err.getvalue()) if text.strip())


class _Page:
    """One page on its way: its lines, and the folder its commands run in."""

    def __init__(self, text: str, folder: Path) -> None:
        self.lines, self.folder = text.split("\n"), folder
        self.outputs: dict[str, str] = {}
        shutil.copytree(ROOT / "fixtures", folder / "fixtures", ignore=shutil.ignore_patterns("golden"))

    def renewed(self) -> str:
        out: list[str] = []
        i = 0
        while i < len(self.lines):
            out.append(self.lines[i])
            mark = _MARK.match(self.lines[i])
            i += 1
            if mark is None:
                continue
            kind, what = mark.groups()
            if kind == "job":
                self._job(what)
            elif kind == "table":
                i = self._skip(i, lambda line: line.startswith("|"))
                out.append(TABLES[what]())
            else:
                end = self._fence_end(i)
                if kind == "file":
                    (self.folder / what).write_text("\n".join(self.lines[i + 1 : end]) + "\n", encoding="utf-8")
                    out += self.lines[i : end + 1]
                else:
                    out += ["```", self._run(what), "```"]
                i = end + 1
        return "\n".join(out)

    def _skip(self, i: int, while_true: Callable[[str], bool]) -> int:
        while i < len(self.lines) and while_true(self.lines[i]):
            i += 1
        return i

    def _fence_end(self, i: int) -> int:
        assert _FENCE.match(self.lines[i]), f"a fenced block must follow the mark: {self.lines[i - 1]}"
        return self._skip(i + 1, lambda line: not _FENCE.match(line))

    def _job(self, what: str) -> None:
        first, *edits = what.split("; ")
        name, _, base = first.partition(" from ")
        text = (self.folder / base).read_text(encoding="utf-8")
        (self.folder / name).write_text(edited(text, edits), encoding="utf-8")

    def _run(self, what: str) -> str:
        command, *options = what.split("; ")
        wanted = dict(option.split(" ", 1) for option in options)
        if command not in self.outputs:
            self.outputs[command] = said(command, self.folder, int(wanted.get("status", "0")))
        text, first = self.outputs[command], 1
        if "parts" in wanted:
            first, _, last = (int(n) if n.isdigit() else 0 for n in wanted["parts"].partition("-"))
            text = "\n\n".join(text.split("\n\n")[first - 1 : last or first])
            assert text, what
        return f"$ {command}\n{text}" if first == 1 else text


def renewed(page: str) -> str:
    """A page of docs/ as it would stand when renewed."""
    with tempfile.TemporaryDirectory() as folder:
        return _Page((DOCS / page).read_text(encoding="utf-8"), Path(folder)).renewed()


def main() -> None:
    """Renew pages and pictures."""
    from tests.docs_pictures import PICTURES, picture

    new = {DOCS / page: renewed(page) for page in PAGES}
    new |= {DOCS / "pictures" / name: picture(name) for name in PICTURES}
    for path, text in new.items():
        if not path.exists() or path.read_text(encoding="utf-8") != text:
            path.write_text(text, encoding="utf-8", newline="\n")
            print(f"renewed {path.relative_to(ROOT)}")


if __name__ == "__main__":
    main()
