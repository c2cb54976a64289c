"""Lengths: reading what people write on a tape's page, exactly, and writing it back in their unit.

A length is an exact `Fraction` of millimetres from here to the end of reading; an inch is 25.4 mm by
definition (international yard and pound agreement, 1959).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import lru_cache, partial
from typing import Final, Literal

from cutpath.tolerances import LIMIT_SLACK, WRITTEN_DECIMALS

#: What bare numbers of a job mean, and the unit of what is written.
Unit = Literal["in", "mm"]
#: Writes millimetres in the unit of a job.
Show = Callable[[float], str]

MM_PER_INCH: Final = Fraction(254, 10)
_MILLIMETRES, _INCHES = MM_PER_INCH.as_integer_ratio()

#: Longer texts are no lengths; the guard keeps a wrong file from costing time.
LONGEST_TEXT: Final = 64
_LONGEST_QUOTED: Final = 60

#: Named in every message about a length that can't be read.
FORMS: Final = 'write a length like 10.5, "10 1/2", "3\' 4 1/2\\"" or "190 mm"'

_FOOT = 12 * MM_PER_INCH
#: Sixteenths in a foot.
_FOOT_COUNT: Final = 12 * 16
_UNITS: Final = {
    **dict.fromkeys(("in", "inch", "inches", '"'), MM_PER_INCH),
    **dict.fromkeys(("ft", "foot", "feet", "'"), _FOOT),
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), Fraction(1)),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), Fraction(10)),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), Fraction(1000)),
}

# After `_ascii`, a text is lower case ASCII with single spaces and none around a slash. A dash joins with spaces on
# both sides, on neither or after it; "7 -1/2" could be meant as 6 1/2.
_NUMBER = r"\d+(?: - |- ?| )\d+/\d+|\d+/\d+|\d+\.\d*|\.\d+|\d+"
_LENGTH: Final = re.compile(
    rf"(?P<sign>[+-]?) ?(?:"
    rf"(?P<feet>{_NUMBER}) ?(?:'|ft\.?|foot|feet)(?: - |- ?| ?)(?P<inches>{_NUMBER})(?: ?(?:\"|in\.?|inch|inches))?"
    rf"|(?P<number>{_NUMBER})(?: ?(?:(?P<word>[a-z]+)\.?|(?P<mark>[\"'])))?)",
    re.ASCII,
)
_RAISED: Final = re.compile("([⁰¹²³⁴-⁹]+)[/⁄∕]([₀-₉]+)")
_LOOKALIKES: Final = str.maketrans(
    {
        **dict.fromkeys("‐‑‒–—−", "-"),
        **dict.fromkeys("‘’‛′‵ʹʼ´`", "'"),
        **dict.fromkeys("“”‟″‶ʺ", '"'),
        **dict.fromkeys("⁄∕", "/"),
        **dict.fromkeys("\u200b\u2060\ufeff", " "),
        **{chr(code): chr(code - 0xFEE0) for code in range(0xFF01, 0xFF5F)},
        # Spaces all round, so that "7½" is 7 1/2 and "½2" is not 1/22.
        **{
            sign: f" {over}/{under} "
            for sign, over, under in (
                *(("½", 1, 2), ("⅓", 1, 3), ("⅔", 2, 3), ("¼", 1, 4), ("¾", 3, 4), ("⅕", 1, 5), ("⅖", 2, 5)),
                *(("⅗", 3, 5), ("⅘", 4, 5), ("⅙", 1, 6), ("⅚", 5, 6), ("⅐", 1, 7), ("⅛", 1, 8), ("⅜", 3, 8)),
                *(("⅝", 5, 8), ("⅞", 7, 8), ("⅑", 1, 9), ("⅒", 1, 10)),
            )
        },
        "⅟": " 1/",
    }
)
#: Spaces inside a length, where no line may break: 73.9375 in (6'-1 15/16"), 1.25 (1 1/4), 3'-4 1/2".
_INSIDE: Final = re.compile(r"(?<=\d) (?=in\b|mm\b|\d+/\d|\(~?[-\d][^)]*\))|(?<= in) (?=\(~?[-\d])")
_SMALL_DIGITS: Final = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉", "01234567890123456789")


def many(count: int, thing: str, plural: str = "") -> str:
    """A count of things: 1 tread, 5 treads."""
    return f"{count} {thing if count == 1 else plural or thing + 's'}"


def quoted(text: str, longest: int = _LONGEST_QUOTED) -> str:
    """A user's text on one line for a message: in quotes, otherwise as `plain` gives it."""
    clean = plain(text, longest)
    return f"'{clean}'" if '"' in clean and "'" not in clean else f'"{clean}"'


