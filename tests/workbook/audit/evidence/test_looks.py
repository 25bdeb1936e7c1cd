"""How cells look: which styles hide what a cell holds, as files of a spreadsheet spell them."""

from collections.abc import Mapping

import pytest

from xlcalc.core.errors import CalcError
from xlcalc.workbook.audit.evidence.looks import contrast, hidden_cells, looks_that_hide, sections_of
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.file.values import Value

from ..sheets import book, dressed, part_of

CELLS: Mapping[str, object] = {"A1": "Price", "B1": 12.5}
WHITE = '<color rgb="FFFFFFFF"/>'
PAPER = '<patternFill patternType="none"/>'
ROSE = '<patternFill patternType="solid"><fgColor rgb="FFFFC7CE"/></patternFill>'


def hidden(value: Value, *, code: str = "", font: str = "", fill: str = PAPER, after: str = "", looks: str = "") -> str:
    """Why a cell of a look does not show a value."""
    package = dressed(book(CELLS).package, "S", "B1", code=code, font=font, fill=fill, after=after, looks=looks)
    found = list(hidden_cells(package, part_of(package, "S"), looks_that_hide(package)))
    assert [(row, column) for row, column, _ in found] in ([], [(1, 2)])
    return found[0][2].hides(value) if found else ""


@pytest.mark.parametrize(
    ("code", "shown", "unseen"),
    [
        (";;;", [0.0, "", None], [12.5, -3.0, "oil"]),
        (";;;@", ["oil"], [12.5, -3.0]),
        (";;", ["oil"], [12.5, -3.0]),
        ("0;;", [12.5, "oil"], [-3.0]),
        ("0;-0;", [12.5, -3.0, 0.0, "oil"], []),
        ('"  "', ["oil"], [12.5, -3.0]),
        ('"exact"', [12.5, "oil"], []),
        ('"2500.00"', ["oil"], [12.5]),
        ('#,##0.00" EUR";[Red]-#,##0.00', [12.5, -3.0], []),
        ("[>=10]0;[<=-10]-0;0.0", [12.5, -3.0], []),
        ('_(* #,##0_);_(* (#,##0);_(* "-"??_)', [12.5, -3.0, 0.0], []),
        ("d mmm yyyy", [46083.0], []),
        ("General", [12.5, "oil"], []),
    ],
)
def test_a_number_format_hides_what_its_section_does_not_print(code: str, shown: list[Value], unseen: list[Value]):
    assert [value for value in [*shown, *unseen] if hidden(value, code=code)] == unseen


def test_a_number_format_with_figures_of_its_own_is_said():
    assert hidden(12.5, code='"2500.00"').endswith("which prints 2500.00 whatever the cell holds")


def test_an_error_shows_through_every_number_format_and_not_through_white_letters():
    error = CalcError(code="#NUM!")
    assert not hidden(error, code=";;;")
    assert hidden(error, font=WHITE)


@pytest.mark.parametrize(
    ("font", "fill", "unseen"),
    [
        (WHITE, PAPER, True),
        ('<color theme="0"/>', PAPER, True),
        ('<color indexed="9"/>', PAPER, True),
        ('<color rgb="FFF4F4F4"/>', PAPER, True),
        ('<color rgb="FFA6A6A6"/>', PAPER, False),
        ('<color theme="0" tint="-0.5"/>', PAPER, False),
        (WHITE, ROSE.replace("FFC7CE", "1F4E5F"), False),
        ('<color rgb="FFFFC7CE"/>', ROSE, True),
        ('<color rgb="FFFFFFFF"/>', '<patternFill patternType="gray125"/>', False),
        ("", ROSE.replace("FFC7CE", "000000"), True),
        ('<color auto="1"/>', PAPER, False),
        ('<sz val="1"/>', PAPER, True),
        ('<sz val="6"/>', PAPER, False),
        ('<sz val="large"/>', PAPER, False),
    ],
)
def test_letters_that_cannot_be_read(font: str, fill: str, unseen: bool):
    assert bool(hidden(12.5, font=font, fill=fill)) is unseen


def test_white_letters_asked_for_by_the_number_format():
    assert hidden(12.5, code="[White]0.00")
    assert not hidden(12.5, code="[White]0.00", fill=ROSE.replace("FFC7CE", "1F4E5F"))


@pytest.mark.parametrize(
    ("look", "unseen"),
    [
        ('<fill><patternFill><bgColor rgb="FF1F4E5F"/></patternFill></fill>', False),
        ('<fill><patternFill><bgColor rgb="FFFBF6E6"/></patternFill></fill>', True),
        ('<font><color rgb="FF000000"/></font>', False),
        ('<font><b val="1"/></font>', True),
    ],
)
def test_a_conditional_format_may_bring_white_letters_to_light(look: str, unseen: bool):
    rule = '<cfRule type="expression" priority="1" dxfId="0"/>'
    after = f'<conditionalFormatting sqref="B1:B9">{rule}</conditionalFormatting>'
    assert bool(hidden(12.5, font=WHITE, after=after, looks=f"<dxf>{look}</dxf>")) is unseen


@pytest.mark.parametrize(
    ("one", "other", "ratio"), [("000000", "FFFFFF", 21.0), ("777777", "FFFFFF", 4.48), ("FF0000", "FFFFFF", 4.0)]
)
def test_contrast_is_that_of_the_guidelines_for_web_pages(one: str, other: str, ratio: float):
    """Published: black on white 21:1; #777777 on white 4.48:1, just short of 4.5; pure red on white 4:1."""
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)


def test_a_format_that_only_leaves_zeros_out_hides_nothing():
    assert looks_that_hide(dressed(book(CELLS).package, "S", "B1", code="0;-0;")) == {}


def test_a_style_that_names_a_font_or_fill_that_is_not_there_hides_nothing():
    package = dressed(book(CELLS).package, "S", "B1", font=WHITE)
    styles = package.read("xl/styles.xml").replace(b'fontId="1"', b'fontId="7"').replace(b'fillId="1"', b'fillId="x"')
    assert looks_that_hide(Package.from_bytes(package.edited({"xl/styles.xml": styles}), "book.xlsx")) == {}


def test_a_format_without_a_code_is_the_general_one():
    assert sections_of(" ") == ((), "")
