"""How cells look: which of them show nothing of what they hold, by number format, by colours or by size of letters."""

import re
from collections.abc import Iterator
from typing import NamedTuple
from xml.etree.ElementTree import Element

from xlcalc.core.errors import CalcError
from xlcalc.workbook.file.dates import STYLED
from xlcalc.workbook.file.package import MAIN, Package
from xlcalc.workbook.file.validations import Area, areas
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.formulas import column_number

WHITE, BLACK = "FFFFFF", "000000"
THEME = {"0": WHITE, "1": BLACK}  # the paper and the ink of a theme; its other colours are its own
INDEXED = {"0": BLACK, "1": WHITE, "8": BLACK, "9": WHITE, "64": BLACK, "65": WHITE}
# The three below are the choice of this audit (P), but for the one that names its source.
SMALLEST = 2.0  # points; the template's smallest letters have 8
ALIKE = 1.2  # contrast below which letters cannot be told from what is behind them; 1 is none, 21 black on white
READABLE = 3.0  # contrast at which they can be read: what the guidelines for web pages ask of large letters
PIECE = re.compile(r'"([^"]*)"|\\(.)|[_*].|\[([^\]]*)\]|(.)', re.DOTALL)
ZERO_SECTION, TEXT_SECTION = 2, 3  # of a number format: above zero, below zero, zero, text
SHOWS = re.compile(r"[0#?@]|general|[dmyhs]", re.IGNORECASE)  # signs that stand for what the cell holds
INK, PAINT = f"{MAIN}font/{MAIN}color", f"{MAIN}fill/{MAIN}patternFill/{MAIN}bgColor"  # of a conditional format
ASKS = re.compile(r"\b(?:ISERROR|ISERR|ISNA)\(", re.IGNORECASE)
SCALED = re.compile(r"[0#?],+(?![0#?,])")  # each comma behind the last digit divides by a thousand
QUOTED = re.compile(r'"[^"]*"|\\.')
DIGIT = re.compile(r"[0-9]")


class Look(NamedTuple):
    """How a style shows what cells hold, as far as it hides it.

    `sections` says of each section of its number format what it prints in the place of a value: nothing, or figures
    that stand in the format itself; None where it shows the value. `letters` says why letters cannot be read, `ink`
    is their colour where that is the reason; `scaled` is true where numbers are shown as thousands or millions.
    """

    sections: tuple[str | None, ...]
    letters: str
    ink: str
    scaled: bool = False

    def hides(self, value: Value) -> str:
        """Why a cell of this style does not show a value; empty where it does, and for a zero or nothing."""
        if value in (None, "", 0) or isinstance(value, bool):
            return ""
        if self.letters or isinstance(value, CalcError):  # an error shows through every number format
            return self.letters
        section = self._section(value)
        printed = self.sections[section] if section is not None and section < len(self.sections) else None
        if printed is None:
            return ""
        return "by its number format" + (f", which prints {printed} whatever the cell holds" if printed else "")

    def _section(self, value: Value) -> int | None:
        """The section of the number format that a value takes; None for what is no number and no text."""
        if isinstance(value, str):
            return TEXT_SECTION
        return int(value < 0 and len(self.sections) > 1) if isinstance(value, float) else None


def hidden_cells(package: Package, part: str, looks: dict[int, Look]) -> Iterator[tuple[int, int, Look]]:
    """Row, column and look of the cells of a sheet in a style that hides something.

    A cell that a conditional format colours anew may well be read, and is left out.
    """
    found = STYLED.findall(package.read(part)) if looks else []
    styled = [(int(row), column_number(letters.decode()), looks[int(style)])
              for letters, row, style in found if int(style) in looks]  # fmt: skip
    coloured = list(recoloured(package, part)) if any(look.ink for *_, look in styled) else []
    for row, column, look in styled:
        over = (paint for area, paint in coloured if area[0] <= row <= area[2] and area[1] <= column <= area[3])
        if not look.ink or all(paint and contrast(paint, look.ink) < READABLE for paint in over):
            yield row, column, look


def recoloured(package: Package, part: str) -> Iterator[tuple[Area, str]]:
    """The areas that a conditional format colours, with the colour it puts behind the letters.

    The colour is empty where the format colours the letters themselves, or where it is not known.
    """
    for _, look, where in conditional(package, part):
        inked = look is None or look.find(INK) is not None  # a scale of colours has no look
        paint = None if look is None else look.find(PAINT)
        if inked or paint is not None:
            yield from ((area, "" if inked else colour(paint, "")) for area in where)


def areas_without_errors(package: Package, part: str) -> Iterator[Area]:
    """The areas in which a conditional format gives an error letters that cannot be told from what is behind them."""
    for rule, look, where in conditional(package, part):
        ink = None if look is None else look.find(INK)
        asks = rule.get("type") == "containsErrors" or ASKS.search(rule.findtext(f"{MAIN}formula") or "")
        if look is not None and ink is not None and asks:
            letters, paint = colour(ink, ""), colour(look.find(PAINT), WHITE)
            if letters and paint and contrast(letters, paint) < ALIKE:
                yield from where


