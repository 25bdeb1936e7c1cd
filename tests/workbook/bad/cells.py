"""What stands in cells: formulas at and over every limit, numbers and texts in every dress, texts that want to harm."""

from ..books import book, formula, number, row, text
from .case import Case, read, refused

HARM = [
    "=cmd|' /C calc'!A0", "+1+cmd|' /C calc'!A0", "-2+3+cmd|x!A0", "@SUM(1+1)*cmd|x!A0", "\t=1+1",
    "=HYPERLINK(&quot;http://x&quot;)",
]  # fmt: skip


def about(cell: str, written: str, **values: object) -> Case:
    """A book with one odd cell in A1, and a formula that looks at it in B1."""
    return read(book(row(1, cell, formula("B1", escaped(written)))), values)


def escaped(value: str) -> str:
    return value.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")


def calc(written: str, value: object) -> Case:
    """A book with one formula."""
    return read(book(row(1, number("A1", 3), formula("B1", escaped(written)))), {"B1": value})


def kept(written: str) -> Case:
    """A formula that only the spreadsheet works out: its cell keeps its value."""
    return read(book(row(1, number("A1", 3), formula("B1", escaped(written), "7"))), {"B1": 7.0})


def typed(value: str, answer: object) -> Case:
    """A flow of this text through one of our functions: `QUANTITY_IN`."""
    return about(text("A1", value), 'QUANTITY_IN(A1,"L/min")', B1=answer)


LONG = '"' + "x" * 8_000 + '"'
CELLS: dict[str, Case] = {
    "formula of 8,192 characters": kept("A1" + "+1" * 4_095),
    "formula of 8,192 characters in one text": calc(f"LEN({LONG})", 8_000.0),
    "formula of 70,000 characters": refused(book(row(1, formula("B1", "1+" * 35_000 + "1"))), "longer than any"),
    "formula of 60,000 entities": refused(book(row(1, formula("B1", "&amp;" * 60_000))), "longer than any"),
    "64 calls in each other": calc("ABS(" * 64 + "A1" + ")" * 64, 3.0),
    "65 of ours in each other": calc("QUANTITY_IN(" * 65 + "A1" + ',"mm")' * 65, 3.0),
    "1,000 brackets in each other": kept("(" * 1_000 + "A1" + ")" * 1_000),
    "4,000 minus signs": kept("-" * 4_000 + "A1"),
    "brackets that are not closed": kept("(" * 5_000),
    "256 arguments": calc(f"SUM({','.join(['A1'] * 255)})", 765.0),
    "too many arguments for ours": calc(f"LINE_VELOCITY({','.join(['A1'] * 30)})", "#VALUE!"),
    "many square brackets": kept("[a" * 4_000),
    "many quotes": kept('"' * 8_191),
    "many apostrophes": kept("'a" * 4_000),
    "nothing but a sign": kept("="),
    "formula of spaces": kept("   "),
    "function of a newer spreadsheet": calc("_xlfn.CONCAT(A1,1)", "31"),
    "function that nobody knows": kept("_xlfn.NO_SUCH(A1)"),
    "our function behind a path": calc("'C:\\x y\\xlcalc.xlam'!QUANTITY_IN(A1,\"mm\")", 3.0),
    "our function of a link": calc('[1]!QUANTITY_IN(A1,"mm")', 3.0),
    "at sign": calc('@QUANTITY_IN(A1,"mm")', 3.0),
    "spill sign": calc("SUM(A1#)", "#REF!"),
    "decimal comma": typed("6,5 L/min", 6.5),
    "thousands and decimal comma": typed("1.250,5 L/min", 1250.5),
    "two readings": typed("1,250 L/min", "#VALUE!"),
    "no-break space": typed("6,5\N{NO-BREAK SPACE}L/min", 6.5),
    "narrow no-break space": typed("1\N{NARROW NO-BREAK SPACE}250 L/min", 1250.0),
    "thin space": typed("6.5\N{THIN SPACE}L/min", 6.5),
    "minus sign of the typesetter": about(text("A1", "−20 degC"), 'QUANTITY_IN(A1,"degC")', B1=-20.0),
    "full-width digits": typed("６.５ L/min", 6.5),
    "superscript": about(text("A1", "25 mm²"), 'QUANTITY_IN(A1,"mm2")', B1=25.0),
    "one half turned into a date": about('<c r="A1"><v>45658</v></c>', 'QUANTITY_IN(A1,"in")', B1=45658.0),
    "one half as text": about(text("A1", "1/2 in"), 'ROUND(QUANTITY_IN(A1,"mm"),3)', B1=12.7),
    "number as text": about('<c r="A1" t="str"><v>6.5</v></c>', 'QUANTITY_IN(A1,"L/min")', B1=6.5),
    "emoji": typed("6 🚗", "#VALUE!"),
    "right to left": typed("\N{RIGHT-TO-LEFT OVERRIDE}6 L/min", "#VALUE!"),
    "invisible character": typed("6\N{ZERO WIDTH SPACE}5 L/min", "#VALUE!"),
    "text of 32,767 characters": about(text("A1", "x" * 32_767), "LEN(A1)", B1=32_767.0),
    "text of 32,767 characters for ours": typed("6" * 32_767, "#VALUE!"),
    "text that grows too long": calc('REPT("x",40000)', "#VALUE!"),
    "nan": about('<c r="A1"><v>NaN</v></c>', "A1*2", B1="#NUM!"),
    "1e309": about('<c r="A1"><v>1e309</v></c>', "A1*2", B1="#NUM!"),
    "1e308 and more": calc("1E308*10", "#NUM!"),
    "-0": about('<c r="A1"><v>-0</v></c>', "A1", B1=0.0),
    "smallest number": about('<c r="A1"><v>4.9E-324</v></c>', "A1", B1=5e-324),
    "number with an underscore": about('<c r="A1"><v>1_0</v></c>', "A1*2", B1="#VALUE!"),
    "words for a number": about('<c r="A1"><v>three</v></c>', "A1*2", B1="#VALUE!"),
    "true": about('<c r="A1" t="b"><v>1</v></c>', "A1", B1=True),
    "true that is neither": about('<c r="A1" t="b"><v>7</v></c>', "A1", B1=True),
    "blank": about('<c r="A1"/>', 'QUANTITY_IN(A1,"mm")', B1=""),
    "text of spaces": typed("   ", ""),
    **{f"text that a spreadsheet would obey: {value[:4]!r}": about(text("A1", value), "LEN(A1)>1", B1=True)
       for value in HARM},
    "answer that a spreadsheet would obey": about(text("A1", "=1+1"), 'A1&""', B1="=1+1"),
    "reference to a cell that is gone": calc("#REF!+1", "#REF!"),
    "reference outside the sheet": calc("XFE1+1", "#NAME?"),
    "circle": read(book(row(1, formula("A1", "B1", "4"), formula("B1", "A1", "5"))), {"A1": 4.0, "B1": 5.0}),
    "link to another book": kept("[1]S!A1"),
    "dde": kept("cmd|'/C calc'!A0"),
    "web service": kept('WEBSERVICE("http://127.0.0.1:9/")'),
    "link that is shown": calc('HYPERLINK("http://127.0.0.1:9/","see")', "see"),
    "whole sheet": calc("SUM(C:XFD)", 0.0),
    "billion cells": calc("SUM(SEQUENCE(100000,10000))", "#NUM!"),
}  # fmt: skip
