"""Self-check: published answers beside what the functions answer here, with one verdict on top."""

import json
from collections.abc import Mapping

from openpyxl import Workbook

from xlcalc.core.declaration import formula_text
from xlcalc.core.tables import raw_rows, sources
from xlcalc.workbook.job import Job
from xlcalc.workbook.sheets.printed import HEAD_ROW, TEXT, opened, put_row
from xlcalc.workbook.style import VERDICT, Painter

NAME = "Self-check"
HEADS = ("Test", "What it is", "Formula", "Answer here", "Published", "May differ by", "Verdict", "Source")
WIDTHS = (8, 34, 62, 14, 14, 12, 14, 50)
FORMULA, ANSWER, PUBLISHED, MARGIN, SAID = 3, 4, 5, 6, 7


def add(book: Workbook, painter: Painter, job: Job) -> None:  # noqa: ARG001 (the sheet is the same for every job)
    """Write the sheet."""
    says = "Answers that others printed, worked out here again. One that differs means: do not trust this installation."
    sheet = opened(book, painter, NAME, says, HEADS, WIDTHS)
    rows = [row for row in raw_rows("published") if row["sheet"] == "yes"]
    for place, check in enumerate(rows, start=HEAD_ROW + 1):
        formula = formula_text(check["function"], json.loads(check["cells"]))
        expected, margin = published(check)
        words = expected if isinstance(expected, str) else ""
        cited = f"{sources()[check['source']].title}, {check['place']} ({check['mark']})"
        put_row(sheet, painter, place, (check["id"], check["shows"], formula, words, words, "", "", cited), WIDTHS)
        number = TEXT if margin is None else TEXT._replace(across="right", wrap=False, format="0.0####")
        painter.put(sheet, place, ANSWER, f"={formula}", number)
        painter.put(sheet, place, PUBLISHED, expected, number)
        painter.put(sheet, place, MARGIN, margin, number)
        painter.put(sheet, place, SAID, _verdict(place, margin), TEXT._replace(bold=True, across="center"))
    last = HEAD_ROW + len(rows)
    span = f"$G${HEAD_ROW + 1}:$G${last}"
    agrees = f'COUNTIF({span},"agrees")'
    painter.put(
        sheet, 3, 1,
        f'=IF(COUNTIF({span},"not connected")>0,"xlcalc is not connected here: nothing can be checked",'
        f'IF({agrees}={len(rows)},"All {len(rows)} checks agree with print",'
        f'{len(rows)}-{agrees}&" of {len(rows)} checks differ: do not trust this installation"))',
        VERDICT._replace(bold=True, wrap=False),
    )  # fmt: skip


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


def _verdict(row: int, margin: float | None) -> str:
    answer, expected = f"$D{row}", f"$E{row}"
    agrees = f"{answer}={expected}" if margin is None else f"ABS({answer}-{expected})<=$F{row}"
    return (
        f'=IF(ISERROR({answer}),IF(ERROR.TYPE({answer})=5,"not connected","differs"),IF({agrees},"agrees","differs"))'
    )
