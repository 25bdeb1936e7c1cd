"""Tables of the Cooling sheet: oil circuits with what cools them, and coolers of which a maker gives no heat figure."""

from xlcalc.workbook.building.checks import (
    CANNOT,
    at_least,
    at_most,
    folded,
    limit_words,
    number,
    of_line,
    reason,
    row_table,
    told_apart,
)
from xlcalc.workbook.building.rows import Column
from xlcalc.workbook.sheets.columns import (
    check,
    fluid_reason,
    fluid_words,
    memory,
    others,
    picked,
    picked_line,
    span,
    text,
    typed,
    words,
    worked,
)

NAME = "Cooling"
WHICH, FLOWS, WARMS, LOCK, COOLS, OUT, DO = (
    "Which", "What flows", "How warm", "Full lock", "What cools it", "What comes out", "What to do"
)  # fmt: skip
WARM = (-60, 250)
KELVIN = (0.1, 200)


def asked(*cells: tuple[str, str], after: str = '""') -> str:
    """Header of the first blank cell that a kind of row needs: (condition, key); `after` follows where none is."""
    found = after
    for condition, key in reversed(cells):
        found = f'IF(AND({condition},{{{key}}}=""),<{key}>,{found})'
    return f"={found}"


def warmth(key: str, head: str, value: str, limit: str) -> Column:
    """A temperature as the words give it: with decimals where it would print like its limit."""
    digits = f"IF(ROUND({{{value}}},0)=ROUND({limit},0),2,0)"
    return folded(key, head, "", f'=IFERROR(IF({{{value}}}="","",FIXED({{{value}}},{digits},TRUE)),"")', "Reasons", 14)


def told_elsewhere(_: str) -> str:
    """Nothing more to say of a value or a limit that failed: another reason names it."""
    return '""'


def limits(*names: str) -> tuple[Column, Column]:
    """A cell that is an error where a limit that the table goes by is no figure, and the reason that says so."""
    return (
        folded("rules", "Limits, readable", "", f'=IF({{ready}},SUM({",".join(names)}),"")'),
        reason("r_limits", "Limits", '=IF(ISERROR({rules}),"Cannot be worked out: see the limits on Start","")'),
    )


def warmest(value: str, limit: str, words: str) -> str:
    """A reason for a temperature that must not pass a limit; a value or a limit that failed is told elsewhere."""
    return (
        f'=IFERROR(IF({{{value}}}="","",IF({{{value}}}<={limit}-NearTemperature,"",'
        f'IF({{{value}}}>{limit},"Change: ","Near limit: ")&{words})),"")'
    )


def first_failed(*keys: str, unless: str = "") -> str:
    """A reason that names the first answer that failed, unless what it stands on failed and was told before."""
    found = '""'
    for key in reversed(keys):
        found = f"IF(ISERROR({{{key}}}),{CANNOT}<{key}>,{found})"
    if unless:
        found = f'IF({unless},"",{found})'
    return f'=IF(ISERROR({{rests}}),"",{found})'


def rests(*keys: str) -> Column:
    """An error where one of these cells is one, each with a reason of its own: words and blanks are skipped by SUM."""
    return folded("rests", "Stands on", "", f"=SUM({','.join(f'{{{key}}}' for key in keys)})")


def of_circuit(needs: str = "") -> tuple[list[Column], Column]:
    """Helper columns of a table whose rows name a circuit, and why there is none; `needs` is another condition."""
    ready = "INDEX(CircuitReady,{place})" if not needs else f"AND(INDEX(CircuitReady,{{place}}),{needs})"
    return [
        folded("place", "Place of the circuit", "", '=IF({circuit}="",0,IFERROR(MATCH({circuit},CircuitNames,0),0))'),
        folded("circuitready", "Circuit filled in", "", f"=IF({{place}}=0,FALSE,IFERROR({ready},FALSE))"),
    ], reason("r_circuit", "Circuit",
              '=IF(OR({circuit}="",{circuitready}),"","Cannot be worked out: "&IF({place}=0,{circuit}&" is not a circuit '
              'above","fill in circuit "&{circuit}&" above first, with its cooler"))')  # fmt: skip


