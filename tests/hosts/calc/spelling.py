"""A copy of a book with the names that Calc before 25.2 reads in .xlsx files."""

import html
import re

from xlcalc.core.registry import functions
from xlcalc.workbook.formulas import plain_name, tokens
from xlcalc.workbook.package import Package

FORMULA = re.compile(r"(<f\b[^>]*>)([^<]+)(</f>)")


def prefixed(data: bytes) -> bytes:
    """The book with XLCALC. in front of every function of ours."""
    package = Package.from_bytes(data, "book")
    edits = {}
    for sheet in package.worksheets():
        text = package.read(sheet.part).decode()
        edits[sheet.part] = FORMULA.sub(_respelled, text).encode()
    return package.edited(edits)


def _respelled(found: "re.Match[str]") -> str:
    words = []
    for piece in tokens(html.unescape(found[2])):
        ours = piece.kind == "call" and plain_name(piece.text) in functions()
        words.append(f"XLCALC.{plain_name(piece.text)}(" if ours else piece.text)
    return f"{found[1]}{html.escape(''.join(words), quote=False)}{found[3]}"
