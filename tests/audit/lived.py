"""Twenty clean books that a shop has lived in: what people do to a workbook without doing anything wrong.

Each recipe takes a fresh job and does a few things to it as a spreadsheet would; then the book is worked out.
"""

import re
from collections.abc import Callable
from random import Random

from xlcalc.workbook.file.values import Value
from xlcalc.workbook.formulas import column_letters

from . import moves
from .draft import Cell, Draft
from .layout import Layout, is_number
from .spellings import by_link, respelled
from .typed import formula, lettered, number, spare_columns, table, text

Recipe = Callable[[Draft, Random], None]
XFS = re.compile(rb"<cellXfs[^>]*>(.*?)</cellXfs>", re.DOTALL)
XF = re.compile(rb"<xf\s[^>]*?/>|<xf\s[^>]*?[^/]>.*?</xf>", re.DOTALL)
STYLE, FONT, FILL = (re.compile(rb'%s="([0-9]+)"' % name) for name in (rb"\ss", rb"fontId", rb"fillId"))


def sorted_by(draft: Draft, sheet: str, head: str, which: int = 0) -> None:
    """Sort the filled rows of a table by a column, whole rows."""
    at = table(draft, sheet, which)
    layout = Layout(draft)
    column, rows = layout.column(at, head), layout.filled(at)
    assert column is not None
    order = sorted(rows, key=lambda row: str(draft.value((sheet, row, column))).casefold())
    last = max(place for _, place in draft.look(sheet).cells)
    moves.sort(draft.edit(sheet), rows, order, range(1, last + 1))


def sorted_by_length(draft: Draft, _: Random) -> None:
    """Lines by their hoses, prices by their suppliers."""
    sorted_by(draft, "Lines", "Hose")
    sorted_by(draft, "Prices", "Supplier")


def row_added(draft: Draft, sheet: str, row: int, name: str, which: int = 0) -> None:
    """A row put in above `row`, typed like the row above it under another name, formulas filled down."""
    moves.shifted(draft, sheet, moves.inserted(row))
    grid = draft.edit(sheet)
    last = max(column for _, column in grid.cells)
    moves.filled_down(grid, row - 1, row, range(1, last + 1))
    for column in range(1, last + 1):
        cell = grid.cells.get((row - 1, column))
        if cell is not None and cell.formula is None:
            grid.cells[row, column] = cell
    draft.put((sheet, row, 1), draft.cell((sheet, row - 1, 1)).typed(name))


def extended_in_the_middle(draft: Draft, random: Random) -> None:
    """Rows put in among the lines and the prices."""
    rows = Layout(draft).filled(table(draft, "Lines"))
    for place in range(3):
        row_added(draft, "Lines", rows[random.randrange(2, len(rows) - 2)], f"EX-{place}")
    row = table(draft, "Prices").rows[4]
    row_added(draft, "Prices", row, "own item 1")
    draft.put(("Prices", row, 3), draft.cell(("Prices", row, 3)).typed("own-1"))


def extended_at_the_end(draft: Draft, _: Random) -> None:
    """Rows put in above the line that says where, empty, formulas filled down; one of them filled in."""
    for sheet, count in (("Lines", 8), ("Options", 5), ("Routes", 4)):
        at = table(draft, sheet)
        last = at.rows[-1]
        moves.shifted(draft, sheet, moves.inserted(last + 1, count))
        grid = draft.edit(sheet)
        wide = max(column for _, column in grid.cells)
        for row in range(last + 1, last + 1 + count):
            moves.filled_down(grid, last, row, range(1, wide + 1))


