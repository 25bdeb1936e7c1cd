"""The tests of the lines: what is planned, the limits before the test, what was read, and what it proves."""

from xlcalc.workbook.building.checks import (
    CANNOT,
    at_most,
    fetched,
    folded,
    limit_words,
    number,
    reason,
    row_table,
    shown,
    told_apart,
)
from xlcalc.workbook.building.rows import Column
from xlcalc.workbook.sheets.columns import (
    check,
    memory,
    of_its_list,
    others,
    picked,
    picked_line,
    span,
    text,
    typed,
    why,
    words,
    worked,
)

NAME = "Testing"
GAS = "low-pressure gas leak"
WHICH, BEFORE, LIMITS, READ, OUT, DO = (
    "Which", "Before the test", "Limits of the test", "What was read", "What comes out", "What to do"
)  # fmt: skip
KPA = "[>=100]0;[<=-100]-0;0.0"


def first_blank(*cells: tuple[str, str], then: str = '""') -> str:
    """Header of the first blank cell that is needed: (condition or nothing, key); `then` where none is."""
    for condition, key in reversed(cells):
        blank = f'{{{key}}}=""'
        then = f'IF({f"AND({condition},{blank})" if condition else blank},<{key}>,{then})'
    return then


def _over(key: str, head: str, value: str, limit: str) -> Column:
    """A number in words, with more digits only where it passes its limit and would print like it."""
    alike = f"AND({{{value}}}>{{{limit}}},ROUND({{{value}}},1)=ROUND({{{limit}}},1))"
    return folded(key, head, "", f'=IFERROR(IF({{{limit}}}="","",FIXED({{{value}}},IF({alike},3,1),TRUE)),"")', "Reasons")


def _failed(key: str, head: str, *cells: str) -> Column:
    """A reason where an answer failed."""
    return reason(key, head, "=" + "".join(f"IF(ISERROR({{{cell}}}),{CANNOT}<{cell}>," for cell in cells) + '""' + ")" * len(cells))


NUTS, HELD = '{nut}<>""', 'OR({gaspicked},{useof}="vacuum")'
TO_PLAN = first_blank(("", "kind"), ("", "weakest"), ("", "medium"), (NUTS, "metal"))
TO_PASS = first_blank(("", "cleaned"), ("", "caps"), (NUTS, "mark"), ("", "hold"), ("", "start"), then="{toread}")
TO_READ = first_blank(
    (HELD, "later"), ("{gaspicked}", "warm"), ("{gaspicked}", "warmlater"), ("", "by"), ("", "gauge"),
    then=f'IF(AND({HELD},WorkshopAltitude=""),"Workshop altitude, on Start","")',
)  # fmt: skip

