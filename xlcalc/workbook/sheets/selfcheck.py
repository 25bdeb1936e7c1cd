"""Self-check: published answers beside what the functions answer here, with one verdict on top."""

import json
from collections.abc import Mapping
from math import floor, log10

from openpyxl import Workbook
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Border, Font, PatternFill, Side
from openpyxl.styles.differential import DifferentialStyle
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.core.declaration import formula_text
from xlcalc.core.tables import raw_rows, sources
from xlcalc.workbook.building.checks import NOT_CONNECTED
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.style import HEAD, VERDICT, WORDS, Look, Painter
from xlcalc.workbook.sheets.printed import HEAD_ROW, TEXT, opened, put_row

NAME = "Self-check"
HEADS = ("Test", "What it is", "Formula", "Answer here", "Published", "Unit", "May differ by", "Verdict", "Source")
WIDTHS = (8, 40, 66, 17, 17, 9, 13, 14, 66)
FORMULA, ANSWER, PUBLISHED, UNIT, MARGIN, SAID = 3, 4, 5, 6, 7, 8
NUMBER = TEXT._replace(across="right", wrap=False)
LEAST_SHARE = 1e-6  # a margin of less only lets the last digits of a float be other ones


def add(book: Workbook, painter: Painter, job: Job) -> None:  # noqa: ARG001 (the sheet is the same for every job)
    """Write the sheet."""
    says = "Answers that others printed, worked out here again. One that differs means: do not trust this installation."
    sheet = opened(book, painter, NAME, "Does this installation answer what others printed?", says, HEADS, WIDTHS)
    rows = [row for row in raw_rows("published") if row["sheet"] == "yes"]
    for place, check in enumerate(rows, start=HEAD_ROW + 1):
        formula = formula_text(check["function"], json.loads(check["cells"]))
        expected, margin = published(check)
        words = expected if isinstance(expected, str) else ""
        texts = (check["id"], check["shows"], formula, words, words, check["unit"], "", "", _cited(check))
        put_row(sheet, painter, place, texts, WIDTHS)
        painter.put(sheet, place, ANSWER, f"={formula}", _printed(check["expected"], margin, 2))
        painter.put(sheet, place, PUBLISHED, expected, _printed(check["expected"], margin, 0))
        painter.put(sheet, place, MARGIN, margin, _margin(expected, margin))
        painter.put(sheet, place, SAID, _verdict(place, margin), TEXT._replace(bold=True, across="center"))
    for column, across in ((ANSWER, "right"), (PUBLISHED, "right"), (MARGIN, "right"), (SAID, "center")):
        painter.put(sheet, HEAD_ROW, column, HEADS[column - 1], HEAD._replace(edge="under", across=across))
    first, last = HEAD_ROW + 1, HEAD_ROW + len(rows)
    span = f"$H${first}:$H${last}"
    agrees = f'COUNTIF({span},"agrees")'
    painter.put(
        sheet, 3, 1,
        f'=IF(COUNTIF({span},"not connected")>0,"{NOT_CONNECTED}: nothing can be checked",'
        f'IF({agrees}={len(rows)},"All {len(rows)} checks agree",'
        f'{len(rows)}-{agrees}&" of {len(rows)} checks differ: do not trust this installation"))',
        VERDICT._replace(bold=True, wrap=False),
    )  # fmt: skip
    _mark(sheet, f"H{first}:H{last}", f'OR($H{first}="differs",$H{first}="not connected")')
    _mark(sheet, "A3:D3", f"{agrees}<{len(rows)}")


def published(check: Mapping[str, str]) -> tuple[float | str, float | None]:
    """What was printed, and by how much the answer may differ from it (None for words)."""
    try:
        expected = float(check["expected"])
    except ValueError:
        return check["expected"], None
    text = check["tolerance"].strip()
    if text.endswith("%"):
        return expected, abs(expected) * float(text.removesuffix("%")) / 100
    return expected, float(text)


def _cited(check: Mapping[str, str]) -> str:
    """Title, place and mark of where the answer was printed; a place that the title names already is left out."""
    title, place = sources()[check["source"]].title, check["place"]
    where = f", {place}" if place and place not in title else ""
    return f"{title}{where} ({check['mark']})"


def _printed(expected: str, margin: float | None, more: int) -> Look:
    """A number with as many decimals as were printed, and some more; words as they are."""
    if margin is None:
        return TEXT
    places = len(expected.partition(".")[2]) + more
    return NUMBER._replace(format="0." + "0" * places if places else "0")


def _margin(expected: float | str, margin: float | None) -> Look:
    """A margin to two digits, or the word exact where it only covers the rounding of floats."""
    if margin is None or isinstance(expected, str):
        return TEXT
    if margin <= LEAST_SHARE * abs(expected):
        return NUMBER._replace(format='"exact"')
    return NUMBER._replace(format="0." + "0" * max(1 - floor(log10(margin)), 1))


def _verdict(row: int, margin: float | None) -> str:
    answer, expected = f"$D{row}", f"$E{row}"
    if margin is None:
        agrees = f'IF({answer}={expected},"agrees","differs")'
    else:  # a number that came as text would agree too, and other text would leave an error here
        agrees = f'IF(ISNUMBER({answer}),IF(ABS({answer}-{expected})<=$G{row},"agrees","differs"),"differs")'
    return f'=IF(ISERROR({answer}),IF(ERROR.TYPE({answer})=5,"not connected","differs"),{agrees})'


def _mark(sheet: Worksheet, area: str, formula: str) -> None:
    """Tint and frame an area, as a verdict that asks for action, where the formula holds."""
    tint = next(tint for words, _, tint, _ in WORDS if words == "Change")
    edge = Side("thin", color="8A8A8A")
    rule = FormulaRule(formula=[formula])
    rule.dxf = DifferentialStyle(
        font=Font(bold=True), fill=PatternFill(bgColor=tint), border=Border(top=edge, bottom=edge)
    )
    sheet.conditional_formatting.add(area, rule)
