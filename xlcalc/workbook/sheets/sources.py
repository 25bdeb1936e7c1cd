"""Sources: where every figure comes from, and how sure it is."""

from openpyxl import Workbook

from xlcalc.core.tables import MARKS, sources
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.style import Painter
from xlcalc.workbook.sheets.printed import HEAD_ROW, opened, put_band, put_row

NAME = "Sources"
HEADS = ("Source", "Title", "Edition", "Kind", "Read twice", "Taken over", "Note")
WIDTHS = (18, 66, 25.4, 12, 8, 13, 60)
KINDS = {
    "published": "printed by somebody else; read twice: seen a second time, figure by figure",
    "library": "a general-purpose library that was run",
    "derived": "a relation of textbooks, worked out and tested here",
    "practice": "what workshops do; no source",
    "memory": "written down from memory, not seen in print",
}


def add(book: Workbook, painter: Painter, job: Job) -> None:  # noqa: ARG001 (the sheet is the same for every job)
    """Write the sheet."""
    says = "The figures of this workbook rest on these. Aviation, marine and truck rules are engineering defaults here, not law."
    sheet = opened(book, painter, NAME, "Where does each figure of this workbook come from?", says, HEADS, WIDTHS)
    row = HEAD_ROW
    for source in sources().values():
        row += 1
        again = "yes" if source.reread else "no"
        texts = (source.id, source.title, source.edition, source.kind, again, source.checked, source.note)
        put_row(sheet, painter, row, texts, WIDTHS)
    for title, explained in (("Kinds", KINDS), ("Marks", MARKS)):
        row += 2
        put_band(sheet, painter, row, title, len(HEADS))
        for word, words in explained.items():
            row += 1
            put_row(sheet, painter, row, (word, words, *[""] * (len(HEADS) - 2)), WIDTHS)
