"""Columns of the tables: typed figures, and folded ones that join them to the words that the functions take.

Fluids and Hoses share them, with the words of their headings and sources.
"""

from collections.abc import Mapping

from xlcalc.core.verdicts import CANNOT, CHANGE, NOT_CHECKED
from xlcalc.workbook.building.rows import Column, RowSheet
from xlcalc.workbook.building.style import number_format


def typed_number(key: str, band: str, head: str, unit: str, low: float, high: float, help_text: str) -> Column:
    """A figure of a row of the table, a plain number in the header's unit."""
    shown = number_format(unit)
    return Column(key, band, head, unit, "input", 9.5, "", help_text, low, high, words=False, format=shown)


def piece(key: str, head: str, spec: str) -> Column:
    """One piece of the words, blank where its cell is blank."""
    return Column(key, "Words", head, "", "folded", 9, spec)


def figure(key: str, source: str, before: str, unit: str, after: str = "") -> Column:
    """`; bore 7.9 mm`: a number with a decimal point whatever the spreadsheet writes."""
    number = f'SUBSTITUTE({{{source}}}&"",",",".")'
    tail = f" {unit}{after}" if unit else after
    return piece(
        key,
        f"{before or source} words",
        f'=IF({{{source}}}="","","; {before + " " if before else ""}"&{number}&"{tail}")',
    )


def figure_at(key: str, source: str, at: str, before: str, unit: str) -> Column:
    """`; 900 mm2/s @ -20 degC`: a number with the temperature beside it."""
    number, where = (f'SUBSTITUTE({{{each}}}&"",",",".")' for each in (source, at))
    lead = f"{before} " if before else ""
    return piece(
        key, f"{before or source} words", f'=IF({{{source}}}="","","; {lead}"&{number}&" {unit} @ "&{where}&" degC")'
    )


def word(key: str, source: str, before: str) -> Column:
    """`; liner PTFE`: a word of a cell."""
    return piece(key, f"{before} words", f'=IF({{{source}}}="","","; {before} "&{{{source}}})')


def joined(first: str, keys: list[str]) -> Column:
    """All pieces in one cell; a leading `; ` of rows that start from no cited one does no harm."""
    return Column("words", "Words", "Joined words", "", "folded", 24,
                  f'=IF({{{first}}}="","",' + "&".join(f"{{{key}}}" for key in keys) + ")")  # fmt: skip


def tally(made: RowSheet, count: int) -> str:
    """How many rows ask for something, as a piece of a formula; a row within its limits is no news there."""
    check = made.area("check", count, sheet=False)
    asked = (CHANGE, CANNOT, NOT_CHECKED)
    counts = (f'{word} "&COUNTIF({check},"{word.partition(" ")[0]}*")' for word in asked)
    return '"' + '&"   '.join(counts)


def cited_in(row: Mapping[str, str]) -> str:
    """Source and place of a row of a table in words."""
    place = f"{row['source']}, {row['place']}" if row["place"] else row["source"]
    return {"MEM": "from memory", "PRACTICE": "common practice"}.get(row["source"], place)