TESTS = row_table(
    NAME,
    "What test does each line need, and did it pass?",
    shown=[
        picked_line("line", WHICH, "Line", 17.5, "A line of the Lines sheet. Each line once."),
        check(WHICH),
        memory(WHICH),
        picked("kind", BEFORE, "Kind", 7.5, words("hose", "tube"), "A hose is proved at twice its working pressure, a tube at one and a half. Vacuum: leave blank."),
        picked("cleaned", BEFORE, "Cleaned", 8, words("yes", "no"), "Flushed and blown through after cutting?"),
        picked("caps", BEFORE, "Caps off", 7, words("yes", "no"), "Are all shipping caps counted off?"),
        text("nut", BEFORE, "Nut size", 6.5, "Dash size of the 37 degree swivel nuts, e.g. -6. Blank: no such nuts."),
        picked("metal", BEFORE, "Nut metal", 9.5, words("steel", "aluminium", "mixed"), "Of nut and port; mixed takes the aluminium figures."),
        picked("mark", BEFORE, "Torque mark", 7, words("yes", "no"), "Does every nut bear its mark after the torque?"),
        typed("weakest", BEFORE, "Weakest part allows", "kPa", 8.5, "What the weakest part of the line bears, in kPa. Coolant: the rating of the cap.",
              span("PROOF_PRESSURE", "working_pressure")),
        picked("medium", BEFORE, "Medium", 12.5, words("liquid", GAS), "A proof is liquid. Gas only finds leaks, at low pressure, after the proof. Vacuum: leave blank."),
        picked("proved", BEFORE, "Proved with liquid", 8, words("yes", "no"), "Before a gas leak test: was the line proved with liquid?"),
        typed("volume", BEFORE, "Volume under test", "L", 8, "Of gas or vacuum, with what hangs on the line. Blank: the line's own.", span("GAS_ENERGY", "volume")),
        worked("low", LIMITS, "Torque at least", "N m", 7.5, '=IF({nuts},NUT_TORQUE({nut},{metal},"low"),"")'),
        worked("high", LIMITS, "Torque at most", "N m", 8, '=IF({nuts},NUT_TORQUE({nut},{metal},"high"),"")'),
        worked("working", LIMITS, "Working pressure", "kPa", 9.5, '=IF({ready},INDEX(LineWorking,{place}),"")'),
        worked("proof", LIMITS, "Proof", "kPa", 7, '=IF({pressed},PROOF_PRESSURE({working},{kind}),"")', KPA),
        worked("energy", LIMITS, "Gas would let go", "J", 8, '=IF({gas},GAS_ENERGY({gasat},{volumen}),"")'),
        worked("testat", LIMITS, "Test at", "kPa", 7,
               '=IF({vacuum},HoldVacuumStart,IF({pressed},IF({leaktest},MIN({weakestn},FuelAirTest),{smaller}),""))', KPA),
        worked("holdleast", LIMITS, "Hold at least", "min", 7,
               '=IF({ready},IF({vacuum},HoldVacuumTime,IF({gas},HoldGasLeast,HoldLiquidLeast)),"")', "0.0;-0.0;0.0"),
        typed("hold", READ, "Held for", "min", 7, "Minutes from the first reading to the second.", span("VACUUM_LEAK", "hold_time")),
        typed("start", READ, "Reading at start", "kPa", 8, "At the start of the hold: pressure above the atmosphere, of a vacuum line kPa below it.",
              span("PROOF_PRESSURE", "working_pressure")),
        typed("warm", READ, "Temp. at start", "°C", 7, "Gas: its temperature at the start.", (-60, 150)),
        typed("later", READ, "Reading later", "kPa", 8, "At the end of the hold.", span("PROOF_PRESSURE", "working_pressure")),
        typed("warmlater", READ, "Temp. later", "°C", 7, "Gas: its temperature at the end.", (-60, 150)),
        typed("litres", READ, "Fluid filled", "L", 7, "What was filled into this line's system, counted once.", span("GAS_ENERGY", "volume")),
        picked("result", READ, "Result", 9.5, words("pass", "fail", "not done"), "What the tester signs. Blank: not done."),
        text("by", READ, "By", 9, "Who read it.", wrap=True),
        text("gauge", READ, "Gauge no.", 8, "Number of the gauge, with its last calibration."),
        worked("expected", OUT, "Expected later", "kPa", 9.2, '=IF({warmed},HOLD_PRESSURE_AT({start},{warm},{warmlater},WorkshopAltitude),"")', KPA),
        worked("lost", OUT, "Lost", "kPa", 6.5,
               '=IF({warmed},IF({later}="","",{expected}-{latern}),IF(AND({vacuum},{start}<>"",{later}<>""),{startn}-{latern},""))', "0.0;-0.0;0.0"),
        worked("leak", OUT, "Leak, free air", "mL/min", 7.5, '=IF({leaks},VACUUM_LEAK({lost},{volumen},{holdn},WorkshopAltitude),"")', "0"),
        others(DO, 25.5),
    ],
    helpers=[
        folded("useof", "Use", "", '=IF({place}=0,"",INDEX(LineUses,{place}))'),
        folded("gaspicked", "Gas picked", "", f'=AND({{useof}}<>"vacuum",{{medium}}="{GAS}")'),
        folded("toplan", "Missing before the test", "",
               f'=IF(OR({{place}}=0,{{useof}}="vacuum"),"",{TO_PLAN})'),
        folded("topass", "Missing for a pass", "",
               f'=IF({{result}}<>"pass","",{TO_PASS})'),
        folded("toread", "Missing for a pass, the readings", "",
               f"={TO_READ}"),
        fetched("fluid", "Fluid", "", "LineFluids"),
        folded("vacuum", "Vacuum line", "", '=AND({ready},{useof}="vacuum")'),
        folded("pressed", "Line under pressure", "", '=AND({ready},{useof}<>"vacuum")'),
        folded("gas", "Tested with gas", "", "=AND({ready},{gaspicked})"),
        folded("leaktest", "Gas, after a proof", "", '=AND({gas},{proved}="yes")'),
        fetched("fuel", "Fuel", "", "LineIsFuel"),
        folded("nuts", "Nuts with a torque", "", '=AND({ready},{nut}<>"",{kind}="hose")'),
        why("low", "torque", "NUT_TORQUE", '{nut},{metal},"low"', "{nuts}"),
        folded("done", "Tested", "", '=AND({ready},OR({result}="pass",{result}="fail"))'),
        number("weakestn", "Weakest number", "kPa", "weakest", "kPa"),
        number("holdn", "Minutes number", "min", "hold", "min"),
        number("startn", "Start number", "kPa", "start", "kPa"),
        number("latern", "Later number", "kPa", "later", "kPa"),
        number("warmlatern", "Later temperature number", "°C", "warmlater", "degC"),
        folded("volumen", "Volume number", "L", '=IF({ready},IF({volume}<>"",QUANTITY_IN({volume},"L"),IF(OR({gas},{vacuum}),INDEX(LineHolds,{place}),"")),"")', reads=("volume", "L")),
        number("fillednumber", "Filled number", "L", "litres", "L"),
        folded("smaller", "Smaller of proof and weakest", "kPa", '=IF({pressed},MIN({proof},{weakestn}),"")'),
        folded("gasat", "Pressure of the gas", "kPa", '=IF({gas},IF({leaktest},IF({start}="",{testat},{startn}),{smaller}),"")'),
        folded("proofover", "Proof over the weakest part, in words", "",
               f'=IF({{pressed}},IFERROR({shown("proof")}&" kPa over weakest part, at most "&{shown("weakestn")},""),"")'),
        folded("proven", "Proved", "", '=OR({leaktest},AND({pressed},{gas}=FALSE,{result}="pass"))'),
        folded("warmed", "Gas hold with temperatures", "", '=AND({gas},{start}<>"",{warm}<>"",{warmlater}<>"",WorkshopAltitude<>"")'),
        folded("leaks", "Vacuum hold", "", '=AND({vacuum},{hold}<>"",{start}<>"",{later}<>"",WorkshopAltitude<>"",IFERROR({lost}>=0,FALSE))'),
        folded("startleast", "Start at least", "kPa",
               '=IF(OR({start}="",{ready}=FALSE),"",IF({vacuum},HoldVacuumStart,IF({gas},IF({fuel},FuelAirTest,""),{smaller})))'),
        folded("startmost", "Start at most", "kPa", '=IF(OR({start}="",{pressed}=FALSE),"",IF({leaktest},MIN(GasLeakMost,{weakestn}),{weakestn}))'),
        told_apart("lowsaid", "Start in words, too low", "startn", "{startleast}"),
        told_apart("highsaid", "Start in words, too high", "startn", "{startmost}"),
        folded("gasmost", "Gas lost at most", "kPa", '=IF(AND({warmed},{later}<>""),HoldGasLoss,"")'),
        folded("lossper", "Vacuum lost in the time of the limit", "kPa", '=IF({leaks},{lost}*HoldVacuumTime/{holdn},"")'),
        folded("lossmost", "Vacuum lost at most", "kPa", '=IF({leaks},HoldVacuumLoss,"")'),
        _over("losssaid", "Loss in words", "lossper", "lossmost"),
        _over("gassaid", "Gas lost in words", "lost", "gasmost"),
        folded("gaslost", "Gas hold in words", "",
               '=IFERROR(IF({gasmost}="","",{gassaid}&" kPa lost, at most "&HoldGasLoss&": "&FIXED({latern},1,TRUE)&" kPa later, expected "'
               '&FIXED({expected},1,TRUE)&" at "&FIXED({warmlatern},0,TRUE)&" °C"),"")'),
        folded("said", "Result as it counts", "",
               '=IF({line}="","",IF({result}="pass",IF(OR(LEFT({first},6)="Within",LEFT({first},4)="Near"),"pass","to mend"),IF({result}="fail","fail","not done")))'),
        folded("once", "Counts once", "", "=IF({place}=0,0,1/COUNTIF([line],{line}))"),
        folded("untested", "Line of Lines without a test", "",
               '=IFERROR(IF(COUNTIF([line],INDEX(LineNames,ROW()-ROW(<line>)-1))=0,INDEX(LineNames,ROW()-ROW(<line>)-1)&"",""),"")'),
    ],
    reasons=[
        reason("r_medium", "Words of Medium", f'=IF(AND({{pressed}},{{medium}}<>"liquid",{{gas}}=FALSE),{CANNOT}<medium>&", not a word of its list","")'),
        reason("r_result", "Words of Result",
               f'=IF({{ready}},IF(OR({{done}},{{result}}="",{{result}}="not done"),"",{CANNOT}<result>&", not a word of its list"),"")'),
        of_its_list("cleaned", "Words of Cleaned", "yes", "no"),
        of_its_list("caps", "Words of Caps off", "yes", "no"),
        of_its_list("mark", "Words of Torque mark", "yes", "no"),
        reason("r_over", "Over what is allowed",
               '=IF({startmost}="","",IF({startn}>{startmost},"Change: tested at "&{highsaid}&" kPa, "&IF({startmost}<{weakestn},"gas","weakest part")'
               f'&" allows at most "&{limit_words("startmost")},""))'),
        reason("r_proof", "Proof",
               '=IF(OR({pressed}=FALSE,{useof}="coolant"),"",IF({proof}<={weakestn},"",IF({proven},"Near limit: proof "&{proofover},'
               f'"Change: proof "&{{proofover}}&": test at "&{shown("weakestn")})))'),
        reason("r_gas", "Gas for a proof",
               f'=IF(AND({{gas}},{{leaktest}}=FALSE),"Change: gas chosen for a proof of "&{shown("smaller")}&" kPa ("&FIXED({{energy}},0,TRUE)&" J): use liquid","")'),
        reason("r_low", "Under what is asked",
               f'=IF({{startleast}}="","",IF({{startn}}>={{startleast}},"","Change: "&IF({{vacuum}},"hold started","tested")&" at "&{{lowsaid}}&" kPa, at least "&{limit_words("startleast")}))'),
        reason("r_hold", "Hold time",
               f'=IF(AND({{ready}},{{hold}}<>""),IF({{holdn}}<{{holdleast}},"Change: held for "&FIXED({{holdn}},1,TRUE)&" min, at least "&{limit_words("holdleast")},""),"")'),
        reason("r_lost", "Gas lost",
               at_most("lost", "gasmost", "{gaslost}")),
        reason("r_rose", "Read higher than it can be",
               '=IFERROR(IF(OR({lost}="",{ready}=FALSE),"",IF({lost}<IF({gas},-HoldGasLoss,0),"Change: reads more later than it can: read again","")),"")'),
        reason("r_vacuum", "Vacuum lost",
               at_most("lossper", "lossmost", '{losssaid}&" kPa lost in "&HoldVacuumTime&" min, at most "&HoldVacuumLoss&": "&FIXED({leak},0,TRUE)&" mL/min leak in"')),
        reason("r_before", "Before the test",
               '=IF({result}<>"pass","",IF({cleaned}="no","Change: line not cleaned",IF({caps}="no","Change: caps not counted off",'
               'IF(AND({nut}<>"",{mark}="no"),"Change: nuts not marked after the torque",""))))'),
        reason("r_fail", "Failed", '=IF({result}="fail","Change: test failed: mend and test again","")'),
        _failed("r_rest", "Limits", "proof", "testat", "energy", "low"),
        _failed("r_read", "Readings", "expected", "lost", "leak"),
        reason("r_open", "Not done", '=IF({ready},IF(OR({result}="",{result}="not done"),"Not checked: test not done",""),"")'),
    ],
    required=(),
    answers=("proof", "leak"),
    of_a_line=True,
    read=("weakestn", "holdn", "startn", "latern", "volumen"),
    more_missing='IF({toplan}="",{topass},{toplan})',
    whys=("whylow",),
)  # fmt: skip
