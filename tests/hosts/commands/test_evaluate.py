"""`xlcalc eval`: an answer, or a sentence that says why there is none."""

import pytest

from xlcalc.hosts.output import command

from ..running import said


@pytest.mark.parametrize(
    ("formula", "code", "says"),
    [
        ('BORE_FOR_FLOW("30 US gpm","20 ft/s","in")', 0, "0.782781 in\n"),  # Esposito Ex. 10-1: 0.783 in
        ("=ROUND(LINE_VELOCITY(8,7.9)*2,2)", 0, "5.44\n"),  # 8 L/min / (pi/4 x 7.9 mm squared) = 2.7202 m/s
        ("LINE_VELOCITY(8,{7.9,7.9})", 0, "2.72016 m/s   2.72016 m/s\n"),
        ('ANSWER_STEPS("LINE_VELOCITY",8,7.9)', 0, "Flow: 8 L/min = 0.000133333 m³/s\nBore: 7.9 mm = 0.0079 m\n"),
        ("IF(TRUE,7)", 0, "7\n"),
        ("LINE_VELOCITY(-1,7.9)", 1, "#NUM! Flow: -1 L/min is below 0 L/min; allowed 0 to 2000 L/min (workshop"),
        ('LINE_VELOCITY(8,BORE_FOR_FLOW(8,"300 m/s"))', 1, '#NUM! Mean velocity: "300 m/s" is above 60 m/s'),
        ("LINE_VELOCITI(8,7.9)", 1, "#NAME? 'LINE_VELOCITI' is not a function of xlcalc or of the spreadsheet: "
         "did you mean LINE_VELOCITY"),
        ("LINE_VELOCITY(8;7.9)", 1, "#VALUE! between arguments stands a comma here, not a semicolon"),
        ("BORE_FOR_FLOW(30 US gpm,2)", 1, "#NAME? US is not known here: words and values with a unit stand in double"),
        ("A1+1", 1, "#REF! there are no cells here: put a value in place of A1"),
        ("LINE_VELOCITY(8,7.9", 1, "#VALUE! a closing bracket ) is missing at the end"),
        ("LINE_VELOCITY(8,7.9))", 1, "#VALUE! a bracket ) stands at character 21 that nothing opens"),
        ('LINE_VELOCITY("8,7.9)', 1, "#VALUE! the text that begins at character 15 has no closing quote"),
        ("1\x01", 1, "#VALUE! it holds invisible characters"),
        ("1+" * 5000 + "1", 1, "#VALUE! it is 10001 characters long"),
        ("*", 1, "#VALUE! this is not a formula"),
        ("1/0", 1, "#DIV/0! it divides by zero"),
        ("LINE_VELOCITY()", 1, "#VALUE! Flow is missing: give 0 to 2000 L/min\n  Write e.g. LINE_VELOCITY(8, 7.9)"),
        ('LINE_VELOCITY("",,"ft/s")', 1, "#VALUE! Flow is missing: give 0 to 2000 L/min\n"),
        ("LINE_VELOCITY(8,BORE_FOR_FLOW())", 1, "#VALUE! BORE_FOR_FLOW: Flow is missing: give"),
        ("1+LINE_VELOCITY()", 1, "#VALUE! LINE_VELOCITY: Flow is missing: give"),
        ('ANSWER_STEPS("LINE_VELOCITY")', 1, "#VALUE! Flow is missing: give"),
        ("IF(TRUE,7,LINE_VELOCITY())", 0, "7\n"),  # a branch that is not taken waits for nothing
        ("IF(FALSE,LINE_VELOCITY(),1/0)", 1, "#DIV/0! it divides by zero"),
        ("LINE_VELOCITY", 1, "#NAME? LINE_VELOCITY takes its arguments in brackets behind it, e.g. LINE_VELOCITY(8"),
        ("LINE_VELOCITY(8 7.9)", 1, "#VALUE! between 8 and 7.9 stands no comma and no sign"),
        ("LINE_VELOCITY('8 L/min',7.9)", 1, '#VALUE! a text stands in straight double quotes: LINE_VELOCITY("8'),
        ("LINE_VELOCITY(\u201c8 L/min\u201d,7.9)", 1, '#VALUE! a text stands in straight double quotes: LINE_VELO'),
        ("'LINE_VELOCITY(8,7.9)'", 0, "2.72016 m/s\n"),  # quotes that the Windows Command Prompt leaves on
        ("LINE_VELOCITY(8,7,9)", 1, "#VALUE! Unit of the answer: 9 is not the name of a unit: m/s or another unit "
         "of that kind\n  Outside quotes a number takes a point, 7.9 and not 7,9"),
        ('LINE_VELOCITY(8,7.9,"furlong")', 1, '#VALUE! Unit of the answer: "furlong" is not a unit known here: give'),
        ('LINE_VELOCITY("8 furlong",7.9)', 1, '#VALUE! Flow: "furlong" is not a unit known here: give 0 to 2000 L/min'),
        ('QUANTITY_IN("8 bar","furlong")', 1, '#VALUE! Unit wanted: "furlong" is not a unit known here: give the name'),
        ('ANSWER_STEPS("QUANTITY_IN",8,"degC")', 0, "Quantity: 8\nUnit wanted: °C (given as degC)\n"),
        ('ANSWER_WHY("LINE_VELOCITY",8,7.9)', 0, "There is an answer: 2.72 m/s\n"),
        ("XLCALC_STATUS()", 0, "connected"),
        ("LINE_VELOCITY(8)", 1, "#VALUE! Bore is missing"),
    ],
)  # fmt: skip
def test_eval_answers_or_says_why_not(formula: str, code: int, says: str, capsys: pytest.CaptureFixture[str]) -> None:
    got, out, _ = said(capsys, "eval", formula)
    assert got == code
    assert out.startswith(says)