def plain(text: str, longest: int) -> str:
    """A text on one line for a message: cut when longer than `longest` characters, what can't be seen escaped."""
    cut = text if len(text) <= longest else text[: longest - 1] + "…"
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in cut)


def kept_whole(text: str) -> str:
    """A text whose lengths hold together where its lines are broken: no-break spaces inside them.

    A whole number at the end of one line and its fraction at the start of the next read as two lengths.
    """
    return _INSIDE.sub("\N{NO-BREAK SPACE}", text)


def unbroken(text: str) -> list[str]:
    """A text's words, a length with the spaces in it being one."""
    return [word.replace("\N{NO-BREAK SPACE}", " ") for word in kept_whole(" ".join(text.split())).split(" ")]


def parse_length(value: int | float | str, unit: Unit) -> Fraction:
    """Read a length exactly.

    Args:
        value: a number in `unit` (a float stands for its shortest decimal, so 0.1 is 1/10), or a text that
            may carry its own unit. Feet with a bare rest are feet and inches, whatever `unit` says.
        unit: what a number without a unit means.

    Returns:
        Exact millimetres, negative ones too: what is sensible is for the caller to say.

    Raises:
        ValueError: if it is no length; the message shows the text, the fault and accepted forms.
    """
    factor = MM_PER_INCH if unit == "in" else Fraction(1)
    if isinstance(value, str):
        return _parse_text(value, factor)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(f"{str(value).lower()[:LONGEST_TEXT]} is no length; {FORMS}")
    if isinstance(value, int):
        return value * factor
    if not math.isfinite(value):
        raise ValueError(f"{value} is no length; {FORMS}")
    return Fraction(repr(float(value))) * factor


def _parse_text(text: str, factor: Fraction) -> Fraction:
    if len(text) > LONGEST_TEXT:
        raise ValueError(f"can't read {quoted(text)}: longer than {LONGEST_TEXT} characters; {FORMS}")
    plain = _ascii(text)
    try:
        match = _LENGTH.fullmatch(plain)
        if match is None:
            raise ValueError(_complaint(plain))
        if match["feet"]:
            length = _feet(match["feet"], match["inches"])
        else:
            name = match["word"] or match["mark"]
            if name and name not in _UNITS:
                raise ValueError(_complaint(plain))
            length = _number(match["number"]) * (_UNITS[name] if name else factor)
    except ValueError as why:
        raise ValueError(f"can't read {quoted(text)}: {why}; {FORMS}") from None
    return -length if match["sign"] == "-" else length


def _ascii(text: str) -> str:
    """Typographic forms turned into plain ones, lower case, single spaces."""
    text = _RAISED.sub(lambda m: f" {m[1]}/{m[2]} ".translate(_SMALL_DIGITS), text)
    text = " ".join(text.translate(_LOOKALIKES).split())
    return re.sub(" ?/ ?", "/", text).replace("''", '"').lower()


def _number(text: str) -> Fraction:
    """A decimal, a fraction, or a whole number with a fraction, as `_NUMBER` lets them through."""
    if "/" not in text:
        return Fraction(text)
    *whole, fraction = text.replace("-", " ").split()
    over, under = (int(part) for part in fraction.split("/"))
    if under == 0:
        raise ValueError("a fraction over zero")
    if whole and over >= under:
        raise ValueError(f"{fraction} after a whole number is not less than 1")
    return Fraction(over, under) + (int(whole[0]) if whole else 0)


def _feet(feet: str, inches: str) -> Fraction:
    if not feet.isdecimal():
        raise ValueError("feet before inches are a whole number")
    rest = _number(inches)
    if rest >= 12:
        raise ValueError("the inches after feet are less than 12")
    return int(feet) * _FOOT + rest * MM_PER_INCH


def _complaint(plain: str) -> str:
    """Why a text is no length, as near as can be told."""
    if not plain:
        return "nothing there"
    if "," in plain:
        return "decimals take a point, and commas mean nothing here"
    if re.search(r"\d\.?e[+-]?\d", plain):
        return "no exponents in a text"
    for word in re.findall(r"[^\W\d_]+", plain):
        if word not in _UNITS:
            return f"unknown unit {quoted(word)}, where in, ft, mm, cm and m are known"
    if not re.search("[0-9]", plain):
        return "no number there"
    return "not one number, or feet and inches"


def to_unit(mm: float | Fraction, unit: Unit) -> float:
    """Millimetres in a job's unit, the nearest float to the exact value."""
    if unit == "mm":
        return float(mm)
    # Whole numbers divide correctly rounded, and several times as fast as a Fraction does.
    numerator, denominator = mm.as_integer_ratio()
    return (numerator * _INCHES) / (denominator * _MILLIMETRES)


def written(mm: float | Fraction, unit: Unit) -> float:
    """Millimetres in a job's unit as they stand in files: nine decimals, no negative zero."""
    return round(to_unit(mm, unit), WRITTEN_DECIMALS) + 0.0