def of(key: str, head: str, unit: str, name: str) -> Column:
    """What the table of circuits says of the circuit that this row names."""
    return folded(key, head, unit, f'=IF({{ready}},INDEX({name},{{place}}),"")')


A_KIND = 'OR({kind}="gearbox",{kind}="other oil",{kind}="steering")'
RULES, LIMITS = limits("{limit}", "{lockleast}", "NearTemperature", "NearAbove")
PLACES, LINE_REASONS = of_line("line")
CIRCUITS = row_table(
    NAME,
    "Does each oil circuit stay below its limit?",
    shown=[
        text("circuit", WHICH, "Circuit", 12, "A name of your own, e.g. gearbox. Each name once.", wrap=True),
        check(WHICH),
        memory(WHICH, ("fluid", 'INDEX(FluidMemory,MATCH({fluidused},FluidNames,0))="memory"')),
        picked("kind", FLOWS, "Kind", 10, words("gearbox", "other oil", "steering"),
               "Steering: how long its oil bears full lock. The others: how hot the oil comes to its cooler."),
        picked("fluid", FLOWS, "Fluid", 13.5, "FluidList", "A fluid of the Fluids sheet. Blank: the line's own."),
        picked_line("line", FLOWS, "Line", 11, "A line of Lines that carries this flow: flow, fluid and, of "
               "steering, relief come from there where they are blank here."),
        typed("flow", FLOWS, "Flow", "L/min", 6.5, "Through the cooler. Blank: the line's own.", span("HEAT_CARRIED", "flow")),
        typed("hot", WARMS, "Hot", "°C", 6.5, "Measured before the cooler. Steering: the oil before full lock.", WARM),
        typed("cool", WARMS, "Cool", "°C", 6.5, "Measured after the cooler at the same moment as hot.", WARM),
        typed("heat", WARMS, "Heat known", "kW", 7, "Blank: worked out from hot and cool. Steering with a cooler: the mean "
              "heat of a drive.", span("COOLER_OIL_IN", "heat")),
        typed("relief", LOCK, "Relief", "kPa", 7, "Steering: pressure of the relief valve. Blank: the line's highest.",
              span("PUMP_HEAT", "pressure")),
        typed("volume", LOCK, "Volume of oil", "L", 7.5, "Steering: oil in tank, lines and box that is stirred.",
              span("FLUID_WARM_TIME", "volume")),
        typed("cat", COOLS, "Rated heat", "kW", 7, "What the catalogue says the cooler gives off at the flow given here. "
              "Blank: its UA stands in the last table.", span("COOLER_HEAT_PER_DEGREE", "heat")),
        typed("diff", COOLS, "Rated over air", "K", 7.5, "Difference of oil in and air in that the rated heat holds for.", KELVIN),
        typed("air", COOLS, "Air before", "°C", 7, "Air as it enters the cooler on the hottest day: behind a radiator it "
              "is much warmer than outside.", (-60, 150)),
        typed("rise", COOLS, "Air rise", "K", 6, "How much warmer the air may leave the cooler: common practice 10 to 20 K.", KELVIN),
        worked("flown", OUT, "Flow used", "L/min", 8.5, '=IF({ready},IF({flow}="",INDEX(LineFlows,{place}),{flowtyped}),"")'),
        worked("heatw", OUT, "Heat", "kW", 6.5,
               '=IF({ready},IF({steers},PUMP_HEAT({flown},{reliefn}),IF({heat}="",HEAT_CARRIED({flown},{fw},{hot},{cool}),{heatn})),"")'),
        worked("seconds", OUT, "Full lock to the limit", "s", 8,
               '=IF(AND({ready},{steers}),IF({hotn}<{limit},FLUID_WARM_TIME({heatw},{volume},{fw},{hot},{limit}),0),"")'),
        worked("per", OUT, "Heat per degree", "kW/K", 8,
               '=IF({cooled},IF({cat}="",INDEX(CoolerPerDegree,MATCH({circuit},CoolerNames,0)),'
               'COOLER_HEAT_PER_DEGREE({cat},{diff},RoadAltitude)),"")'),
        worked("oilin", OUT, "Oil to cooler", "°C", 7, '=IF({cooled},IF(ISNUMBER({oilplain}),COOLER_OIL_IN({toheat},{air},{per}),""),"")'),
        worked("back", OUT, "Oil back", "°C", 7,
               '=IF({cooled},IF(ISNUMBER({oilin}),COOLER_OIL_OUT({flown},{fw},{oilin},{air},{per}),""),"")'),
        worked("airflow", OUT, "Air wanted", "m³/h", 7.5,
               '=IF({cooled},IF(ISNUMBER({toheat}),COOLER_AIR_FLOW({toheat},{air},{rise},RoadAltitude),""),"")'),
        others(DO, 44),
    ],
    helpers=[
        folded("steers", "Steering", "", '=({kind}="steering")'),
        folded("cools", "Has a cooler", "", '=OR({kind}<>"steering",{heat}<>"")'),
        folded("byua", "Rows of it with a UA", "", '=IF({circuit}="",0,COUNTIFS(CoolerNames,{circuit},CoolerTransfers,"<>"))'),
        folded("foroil", "Missing of the oil", "",
               asked(('{line}=""', "fluid"), ('{line}=""', "flow"), ("OR({steers},{heat}=\"\")", "hot"),
                     ('{steers}=FALSE,{heat}=""', "cool"), ('{steers},{line}=""', "relief"), ("{steers}", "volume"))),
        folded("forcooler", "Missing of the cooler", "",
               asked(("{cools},{byua}=0", "cat"), ('{cools},OR({byua}=0,{cat}<>"")', "diff"), ("{cools}", "air"), ("{cools}", "rise"),
                     after='IF(AND({cools},RoadAltitude=""),"Highest road, on Start","")')),
        folded("fluidused", "Fluid", "", '=IF({ready},IF({fluid}="",INDEX(LineFluids,{place}),{fluid}),"")'),
        fluid_words("fluidused"),
        *PLACES,
        folded("cooled", "Ready and cooled", "", "=AND({ready},{cools})"),
        number("flowtyped", "Flow, number", "L/min", "flow", "L/min"),
        number("relieftyped", "Relief, number", "kPa", "relief", "kPa"),
        number("hotn", "Hot, number", "°C", "hot", "degC"),
        number("cooln", "Cool, number", "°C", "cool", "degC"),
        number("heatn", "Heat, number", "kW", "heat", "kW"),
        number("airn", "Air, number", "°C", "air", "degC"),
        folded("reliefn", "Relief used", "kPa",
               '=IF(AND({ready},{steers}),IF({relief}="",INDEX(LineHighest,{place}),{relieftyped}),"")'),
        folded("limit", "Oil at most", "°C", '=IF({ready},IF({steers},SteeringOil,Sump),"")'),
        folded("toheat", "Heat for the cooler", "kW", '=IF({cooled},IF({steers},{heatn},{heatw}),"")'),
        folded("oilplain", "Oil to cooler, however hot", "°C", '=IF({cooled},IF(ISNUMBER({per}),{airn}+{toheat}/{per},""),"")'),
        folded("lockleast", "Seconds at least", "s", '=IF(AND({ready},{steers}),FullLock,"")'),
        RULES,
        rests("fw", "flown", "relieftyped", "reliefn", "hotn", "cooln", "heatn", "airn"),
        warmth("oilsaid", "Oil in words", "oilplain", "{limit}"),
        warmth("hotsaid", "Hot in words", "hotn", "{limit}"),
        told_apart("secondssaid", "Seconds in words", "seconds", "{lockleast}"),
        folded("lockwords", "What the driver must know", "",
               '=IFERROR(IF({seconds}="","","; full lock, "&FIXED({heatw},1,TRUE)&" kW: "&FIXED({seconds},0,TRUE)&" s to "&{limit}&'
               '" °C. Never hold it for more than "&{lockleast}&" s"),"")', "Reasons", 14),
    ],
    reasons=[
        *LINE_REASONS,
        fluid_reason("fluidused"),
        reason("r_kind", "Kind", f'=IF(OR({{kind}}="",{A_KIND}),"",{CANNOT}<kind>&", not a word of its list")'),
        reason("r_carries", "Fluid of its line", '=IF(AND({ready},{fluid}<>"",{place}>0),IF({fluid}=INDEX(LineFluids,{place}),"",'
               '"Change: "&{line}&" carries "&INDEX(LineFluids,{place})&" on Lines"),"")'),
        reason("r_flows", "Flow of its line", '=IFERROR(IF(OR({ready}=FALSE,{flow}="",{place}=0),"",IF(ABS({flowtyped}-INDEX(LineFlows,{place}))>0.001*{flowtyped},'
               '"Change: "&{line}&" carries "&FIXED(INDEX(LineFlows,{place}),1,TRUE)&" L/min on Lines, typed "&FIXED({flowtyped},1,TRUE)&": clear one","")),"")'),
        reason("r_fetched", "Figures of its line", '=IF(ISERROR(SUM({flowtyped},{relieftyped})),"",IF(ISERROR(SUM({flown},{reliefn})),'
               '"Cannot be worked out: see the flow and the highest pressure of "&{line}&" on Lines",""))'),
        reason("r_air", "Air against the hottest day", '=IFERROR(IF(OR({cooled}=FALSE,HottestAir=""),"",IF({airn}<QUANTITY_IN(HottestAir,"degC"),'
               '"Change: air "&ROUND({airn},1)&" °C before the cooler, the hottest day has "&HottestAir,"")),"")'),
        reason("r_swapped", "Hot and cool", '=IFERROR(IF(OR({steers},{heat}<>"",{hotn}>{cooln}),"","Cannot be worked out: hot "&ROUND({hotn},1)&'
               '" °C is not above cool "&ROUND({cooln},1)&": swapped?"),"")'),
        reason("r_oil", "Oil to cooler", warmest("oilplain", "{limit}", '"oil "&{oilsaid}&" °C to the cooler, at most "&'
                                                 f'{limit_words("limit")}&": larger cooler or more air"')),
        reason("r_hot", "Hot as measured", warmest("hotn", "{limit}", '"oil is "&{hotsaid}&" °C before "&IF({steers},"full lock",'
                                                   f'"the cooler")&" already, at most "&{limit_words("limit")}')),
        reason("r_lock", "Full lock", at_least("seconds", "lockleast", '{secondssaid}&" s at full lock to "&{limit}&" °C, at least "&'
                                               f'{limit_words("lockleast")}&": more oil"', told_elsewhere)),
        reason("r_back", "Oil back", '=IF(ISERROR({rests}),"",IF(ISERROR({back}),IF({oilplain}>{limit},"","Cannot be worked out: "&<back>&": "&'
               'ANSWER_WHY("COOLER_OIL_OUT",{flown},{fw},{oilin},{air},{per})),""))'),
        reason("r_per", "Heat per degree", '=IF({cooled},IF(ISERROR({per}),"",IF(ISNUMBER({per}),"","Cannot be worked out: '
               'its row in the last table of this sheet is not filled in")),"")'),
        LIMITS,
        reason("r_rest", "Other answers", first_failed("heatw", "seconds", "per", "airflow", unless='{r_swapped}<>""')),
    ],
    required=("kind",),
    answers=("heatw", "per", "oilin"),
    read=("hotn", "cooln", "heatn", "airn", "flowtyped", "relieftyped"),
    more_missing='IF({foroil}="",{forcooler},{foroil})',
    also_ready=f'OR({{line}}="",{{lineready}}),{A_KIND}',
    whys=("lockwords",),
)  # fmt: skip

