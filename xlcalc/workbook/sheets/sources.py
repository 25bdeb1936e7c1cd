"""Sources: where every figure comes from, and how sure it is."""

from openpyxl import Workbook

from xlcalc.core.tables import MARKS, sources
from xlcalc.workbook.job import Job
from xlcalc.workbook.sheets.printed import HEAD_ROW, opened, put_row
from xlcalc.workbook.style import BAND, Painter

NAME = "Sources"
HEADS = ("Source", "Title", "Edition", "Kind", "Read twice", "Taken over", "Note")
WIDTHS = (18, 66, 24, 12, 10, 11, 60)


def add(book: Workbook, painter: Painter, job: Job) -> None:  # noqa: ARG001 (the sheet is the same for every job)
    """Write the sheet."""
    says = "The figures of this workbook rest on these. Aviation, marine and truck rules are engineering defaults here, not law."
    sheet = opened(book, painter, NAME, says, HEADS, WIDTHS)
    row = HEAD_ROW
    for source in sources().values():
        row += 1
        again = "yes" if source.reread else "no"
        texts = (source.id, source.title, source.edition, source.kind, again, source.checked, source.note)
        put_row(sheet, painter, row, texts, WIDTHS)
    row += 2
    painter.put(sheet, row, 1, "Marks", BAND)
    for mark, words in MARKS.items():
        row += 1
        put_row(sheet, painter, row, (mark, words, "", "", "", "", ""), WIDTHS)
