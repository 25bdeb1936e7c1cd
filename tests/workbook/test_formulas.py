"""Formula text read: calls, references, names, patterns, and what a formula cannot be read for."""

import pytest
from hypothesis import given
from hypothesis import strategies as some

from xlcalc.workbook.calculation.facts import EMPTY_CELL, Reader
from xlcalc.workbook.calculation.structured import Tables
from xlcalc.workbook.file.package import DefinedName, Table
from xlcalc.workbook.formulas import (
    address,
    calls,
    column_letters,
    column_number,
    corners,
    plain_name,
    references,
    respellings,
    spliced,
    tokens,
)

OURS = {"BORE_FOR_FLOW", "F"}
BUILT_IN = {"SUM", "IF", "ROUND", "LOG10", "INDEX", "_XLFN.IFS", "IFERROR", "SEQUENCE"}


def reader(
    names: list[DefinedName] | None = None, tables: Tables | None = None, others: dict[str, str] | None = None
) -> Reader:
    return Reader("S", OURS, BUILT_IN.__contains__, names or [], tables, others or {})


def respelled(formula: str, prefix: str = "", others: tuple[str, ...] = ()) -> str:
    return spliced(formula, respellings(formula, OURS, prefix, others))


@pytest.mark.parametrize(
    "written",
    [
        "BORE_FOR_FLOW",
        "bore_for_flow",
        "Bore_For_Flow",
        "@BORE_FOR_FLOW",
        "[1]!BORE_FOR_FLOW",
        "@[12]!bore_for_flow",
        "'C:\\Users\\a b\\it''s\\xlcalc.xlam'!BORE_FOR_FLOW",
        "'C:\\path with ''quote\\xlcalc.xlam'!BORE_FOR_FLOW",
        "'\\\\server\\share\\xlcalc.xlam'!bore_for_flow",
        "'/home/[x]/xlcalc.xlam'!BORE_FOR_FLOW",
        "'C:\\straße\\[XLCALC.XLAM]'!BORE_FOR_FLOW",
        "[xlcalc.xlam]!BORE_FOR_FLOW",
        "@ xlcalc.xlam!BORE_FOR_FLOW ",
        "xlcalc.xlam!BORE_FOR_FLOW",
        "bore_for_flow ",
        "@BORE_FOR_FLOW\n",
        "_xll.BORE_FOR_FLOW",
        "_xlfn.BORE_FOR_FLOW",
        "_xludf.BORE_FOR_FLOW",
        "_XLFN._XLWS.BORE_FOR_FLOW",
        "XLCALC.BORE_FOR_FLOW",
        "xlcalc.bore_for_flow",
    ],
)
def test_sees_a_function_under_every_spelling(written: str) -> None:
    formula = f'IF(A1="","",ROUND({written}(A1, 3),1))'
    (found,) = [call for call in calls(formula) if call.name == "BORE_FOR_FLOW"]
    assert (found.written, [each.text for each in found.arguments]) == (written.rstrip(), ["A1", "3"])
    assert formula[found.start : found.end] == f"{written}(A1, 3)"
    assert plain_name(written) == "BORE_FOR_FLOW"
    assert reader().facts(formula, 1, 1).ours == {"BORE_FOR_FLOW"}
    assert reader().facts(formula, 1, 1).obstacle == ""
    plain = 'IF(A1="","",ROUND(BORE_FOR_FLOW(A1, 3),1))'
    assert reader().facts(formula, 1, 1).for_engine(formula, 1).replace("@", "").casefold() == plain.casefold()
    assert respelled(formula) == plain
    assert respelled(plain) == plain
    assert respelled(formula, "XLCALC.") == 'IF(A1="","",ROUND(XLCALC.BORE_FOR_FLOW(A1, 3),1))'


@pytest.mark.parametrize(
    ("written", "where"),
    [
        ("[2]!BORE_FOR_FLOW", "BORE_FOR_FLOW of prices.xlam"),
        ("@[2]!bore_for_flow", "bore_for_flow of prices.xlam"),
        ("[0]!BORE_FOR_FLOW", "BORE_FOR_FLOW of this book's macros"),
        ("'C:\\a b\\my xlcalc.xlam'!BORE_FOR_FLOW", "BORE_FOR_FLOW of my xlcalc.xlam"),
        ("'C:\\xlcalc.xlam\\Prices.xlam'!BORE_FOR_FLOW", "BORE_FOR_FLOW of prices.xlam"),
        ("xlcalc.xlsm!BORE_FOR_FLOW", "BORE_FOR_FLOW of xlcalc.xlsm"),
        ("Sheet1!BORE_FOR_FLOW", "BORE_FOR_FLOW of sheet1"),
    ],
)
def test_never_takes_a_function_of_another_file_for_ours(written: str, where: str) -> None:
    formula = f"1+{written}(A1,[1]!F(2,,3))"
    facts = reader(others={"2": "prices.xlam"}).facts(formula, 1, 1)
    assert facts.ours == {"F"}
    assert facts.obstacle == f"the function {where}, which is none of xlcalc"
    assert [each.name for each in calls(formula, {"2"}) if each.name in OURS] == ["F"]
    assert respelled(formula, "XLCALC.", ("2",)) == f"1+{written}(A1,XLCALC.F(2,,3))"


