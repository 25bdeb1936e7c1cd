"""What a person does to the shape of a workbook, as a spreadsheet does it: formulas, names and rules follow.

Rows put in and taken out, columns exchanged, rows sorted, sheets renamed, put in another order and added.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise

from xlcalc.workbook.file.values import plain_text, xml_text
from xlcalc.workbook.formulas import column_letters, column_number, corners, moved, spliced, tokens, unquoted

from .draft import Cell, Draft, Grid

Line = Callable[[int], int | None]
"""Where a row or column goes; None where it is taken out."""

CORNER = re.compile(r"(\$?)([A-Za-z]{1,3})?(\$?)([0-9]{1,7})?")
RULE = re.compile(rb"(<(?:x14:)?formula[12]?>|<xm:f>|<c:f>|<f>)([^<]*)(</)")
NAME = re.compile(rb"(<definedName\s[^<>]*>)([^<]*)(</definedName>)")
AREAS = re.compile(rb"""(\s(?:sqref|ref|activeCell|topLeftCell)=")([A-Z0-9: $]+)(")""")
COLUMN = re.compile(rb"""<col\s[^<>]*?/?>""")
SHEETS = re.compile(rb"<sheets>(.*?)</sheets>", re.DOTALL)
SHEET = re.compile(rb"<sheet\s[^<>]*/>")
LOCAL = re.compile(rb"""(\slocalSheetId=")([0-9]+)(")""")
LINKS = "http://schemas.openxmlformats.org/package/2006/relationships"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


def stays(place: int) -> int:
    """A row or column that stays where it is."""
    return place


def inserted(at: int, count: int = 1) -> Line:
    """Rows put in above row `at`."""
    return lambda place: place + count if place >= at else place


def deleted(first: int, last: int) -> Line:
    """Rows `first` to `last` taken out."""
    gone = last - first + 1
    return lambda place: place - gone if place > last else place if place < first else None


def exchanged(one: int, other: int) -> Line:
    """Two columns that change places."""
    return lambda place: other if place == one else one if place == other else place


def shifted(draft: Draft, sheet: str, rows: Line = stays, columns: Line = stays) -> None:
    """Move rows or columns of a sheet; everything that looks at them follows."""
    for name in draft.names:
        grid = draft.edit(name)
        grid.unshared()
        for place, cell in grid.cells.items():
            if cell.formula is not None:
                text = follow(cell.formula, name, sheet, rows, columns)
                if text != cell.formula:
                    grid.cells[place] = cell._replace(formula=text)
        grid.after = ruled(grid.after, name, sheet, rows, columns)
        if name == sheet:
            moved_grid(grid, rows, columns)
    for part in list(draft.parts):
        if part.startswith("xl/charts/"):
            draft.parts[part] = ruled(draft.parts[part], "", sheet, rows, columns)
    draft.parts[draft.workbook] = NAME.sub(
        lambda name: name[1] + xml_text(follow(plain_text(name[2]), "", sheet, rows, columns)) + name[3],
        draft.parts[draft.workbook],
    )


def moved_grid(grid: Grid, rows: Line, columns: Line) -> None:
    """The cells and rows of a sheet at their new places; a row put in takes the look of the one above."""
    cells = {}
    for (row, column), cell in grid.cells.items():
        new_row, new_column = rows(row), columns(column)
        if new_row and new_column:
            cells[new_row, new_column] = cell
    grid.cells = cells
    attributes = {new: grid.rows[row] for row in grid.rows if (new := rows(row))}
    for above, below in pairwise(sorted(attributes)):
        for row in range(above + 1, below) if rows is not stays else ():
            attributes[row] = attributes[above]
            for (at, column), cell in list(cells.items()) if row == above + 1 else ():
                if at == above:
                    cells[row, column] = Cell(cell.look)
    grid.rows = attributes
    both = {which: AREAS.sub(lambda area: area[1] + squared(area[2], rows, columns) + area[3], text)
            for which, text in (("before", grid.before), ("after", grid.after))}  # fmt: skip
    grid.before, grid.after = both["before"], both["after"]


def squared(areas: bytes, rows: Line, columns: Line) -> bytes:
    """`A1:B9 D4` with its areas at their new places; an area that is gone stays, it covers what came there."""
    found = []
    for area in areas.decode().split(" "):
        text = placed(area, rows, columns)
        found.append(area if "#" in text else text)
    return " ".join(found).encode()


def ruled(xml: bytes, own: str, sheet: str, rows: Line, columns: Line) -> bytes:
    """Formulas of rules and charts that follow."""
    return RULE.sub(
        lambda rule: rule[1] + xml_text(follow(plain_text(rule[2]), own, sheet, rows, columns)) + rule[3], xml
    )


def follow(formula: str, own: str, sheet: str, rows: Line, columns: Line) -> str:
    """A formula on sheet `own` after rows or columns of `sheet` moved."""
    if own != sheet and sheet not in formula:
        return formula
    edits = []
    for piece in tokens(formula):
        if piece.kind == "reference" and "#" not in piece.text:
            before, mark, area = piece.text.rpartition("!")
            if (unquoted(before) if before else own) == sheet:
                edits.append((piece.start, piece.start + len(piece.text), before + mark + placed(area, rows, columns)))
    return spliced(formula, edits)


def placed(area: str, rows: Line, columns: Line) -> str:
    """`$A$7:$A$68` at its new place."""
    ends = area.split(":")
    if len(ends) == 2:
        top, left, bottom, right = corners(area)
        if columns is not stays and left != right and right < 16_384:
            across = sorted(columns(column) or 0 for column in range(left, right + 1))
            if across != list(range(left, right + 1)):
                raise ValueError(f"{area} would be torn")
            columns = stays
        if rows(top) is None or rows(bottom) is None:
            alive = [row for row in range(top, bottom + 1) if rows(row) is not None]
            if not alive:
                return "#REF!"
            pairs = zip(ends, (top, bottom), (alive[0], alive[-1]), strict=True)
            ends = [end.replace(str(old), str(new)) for end, old, new in pairs]
    return ":".join(corner(end, rows, columns) for end in ends) if "" not in ends else area


def corner(text: str, rows: Line, columns: Line) -> str:
    """`A$1` at its new place."""
    found = CORNER.fullmatch(text)
    assert found is not None, text
    fixed, letters, held, digits = found.groups()
    row = rows(int(digits)) if digits else 0
    column = columns(column_number(letters.upper())) if letters else 0
    if row is None or column is None:
        return "#REF!"
    return f"{fixed}{column_letters(column) if letters else ''}{held}{row if digits else ''}"


def sort(grid: Grid, rows: Sequence[int], order: Sequence[int], columns: range) -> None:
    """Sort rows of a table: the cells of `order` come to stand in `rows`, formulas move along as when copied."""
    grid.unshared()
    old = {(row, column): grid.cells[row, column] for row in rows for column in columns if (row, column) in grid.cells}
    for to, source in zip(rows, order, strict=True):
        for column in columns:
            cell = old.get((source, column))
            grid.cells.pop((to, column), None)
            if cell is not None:
                formula = None if cell.formula is None else moved(cell.formula, to - source, 0)
                grid.cells[to, column] = cell._replace(formula=formula)


def filled_down(grid: Grid, source: int, to: int, columns: range) -> None:
    """Fill the formulas of a row into another."""
    for column in columns:
        cell = grid.cells.get((source, column))
        if cell is not None and cell.formula is not None:
            grid.cells[to, column] = cell._replace(formula=moved(cell.formula, to - source, 0), group=-1)


def renamed(draft: Draft, names: Mapping[str, str]) -> None:
    """Give sheets other names; formulas, names, rules and charts follow."""
    for sheet in draft.names:
        grid = draft.edit(sheet)
        for place, cell in grid.cells.items():
            if cell.formula is not None and "!" in cell.formula:
                grid.cells[place] = cell._replace(formula=retitled(cell.formula, names))
        grid.after = retitled_rules(grid.after, names)
    for part in list(draft.parts):
        if part.startswith("xl/charts/"):
            draft.parts[part] = retitled_rules(draft.parts[part], names)
    book = NAME.sub(
        lambda name: name[1] + xml_text(retitled(plain_text(name[2]), names)) + name[3], draft.parts[draft.workbook]
    )
    for old, new in names.items():
        book = book.replace(b'<sheet name="%s"' % xml_text(old), b'<sheet name="%s"' % xml_text(new))
        draft.rename_key(old, new)
    draft.parts[draft.workbook] = book


def retitled_rules(xml: bytes, names: Mapping[str, str]) -> bytes:
    """Formulas of rules and charts with sheets called otherwise."""
    return RULE.sub(lambda rule: rule[1] + xml_text(retitled(plain_text(rule[2]), names)) + rule[3], xml)


def retitled(formula: str, names: Mapping[str, str]) -> str:
    """A formula with sheets called otherwise."""
    edits = []
    for piece in tokens(formula):
        if piece.kind in ("reference", "name") and "!" in piece.text:
            before = piece.text.rpartition("!")[0]
            if (new := names.get(unquoted(before))) is not None:
                title = new if new.isidentifier() else "'" + new.replace("'", "''") + "'"
                edits.append((piece.start, piece.start + len(before), title))
    return spliced(formula, edits)


def reordered(draft: Draft, order: Sequence[int]) -> None:
    """Put the tabs in another order: `order` holds their old places."""
    book = draft.parts[draft.workbook]
    found = SHEETS.search(book)
    assert found is not None
    tabs = SHEET.findall(found[1])
    book = book[: found.start(1)] + b"".join(tabs[place] for place in order) + book[found.end(1) :]
    new = {old: place for place, old in enumerate(order)}
    draft.parts[draft.workbook] = LOCAL.sub(lambda owner: owner[1] + b"%d" % new[int(owner[2])] + owner[3], book)


def add_part(draft: Draft, part: str, content: bytes, kind: str, owner: str, content_type: str) -> str:
    """Put a part into the file and link it to its owner; the id of the link."""
    folder, _, name = owner.rpartition("/")
    links = f"{folder}/_rels/{name}.rels"
    old = draft.parts.get(links, b'<Relationships xmlns="%s"></Relationships>' % LINKS.encode())
    identity = f"own{old.count(b'<Relationship ') + 1}"
    link = f'<Relationship Id="{identity}" Type="{OFFICE}/{kind}" Target="/{part}"/>'
    draft.parts[links] = old.replace(b"</Relationships>", link.encode() + b"</Relationships>")
    draft.parts[part] = content
    whole_type = f"application/vnd.openxmlformats-officedocument.{content_type}+xml"
    declared = f'<Override PartName="/{part}" ContentType="{whole_type}"/>'
    types = draft.parts["[Content_Types].xml"]
    draft.parts["[Content_Types].xml"] = types.replace(b"</Types>", declared.encode() + b"</Types>")
    return identity


def add_filter(grid: Grid, area: str, inside: str = "") -> None:
    """Set a filter over an area."""
    written = f'</sheetData><autoFilter ref="{area}">{inside}</autoFilter>'
    grid.after = grid.after.replace(b"</sheetData>", written.encode(), 1)


def add_link(draft: Draft, target: str, inside: str = "") -> int:
    """A link to another file, as Excel keeps it; the number by which formulas call it."""
    number = 1 + sum(name.startswith("xl/externalLinks/externalLink") for name in draft.parts)
    other = f'<externalBook r:id="rId1">{inside}</externalBook>'
    xml = f'<externalLink xmlns="{MAIN}" xmlns:r="{OFFICE}">{other}</externalLink>'
    part = f"xl/externalLinks/externalLink{number}.xml"
    identity = add_part(draft, part, xml.encode(), "externalLink", draft.workbook, "spreadsheetml.externalLink")
    link = f'<Relationship Id="rId1" Type="{OFFICE}/externalLinkPath" Target="{target}" TargetMode="External"/>'
    links = f"xl/externalLinks/_rels/externalLink{number}.xml.rels"
    draft.parts[links] = f'<Relationships xmlns="{LINKS}">{link}</Relationships>'.encode()
    entry = f'<externalReference r:id="{identity}"/>'
    book = draft.parts[draft.workbook].decode()
    if "</externalReferences>" in book:
        book = book.replace("</externalReferences>", f"{entry}</externalReferences>")
    else:
        book = book.replace("<definedNames>", f"<externalReferences>{entry}</externalReferences><definedNames>", 1)
    draft.parts[draft.workbook] = book.encode()
    return number


def add_sheet(draft: Draft, name: str, cells: Mapping[str, Cell], state: str = "visible") -> None:
    """A sheet of one's own at the end; `cells` maps `B7` to what stands there."""
    part = f"xl/worksheets/own{len(draft.names) + 1}.xml"
    xml = f'<worksheet xmlns="{MAIN}" xmlns:r="{OFFICE}"><sheetData></sheetData></worksheet>'.encode()
    identity = add_part(draft, part, xml, "worksheet", draft.workbook, "spreadsheetml.worksheet")
    number = 1 + max(map(int, re.findall(rb'sheetId="([0-9]+)"', draft.parts[draft.workbook])))
    tab = f'<sheet name="{name}" sheetId="{number}" state="{state}" r:id="{identity}" />'
    draft.parts[draft.workbook] = draft.parts[draft.workbook].replace(b"</sheets>", tab.encode() + b"</sheets>")
    draft.add_part(name, part, xml)
    grid = draft.edit(name)
    for ref, cell in cells.items():
        top, left, _, _ = corners(ref)
        grid.cells[top, left] = cell
        grid.rows.setdefault(top, b"")


def shared(grid: Grid, columns: Sequence[int], first: int = 0) -> int:
    """Write the formulas that were filled down these columns as shared ones; the next free number."""
    for column in columns:
        rows = sorted(row for row, at in grid.cells if at == column and grid.cells[row, at].formula is not None)
        run: list[int] = []
        for row in [*rows, -1]:
            start = grid.cells[run[0], column].formula if run else None
            if start and row == run[-1] + 1 and moved(start, row - run[0], 0) == grid.cells[row, column].formula:
                run.append(row)
                continue
            if len(run) > 2:
                for each in run:
                    grid.cells[each, column] = grid.cells[each, column]._replace(group=first)
                first += 1
            run = [row]
    return first
