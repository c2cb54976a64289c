"""Reading a rule set: one that ships with the package, or one of the user's own."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from cutpath.faults import Fault
from cutpath.rules.values import LIMIT_KEYS, Limit, RuleSet
from cutpath.units import parse_length

_BASES = ("looked up", "second hand", "memory")
_LARGEST = 1 << 20


def shipped() -> tuple[str, ...]:
    """Names of the rule sets that ship with the package."""
    return tuple(sorted(path.stem for path in Path(__file__).parent.glob("*.toml")))


def load_rules(rules: str | Path) -> RuleSet:
    """Read a rule set.

    Args:
        rules: a shipped set's name, or the path to a file of the same form.

    Returns:
        The limits, lengths in millimetres.

    Raises:
        Fault: if there is no such set, or the file can't be understood; the message names the key.
    """
    if isinstance(rules, str):
        path = Path(__file__).parent / f"{rules}.toml"
        if rules not in shipped():
            raise Fault(
                f"stair.rules: no rule set {rules!r}; shipped are {', '.join(shipped())}, "
                "or give the path of your own file, ending in .toml"
            )
        name, where = rules, f"rule set {rules}"
    else:
        path, name, where = rules, rules.stem, f"stair.rules: {rules}"
    try:
        with path.open("rb") as file:
            text = file.read(_LARGEST + 1)
        if len(text) > _LARGEST:
            raise Fault(f"{where}: larger than 1 MiB, which no rule set is")
        data = tomllib.loads(text.decode("utf-8-sig"))
    except OSError as error:
        raise Fault(f"{where}: can't be read ({error.strerror}); check the path") from None
    except (ValueError, RecursionError) as error:
        raise Fault(f"{where}: not a TOML file ({error})") from None
    return _rule_set(name, where, data)


def _rule_set(name: str, where: str, data: dict[str, Any]) -> RuleSet:
    unknown = sorted(set(data) - {"title", "limit"})
    if unknown:
        raise Fault(f"{where}: unknown key {unknown[0]!r}; a rule set holds title and [limit.NAME] tables")
    title = data.get("title", name)
    tables = data.get("limit", {})
    if not isinstance(title, str) or not isinstance(tables, dict) or not tables:
        raise Fault(f"{where}: needs a title in quotes and at least one [limit.NAME] table")
    return RuleSet(name, title, tuple(_limit(where, key, table) for key, table in tables.items()))


def _limit(where: str, key: str, table: Any) -> Limit:
    at = f"{where}: limit.{key}"
    if key not in LIMIT_KEYS:
        raise Fault(f"{at}: no such limit; known are {', '.join(LIMIT_KEYS)}")
    if not isinstance(table, dict):
        raise Fault(f"{at}: must be a table with least, most, source, basis")
    unknown = sorted(set(table) - {"least", "most", "run_under", "source", "basis"})
    if unknown:
        raise Fault(f"{at}.{unknown[0]}: no such key; known are least, most, run_under, source, basis")
    quantity = LIMIT_KEYS[key][0]

    def number(name: str, is_length: bool) -> float | None:
        if name not in table:
            return None
        value = table[name]
        try:
            if is_length:
                if not isinstance(value, str):
                    raise ValueError("write it with its unit, as in '7 3/4 in' or '190 mm'")
                return float(parse_length(value, "mm"))
            if isinstance(value, bool) or not isinstance(value, int | float) or value != value:
                raise ValueError("must be a number")
            return float(value)
        except ValueError as error:
            raise Fault(f"{at}.{name}: {value!r}: {error}") from None

    least, most = number("least", quantity == "length"), number("most", quantity == "length")
    if least is None and most is None:
        raise Fault(f"{at}: states neither least nor most, so it limits nothing")
    if least is not None and most is not None and least > most:
        raise Fault(f"{at}: least is more than most, so nothing could keep it")
    source, basis = table.get("source", ""), table.get("basis", "memory")
    if not isinstance(source, str) or not source:
        raise Fault(f"{at}.source: name the clause that the limit comes from")
    if basis not in _BASES:
        raise Fault(f"{at}.basis: {basis!r}; must be one of {', '.join(_BASES)}")
    return Limit(key, quantity, least, most, number("run_under", True), source, basis)