@pytest.mark.parametrize(
    "formula",
    ['"F(1,,2)"', "SUM(A1 (B1),F1 (A1:F9),_F (1))",
     '"say ""F(1)"""', "'F(1)'!A1", "'it''s F(1)'!$B$2:C3", "OF+1", "FF*2", "F", "F*(2)", "T[F(1)]"],
)  # fmt: skip
def test_never_sees_a_function_in_text_or_names(formula: str) -> None:
    assert {call.name for call in calls(formula)} <= {"SUM", "_F"}
    assert respelled(formula, "X.") == formula
    assert reader().facts(formula, 1, 1).ours == frozenset()


def test_lists_calls_with_their_arguments() -> None:
    formula = "IF(F(A1,,\"a,b\" ),F( ) + f(,),SUM({1,2;3,4},'a,b'!B2,(C1,D1)))"
    found = [(call.name, [each.text for each in call.arguments]) for call in calls(formula)]
    assert found == [
        ("IF", ['F(A1,,"a,b" )', "F( ) + f(,)", "SUM({1,2;3,4},'a,b'!B2,(C1,D1))"]),
        ("F", ["A1", "", '"a,b"']),
        ("F", []),
        ("F", ["", ""]),
        ("SUM", ["{1,2;3,4}", "'a,b'!B2", "(C1,D1)"]),
    ]
    for call in calls(formula):
        for each in call.arguments:
            assert formula[each.start : each.end] == each.text


@pytest.mark.parametrize(
    ("formula", "areas"),
    [
        ("A1+$B$2", [(None, 1, 1, 1, 1), (None, 2, 2, 2, 2)]),
        ("SUM(Lines!B2:$D9)", [("Lines", 2, 2, 9, 4)]),
        ("'it''s'!C3", [("it's", 3, 3, 3, 3)]),
        ("SUM(B:C,5:7)", [(None, 1, 2, 1_048_576, 3), (None, 5, 1, 7, 16_384)]),
        ("LOG10(XFD1048576)", [(None, 1_048_576, 16_384, 1_048_576, 16_384)]),
        ('[1]S!A1+"B2"+Rate1+S1:S3!A1+#REF!+1E5+T[A1]', []),
        ("D9:B2", [(None, 2, 2, 9, 4)]),
    ],
)
def test_lists_the_areas_of_a_formula(formula: str, areas: list[object]) -> None:
    assert [each[:5] for each in references(formula)] == areas


@pytest.mark.parametrize("area", ["", "A", "12", "A1:B", "A1:B2:C3", "Rate", "A0x"])
def test_an_area_that_is_none_is_an_error(area: str) -> None:
    with pytest.raises(ValueError, match="not a cell or an area"):
        corners(area)


def test_columns_and_addresses() -> None:
    assert [column_letters(number) for number in (1, 26, 27, 702, 703, 16_384)] == ["A", "Z", "AA", "ZZ", "AAA", "XFD"]
    assert [each for each in range(1, 16_385) if column_number(column_letters(each)) != each] == []
    assert address("Lines", 7, 26) == "Lines!Z7"
    assert address("it's 1", 7, 26) == "'it''s 1'!Z7"


@given(some.text(alphabet="AZ19$!'\"[](){},;:#@.&+ \\_Fé\n", max_size=40))
def test_the_pieces_of_any_text_are_the_text(text: str) -> None:
    assert "".join(piece.text for piece in tokens(text)) == text
    for call in calls(text):
        assert text[call.start : call.end].endswith(")")


@pytest.mark.parametrize(
    ("formula", "filled"),
    [
        ("F(A1,,3)", "F(A1,~,3)"),
        ("F(A1,)", "F(A1,~)"),
        ("F(,A1)", "F(~,A1)"),
        ("F(,)", "F(~,~)"),
        ("F( , )", "F( ~, ~)"),
        ("F()", "F()"),
        ("F( )", "F( )"),
        ("IF(A1,,F(1,,IF(,2,)))", "IF(A1,,F(1,~,IF(,2,)))"),
        ('F("a,,b",{1,2},(A1),,)', 'F("a,,b",{1,2},(A1),~,~)'),
        ("SUM(A1,,3)", "SUM(A1,,3)"),
        ("[1]!F(1,,2)+_xll.f(,2)+f(,)", "F(1,~,2)+F(~,2)+f(~,~)"),
        ("_xlfn.SINGLE(F(A1:A3))", "@(F(A1:A3))"),
    ],
)
def test_left_out_arguments_of_our_functions_are_filled(formula: str, filled: str) -> None:
    assert reader().facts(formula, 1, 1).for_engine(formula, 1) == filled.replace("~", EMPTY_CELL)


