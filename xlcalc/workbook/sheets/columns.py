"""Columns that many sheets share: typed text, numbers and lists, worked-out numbers, fluids by their row of Fluids."""

from dataclasses import replace

from xlcalc.core.kinds import Kind
from xlcalc.core.registry import functions
from xlcalc.workbook.building.checks import CANNOT, folded, reason
from xlcalc.workbook.building.rows import Column

LOOK_UP = "Look up"  # header over what a verdict takes from memory
DATES = (36526, 73050)  # serial numbers of the years 2000 to 2099


def span(function: str, argument: str) -> tuple[float, float]:
    """Span of a bare number, from the declaration of the function that takes it."""
    reader: Kind = next(arg for arg in functions()[function].args if arg.name == argument).reader
    found = reader.span()
    assert found is not None
    return found


def typed(
    key: str, band: str, head: str, unit: str, width: float, help_text: str, bounds: tuple[float, float], digits: str = ""
) -> Column:
    """A number in the header's unit, or text with a unit."""
    return Column(key, band, head, unit, "input", width, "", help_text, *bounds, format=digits)


def counted(
    key: str, band: str, head: str, unit: str, width: float, help_text: str, bounds: tuple[float, float], digits: str = ""
) -> Column:
    """A plain number, without a unit of its own: pieces, hours, money."""
    return Column(key, band, head, unit, "input", width, "", help_text, *bounds, words=False, format=digits)


def text(
    key: str, band: str, head: str, width: float, help_text: str, wrap: bool = False, shrink: bool = False
) -> Column:
    """Words, on several lines or set smaller where they are longer than the column."""
    return Column(key, band, head, "", "input", width, "", help_text, text=True, wrap=wrap, shrink=shrink)


def dated(key: str, band: str, head: str, width: float, help_text: str) -> Column:
    """A date."""
    return Column(key, band, head, "date", "input", width, "", help_text, *DATES, words=False, format="d mmm yyyy")


def picked(key: str, band: str, head: str, width: float, offers: str, help_text: str) -> Column:
    """One of a list: a named list, or words from `words`."""
    return Column(key, band, head, "", "list", width, offers, help_text, wrap=True)


def picked_line(key: str, band: str, head: str, width: float, help_text: str) -> Column:
    """A line of Lines. Its name is never broken: where it is longer than its column it is set smaller."""
    return replace(picked(key, band, head, width, "LineList", help_text), wrap=False, shrink=True)


def words(*offers: str) -> str:
    """A list of words for `picked`."""
    return '"' + ",".join(offers) + '"'


def worked(
    key: str, band: str, head: str, unit: str, width: float, spec: str, digits: str = "", small: bool = False
) -> Column:
    """A worked-out number or word."""
    return Column(key, band, head, unit, "worked", width, spec, format=digits, small=small)


def check(band: str, width: float = 36.5) -> Column:
    """The Check of a row."""
    return Column("check", band, "Check", "", "words", width, "={first}")


def of_its_list(key: str, head: str, *offers: str) -> Column:
    """Why a word is not known: a pasted one passes no list. A blank cell is in order."""
    return reason(f"r_{key}", head, f'=IF({{ready}},IF({one_of(f"{{{key}}}", *offers)},"",{CANNOT}<{key}>&", not a word of its list"),"")')


def one_of(value: str, *offers: str) -> str:
    """A piece of a formula: true where a text is blank or one of a few words."""
    return f'ISNUMBER(SEARCH("|"&{value}&"|","||{"|".join(offers)}|"))'


def memory(band: str, *what: tuple[str, str], width: float = 7) -> Column:
    """What is to be looked up because the verdict of a row takes it from memory: each a word and when it holds.

    A table that has nothing of that kind leaves the column free.
    """
    if not what:
        return Column("memory", band, "", "", "gap", width)
    spec = f'=IFERROR(IF({{ready}},{named_words(*what)},""),"")'
    return Column("memory", band, LOOK_UP, "", "worked", width, spec, wrap=True, small=True)


def named_words(*what: tuple[str, str]) -> str:
    """A piece of a formula: the words whose condition holds, with commas between them."""
    pieces = "&".join(f'IF({condition},", {word}","")' for word, condition in what)
    return f"MID({pieces},3,30)"


def others(band: str, width: float = 26) -> Column:
    """All other reasons of a row."""
    return Column("others", band, "Other reasons", "", "words", width, "={otherwords}", wrap=True, small=True)


def fluid_words(fluid: str = "fluid") -> Column:
    """The joined words of a fluid from its row of Fluids; never the typed name."""
    return folded("fw", "Fluid words", "", f'=IF({{ready}},IF({{{fluid}}}="","",INDEX(FluidWords,MATCH({{{fluid}}},FluidNames,0))),"")')


def fluid_reason(fluid: str = "fluid") -> Column:
    """Why a fluid is not found."""
    return reason("r_fluid", "Fluid in its table",
                  f'=IF(ISERROR({{fw}}),{CANNOT}<{fluid}>&", not a row of Fluids",IF(AND({{ready}},{{{fluid}}}<>"",{{fw}}=""),'
                  f'{CANNOT}<{fluid}>&", no figures in Fluids",""))')  # fmt: skip


def price_of(key: str, item: str, unit: str) -> list[Column]:
    """Folded: the row of Prices that an item stands in, and what one of its unit costs.

    Blank where it is not priced by that unit or by the pack.
    """
    place = f"{{{key}priceplace}}"
    priced = f'OR(INDEX(PriceUnits,{place})="{unit}",INDEX(PriceUnits,{place})="pack")'
    return [
        folded(f"{key}priceplace", f"Row of Prices, {key}", "", f'=IF({{ready}},IF({{{item}}}="",0,IFERROR(MATCH({{{item}}},PriceItems,0),0)),0)'),
        folded(f"{key}listed", f"Price of Prices, {key}", "", f'=IF({place}=0,"",IF({priced},INDEX(PriceOfOne,{place}),""))'),
    ]


def next_filled(names: str, before: str) -> str:
    """Place of the next filled cell of a named column after the place in a cell, 1 being its guard; 0 where none is left."""
    rest = f'{before}+MATCH("?*",INDEX({names},{before}+1):INDEX({names},ROWS({names})),0)'
    return f"=IF({before}=0,0,IFERROR({rest},0))"


REMEMBERED_FLUID = 'INDEX(FluidMemory,MATCH({fluid},FluidNames,0))="memory"'


def why(key: str, head: str, function: str, given: str, where: str) -> Column:
    """Why a cell has no answer, in the function's own words, where nothing before it failed."""
    return folded(f"why{key}", f"Why no {head}", "",
                  f'=IF({where},IF(ISERROR({{{key}}}),"; "&ANSWER_WHY("{function}",{given}),""),"")')  # fmt: skip