@pytest.mark.parametrize(
    ("formula", "hint"),
    [
        ("7,9", True),
        ('LINE_PRESSURE_DROP(8,7,9,2,5,"ATF generic",-20)', True),  # 7.9 and 2.5, and none of the others
        ("ROUND(LINE_VELOCITY(8,7,9),2)", True),
        ('LINE_VELOCITY(8,7,"furlong")', False),  # 8.7 is no help: the unit is wrong
        ('LINE_PRESSURE_DROP(8,10,2,"ATF generic","cold")', False),
        ("LINE_VELOCITY(8, 7, 9)", False),  # nobody writes a number with a space in it
        ('ROUND("a",2)+MAX(1,2)', False),
    ],
)  # fmt: skip
def test_a_point_is_asked_for_only_where_it_would_help(
    formula: str, hint: bool, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = said(capsys, "eval", formula)
    assert code == 1
    assert ("takes a point" in out) is hint


def test_a_semicolon_formula_is_written_anew_with_its_decimal_commas(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = said(capsys, "eval", 'LINE_VELOCITY(8,5;"7;9")')
    assert out.splitlines()[0].endswith('and in a number a point: LINE_VELOCITY(8.5,"7;9")')


def test_eval_says_beside_the_answer_that_it_rests_on_memory(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = said(capsys, "eval", 'LINE_PRESSURE_DROP(8,7.9,2,"ATF generic",-20)')
    assert code == 0
    lines = out.splitlines()
    assert lines[0].endswith(" kPa")
    assert lines[1].startswith("  That viscosity is an estimate")
    assert lines[2].startswith("  The thickest its grade allows there")
    assert lines[3] == "  The answer rests on memory for ATF generic"
    steps = command("eval", 'ANSWER_STEPS("LINE_PRESSURE_DROP",8,7.9,2,"ATF generic",-20)')
    assert lines[-1] == f"Next: see how it was worked out: {steps}"
