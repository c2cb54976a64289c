"""Slips of the pen in a TOML text: the line is quoted, and shown as it was likely meant."""

from __future__ import annotations

import re
import tomllib
from typing import Final

from cutpath.faults import KeyFault
from cutpath.units import parse_length, plain, quoted

#: More lines than this are not looked at, nor texts longer than that: each costs a reading of the whole.
_MOST_LINES: Final = 20
_LONGEST: Final = 1 << 16
#: Lines up to this many characters are quoted whole.
_LONGEST_LINE: Final = 200

_AT: Final = re.compile(r" *\(at line (\d+), column \d+\)")
_CURLY: Final = (str.maketrans("“”„‟", '""""'), str.maketrans("“”„‟‘’", '""""\'\''), str.maketrans("‘’", '""'))
_KEY: Final = re.compile(r"\s*([A-Za-z0-9_-]+(?:\.[A-Za-z0-9_-]+)*)\s*([=:])\s*(.*)", re.DOTALL)
#: A number in which letters may stand for the digits that they look like, with a fraction or without.
_LETTERS: Final = re.compile(r"[-+]?[\dOolI]+(?:\.[\dOolI]+|[ -][\dOolI]+/[\dOolI]+|/[\dOolI]+)?")
_OCTAL: Final = re.compile("0o[0-7]+")
_DIGITS: Final = str.maketrans("OolI", "0011")
#: A quoted text, a comment, a run without structure, or a character that gives structure.
_TOKEN: Final = re.compile(
    r"""(\s+)|("(?:\\.|[^"\\])*"|'[^']*'(?=\s*[],}#]|\s*$))|(#.*)|([^][{},=#]+)|(.)""", re.DOTALL
)


def slips(text: str, why: ValueError) -> list[KeyFault]:
    """What is wrong with a text that is no TOML.

    Args:
        text: the text.
        why: what its reader said.

    Returns:
        A fault for each line of which a mended form reads, and one for the first that can't be mended, if any.
    """
    lines = text.split("\n")
    found: list[KeyFault] = []
    while True:
        number = _line_of(why, lines)
        line = lines[number - 1].rstrip("\r") if number else ""
        better = _mended(lines, number) if number and len(text) <= _LONGEST and len(found) < _MOST_LINES else None
        if better is None:
            found.append(KeyFault("", _unmended(why, line, lines)))
            return found
        mended, rest = better
        was, now = quoted(line.strip(), _LONGEST_LINE), plain(mended.strip(), _LONGEST_LINE)
        found.append(KeyFault(_key_of(lines, number), f"line {number} is no TOML: {was}; write it as: {now}"))
        lines[number - 1] = mended
        if rest is None:
            return found
        why = rest


def _line_of(why: ValueError, lines: list[str]) -> int:
    """The number of the line at fault, from 1; 0 where it is not told."""
    match = _AT.search(str(why))
    if match:
        return int(match[1])
    return len("\n".join(lines).rstrip().split("\n")) if "at end of document" in str(why) else 0


def _unmended(why: ValueError, line: str, lines: list[str]) -> str:
    last = "\n".join(lines).rstrip().split("\n")
    end = f"(at line {len(last)}, column {len(last[-1]) + 1}, where the file ends)"
    told = str(why).split(";")[0].replace("(at end of document)", end)
    return f"is no TOML: {told}" + (f": {quoted(line.strip())}" if line.strip() else "")


def _mended(lines: list[str], number: int) -> tuple[str, ValueError | None] | None:
    """A line as it was likely meant, and what its reader says then; None where nothing helps."""
    line = lines[number - 1]
    for curly in (None, *_CURLY):
        new = _told_anew(line.translate(curly) if curly else line)
        try:
            tomllib.loads("\n".join([*lines[: number - 1], new, *lines[number:]]))
        except RecursionError:
            return None
        except ValueError as why:
            if _line_of(why, lines) > number:
                return new, why
        else:
            return new, None
    return None


def _told_anew(line: str) -> str:
    """A line with its lengths and words in quotes, decimal commas as points, and "=" behind its key."""
    match = _KEY.fullmatch(line)
    if match is None:
        return "".join(_token(token) for token in _TOKEN.finditer(line))
    # An inch mark right before the closing quote.
    value = re.sub(r'"([^"\\]*\d)""(?=\s*(?:[],}#]|$))', r'"\1\\""', match[3])
    value = re.sub(r"^(-?\d+),(\d+)(?=\s*(?:#|$))", r"\1.\2", value)
    value = re.sub(r"(=\s*-?\d+),(\d+)(?=\s*[,}])", r"\1.\2", value)
    # In an array of two a comma without a space, where the other has one.
    value = re.sub(r"(\[\s*-?\d+(?:\.\d+)?, +-?\d+),(\d+)(?=\s*\])", r"\1.\2", value)
    value = re.sub(r"(\[\s*-?\d+),(\d+)(?=, +[^],]+\])", r"\1.\2", value)
    indent = line[: len(line) - len(line.lstrip())]
    return f"{indent}{match[1]} = " + "".join(_token(token) for token in _TOKEN.finditer(value))


def _token(token: re.Match[str]) -> str:
    """A run of a line, put in quotes where it is a length or a word."""
    run = token[4]
    if run is None:
        return token[0]
    bare = run.rstrip()
    if _LETTERS.fullmatch(bare) and any(c.isdigit() for c in bare) and not _OCTAL.fullmatch(bare):
        # A letter that looks like a digit, among digits.
        run = bare.translate(_DIGITS) + run[len(bare) :]
        bare = bare.translate(_DIGITS)
    if re.fullmatch(r"[A-Za-z][\w -]*", bare):
        new = bare.lower() if bare.lower() in ("true", "false", "inf", "nan") else f'"{bare}"'
        # A key of a table written inline stands before its "=".
        return run if token.string[token.end() :].startswith("=") else new + run[len(bare) :]
    try:
        tomllib.loads(f"a = {bare}")
        return run
    except ValueError:
        pass
    try:
        parse_length(bare, "in")
    except ValueError:
        return run
    text = bare.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{text}"{run[len(bare) :]}'


def _key_of(lines: list[str], number: int) -> str:
    """The full name of the key that a line gives; "" where it gives none."""
    match = _KEY.fullmatch(lines[number - 1]) if number else None
    if match is None:
        return ""
    for above in reversed(lines[: number - 1]):
        table = re.fullmatch(r"\s*\[\[?\s*([A-Za-z0-9_.-]+)\s*\]\]?\s*(?:#.*)?", above.rstrip("\r"))
        if table:
            return f"{table[1]}.{match[1]}"
    return match[1]