@pytest.mark.parametrize(
    ("formula", "obstacle"),
    [
        ("[1]Sheet1!A1+1", "external link [1]Sheet1"),
        ("'[old prices.xlsx]S 1'!$A$1:B2", "external link '[old prices.xlsx]S 1'"),
        ("'C:\\a\\[b.xlsx]S'!A1", "external link 'C:\\a\\[b.xlsx]S'"),
        ("IFERROR([2]!Rate,0)", "external link [2]"),
        ("NO_SUCH(1)", "unknown function NO_SUCH"),
        ("F(1)+[1]!THEIRS(2)", "unknown function THEIRS"),
        ("SUM(Prices[Cost])", "the table Prices has no column Cost"),
        ("SUM(Stock[[#This Row],[a]:[b]])", "there is no table Stock"),
        ("[@Cost]*2", "[@Cost] names no table and stands in none"),
        ("SUM(prices)+[@a]", "[@a] names no table and stands in none"),
        ("SUM(S1:S3!A1)", "one cell of several sheets S1:S3"),
        ('"[1]Sheet1!A1 NO_SUCH( Prices[x]"', ""),
        ("_xlfn.IFS(A1>1,2)", ""),
        ("[1]!F(2)", ""),
    ],
)
def test_says_why_the_engine_cannot_have_a_formula(formula: str, obstacle: str) -> None:
    assert reader(tables=Tables([Table("Prices", "T", "A1:B9")])).facts(formula, 1, 1).obstacle == obstacle


def test_names_are_followed_and_written_out_where_the_engine_would_not() -> None:
    names = [
        DefinedName("Area", None, "S!$A$1:$A$9", False),
        DefinedName("Old", None, "[1]S!$A$1*2", False),
        DefinedName("Chain", None, "Old+1", False),
        DefinedName("Bore", None, "F(S!$A$1,,3)", False),
        DefinedName("Moves", None, "F(S!A1)", False),
        DefinedName("Local", "T", "T!$B$2", False),
        DefinedName("Loop", None, "Loop+F(1)", False),
    ]
    read = reader(names)
    assert read.facts("SUM(Area)", 1, 1).edits == ()
    assert read.facts("Old*2", 1, 1).obstacle == "external link [1]S in the name Old"
    assert read.facts("Chain", 1, 1).obstacle == "external link [1]S in the name Old in the name Chain"
    assert read.facts("Bore/2", 1, 1).for_engine("Bore/2", 1) == f"(F(S!$A$1,{EMPTY_CELL},3))/2"
    assert read.facts("Bore/2", 1, 1).ours == {"F"}
    assert read.facts("Moves", 1, 1).obstacle.startswith("the name Moves, which stands for another cell")
    assert read.facts("T!Local+1", 1, 1).for_engine("T!Local+1", 1) == "(T!$B$2)+1"
    assert read.facts("Loop", 1, 1).ours == {"F"}


def test_what_is_remembered_of_one_row_holds_for_the_next_but_not_for_another_name() -> None:
    read = reader([DefinedName("Rate1", None, "[1]S!$A$1", False)])
    assert read.facts("F(A1,,B12)", 1, 1).for_engine("F(A9,,B90)", 1) == f"F(A9,{EMPTY_CELL},B90)"
    assert read.facts("LOG10(A1)", 1, 1).obstacle == ""
    assert read.facts("LOG20(A1)", 1, 1).obstacle == "unknown function LOG20"
    assert read.facts("LOG10(A2)", 1, 1).obstacle == ""
    assert read.facts("Rate0*2", 1, 1).obstacle == ""
    assert read.facts("Rate1*2", 1, 1).obstacle.startswith("external link")
    linked = reader(others={"2": "prices.xlam"})
    assert linked.facts("[1]!F(A1)", 1, 1).for_engine("[1]!F(A1)", 1) == "F(A1)"
    assert linked.facts("[2]!F(A1)", 1, 1).obstacle == "the function F of prices.xlam, which is none of xlcalc"


@pytest.mark.parametrize(
    ("formula", "several"),
    [
        ("SUM(A1:A3)", True),
        ("{1,2}*3", True),
        ("A1#", True),
        ("SEQUENCE(3)", True),
        ("Rate*2", True),
        ("F(A1,2)+TRUE", False),
    ],
)
def test_tells_which_formulas_may_answer_several_values(formula: str, several: bool) -> None:
    assert reader().facts(formula, 1, 1).several is several
