"""Reading a rule set: one that ships with the package, or one of the user's own, which may overlay a shipped one."""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from pathlib import Path
from typing import Any, Final, get_args

from cutpath.faults import Fault
from cutpath.rules.measures import MEASURES
from cutpath.rules.values import Basis, Limit, RuleSet
from cutpath.tomlfile.read import given, parsed, text_of
from cutpath.units import parse_length, plain

_BASES: Final[tuple[str, ...]] = get_args(Basis)
#: Numbers from here on mean nothing: infinity, or whole ones of hundreds of digits.
_ENDLESS: Final = 1e30
_SETS: Final = Path(__file__).parent / "sets"
#: What the file of a set holds at its top.
_TOP: Final = ("title", "code", "edition", "country", "based_on", "without", "limit")
#: What any limit may state; `measures.Measure.extras` adds to it by its key.
_ANY: Final = ("least", "most", "run_under", "section", "edition", "source", "seen", "basis", "required")


@lru_cache(maxsize=1)
def shipped() -> tuple[str, ...]:
    """Names of the rule sets that ship with the package."""
    return tuple(sorted(path.stem for path in _SETS.glob("*.toml")))


def load_rules(rules: str | Path, key: str = "stair.rules") -> RuleSet:
    """Read a rule set.

    Args:
        rules: a shipped set's name, or the path to a file of the same form.
        key: the job's key that says it, which leads a fault; "" where none does.

    Returns:
        The limits, lengths in millimetres.

    Raises:
        Fault: if there is no such set, or the file can't be understood; the message names the key.
    """
    lead = f"{key}: " if key else ""
    if isinstance(rules, str):
        if rules not in shipped():
            raise Fault(
                f"{lead}no rule set {given(rules)}; shipped are {', '.join(shipped())}, "
                "or give the path of your own file, ending in .toml"
            )
        return _shipped(rules)
    return _read(rules, rules.stem, f"{lead}{rules}")


@lru_cache
def _shipped(name: str) -> RuleSet:
    return _read(_SETS / f"{name}.toml", name, f"rule set {name}")


def _read(path: Path, name: str, where: str) -> RuleSet:
    return _rule_set(name, where, parsed(text_of(path, "rule set", where), where, "rule set"))


def _rule_set(name: str, where: str, data: dict[str, Any]) -> RuleSet:
    unknown = sorted(set(data) - set(_TOP))
    if unknown:
        raise Fault(
            f"{where}: unknown key {given(unknown[0])}; a rule set holds {', '.join(_TOP[:-1])} and [limit.NAME] tables"
        )
    for key in ("title", "code", "edition", "country", "based_on"):
        _text(where, data, key, ": ")
    base = _base(where, data)
    tables = data.get("limit", {})
    if not isinstance(tables, dict) or not (tables or base):
        raise Fault(f"{where}: needs at least one [limit.NAME] table, or based_on with the name of a set that ships")
    cited = (data.get("code", ""), data.get("edition", ""))
    own = [_limit(where, key, table, *cited) for key, table in tables.items()]
    if base is None:
        return RuleSet(name, data.get("title", name), tuple(own), data.get("country", ""))
    by_key = {limit.key: limit for limit in own}
    dropped = _dropped(where, data.get("without", []), base)
    kept = [by_key.pop(limit.key, limit) for limit in base.limits if limit.key not in dropped]
    return RuleSet(
        name,
        data.get("title", f"{name}, on {base.title}"),
        (*kept, *by_key.values()),
        data.get("country", base.country),
        base.name,
    )


def _base(where: str, data: dict[str, Any]) -> RuleSet | None:
    if "based_on" not in data:
        if "without" in data:
            raise Fault(f"{where}: without: means nothing where there is no based_on to leave limits out of")
        return None
    if data["based_on"] not in shipped():
        raise Fault(f"{where}: based_on: no rule set {given(data['based_on'])}; shipped are {', '.join(shipped())}")
    return _shipped(data["based_on"])