def restyled(draft: Draft, random: Random) -> None:
    """Other letters and colours of cells, wider columns; what a number looks like stays."""
    styles = draft.parts["xl/styles.xml"]
    block = XFS.search(styles)
    assert block is not None
    looks = XF.findall(block[1])
    made: list[bytes] = []
    for sheet in ("Lines", "Quote", "Start"):
        grid = draft.edit(sheet)
        styled = [place for place, cell in grid.cells.items() if STYLE.search(cell.look)]
        for place in random.sample(sorted(styled), 60):
            cell = grid.cells[place]
            look = looks[int(STYLE.search(cell.look)[1])]  # type: ignore[index]
            fresh = FONT.sub(b'fontId="%d"' % random.randint(0, 3), look)
            made.append(FILL.sub(b'fillId="%d"' % random.randint(0, 3), fresh))
            style = b' s="%d"' % (len(looks) + len(made) - 1)
            grid.cells[place] = cell._replace(look=STYLE.sub(style, cell.look))
        wider = re.compile(rb'width="([0-9.]+)"')
        grid.before = wider.sub(lambda width: b'width="%.1f"' % (float(width[1]) * 1.2), grid.before)
    every = b"<cellXfs count=\"%d\">%s</cellXfs>" % (len(looks) + len(made), b"".join([*looks, *made]))
    draft.parts["xl/styles.xml"] = styles[: block.start()] + every + styles[block.end() :]


def reworded(draft: Draft, _: Random) -> None:
    """Headers in the shop's own words."""
    words = {"From": "from port", "To": "to port", "Hose": "Hose type", "Length": "Run", "Flow": "Flow rate",
             "Supplier": "Vendor", "Item": "Article", "Clearance exhaust": "To exhaust"}  # fmt: skip
    for sheet in ("Lines", "Prices", "Options"):
        for at in Layout(draft).on(sheet):
            for column, head in Layout(draft).columns(at).items():
                if head in words:
                    place = sheet, at.head, column
                    draft.put(place, draft.cell(place).typed(words[head]))


def own_sums(draft: Draft, _: Random, sheet: str = "Our sums") -> None:
    """A sheet with sums of one's own: a total, a running total, a share, a count."""
    prices, lines = table(draft, "Prices"), table(draft, "Lines")
    price = lettered(draft, prices, "Price")
    area = f"Prices!{price}{prices.rows[0]}:{price}{prices.rows[-1]}"
    named, said = (f"Lines!{letter}{lines.rows[0]}:{letter}{lines.rows[-1]}" for letter in "AB")
    cells = {"A1": text("What we watch"), "A3": text("All prices"), "B3": formula(f"SUM({area})"),
             "A4": text("Dearest"), "B4": formula(f"MAX({area})"),
             "A5": text("Lines to change"), "B5": formula(f'COUNTIF({said},"Change*")'),
             "A6": text("Share"), "B6": formula(f"IF(COUNTA({named})=0,0,B5/COUNTA({named}))"),
             "A8": text("Month"), "B8": text("Hours"), "C8": text("So far")}  # fmt: skip
    for row, hours in enumerate((31, 28, 40, 36.5, 22, 41), start=9):
        cells |= {f"A{row}": text(f"month {row - 8}"), f"B{row}": number(hours)}
        cells[f"C{row}"] = formula("B9" if row == 9 else f"C{row - 1}+B{row}")
    cells |= {"A15": text("Sum"), "B15": formula("SUM(B9:B14)"), "C15": formula("B15*1.19")}
    moves.add_sheet(draft, sheet, cells)


def own_columns(draft: Draft, random: Random) -> None:
    """Columns of one's own beside a table: a note, and a formula filled down."""
    at = table(draft, "Lines")
    note, more, share = spare_columns(draft, at, 3)
    length = lettered(draft, at, "Length, m") if Layout(draft).column(at, "Length, m") else "AP"
    for column, head, unit in ((note, "Note", ""), (more, "With spare", "m"), (share, "Done", "%")):
        draft.put((at.sheet, at.head, column), text(head))
        if unit:
            draft.put((at.sheet, at.head + 1, column), text(unit))
    for row in Layout(draft).filled(at):
        if random.random() < 0.4:
            words = random.choice(("ask the customer", "cut 18 May", "with sleeve", "ok by phone"))
            draft.put((at.sheet, row, note), text(words))
        draft.put((at.sheet, row, more), formula(f'IF(ISNUMBER({length}{row}),{length}{row}*1.1,"")'))
        draft.put((at.sheet, row, share), number(random.choice((0, 25, 50, 100))))


