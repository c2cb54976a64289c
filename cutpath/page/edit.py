"""Changing a job file's text in place, a key at a time, so that comments, order and spelling stay as they are.

tomlkit changes the text; what comes out is read by the reader of the files and held against what the change means, so
that a text which can't be changed in place is refused and never spoilt.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Final

from cutpath.job.compound import ListOf, Record
from cutpath.job.keys import JOB
from cutpath.job.kinds import Kind
from cutpath.job.special import Reading
from cutpath.job.starter import in_units
from cutpath.page.typed import CantChange, as_typed, value_of
from cutpath.tomlfile.read import parsed

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

Path = tuple[str | int, ...]

_STEP: Final = re.compile(r"(?:^|\.)([A-Za-z0-9_-]{1,60})|\[(\d{1,4})\]")
#: Of a reading: the places in its array, and what a taut tape's length is called.
_LEVEL: Final = {"out": 0, "down": 1}


def path_of(key: str) -> Path:
    """The steps of a key's full name: "site.profile[2].down" is site, profile, 2, down.

    Raises:
        CantChange: no key has such a name.
    """
    steps: list[str | int] = []
    at = 0
    while at < len(key):
        found = _STEP.match(key, at)
        if found is None or found.end() == at:
            raise CantChange("no key of a job has such a name")
        steps.append(found[1] if found[1] is not None else int(found[2]))
        at = found.end()
    if not steps or isinstance(steps[0], int) or len(steps) > 8:
        raise CantChange("no key of a job has such a name")
    return tuple(steps)


def kind_at(path: Path) -> Kind:
    """What a key takes by the table of keys; a place in a list has the kind of its items.

    Raises:
        CantChange: there is no such key.
    """
    kind: Kind = JOB
    for step in path:
        if isinstance(kind, Record):
            found = next((key for key in kind.keys if key.name == step), None)
            if found is None:
                raise CantChange(f"{step} is no key of a job")
            kind = found.kind
        elif isinstance(kind, ListOf) and isinstance(step, int):
            kind = kind.item
        elif isinstance(kind, Reading) and step in ("out", "along", "down"):
            kind = kind.level.items[0 if step != "down" else 1][1]
        else:
            raise CantChange(f"{step} is no key of a job")
    return kind


def changed(text: str, change: dict[str, Any]) -> str:
    """A job's text with one change made.

    Args:
        text: TOML that can be read.
        change: `do` says what: "set" puts `typed` at `key`, or takes the key out where nothing is typed; "add" appends
            a row to the list at `key`; "remove" takes out a row, or a key with all it holds; "move" gives the row at
            `key` the place `to`; "tape" makes a reading one of the kind `to`: "out" or "along".

    Raises:
        JobFaults: the text is no TOML.
        CantChange: it can't be changed in place.
    """
    return changed_all(text, [change])


def changed_all(text: str, changes: list[dict[str, Any]]) -> str:
    """A job's text with changes made one after the other, all of them or none.

    Args:
        text: TOML that can be read.
        changes: each as for `changed`.

    Raises:
        JobFaults: the text is no TOML.
        CantChange: it can't be changed in place.
    """
    import tomlkit

    text = _in_units(text, changes)
    meant = parsed(text, "the text", "job")
    try:
        document = tomlkit.parse(text)
        if tomlkit.dumps(document) != text:
            # Such as tables of one list that stand apart, which tomlkit would gather.
            raise _by_hand()
        for change in changes:
            steps = path_of(str(change["key"]))
            make = _MAKE[change["do"]]
            make(document, steps, change)
            make(meant, steps, change)
        found = tomlkit.dumps(document)
    except (CantChange, KeyError, IndexError, TypeError) as why:
        raise why if isinstance(why, CantChange) else _by_hand() from None
    except Exception:
        # tomlkit reads less than the standard says, and has faults of its own in rare layouts.
        raise _by_hand() from None
    if parsed(found, "the text", "job") != _plain(meant):
        raise _by_hand()
    return found


def _in_units(text: str, changes: list[dict[str, Any]]) -> str:
    """The text, with what is still the starter's in the unit that is chosen, if one is."""
    for change in changes:
        if change["do"] == "set" and change["key"] == "units" and change.get("typed") in ("in", "mm", ""):
            text = in_units(text, "mm" if change["typed"] == "mm" else "in")
    return text


def _by_hand() -> CantChange:
    return CantChange("this can't be changed in the form as the text stands; change it in the text")


def _inside(place: Any, path: Path) -> Any:
    """What a path leads to, tables made where they are missing; of a reading, the array or table itself."""
    import tomlkit

    for depth, step in enumerate(path):
        if isinstance(step, str) and step not in place:
            place[step] = tomlkit.table() if depth == 0 else tomlkit.inline_table()
        place = place[step]
    return place


