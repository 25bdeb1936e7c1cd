"""Which comparisons and roundings of a formula are spelled as calls, and how."""

import pytest

from xlcalc.workbook.calculation.comparisons import WANTED, Comparisons
from xlcalc.workbook.formulas import Token, spliced, tokens

IS, UP_TO, OVER, LESS, PLUS = (f"_XLCALC_{name}" for name in ("IS", "UP_TO", "OVER", "LESS", "PLUS"))
SPELLED = [
    ("A1*3<=B1", f"{UP_TO}(A1*3,B1)"),
    ("A1 > B1", f"{OVER}(A1 , B1)"),
    ('IF(A1-B1-C1=0,"a","b")', f'IF({IS}({LESS}({LESS}(0+A1,0+B1),0+C1),0),"a","b")'),
    ("(A1-B1)=0", f"{IS}(({LESS}(0+A1,0+B1)),0)"),
    ("ABS(A1+B1)>2", f"{OVER}(ABS({PLUS}(0+A1,0+B1)),2)"),
    ("SUM(A1:A9)<=B1+2", f"{UP_TO}(SUM(A1:A9),{PLUS}(0+B1,0+2))"),
    ("A1%--B1>3%", f"{OVER}({LESS}(0+A1%,0+-B1),3%)"),
    ('A1<"mm"', '_XLCALC_UNDER(A1,"mm")'),
    ("A1^-2=3", f"{IS}(A1^-2,3)"),
    ('"Ä"=A1', f'{IS}("Ä",A1)'),
    ("One=TRUE", f"{IS}(One,TRUE)"),
    ("IF(A1>B1,IF(C1=2,1,2),3)", f"IF({OVER}(A1,B1),IF({IS}(C1,2),1,2),3)"),
    ("AND(A1>B1,A1-1)", f"AND({OVER}(A1,B1),A1-1)"),
    ("INT(A1/B1)", "_XLCALC_INT(0+A1/B1)"),
    ("UPPER(A1)", '_XLCALC_UPPER(""&A1)'),
    ("FLOOR(A1,0.1)=B1", f"{IS}(_XLCALC_FLOOR(0+A1,0+0.1),B1)"),
    ("MOD(INT(A1), -B1)", "_XLCALC_MOD(0+_XLCALC_INT(0+A1), 0+-B1)"),
]
LEFT = [
    'A1=""', 'IF(A1<>"mm",1,2)', "A1-B1", "A1:A9>2", "SUMPRODUCT((A1:A9>3)*B1:B9)", "Many>2", "{1,2}>1", "T[a]=2",
    "A1:A3 B2:B4>2", "INDEX(A1:A9,1):A3>2", "A1#>2", "MOD(ROW(A1:A9),2)", "MATCH(1,(A1:A9=2)*(B1:B9=3),0)", "1<2<3",
    'INT(A1="x")', "INT(A1&B1)", "=A1>2", "A1>2)", "(A1>2", "Int(A1:A9)",
    "INT()", "INT(A1,2)", "MOD(A1)", "MOD(,2)", "MOD(A1,)", "MOD(A1,2,3)", "FLOOR(A1)", 'UPPER("a","b")',
]  # fmt: skip


def spelled(formula: str) -> str:
    def single(piece: Token) -> bool:
        return piece.text in {"One", "TRUE"}

    return spliced(formula, sorted(Comparisons(tokens(formula), single).edits))


@pytest.mark.parametrize(("formula", "calls"), SPELLED)
def test_a_comparison_of_single_values_becomes_a_call(formula: str, calls: str) -> None:
    assert WANTED.search(formula)
    assert spelled(formula) == calls


@pytest.mark.parametrize("formula", LEFT)
def test_what_compares_areas_or_plain_words_or_cannot_be_read_stays(formula: str) -> None:
    assert spelled(formula).upper() == formula.upper()


def test_a_formula_that_compares_with_plain_words_only_is_not_looked_at() -> None:
    assert not any(WANTED.search(each) for each in ('IF(A1="",1,2)', 'A1<>"mm"', 'A1 = "x"', "A1-B1", "POINT(A1)"))