def own_notes(draft: Draft, random: Random) -> None:
    """Notes typed anywhere that is empty: beside tables, under them, between blocks."""
    for sheet in random.sample(draft.names, 8):
        grid = draft.edit(sheet)
        last_row, last = max(row for row, _ in grid.cells), max(column for _, column in grid.cells)
        for _ in range(3):
            place = random.randint(1, last_row + 4), last + random.randint(2, 5)
            words = random.choice(("see mail of the 3rd", "Paul asks", "2.5 m left on the roll", "?", "new van"))
            grid.cells[place] = text(words)
        grid.cells[last_row + 3, 1] = number(random.randint(1, 500))


def hidden_columns(draft: Draft, _: Random) -> None:
    """Columns of results hidden."""
    for sheet in ("Options", "Testing"):
        grid = draft.edit(sheet)
        places = [found for found in moves.COLUMN.finditer(grid.before) if b"hidden" not in found[0]][4:7]
        for found in reversed(places):
            grid.before = grid.before[: found.start() + 4] + b' hidden="1"' + grid.before[found.start() + 4 :]


def hidden_rows(draft: Draft, _: Random) -> None:
    """Rows without anything in them hidden, panes frozen elsewhere."""
    for sheet in ("Lines", "Prices"):
        layout = Layout(draft)
        at, grid = table(draft, sheet), draft.edit(sheet)
        filled = layout.filled(at)
        for row in at.rows:
            if row > filled[-1] + 2:
                grid.rows[row] += b' hidden="1"'
        grid.before = grid.before.replace(b'xSplit="3"', b'xSplit="1"')


def filters(draft: Draft, _: Random) -> None:
    """A filter set over the prices and the lines; everything shown."""
    for sheet in ("Prices", "Lines"):
        at, grid = table(draft, sheet), draft.edit(sheet)
        last = column_letters(max(Layout(draft).columns(at)))
        area = f"$A${at.head}:${last}${at.rows[-1]}"
        moves.add_filter(grid, area.replace("$", ""))
        place = draft.names.index(sheet)
        owned = f'name="_xlnm._FilterDatabase" localSheetId="{place}" hidden="1"'
        name = f"<definedName {owned}>{sheet}!{area}</definedName>"
        book = draft.parts[draft.workbook]
        draft.parts[draft.workbook] = book.replace(b"</definedNames>", name.encode() + b"</definedNames>")


def comments(draft: Draft, random: Random) -> None:
    """Comments on cells."""
    for number_, sheet in enumerate(("Lines", "Quote"), start=1):
        places = random.sample(sorted(draft.look(sheet).cells), 5)
        said = "".join(
            f'<comment ref="{column_letters(column)}{row}" authorId="0"><text><t>is this right?</t></text></comment>'
            for row, column in sorted(places)
        )
        said = f"<authors><author>shop</author></authors><commentList>{said}</commentList>"
        xml = f'<comments xmlns="{moves.MAIN}">{said}</comments>'.encode()
        moves.add_part(draft, f"xl/comments{number_}.xml", xml, "comments", draft.part(sheet), "spreadsheetml.comments")


def renamed_sheets(draft: Draft, _: Random) -> None:
    """Tabs called otherwise and put in another order."""
    moves.renamed(draft, {"Routes": "Hose cutting", "Prices": "Price list 2026", "Parts": "Order"})
    count = len(draft.names)
    moves.reordered(draft, [0, 1, 8, *range(2, 8), *range(9, count)])


def half_filled(draft: Draft, random: Random) -> None:
    """Lines begun and not finished."""
    at, layout = table(draft, "Lines"), Layout(draft)
    grid = draft.edit("Lines")
    for row in random.sample(layout.filled(at), 6):
        for column in random.sample([4, 5, 10, 11, 12, 14, 17, 19], 4):
            if (cell := grid.cells.get((row, column))) is not None and cell.formula is None:
                grid.cells[row, column] = cell.typed(None)


