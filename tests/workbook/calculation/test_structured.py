"""References to tables.

What a reference is worth was asked of LibreOffice 7.4.7: the very book below, written without values, converted
headless to .xlsx and read back. Where Calc reads a spelling otherwise than Excel (the `OTHERWISE` ones), the rule is
that of the grammar of structure references that Microsoft publishes for its files ([MS-OE376] 3.2.3.1.1).
"""

from collections.abc import Mapping
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

import pytest

from xlcalc.core.errors import FileRefused
from xlcalc.workbook.calculation.recalc import Report, compute, recalc
from xlcalc.workbook.calculation.structured import ROW_HERE, Tables, read
from xlcalc.workbook.explained.explain import explanation
from xlcalc.workbook.explained.place import place_of
from xlcalc.workbook.explained.workings import Workings
from xlcalc.workbook.file.package import Package

from ..books import HEAD, LINKS, MAIN, OFFICE, SHEET, contents, formula, number, packed, parts, row, text
from ..ours import OURS, values

COLUMNS = ("Item", "Cost, net", "Größe [mm]", "Line\nbreak", "#1 'a'")
ROWS = {
    3: COLUMNS,
    4: ("a", 1, 10, 100, 7),
    5: ("b", 2, 20, 200, 7),
    6: ("c", 3, 30, 300, 7),
    7: ("d", 4, 40, 400, 7),
    8: ("Total", 10, "", 1000, ""),
}
BARE = {12: (5, 6), 13: (7, 8)}
KIND = "application/vnd.openxmlformats-officedocument.spreadsheetml"
NAMES = '<definedName name="Costs">Prices[Cost, net]</definedName><definedName name="Mine">Prices[@Item]</definedName>'


def table_xml(name: str, area: str, columns: tuple[str, ...], counts: str = "") -> str:
    """A table as Excel writes it, with a line break in a column's name spelled out."""
    cells = "".join(
        f'<tableColumn id="{i}" name={quoteattr(name).replace(chr(10), "_x000a_")}/>' for i, name in enumerate(columns)
    )
    return (
        f'{HEAD}<table xmlns="{MAIN}" id="{len(name)}" name="{name}" displayName="{name}" ref="{area}"{counts}>'
        f'<tableColumns count="{len(columns)}">{cells}</tableColumns></table>'
    )


def with_tables(made: dict[str, bytes], *tables: str) -> Package:
    """A book whose first sheet has these tables."""
    links, listed, types = "", "", ""
    for i, xml in enumerate(tables):
        made[f"xl/tables/table{i}.xml"] = xml.encode()
        links += f'<Relationship Id="t{i}" Type="{OFFICE}/table" Target="../tables/table{i}.xml"/>'
        listed += f'<tablePart xmlns:r="{OFFICE}" r:id="t{i}"/>'
        types += f'<Override PartName="/xl/tables/table{i}.xml" ContentType="{KIND}.table+xml"/>'
    relations = f'{HEAD}<Relationships xmlns="{LINKS}">{links}</Relationships>'
    made["xl/worksheets/_rels/sheet1.xml.rels"] = relations.encode()
    made[SHEET] = made[SHEET].replace(b"</worksheet>", f"<tableParts>{listed}</tableParts></worksheet>".encode())
    for i in range(1, 3):
        types += f'<Override PartName="/xl/worksheets/sheet{i}.xml" ContentType="{KIND}.worksheet+xml"/>'
    made["[Content_Types].xml"] = made["[Content_Types].xml"].replace(b"</Types>", f"{types}</Types>".encode())
    return Package.from_bytes(packed(made), "b.xlsx")


def prices(cells: Mapping[str, str] = {}, other: Mapping[str, str] = {}) -> Package:
    """Prices at S!B3:F8 with headers and totals, Bare at S!B12:C13 without either, and formulas on S and T."""
    rows: dict[int, list[str]] = {}
    for at, typed in {**ROWS, **BARE}.items():
        for letter, value in zip("BCDEF", typed, strict=False):
            ref = f"{letter}{at}"
            rows.setdefault(at, []).append(text(ref, escape(value)) if isinstance(value, str) else number(ref, value))
    for ref, written in cells.items():
        rows.setdefault(int(ref[1:]), []).append(formula(ref, escape(written)))
    sheet = "".join(row(at, *rows[at]) for at in sorted(rows))
    beside = "".join(row(int(ref[1:]), formula(ref, escape(written))) for ref, written in other.items())
    made = parts({"S": sheet, "T": beside}, names=NAMES)
    plain_table = table_xml("Bare", "B12:C13", ("Column1", "Column2"), ' headerRowCount="0"')
    return with_tables(made, table_xml("Prices", "B3:F8", COLUMNS, ' totalsRowCount="1"'), plain_table)


