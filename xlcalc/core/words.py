"""Text as a person types it into a cell, and what to print back: numbers, words of a list."""

import difflib
import re
import unicodedata
from collections.abc import Iterable

from xlcalc.core.errors import WrongKind

LONGEST_TEXT = 400  # no quantity or description is longer; more is a paste that went wrong
_MINUS = str.maketrans({"−": "-", "–": "-", "—": "-", "‐": "-", "‑": "-", "‒": "-", "﹣": "-"})
_FRACTION = re.compile(r"([+-]?)(?:(\d{1,4})[ -]+)?(\d{1,4})/(\d{1,4})(?![\d.,/])")
_NUMBER = re.compile(r"([+-]?)((?:\d[\d.,]*)|(?:[.,]\d+))(?:[eE]([+-]?\d{1,3}))?(?![\d.,])")
_THOUSANDS = re.compile(r"(?<=\d)[  '](?=\d{3}(?:\D|$))")


def plain(text: str) -> str:
    """One spelling for what looks alike: no-break spaces, dashes, full-width digits, superscripts.

    Raises WrongKind for control characters and for text too long to be a cell of this kind.

    >>> plain("  −5  °C ")  # a minus sign as a text program sets it
    '-5 °C'
    """
    if len(text) > LONGEST_TEXT:
        raise WrongKind(f"{shown(text)} is {len(text)} characters long: at most {LONGEST_TEXT}")
    text = text.replace("⁄", "/").replace("½", " 1/2").replace("¼", " 1/4").replace("¾", " 3/4")
    text = unicodedata.normalize("NFKC", text.replace("′", "'").replace("″", '"')).translate(_MINUS)
    text = text.replace("⁄", "/")
    if any(unicodedata.category(letter) in ("Cc", "Cf", "Cs", "Co") and letter not in "\t\n\r" for letter in text):
        raise WrongKind(f"{shown(text)} holds invisible characters: type it anew")
    return " ".join(text.split())


def shown(cell: object, longest: int = 48) -> str:
    """A cell as an error message quotes it: printable, one line, cut short.

    >>> shown("6 gal"), shown(2500.0), shown(None)
    ('"6 gal"', '2500', 'None')
    """
    whole = isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e15
    text = cell if isinstance(cell, str) else f"{cell:.0f}" if whole else repr(cell)
    text = "".join(letter if letter.isprintable() else "?" for letter in text[: longest * 2])
    text = text if len(text) <= longest else text[:longest] + "…"
    return f'"{text}"' if isinstance(cell, str) else text


def leading_number(text: str) -> tuple[float, str] | None:
    """The number at the front of plain text, and what follows it; None where there is none.

    Reads `6`, `-0.5`, `6,5`, `.5`, `1e3`, `3/8`, `1 1/2`, `1 250.5`, `1.250,5`.
    Raises WrongKind where the text has two readings (`1,250`) or none (`1,2,3`).

    >>> leading_number("1 1/2 in"), leading_number("6,5 L/min"), leading_number("water")
    ((1.5, 'in'), (6.5, 'L/min'), None)
    """
    if found := _FRACTION.match(text):
        sign, whole, above, below = found.groups()
        if int(below) == 0:
            raise WrongKind(f"{shown(text)}: a fraction cannot have 0 below the line")
        value = int(whole or 0) + int(above) / int(below)
        return (-value if sign == "-" else value), text[found.end() :].strip()
    joined = _THOUSANDS.sub("", text)
    if not (found := _NUMBER.match(joined)):
        return None
    sign, figure, power = found.groups()
    return float(f"{sign}{_decimal(figure, text)}e{power or 0}"), joined[found.end() :].strip()


def _decimal(figure: str, text: str) -> str:
    """`figure` with a decimal point and no thousands marks."""
    commas, points = figure.count(","), figure.count(".")
    if commas == 0 and points <= 1:
        return figure
    if commas and points:
        last = "," if figure.rfind(",") > figure.rfind(".") else "."
        other = "." if last == "," else ","
        whole, _, part = figure.rpartition(last)
        if last not in whole and re.fullmatch(rf"\d{{1,3}}(?:\{other}\d{{3}})+", whole):
            return f"{whole.replace(other, '')}.{part}"
        raise WrongKind(f"{shown(text)} is not a number: write it with one decimal sign")
    if commas == 1:
        whole, _, part = figure.partition(",")
        if len(part) == 3 and whole and not whole.startswith("0"):
            raise WrongKind(f"{shown(text)} has two readings: write {whole}{part} or {whole}.{part}")
        return f"{whole}.{part}"
    if re.fullmatch(r"[1-9]\d{0,2}(?:([.,])\d{3})(?:\1\d{3})+", figure):
        return figure.replace(",", "").replace(".", "")
    raise WrongKind(f"{shown(text)} is not a number: write it with one decimal sign")


def nearest(word: str, words: Iterable[str], most: int = 3) -> str:
    """`: did you mean A or B?` for the words that look like `word`, else for those that begin with it, or nothing.

    >>> nearest("coolnt", ["coolant", "water"])
    ': did you mean coolant?'
    """
    folded, wanted = {known.casefold(): known for known in words}, word.casefold()[:60]
    close = difflib.get_close_matches(wanted, folded, n=most, cutoff=0.6)
    close = close or [name for name in folded if len(wanted) > 2 and name.startswith(f"{wanted} ")][:most]
    return f": did you mean {' or '.join(folded[name] for name in close)}?" if close else ""


def joined(words: Iterable[str]) -> str:
    """`a, b or c`; nothing of nothing is a ValueError."""
    *first, last = words
    return f"{', '.join(first)} or {last}" if first else last


def plural(number: int, word: str) -> str:
    """`1 cell`, `2 cells`."""
    return f"{number} {word}{'' if number == 1 else 's'}"


def digits(value: float) -> str:
    """A number as a message prints it: six significant digits, all digits before the point, no exponent where it
    can be avoided; what is not 0 never prints as 0.

    >>> digits(1234567.8), digits(0.000012345678), digits(0.1 + 0.2)
    ('1234568', '0.0000123457', '0.3')
    """
    if abs(value) >= 1e15:
        return f"{value:.6g}"
    if value == int(value):
        return str(int(value))
    if abs(value) >= 1e6:
        return f"{value:.0f}"
    text = f"{value:.6g}"
    return f"{value:.10f}".rstrip("0").rstrip(".") if "e-0" in text and abs(value) >= 1e-9 else text


def short(value: float) -> str:
    """A number to four significant digits, as a step or a sentence prints it: 23000, never 2.3e+04.

    >>> short(23456.7)
    '23460'
    """
    return digits(float(f"{value:.4g}"))