def cleared_rows(draft: Draft, random: Random) -> None:
    """Rows whose typed cells were cleared, formulas left, and typed again further down or not at all."""
    for sheet in ("Lines", "Routes"):
        at, layout = table(draft, sheet), Layout(draft)
        grid = draft.edit(sheet)
        for row in random.sample(layout.filled(at), 4):
            for column in layout.columns(at):
                cell = grid.cells.get((row, column))
                if cell is not None and cell.formula is None:
                    grid.cells[row, column] = cell.typed(None)


def local_limits(draft: Draft, random: Random) -> None:
    """Limits of the shop's own on Start, beside the defaults."""
    grid = draft.edit("Start")
    rows = [row for row, column in grid.cells if column == 4 and row > 78 and is_number(grid.value(row, 2))]
    for row in random.sample(sorted(rows), 6):
        default = grid.value(row, 2)
        assert isinstance(default, float)
        grid.cells[row, 3] = grid.cells[row, 3].typed(round(default * random.choice((0.9, 1.1, 1.2)), 2))
        grid.cells[row, 8] = grid.cells.get((row, 8), Cell()).typed("our own rule, May 2026")


def own_figures(draft: Draft, _: Random) -> None:
    """Hoses, fluids and prices of the shop's own in the free rows, with their sources."""
    layout = Layout(draft)
    for sheet, name, cells in (
        ("Hoses", "", {"Family": "shop hose", "Size": "10", "Bore": 10.0, "Outside": 16.0, "Bend radius": 90.0,
                       "Pressure limit": 2000.0, "Source": "maker's sheet (invented)"}),
        ("Prices", "shop hose 10", {"Price": 8.4, "Unit": "m", "Supplier": "supplier C", "Roll": 20.0}),
        ("Fluids", "shop oil", {"Starts from": "ATF generic", "Source": "maker's sheet (invented)"}),
    ):  # fmt: skip
        at = table(draft, sheet)
        row = layout.filled(at)[-1] + 1
        values: dict[int, Value] = {1: name} if name else {}
        values |= {column: value for head, value in cells.items() if (column := layout.column(at, head))}  # type: ignore[misc]
        for column, value in values.items():
            cell = draft.cell((sheet, row, column))
            if cell.formula is None:
                draft.put((sheet, row, column), cell.typed(value))


def linked(draft: Draft, _: Random) -> None:
    """Saved by Excel with the add-in loaded."""
    by_link(draft, ["Lines", "Breathers", "Cooling"])


def lower_case(draft: Draft, _: Random) -> None:
    """Saved by Calc, which writes names that it does not know in lower case."""
    for sheet in draft.names:
        respelled(draft, sheet, lambda name: f"{name.lower()}(")


def shared_formulas(draft: Draft, _: Random) -> None:
    """Saved by Excel: formulas filled down are written once."""
    for sheet in draft.names:
        grid = draft.edit(sheet)
        moves.shared(grid, sorted({column for _, column in grid.cells}))


def cut_down(draft: Draft, _: Random) -> None:
    """Empty rows taken out until few are left."""
    for sheet in ("Lines", "Options", "Routes"):
        at = table(draft, sheet)
        filled = Layout(draft).filled(at)
        if filled[-1] + 2 < at.rows[-1]:
            moves.shifted(draft, sheet, moves.deleted(filled[-1] + 2, at.rows[-1]))


def old_prices(draft: Draft, _: Random) -> None:
    """Prices asked again: the old one kept in a note beside it; print areas drawn anew."""
    at = table(draft, "Prices")
    column = Layout(draft).column(at, "Price")
    assert column is not None
    beside = spare_columns(draft, at, 1)[0]
    draft.put(("Prices", at.head, beside), text("Was"))
    for row in Layout(draft).filled(at)[:7]:
        old = draft.value(("Prices", row, column))
        assert isinstance(old, float)
        draft.put(("Prices", row, beside), number(old))
        draft.put(("Prices", row, column), draft.cell(("Prices", row, column)).typed(round(old * 1.06, 2)))
    book = draft.parts[draft.workbook]
    draft.parts[draft.workbook] = re.sub(rb"('Lines'!\$A\$1:)\$[A-Z]+", rb"\1$AA", book)