def worked(cells: Mapping[str, str], other: Mapping[str, str] = {}) -> Report:
    return compute(prices(cells, other), OURS)


AS_CALC: dict[str, tuple[str, object]] = {
    "J5": ("Prices[[#This Row],[Cost, net]]*2", 4.0),
    "K5": ("SUM(Prices[[#This Row],[Cost, net]:[Größe '[mm']]])", 22.0),
    "L5": ("SUM(Prices[[#Headers],[Cost, net]]:Prices[[#This Row],[Cost, net]])", 3.0),
    "J6": ("Prices[[#This Row],[Cost, net]:[Größe '[mm']]]", "#VALUE!"),
    "K6": ("SUM(INDEX(Prices[Cost, net],1):Prices[[#This Row],[Cost, net]])", 6.0),
    "J2": ("Prices[[#This Row],[Cost, net]]*2", "#VALUE!"),
    "J9": ("Prices[[#This Row],[Cost, net]]", "#VALUE!"),
    "J12": ("Bare[[#This Row],[Column2]]", 6.0),
    "J20": ("SUM(Prices[Cost, net])", 10.0),
    "J21": ("SUM(prices[cost, NET])", 10.0),
    "J22": ("SUM(Prices[GRÖßE '[MM']])", 100.0),
    "J23": ("SUM(Prices[Line\nbreak])", 1000.0),
    "J24": ("SUM(Prices[[#All],[Cost, net]])", 20.0),
    "J25": ("SUM(Prices[[Cost, net]:[Line\nbreak]])", 1110.0),
    "J26": ("SUM(Prices[[Größe '[mm']]:[Cost, net]])", 110.0),
    "J27": ("COUNTA(Prices[[#Headers],[#Data],[Item]])", 5.0),
    "J28": ("SUM(Prices[[#Data],[#Totals],[Cost, net]])", 20.0),
    "J29": ("Prices[[#Totals],[Cost, net]]", 10.0),
    "J30": ("Prices[[#Headers],[Line\nbreak]]", "Line\nbreak"),
    "J31": ("SUM(Prices[[#All], [Cost, net]])", 20.0),
    "J32": ('SUMPRODUCT((Prices[Item]<>"a")*Prices[Cost, net])', 9.0),
    "J33": ("SUM(Prices[])", 1138.0),
    "J34": ("SUM(Bare[Column1])", 12.0),
    "J35": ("SUM(Bare[[#Headers],[#Data]])", 26.0),
    "J36": ("SUM(Bare[[#Data],[#Totals]])", 26.0),
    "J37": ("SUM(Bare[[#Totals],[Column1]])", "#REF!"),
    "J38": ('SUMIFS(Prices[Cost, net],Prices[Item],"c")', 3.0),
    "J39": ('INDEX(Prices[Line\nbreak],MATCH("b",Prices[Item],0))', 200.0),
    "J40": ("SUM(Prices[[#All]])+SUM(Prices[[#Data]])+SUM(Prices[[#Totals]])", 4296.0),
    "J41": ("SUM(Costs)", 10.0),
    "J42": ("COUNTA(Bare[[#Headers]])", 1.0),
}
AS_CALC_ON_T: dict[str, tuple[str, object]] = {
    "A5": ("Prices[[#This Row],[Cost, net]]*2", 4.0),
    "A6": ("SUM(INDEX(Prices[Cost, net],1):Prices[[#This Row],[Cost, net]])", 6.0),
    "A12": ("Bare[[#This Row],[Column2]]", 6.0),
    "A20": ("Prices[[#This Row],[Cost, net]]*2", "#VALUE!"),
    "A21": ("SUM(Prices[Cost, net])", 10.0),
}
OTHERWISE: dict[str, tuple[str, object]] = {
    "J4": ("Prices[@[Cost, net]]", 1.0),
    "K4": ("Prices[@Item]", "a"),
    "L4": ("SUM(Prices[@[Cost, net]:[Line\nbreak]])", 111.0),
    "M4": ("SUM(Prices[@])", 118.0),
    "N4": ("SUM(Prices[#This Row])", 118.0),
    "J3": ("Prices[@Item]", "#VALUE!"),
    "J8": ("Prices[[#This Row],[Cost, net]]", "#VALUE!"),
    "J20": ("SUM(Prices)", 1138.0),
    "J21": ("SUM(PRICES[#All])", 2148.0),
    "J22": ("SUM(Prices[#data])", 1138.0),
    "J23": ("SUM(Prices[#Totals])", 1010.0),
    "J25": ("SUM(Bare[#Totals])", "#REF!"),
    "J26": ("SUM(Prices[#REF!])", "#REF!"),
    "J27": ("IFERROR(Prices[[#This Row],[#REF!]],-1)", -1.0),
    "J28": ("SUM(Prices[ [Cost, net] ])", 10.0),
    "J29": ("SUM(Prices[Cost, net]:Prices[Line\nbreak])", 1110.0),
    "J30": ('Bare[@Column1]&"!"', "#VALUE!"),
    "J7": ('Mine&"!"', "d!"),
    "J32": ("SUM(Prices[['#1 ''a'']])+SUM(Prices['#1 ''a''])", 56.0),
}