def _set(place: Any, path: Path, change: dict[str, Any]) -> None:
    typed, last = str(change.get("typed", "")), path[-1]
    above = kind_at(path[:-1])
    value = value_of(typed, kind_at(path))
    if isinstance(above, Reading):
        reading = _inside(place, path[:-1])
        if not typed.strip():
            # A reading keeps its place while it is written anew; that it is blank is said beside it.
            value = ""
        reading[_LEVEL[str(last)] if isinstance(reading, list) else last] = value
    elif not typed.strip():
        _remove(place, path, change)
    else:
        _inside(place, path[:-1])[last] = value


def _add(place: Any, path: Path, change: dict[str, Any]) -> None:
    import tomlkit
    from tomlkit.items import Array

    kind = kind_at(path)
    if not isinstance(kind, ListOf):
        raise CantChange("no list")
    holder, name = _inside(place, path[:-1]), path[-1]
    table = isinstance(kind.item, Record)
    rows = holder.get(name)
    if rows is None:
        rows = tomlkit.aot() if table and len(path) == 1 else tomlkit.array()
        holder[name] = rows
        rows = holder[name]
    if not table:
        rows.append(["", ""])
    elif isinstance(rows, Array):
        rows.append(tomlkit.inline_table())
    else:
        rows.append(tomlkit.table() if type(rows) is not list else {})


def _remove(place: Any, path: Path, change: dict[str, Any]) -> None:
    above = place
    for step in path[:-1]:
        if isinstance(step, str) and step not in place:
            return
        place = place[step]
    last = path[-1]
    if isinstance(last, int) or last in place:
        del place[last]
    if not place and (isinstance(last, int) or (len(path) > 2 and isinstance(path[-2], str))):
        # A list that nothing is in is left out, as the form shows it, and so are measures that go together.
        _remove(above, path[:-1], change)


def _move(place: Any, path: Path, change: dict[str, Any]) -> None:
    rows, at, to = _inside(place, path[:-1]), path[-1], change["to"]
    if not isinstance(at, int) or not isinstance(to, int) or not 0 <= to < len(rows):
        raise CantChange("no such row")
    row = rows[at]
    del rows[at]
    rows.insert(to, row)


def _tape(place: Any, path: Path, change: dict[str, Any]) -> None:
    import tomlkit

    rows, at = _inside(place, path[:-1]), path[-1]
    reading = rows[at]
    first, down = (reading[0], reading[1]) if isinstance(reading, list) else (reading["along"], reading["down"])
    if change["to"] == "along":
        taut = tomlkit.inline_table()
        taut.update({"along": first, "down": down})
        rows[at] = taut
    else:
        rows[at] = [first, down]


_MAKE: Final[dict[str, Callable[[Any, Path, dict[str, Any]], None]]] = {
    "set": _set,
    "add": _add,
    "remove": _remove,
    "move": _move,
    "tape": _tape,
}


def _plain(value: Any) -> Any:
    """Plain data of what may hold items of tomlkit; tables and lists that nothing is in stay."""
    if hasattr(value, "unwrap"):
        return _plain(value.unwrap())
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_plain(item) for item in value]
    return value


def typed_in(text: str) -> dict[str, Any]:
    """What a text holds, as one would type it into the form.

    Returns:
        `values`: by key, what is written there; `rows`: by the key of a list of rows, how many; `tapes`: for each
        reading "out" or "along".

    Raises:
        JobFaults: the text is no TOML.
    """
    import tomlkit

    plain = parsed(text, "the text", "job")
    try:
        document: TOMLDocument | dict[str, Any] = tomlkit.parse(text)
    except Exception:
        document = plain
    found: dict[str, Any] = {"values": {}, "rows": {}, "tapes": []}
    _walk(document, JOB, "", found)
    return found


def _walk(value: Any, kind: Kind, at: str, found: dict[str, Any]) -> None:
    if isinstance(kind, Record) and isinstance(value, dict):
        for key in kind.keys:
            if key.name in value:
                _walk(value[key.name], key.kind, f"{at}.{key.name}" if at else key.name, found)
    elif isinstance(kind, ListOf) and isinstance(kind.item, Record | Reading) and isinstance(value, list):
        found["rows"][at] = len(value)
        for number, item in enumerate(value):
            _walk(item, kind.item, f"{at}[{number}]", found)
    elif isinstance(kind, Reading):
        taut = isinstance(value, dict)
        found["tapes"].append("along" if taut else "out")
        if taut:
            for name in ("along", "down"):
                if name in value:
                    found["values"][f"{at}.{name}"] = as_typed(value[name])
        elif isinstance(value, list):
            for name, item in zip(("out", "down"), value, strict=False):
                found["values"][f"{at}.{name}"] = as_typed(item)
    else:
        found["values"][at] = as_typed(value)