def _dropped(where: str, keys: Any, base: RuleSet) -> set[str]:
    stated = [limit.key for limit in base.limits]
    if not isinstance(keys, list) or not all(isinstance(key, str) for key in keys):
        raise Fault(f'{where}: without: write the names of limits, as in ["nosing"]')
    for key in keys:
        if key not in stated:
            raise Fault(f"{where}: without: {base.name} states no limit {given(key)}; it states {', '.join(stated)}")
    return set(keys)


def _limit(where: str, key: str, table: Any, code: str, edition: str) -> Limit:
    at = f"{where}: limit.{plain(key, 60)}"
    if key not in MEASURES:
        raise Fault(f"{at}: no such limit; known are {', '.join(MEASURES)}")
    measure = MEASURES[key]
    if not isinstance(table, dict):
        raise Fault(f"{at}: must be a table with least, most, source, basis")
    known = (*_ANY, *measure.extras)
    unknown = sorted(set(table) - set(known))
    if unknown:
        raise Fault(f"{at}.{plain(unknown[0], 60)}: no such key; known are {', '.join(known)}")

    def number(name: str, is_length: bool = True) -> float | None:
        return _number(at, name, table[name], is_length) if name in table else None

    least, most = (number(name, measure.quantity == "length") for name in ("least", "most"))
    if least is None and most is None:
        raise Fault(f"{at}: states neither least nor most, so it limits nothing")
    low, high = number("height_least"), number("height_most")
    for words, one, other in (
        ("least is more than most", least, most),
        ("height_least is more than height_most", low, high),
    ):
        if one is not None and other is not None and one > other:
            raise Fault(f"{at}: {words}, so nothing could keep it")
    if measure.duty and (most is None or least is not None):
        raise Fault(f"{at}: write most alone: the {measure.name}")
    source, section = _text(at, table, "source"), _text(at, table, "section")
    edition = _text(at, table, "edition") or edition
    if not source and section and code:
        source = " ".join(part for part in (code, edition, section) if part)
    if not source:
        raise Fault(f"{at}.source: name the clause that the limit comes from (or section, with code at the file's top)")
    required = table.get("required", True)
    if not isinstance(required, bool):
        raise Fault(f"{at}.required: {given(required)}: write true or false")
    basis = table.get("basis", "memory")
    if basis not in _BASES:
        raise Fault(f"{at}.basis: {given(basis)}; must be one of {', '.join(_BASES)}")
    return Limit(
        key,
        measure.quantity,
        least,
        most,
        number("run_under"),
        source,
        basis,
        above=number("above"),
        beside=number("beside"),
        height_least=low,
        height_most=high,
        opening=number("opening"),
        triangle=number("triangle"),
        sides=number("sides", is_length=False),
        section=section,
        edition=edition,
        seen=_text(at, table, "seen"),
        required=required,
    )


def _text(at: str, table: dict[str, Any], name: str, sign: str = ".") -> str:
    value = table.get(name, "")
    if not isinstance(value, str):
        raise Fault(f"{at}{sign}{name}: {given(value)}: write a text in quotes")
    if any(unicodedata.category(c) in ("Cc", "Cf", "Zl", "Zp") for c in value):
        raise Fault(f"{at}{sign}{name}: {given(value)} holds what can't be seen, as a line break: write plain text")
    return value


def _number(at: str, name: str, value: Any, is_length: bool) -> float:
    try:
        if is_length:
            length = parse_length(value, "mm") if isinstance(value, str) else None
            # What means another length in another job has no unit of its own.
            if length is None or length != parse_length(value, "in"):
                raise ValueError("write it with its unit, as in '7 3/4 in' or '190 mm'")
            if length < 0:
                raise ValueError("is less than 0, and would hold for any stair or for none")
            return float(length)
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value < _ENDLESS:
            raise ValueError("must be a number that a stair can have")
        if name == "sides" and value not in (1, 2):
            raise ValueError("a stair has 1 or 2 of them")
        return float(value)
    except ValueError as error:
        raise Fault(f"{at}.{name}: {given(value)}: {error}") from None