def test_the_values_are_those_of_calc() -> None:
    report = worked({ref: written for ref, (written, _) in AS_CALC.items()},
                    {ref: written for ref, (written, _) in AS_CALC_ON_T.items()})  # fmt: skip
    assert (report.frozen, report.kept) == ([], [])
    assert values(report) == {ref: value for ref, (_, value) in AS_CALC.items()}
    assert values(report, "T") == {ref: value for ref, (_, value) in AS_CALC_ON_T.items()}


def test_spellings_that_calc_reads_otherwise_follow_the_published_grammar() -> None:
    report = worked({ref: written for ref, (written, _) in OTHERWISE.items()})
    assert (report.frozen, report.kept) == ([], [])
    assert values(report) == {ref: value for ref, (_, value) in OTHERWISE.items()}


def test_inside_a_table_its_name_may_be_left_out() -> None:
    inside = {"F4": "[Cost, net]", "F5": "[@[Cost, net]]*10", "F6": "SUM([Cost, net])"}
    inside["F8"] = "SUBTOTAL(109,[Cost, net])"
    made = prices()
    sheet = made.read(SHEET).decode()
    for ref, written in inside.items():
        begin = sheet.index(f'<c r="{ref}"')
        end = sheet.index("</c>", begin) + len("</c>")
        sheet = sheet[:begin] + formula(ref, written) + sheet[end:]
    report = compute(Package.from_bytes(made.edited({SHEET: sheet.encode()}), "b.xlsx"), OURS)
    assert values(report) == {"F4": 1.0, "F5": 20.0, "F6": 10.0, "F8": 10.0}


def test_what_cannot_be_found_keeps_its_value_and_says_why() -> None:
    cells = {
        "J4": ("Prices[@Cots]", "the table Prices has no column Cots"),
        "K4": ("SUM(Stock[Cost])", "there is no table Stock"),
        "L4": ("SUM([Cost, net])", "[Cost, net] names no table and stands in none"),
        "M4": ("SUM(Prices[[#Headers],[#Totals],[Item]])",
               "structured reference that cannot be read: Prices[[#Headers],[#Totals],[Item]]"),
        "N4": ("SUM(Prices[[Item],[Cost, net]])",
               "structured reference that cannot be read: Prices[[Item],[Cost, net]]"),
        "O4": ("SUM('[b.xlsx]S'!Prices[Item])", "external link '[b.xlsx]S'"),
        "P4": ("SUM([1]!Prices[Item])", "external link [1]"),
        "Q4": ("SUM(b.xlsx!Prices[Item])", "external link b.xlsx"),
    }  # fmt: skip
    report = worked({ref: written for ref, (written, _) in cells.items()} | {"J5": "Prices[@Item]&S!J4"})
    stopped = [(stop.cell, stop.reason) for stop in report.frozen]
    assert stopped == [(f"S!{ref}", why) for ref, (_, why) in cells.items()]
    assert values(report)["J5"] == "b"


def test_a_shared_formula_reads_the_row_of_each_of_its_cells() -> None:
    shared = ' t="shared" si="0"'
    sheet = row(2, number("A2", 1), text("B2", "N"))
    for at in range(3, 8):
        master = at == 3
        cell = formula(f"D{at}", "T[@N]+A$2+B3" if master else "", attributes=shared + ' ref="D3:D7"' * master)
        sheet += row(at, number(f"B{at}", at * 10), cell)
    package = with_tables(parts({"S": sheet}), table_xml("T", "B2:B6", ("N",)))
    found = values(compute(package, OURS))
    assert found == {"D3": 61.0, "D4": 81.0, "D5": 101.0, "D6": 121.0, "D7": "#VALUE!"}


def test_the_file_keeps_its_formulas_and_a_second_run_changes_no_byte(tmp_path: Path) -> None:
    path = tmp_path / "b.xlsx"
    made = prices({"J5": "DOUBLE(Prices[@[Cost, net]])", "J6": "SHOWN(Prices[@[Cost, net]],,Prices[Item])"})
    path.write_bytes(made.data)
    assert values(recalc(path, functions=OURS)) == {"J5": 4.0, "J6": "3.0 None ['a' 'b' 'c' 'd']"}
    after = contents(path.read_bytes())
    before = contents(made.data)
    assert {part for part in after if after[part] != before[part]} == {SHEET}
    assert after[SHEET].replace(b"<v>4</v>", b"").count(b"<f>DOUBLE(Prices[@[Cost, net]])</f></c>") == 1
    data = path.read_bytes()
    assert not recalc(path, functions=OURS).written
    assert path.read_bytes() == data