def as_table(draft: Draft, random: Random) -> None:
    """A list of one's own, formatted as a table."""
    cells = {"A1": text("Van"), "B1": text("Lines"), "C1": text("Hours")}
    for row in range(2, 9):
        cells |= {f"A{row}": text(f"van {row}"), f"B{row}": number(random.randint(3, 18))}
        cells[f"C{row}"] = formula(f"B{row}*0.7")
    moves.add_sheet(draft, "Vans", cells)
    heads = ("Van", "Lines", "Hours")
    columns = "".join(f'<tableColumn id="{place}" name="{head}"/>' for place, head in enumerate(heads, start=1))
    inside = f'<autoFilter ref="A1:C8"/><tableColumns count="3">{columns}</tableColumns>'
    named = 'id="1" name="Vans1" displayName="Vans1" ref="A1:C8"'
    xml = f'<table xmlns="{moves.MAIN}" {named}>{inside}</table>'.encode()
    identity = moves.add_part(draft, "xl/tables/table1.xml", xml, "table", draft.part("Vans"), "spreadsheetml.table")
    grid = draft.edit("Vans")
    part = f'<tableParts count="1"><tablePart r:id="{identity}"/></tableParts></worksheet>'.encode()
    grid.after = grid.after.replace(b"</worksheet>", part)


def swapped_columns(draft: Draft, _: Random) -> None:
    """Columns of a table put in another order: cut and inserted elsewhere."""
    for sheet, one, other in (("Lines", "From", "To"), ("Lines", "Hottest", "Length"), ("Prices", "Supplier", "Roll")):
        at, layout = table(draft, sheet), Layout(draft)
        left, right = layout.column(at, one), layout.column(at, other)
        if left and right:
            moves.shifted(draft, sheet, columns=moves.exchanged(left, right))


def own_calculations(draft: Draft, _: Random) -> None:
    """Our functions used on a sheet of one's own, with quantities as text."""
    cells = {"A1": text("Quick sums"), "A3": text("Flow"), "B3": number(12), "C3": text("L/min"),
             "A4": text("Bore at 3 m/s"), "B4": formula('BORE_FOR_FLOW(B3,3,"mm")'), "C4": text("mm"),
             "A5": text("in inches"), "B5": formula('BORE_FOR_FLOW(B3,3,"in")'), "C5": text("in"),
             "A6": text("Speed in 10 mm"), "B6": formula("LINE_VELOCITY(B3,10)"), "C6": text("m/s"),
             "A7": text("Tank at 60 °C"), "C7": text("L"),
             "B7": formula('FLUID_EXPANSION_VOLUME("90 L","petrol",10,60)'),
             "A8": text("Highest road"), "B8": formula("RoadAltitude"), "C8": text("m")}  # fmt: skip
    moves.add_sheet(draft, "Quick sums", cells)


BOOKS: dict[str, tuple[Recipe, ...]] = {
    "sorted": (sorted_by_length,),
    "rows in the middle": (extended_in_the_middle,),
    "rows at the end": (extended_at_the_end, own_notes),
    "restyled": (restyled,),
    "headers reworded": (reworded, hidden_columns),
    "own sums": (own_sums,),
    "own columns": (own_columns, sorted_by_length),
    "notes anywhere": (own_notes,),
    "columns and rows hidden": (hidden_columns, hidden_rows),
    "filters set": (filters, own_columns),
    "comments": (comments, restyled),
    "sheets renamed": (own_sums, renamed_sheets),
    "half filled": (half_filled, cleared_rows),
    "local limits": (local_limits, own_calculations),
    "own figures": (own_figures, extended_in_the_middle),
    "saved by Excel": (extended_in_the_middle, shared_formulas, linked),
    "saved by Calc": (sorted_by_length, lower_case),
    "cut down": (cut_down, old_prices),
    "as table": (as_table, swapped_columns),
    "everything": (extended_in_the_middle, own_columns, swapped_columns, own_sums, local_limits, own_notes,
                   renamed_sheets, shared_formulas),
}


def lived_in(draft: Draft, name: str, seed: int) -> None:
    """Do to a book what its recipe says."""
    random = Random(f"{name} {seed}")
    for recipe in BOOKS[name]:
        recipe(draft, random)

