"""Small books for the rules of the audit, written as cells: texts, numbers, formulas with `=`; and changes to books."""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from xml.sax.saxutils import quoteattr

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding
from xlcalc.workbook.calculation.recalc import compute
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.file.values import plain_text, xml_text
from xlcalc.workbook.formulas import column_letters, corners, spliced, tokens, unquoted

from ..books import formula, number, packed, parts, row, text

Cells = Mapping[str, object]
Rule = Callable[[Book], Iterable[Finding]]
DEMO = Path(__file__).parents[3] / "workbooks" / "2601-B.xlsx"
CHECK = '=IF(A{0}="","","Within limits")'
FORMULA = re.compile(rb"(<f[^<>]*>)([^<]*)</f>")


def rows(cells: Cells, hidden: Iterable[int] = ()) -> str:
    """The rows of a sheet."""
    by_row: dict[int, list[tuple[int, str]]] = {}
    for ref, held in cells.items():
        top, left, _, _ = corners(ref)
        by_row.setdefault(top, []).append((left, cell(ref, held)))
    made = {each: row(each, *(xml for _, xml in sorted(held))) for each, held in sorted(by_row.items())}
    return "".join(xml.replace("<row ", '<row hidden="1" ') if each in hidden else xml for each, xml in made.items())


def cell(ref: str, held: object) -> str:
    """A cell."""
    if isinstance(held, str):
        return formula(ref, xml_text(held[1:]).decode()) if held.startswith("=") else text(ref, held)
    return number(ref, float(held))  # type: ignore[arg-type]


def book(sheets: Mapping[str, Cells] | Cells, hidden: Iterable[int] = (), names: str = "") -> Book:
    """A book of sheets, or of one sheet `S`, worked out; `hidden` rows are those of every sheet."""
    several = sheets if all(isinstance(each, Mapping) for each in sheets.values()) else {"S": sheets}
    data = packed(parts({name: rows(cells, hidden) for name, cells in several.items()}, names=names))  # type: ignore[arg-type]
    package = Package.from_bytes(data, "book.xlsx")
    return Book(package, compute(package))


def table(count: int = 8) -> dict[str, object]:
    """A table of pieces of hose: what they are, how long, what a metre costs, what they cost."""
    cells: dict[str, object] = {"A1": "Piece", "B1": "Length", "C1": "Price", "D1": "Money"}
    for place in range(2, 2 + count):
        cells |= {f"A{place}": f"piece {place}", f"B{place}": place * 0.5, f"C{place}": 10 + place % 3,
                  f"D{place}": f"=B{place}*C{place}"}  # fmt: skip
    return cells


def listed(heads: Sequence[str], rows: Sequence[Sequence[object]]) -> dict[str, object]:
    """A table with a Check in column B, under its headers."""
    cells: dict[str, object] = {"B1": "Check"}
    cells |= {f"{letter}1": head for letter, head in zip("ACDEFGHIJK", heads, strict=False)}
    for line, held in enumerate(rows, start=2):
        cells[f"B{line}"] = CHECK.format(line)
        beside = zip("ACDEFGHIJK", held, strict=False)
        cells |= {f"{letter}{line}": value for letter, value in beside if value is not None}
    return cells


def places(found: Iterable[Finding]) -> list[str]:
    """The cells that findings name, without the sheet."""
    return [f"{column_letters(column)}{line}" for each in found for _, line, column in each.cells]


def edited(package: Package, sheet: str, ref: str, held: object) -> Package:
    """A package with one cell typed over; None empties it."""
    part = part_of(package, sheet)
    xml = package.read(part)
    found = re.search(rb'<c r="' + ref.encode() + rb'"[^<>]*?(?:/>|>.*?</c>)', xml, re.DOTALL)
    assert found is not None, ref
    new = b"" if held is None else cell(ref, held).encode()
    return Package.from_bytes(package.edited({part: xml[: found.start()] + new + xml[found.end() :]}), package.path)


def part_of(package: Package, sheet: str) -> str:
    """The part of a sheet."""
    return next(each.part for each in package.worksheets() if each.name == sheet)


def respelled(package: Package, spelling: Callable[[str, str], str]) -> Package:
    """A package with every formula written anew, by its sheet and its text."""
    edits = {}
    for each in package.worksheets():
        edits[each.part] = FORMULA.sub(
            lambda found, name=each.name: found[1] + xml_text(spelling(name, plain_text(found[2]))) + b"</f>",  # type: ignore[misc]
            package.read(each.part),
        )
    return Package.from_bytes(package.edited(edits), package.path)


def row_put_in(package: Package, sheet: str, at: int) -> Package:
    """A package with an empty row put into a sheet, as a spreadsheet does it: what looks below moves along."""

    def shifted(home: str, written: str) -> str:
        if home != sheet and sheet not in written:
            return written
        edits = []
        for token in tokens(written):
            before, sign, area = token.text.rpartition("!")
            if token.kind == "reference" and (unquoted(before) or home) == sheet:
                moved = re.sub(r"(?<=[A-Z$])[0-9]+", lambda found: str(int(found[0]) + (int(found[0]) >= at)), area)
                edits.append((token.start, token.start + len(token.text), before + sign + moved))
        return spliced(written, edits)

    made = respelled(package, shifted)
    xml = made.read(part_of(made, sheet))
    for pattern in (rb'(<row r=")([0-9]+)(")', rb'(<c r="[A-Z]+)([0-9]+)(")'):
        xml = re.sub(pattern, lambda found: found[1] + b"%d" % (int(found[2]) + (int(found[2]) >= at)) + found[3], xml)
    book_xml = re.sub(
        rb"(<definedName[^<>]*>)([^<]*)(?=</definedName>)",
        lambda found: found[1] + xml_text(shifted("", plain_text(found[2]))),
        made.read(made.workbook_part),
    )
    return Package.from_bytes(made.edited({part_of(made, sheet): xml, made.workbook_part: book_xml}), package.path)


def dressed(
    package: Package, sheet: str, ref: str, *, code: str = "", font: str = "", fill: str = "", after: str = "",
    looks: str = "",
) -> Package:  # fmt: skip
    """A package with one cell in a style of its own: number format, what its font says, its fill.

    `looks` are the formats that conditional ones may take; `after` stands behind the rows of the sheet.
    """
    styles, part = package.read("xl/styles.xml").decode(), part_of(package, sheet)
    paint = fill or '<patternFill patternType="none"/>'
    look = '<xf numFmtId="200" fontId="1" fillId="1"/>'
    count = styles.count("<xf/>") - 1  # one of them is the named style
    formats = f'<numFmts><numFmt numFmtId="200" formatCode={quoteattr(code)}/></numFmts>'
    for old, new in (("<fonts><font/>", f"{formats}<fonts><font/><font>{font}</font>"),
                     ("</fills>", f"<fill>{paint}</fill></fills>"), ("</cellXfs>", f"{look}</cellXfs>"),
                     ("</styleSheet>", f"<dxfs>{looks}</dxfs></styleSheet>")):  # fmt: skip
        assert old in styles, old
        styles = styles.replace(old, new)
    xml = package.read(part).replace(f'<c r="{ref}"'.encode(), f'<c r="{ref}" s="{count}"'.encode())
    xml = xml.replace(b"</sheetData>", b"</sheetData>" + after.encode())
    return Package.from_bytes(package.edited({part: xml, "xl/styles.xml": styles.encode()}), package.path)