def conditional(package: Package, part: str) -> Iterator[tuple[Element, Element | None, list[Area]]]:
    """The conditional formats of a sheet: what they ask, the look that they give, where."""
    styles = package.styles()
    formats = list(styles.iter(f"{MAIN}dxf")) if styles is not None else []
    for each in package.around_rows(part).iter(f"{MAIN}conditionalFormatting"):
        where = list(areas(each.get("sqref") or ""))
        for rule in each.iter(f"{MAIN}cfRule"):
            number = rule.get("dxfId")
            yield rule, picked(formats, number) if number is not None else None, where


def looks_that_hide(package: Package) -> dict[int, Look]:
    """The styles of a book that hide something of what cells hold, by their numbers."""
    root = package.styles()
    if root is None:
        return {}
    codes = {each.get("numFmtId", ""): each.get("formatCode", "") for each in root.iter(f"{MAIN}numFmt")}
    fonts, fills = children(root, "fonts"), children(root, "fills")
    found = {}
    for place, each in enumerate(children(root, "cellXfs")):
        code = codes.get(each.get("numFmtId", ""), "")
        (sections, shade), scaled = sections_of(code), SCALED.search(QUOTED.sub("", code)) is not None
        font, paint = picked(fonts, each.get("fontId")), behind(picked(fills, each.get("fillId")))
        ink = shade or (colour(font.find(f"{MAIN}color"), BLACK) if font is not None else "")
        letters = ""
        if font is not None and tiny(font):
            letters, ink = f"by letters {size(font):g} points high", ""
        elif ink and paint and contrast(ink, paint) < ALIKE:
            letters = "by letters of the colour that is behind them"
        if letters or scaled or any(text is not None for part, text in enumerate(sections) if part != ZERO_SECTION):
            found[place] = Look(sections, letters, ink if letters else "", scaled)
    return found


def sections_of(code: str) -> tuple[tuple[str | None, ...], str]:
    """What each section of a number format prints in the place of a value, and white where it asks for white letters.

    No section where all show the value, as in the general format, and where the format goes by conditions of its own.
    """
    printed, signs, inside = [""], [""], ""
    for quoted, escaped, bracket, plain in PIECE.findall(code):
        inside += f"[{bracket}]".casefold() if bracket else ""
        if plain == ";":
            printed.append("")
            signs.append("")
        else:
            printed[-1] += quoted + escaped + plain
            signs[-1] += plain
    shade = WHITE if "[white]" in inside else ""
    if not code.strip() or any(sign in inside for sign in "<>="):
        return (), shade
    shown = (SHOWS.search(sign) or (text.strip() and not DIGIT.search(text))
             for text, sign in zip(printed, signs, strict=True))  # fmt: skip
    return tuple(None if shows else text.strip() for shows, text in zip(shown, printed, strict=True)), shade


def children(root: Element, name: str) -> list[Element]:
    """What stands in a list of the styles."""
    return list(found) if (found := root.find(f"{MAIN}{name}")) is not None else []


def picked(choice: list[Element], number: str | None) -> Element | None:
    """One of a list by its number; None where there is no such one."""
    place = int(number) if number is not None and number.isdecimal() else 0
    return choice[place] if place < len(choice) else None


def size(font: Element) -> float:
    """How high letters are, in points; 11 where the file does not say it in a number."""
    each = font.find(f"{MAIN}sz")
    try:
        return float(each.get("val", "11")) if each is not None else 11.0
    except ValueError:
        return 11.0


def tiny(font: Element) -> bool:
    """True for letters that nobody can read."""
    return size(font) <= SMALLEST


def behind(fill: Element | None) -> str:
    """The colour of a fill; empty for a pattern and for one that is not known."""
    pattern = None if fill is None else fill.find(f"{MAIN}patternFill")
    if pattern is None:
        return ""
    kind = pattern.get("patternType", "none")
    return WHITE if kind == "none" else colour(pattern.find(f"{MAIN}fgColor"), "") if kind == "solid" else ""


def colour(element: Element | None, without: str) -> str:
    """A colour as six digits; `without` where none is said, empty where it cannot be told."""
    if element is None or element.get("auto") in {"1", "true"}:
        return without
    text = element.get("rgb", "")[-6:].upper()
    if re.fullmatch("[0-9A-F]{6}", text):
        return text
    tinted = element.get("tint", "0").strip("-0.") != ""
    return "" if tinted else THEME.get(element.get("theme", ""), "") or INDEXED.get(element.get("indexed", ""), "")


def contrast(one: str, other: str) -> float:
    """How well two colours are told apart, as the guidelines for web pages measure it: 1 to 21."""
    low, high = sorted(map(luminance, (one, other)))
    return (high + 0.05) / (low + 0.05)


def luminance(code: str) -> float:
    """How light a colour is, 0 to 1, by the relative luminance of sRGB."""
    parts = (int(code[at : at + 2], 16) / 255 for at in (0, 2, 4))
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