def test_every_row_of_a_long_table_reads_its_own_row() -> None:
    count = 10_000
    written = "Long[@N]*2+Long[[#Totals],[N]]"
    lines = "".join(row(at, number(f"A{at}", at), formula(f"B{at}", written)) for at in range(2, count))
    sheet = row(1, text("A1", "N")) + lines + row(count, number(f"A{count}", 0.5))
    area = table_xml("Long", f"A1:A{count}", ("N",), ' totalsRowCount="1"')
    report = compute(with_tables(parts({"S": sheet}), area), OURS)
    assert values(report) == {f"B{at}": at * 2 + 0.5 for at in range(2, count)}


def test_explain_shows_the_reference_as_written_and_the_cells_that_it_means() -> None:
    written = {
        "J4": "Prices[@[Cost, net]]*2",
        "J5": "SUM(Prices[[#Headers],[Cost, net]]:Prices[@[Cost, net]])",
        "J6": "LINE_VELOCITY(Prices[@[Cost, net]],Prices[@[Größe '[mm']]])",
        "J7": "SUM(Costs)+COUNTA(Prices)",
        "J8": "Prices[@Cots]",
        "J9": "Prices[@Item]",
        "J10": "SUM(Bare[#Totals])",
    }
    book = Workings(prices(written))

    def said(ref: str) -> list[str]:
        return [line.text for line in explanation(book, place_of(book.written, ref))][1:]

    for ref, text_ in written.items():
        assert said(f"S!{ref}")[0] == f"Formula: ={text_}"
    assert said("S!J4")[1:] == ["Prices[@[Cost, net]] = S!C4 (Cost, net): 1"]
    assert said("S!J5")[1:] == [
        "Prices[[#Headers],[Cost, net]]:Prices[@[Cost, net]] = S!C3:C5 (Cost, net): "
        "2 numbers, together 3, 1 text, which no sum counts"
    ]
    assert "bore = Prices[@[Größe '[mm']]] [S!D6 (Größe [mm])]: 30" in said("S!J6")
    assert [line.partition(" (")[0] for line in said("S!J7")[1:]] == ["Costs = S!C4:C7", "Prices = S!B4:F7"]
    assert said("S!J8")[1:] == ["It keeps the value it had: the table Prices has no column Cots"]
    outside = "the row of the formula is none of the table Prices, which has its rows from 4 to 7"
    assert said("S!J9")[1:] == [f"#VALUE!: {outside}"]
    assert said("S!J10")[1:] == ["#REF!: the table Bare has no row of totals"]
    assert said("S!C5")[1:] == ["Cells that look at it:", "S!J5:J7"]


def test_a_table_that_does_not_say_where_it_is_is_refused_in_words() -> None:
    damaged = with_tables(parts({"S": row(1, formula("A1", "1+1"))}), table_xml("T", "B2-B6", ("N",)))
    with pytest.raises(FileRefused, match="the table T does not say where it is"):
        compute(damaged, OURS)


@pytest.mark.parametrize(
    ("written", "table", "items", "columns"),
    [
        ("T", "T", set(), ()),
        ("T[]", "T", set(), ()),
        ("T[A b]", "T", set(), ("A b",)),
        ("[@]", "", {"#this row"}, ()),
        ("T[@A]", "T", {"#this row"}, ("A",)),
        ("T[[#THIS ROW], [A]:[B] ]", "T", {"#this row"}, ("A", "B")),
        ("T[[#Data],[#Totals],[A''s '[x'], '#1]]", "T", {"#data", "#totals"}, ("A's [x], #1",)),
        ("S!T['@A]", "T", set(), ("@A",)),
    ],
)
def test_reads_the_parts(written: str, table: str, items: set[str], columns: tuple[str, ...]) -> None:
    spec = read(written)
    assert (spec.table, spec.items, spec.columns, spec.readable) == (table, items, columns, True)


def test_an_answer_says_for_which_cells_it_holds() -> None:
    tables = Tables(prices().tables())
    here = tables.meaning("Prices[@Item]", "S", 5, 9)
    assert (here.written("S"), here.written("it's"), here.holds[0], here.holds[2]) == (
        f"$B{ROW_HERE}", f"'S'!$B{ROW_HERE}", 4, 7,
    )  # fmt: skip
    above, below = (tables.meaning("Prices[@Item]", "S", at, 9) for at in (3, 20))
    assert (above.error, above.holds[2], below.error, below.holds[0]) == ("#VALUE!", 3, "#VALUE!", 8)
    left = tables.meaning("[Item]", "S", 5, 1)
    assert (left.why, left.holds) == ("[Item] names no table and stands in none", (1, 1, 11, 1))
    assert tables.meaning("[Item]", "S", 5, 2).holds == (3, 2, 8, 6)