def _nearest_sixteenth(mm: float | Fraction) -> int:
    """How many sixteenths of an inch, halves away from zero, also where rounding of floats hides the half."""
    count = math.floor(abs(written(mm, "in")) * 16 + 0.5)
    return -count if mm < 0 else count


def _mixed(count: int) -> str:
    """Sixteenths (not negative) as a whole number and a fraction in lowest terms."""
    whole, rest = divmod(count, 16)
    fraction = Fraction(rest, 16)
    if not rest:
        return str(whole)
    return f"{whole} {fraction}" if whole else str(fraction)


def sixteenths(mm: float | Fraction) -> str:
    """Inches to the nearest sixteenth, as on a tape: "7 1/4", "88 7/16", "-1/2"."""
    count = _nearest_sixteenth(mm)
    return ("-" if count < 0 else "") + _mixed(abs(count))


def feet_inches(mm: float | Fraction) -> str:
    """Feet and inches to the nearest sixteenth, as builders write them: 7'-4 7/16", 7'-0 1/2", 8 1/4" under a foot."""
    count = _nearest_sixteenth(mm)
    sign = "-" if count < 0 else ""
    feet, rest = divmod(abs(count), _FOOT_COUNT)
    if not feet:
        return f'{sign}{_mixed(rest)}"'
    # A fraction alone behind the dash is easily read as part of the feet.
    inches = _mixed(rest) if rest >= 16 or not rest else f"0 {_mixed(rest)}"
    return f"{sign}{feet}'-{inches}\""


def to_nearest(mm: float | Fraction, unit: Unit, step: float) -> str:
    """A length to the nearest of a step, as a tape or a saw's stop is set: `52 1/2`, inches counted through, `1283`.

    Args:
        mm: not negative.
        unit: inches come as fractions in lowest terms, millimetres plain.
        step: millimetres; halves go up.
    """
    fine = Fraction(written(step, unit)).limit_denominator(1000)
    count = fine * math.floor(Fraction(written(mm, unit)) / fine + Fraction(1, 2))
    whole, rest = divmod(count, 1)
    if unit == "mm":
        return f"{float(count):.6g}"
    return str(whole) if not rest else f"{whole} {rest}" if whole else str(rest)


def nearest(mm: float | Fraction) -> str:
    """The nearest sixteenth of an inch as it stands beside decimals: "7 1/4", and from a foot on in feet and inches."""
    return feet_inches(mm) if abs(_nearest_sixteenth(mm)) >= _FOOT_COUNT else sixteenths(mm)


def show(mm: float | Fraction, unit: Unit) -> str:
    """A length for people: `7.25 in (7 1/4)`, `7.2604 in (~7 1/4)` off a sixteenth, `184.15 mm`.

    From a foot on the inches beside it are feet and inches, as drawings have them: `52.5 in (4'-4 1/2")`.
    """
    return _shown(mm, unit, f" {unit}")


def shown_in(unit: Unit) -> Callable[[float], str]:
    """`show` in one unit: what writes lengths wherever they are told."""
    return partial(show, unit=unit)


def cell(mm: float | Fraction, unit: Unit) -> str:
    """A length for a table whose heading names the unit: `7.25 (7 1/4)`, `7.2604 (~7 1/4)`, `184.15`."""
    return _shown(mm, unit, "")


def on_tape(mm: float | Fraction, unit: Unit) -> str:
    """A length beside marks of a tape, which counts inches through: `61.9916 in (~62)`."""
    return _shown(mm, unit, f" {unit}", feet=False)


@lru_cache(maxsize=4096)  # a packet says each length a dozen times
def _shown(mm: float | Fraction, unit: Unit, name: str, *, feet: bool = True) -> str:
    decimals = 4 if unit == "in" else 2
    text = f"{round(written(mm, unit), decimals) + 0.0:.{decimals}f}".rstrip("0").rstrip(".")
    if unit == "mm":
        return text + name
    count = _nearest_sixteenth(mm)
    exact = abs(Fraction(mm) - count * MM_PER_INCH / 16) <= LIMIT_SLACK
    # The nearest sixteenth of next to nothing tells nothing, nor does that of whole inches under a foot.
    if count == 0 or (exact and count % 16 == 0 and (abs(count) < _FOOT_COUNT or not feet)):
        return text + name
    return f"{text}{name} ({'' if exact else '~'}{nearest(mm) if feet else sixteenths(mm)})"


def numbered_parts(parts: Sequence[int]) -> str:
    """Parts of a board by their numbers, which people count from 1: "part 1", "parts 1, 2 and 3"."""
    *most, last = (str(part + 1) for part in parts)
    return f"parts {', '.join(most)} and {last}" if most else f"part {last}"