COIL_RULES, COIL_LIMITS = limits("{most}", "NearBelow")
OF_CIRCUIT, CIRCUIT_REASON = of_circuit()
COIL = "The coil"
COOLERS = row_table(
    NAME,
    "Only for a cooler with a UA, or a coil of tube",
    shown=[
        picked("circuit", WHICH, "Circuit", 12, "CircuitList", "A circuit of the first table. Each once."),
        check(WHICH),
        memory(WHICH, ("fluid", 'INDEX(CircuitMemory,{place})<>""')),
        typed("ua", COOLS, "UA", "kW/K", 9, "What the maker gives at this flow of oil and air. Blank: a coil whose heat "
              "the catalogue gives.", span("COOLER_OIL_IN", "heat_per_degree")),
        picked("cross", COOLS, "Streams", 13.5, words("cross both unmixed", "cross one mixed", "counter", "parallel"),
               "How oil and air pass each other. Blank: cross both unmixed, a core with fins."),
        typed("through", COOLS, "Air flow", "m³/h", 7, "What passes the cooler as fitted: 50 to 70 % of a fan's "
              "free-air figure is common practice.", (0.1, 100000)),
        typed("oil", COOLS, "Mean oil", "°C", 6.5, "Mean temperature of the oil in the cooler.", WARM),
        typed("bore", COIL, "Tube bore", "mm", 6.5, "Inside diameter of a coil's tube. Blank: no coil.", span("DRAIN_TIME", "bore")),
        typed("length", COIL, "Tube length", "m", 6.5, "Of the tube from end to end.", span("LINE_VOLUME", "length")),
        typed("diameter", COIL, "Coil across", "mm", 7.5, "To the middle of the tube.", span("COIL_PRESSURE_DROP", "coil_diameter")),
        # heat per degree: half a degree on either side of the mean, over that one degree
        worked("oilrate", OUT, "Oil carries", "kW/K", 7.5, '=IF({byua},HEAT_CARRIED({flown},{fw},{oiln}+0.5,{oiln}-0.5)/QUANTITY_IN("1 K","K"),"")'),
        worked("airrate", OUT, "Air carries", "kW/K", 7.5, '=IF({byua},{throughn}/COOLER_AIR_FLOW(1,{airn},1,RoadAltitude),"")'),
        worked("units", OUT, "Transfer units", "", 8, '=IF({byua},{uan}/MIN({oilrate},{airrate}),"")', "0.00"),
        worked("effect", OUT, "Share of all heat", "", 8,
               '=IF({byua},COOLER_EFFECTIVENESS({units},MIN({oilrate},{airrate})/MAX({oilrate},{airrate}),{streams}),"")', "0.000"),
        worked("per", OUT, "Heat per degree", "kW/K", 8, '=IF({byua},{effect}*MIN({oilrate},{airrate}),"")'),
        worked("drop", OUT, "Coil drop", "kPa", 7, '=IF({coiled},COIL_PRESSURE_DROP({flown},{bore},{length},{fw},{oil},{diameter}),"")'),
        others(DO, 44),
    ],
    helpers=[
        *OF_CIRCUIT,
        folded("given", "Missing", "",
               asked(('{bore}=""', "ua"), ('{ua}<>""', "through"), ("TRUE", "oil"), ('{bore}<>""', "length"), ('{bore}<>""', "diameter"))),
        folded("byua", "Ready, with a UA", "", '=AND({ready},{ua}<>"")'),
        folded("coiled", "Ready, with a coil", "", '=AND({ready},{bore}<>"")'),
        of("flown", "Flow", "L/min", "CircuitFlows"),
        of("fw", "Fluid words", "", "CircuitFluidWords"),
        of("airn", "Air before", "°C", "CircuitAirs"),
        of("kind", "Kind", "", "CircuitKinds"),
        folded("streams", "Streams, said", "", '=IF({cross}="","cross both unmixed",{cross})'),
        number("uan", "UA, number", "kW/K", "ua", "kW/K"),
        number("throughn", "Air through, number", "m³/h", "through", "m3/h"),
        number("oiln", "Oil, number", "°C", "oil", "degC"),
        folded("most", "Coil drop at most", "kPa", '=IF(AND({coiled},{kind}="gearbox"),GearboxColdPressure,"")'),
        COIL_RULES,
        rests("uan", "throughn", "oiln"),
        told_apart("dropsaid", "Drop in words", "drop", "{most}"),
    ],
    reasons=[
        CIRCUIT_REASON,
        reason("r_air", "Air of its circuit", '=IF(ISERROR({airn}),"",IF(AND({byua},{airn}=""),"Cannot be worked out: fill in heat known and air before of "&{circuit}&" above",""))'),
        reason("r_drop", "Coil drop", at_most("drop", "most", '"coil holds back "&{dropsaid}&" kPa, the gearbox has at most "&'
                                              f'{limit_words("most")}&": larger bore"', told_elsewhere)),
        COIL_LIMITS,
        reason("r_rest", "Other answers", first_failed("oilrate", "airrate", "effect", "drop")),
    ],
    required=(),
    answers=("oilrate", "effect", "drop"),
    more_missing="{given}",
    also_ready="{circuitready}",
)  # fmt: skip
