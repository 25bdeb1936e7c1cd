"""The reasons behind the Check of a line: one folded column each, in the order in which they count."""

from xlcalc.workbook.building import checks
from xlcalc.workbook.building.checks import (
    CANNOT,
    PIECES_READ,
    UNCONNECTED,
    as_it_stands,
    folded,
    joined,
    limit_words,
    plain_name,
    shown,
    told_apart,
    verdict,
    worst,
)
from xlcalc.workbook.building.rows import Column
from xlcalc.workbook.sheets.columns import one_of

SHIELDS = ("none", "sleeve", "heat shield")
SHIELDED = one_of("TRIM({shield})", *SHIELDS)
SEE = 'IF({see}="","",{see}&" "&'  # the same, but silent where a cause is named already


def _cause(key: str, head: str, spec: str) -> Column:
    """A reason that names a cause by itself: what fails because of it stays silent."""
    if not spec.startswith("=IF(ISERROR("):
        spec = f'=IFERROR({spec[1:]},{CANNOT}"{head}, in the fold")'
    return as_it_stands(key, head, spec)


def _reason(key: str, head: str, spec: str) -> Column:
    """A reason; where its own working fails it says so, since an error there would count as no reason at all."""
    if not spec.startswith(("=IFERROR(", '=IF({see}=""')):
        spec = f'=IFERROR({spec[1:]},{SEE}"{head}, in the fold"))'
    return as_it_stands(key, head, spec)


def _bare(key: str, head: str, joined_words: str, name: str, table: str) -> Column:
    """A row of a table that has a name and nothing else."""
    known = f"AND({{ready}},ISERROR({{{joined_words}}})=FALSE)"
    return _cause(key, head, f'=IF({known},IF({{{joined_words}}}="",{CANNOT}<{name}>&", no figures in {table}",""),"")')


def _helper(key: str, head: str, spec: str) -> Column:
    return folded(key, head, "", spec, "Reasons", 14)


def _why(*cells: tuple[str, str, str]) -> str:
    """`; Flow: "gpm" alone has two sizes ...` for the first of some typed cells that is not read."""
    words = '""'
    for number, typed, unit in reversed(cells):
        words = f'IF(ISERROR({{{number}}}),"; "&<{typed}>&": "&ANSWER_WHY("QUANTITY_IN",{{{typed}}},"{unit}"),{words})'
    return f'=IFERROR({words},"")'


def _unless_named(label: str) -> str:
    """The words of an answer that failed, unless the cause is named already."""
    return f"{SEE}{label})"


def at_most(value: str, limit: str, words: str) -> str:
    """A reason for a number that must not pass a limit in its row."""
    return checks.at_most(value, limit, words, _unless_named)


def at_least(value: str, limit: str, words: str) -> str:
    """A reason for a number that must reach a limit in its row."""
    return checks.at_least(value, limit, words, _unless_named)


BEFORE = [
    _helper("advice", "Advised bore",
            '=IFERROR(IF({smallest}>{bore},": bore "&FIXED(ROUNDUP({smallest},1),1,TRUE)&" mm or more",""),"")'),
    _helper("cause", "Pressure from the cold drop",
            '=IFERROR(IF(AND({use}="return",{forced},{dropcold}>{highestn})," cold",""),"")'),
    _helper("marginat", "Where the margin is least",
            '=IFERROR(IF({margincold}<{marginhot}," at "&{coldw},""),"")'),
    _helper("margintail", "What the margin asks for",
            '=IFERROR(IF({margincold}<{marginhot},IF({margin}<0,": the pump starves",IF({advice}="",": larger bore, shorter or thinner fluid",'
            '{advice})),IF({margin}<0,": it boils in the line",": shorter, less rise or cooler fluid")),"")'),
    _helper("bypassadvice", "What a cold flow asks for", '=": bypass"&SUBSTITUTE({advice},": bore"," or bore")'),
    _helper("ventmax", "Vent pressure at most", '=IF(AND({ready},{use}="vent"),VentPressure,"")'),
    _helper("returnmax", "Fuel return drop at most",
            '=IF(AND({liquid},{fuel},{use}="return"),DropFuelReturn,"")'),
    _helper("coldw", "Coldest in words", '=IFERROR(ROUND({coldn},1)&" °C","")'),
    _helper("flowleast", "Cold flow at least, in words",
            '=IFERROR(FIXED({flowmin},IF(ROUND({flowmin},1)={flowmin},1,2),TRUE),"")'),
    _helper("strange", "Answers of unknown functions",
            "=" + "+".join(f"IFERROR(IF(ERROR.TYPE({{{key}}})=5,1,0),0)" for key in ("v", "smallest", "drophot", "hosesaid", "gapsaid"))),
    told_apart("vsaid", "Velocity in words", "v", "{vmax}"),
    told_apart("marginsaid", "Suction margin in words", "margin", "{marginmin}"),
    told_apart("coldsaid", "Cold flow in words", "coldflow", "{flowmin}"),
    told_apart("ventsaid", "Vent pressure in words", "drophot", "{ventmax}"),
    told_apart("returnsaid", "Fuel return drop in words", "drophot", "{returnmax}"),
]  # fmt: skip
LIST = [
    _cause("r_connected", "Connection",
            f'=IF({{strange}}>0,{UNCONNECTED},"")'),
    plain_name("line"),
    _cause("r_named", "Names",
            '=IF({line}="","",IF(COUNTIF([line],{line})>1,"Change: two lines are called "&{line},""))'),
    _cause("r_limits", "Limits on Start",
            '=IF(AND({r_use}="",{r_fluid}="",OR(ISERROR({vmax}),ISERROR({marginmin}),ISERROR({flowmin}),ISERROR({ventmax}),ISERROR({returnmax}))),'
            '"Cannot be worked out: a limit on Start is not a number","")'),
    _cause("r_typed", "Typed cells",
            '=IF({typedwhy}="","","Cannot be worked out: "&SUBSTITUTE(MID({typedwhy},3,230),"Quantity: ",""))'),
    _cause("r_fluid", "Fluid in its table",
            f'=IF({{ready}},IF(ISERROR({{fw}}),{CANNOT}<fluid>&", not a row of Fluids",'
            'IF(COUNTIF(FluidNames,{fluid})>1,"Cannot be worked out: two rows of Fluids are called "&{fluid},"")),"")'),
    _bare("r_fluidbare", "Fluid without figures", "fw", "fluid", "Fluids"),
    _cause("r_fluidread", "Fluid's row on Fluids",
            '=IF({ready},IF(ISERROR({fw}),"",IF({fw}="","",IF(ISERROR(INDEX(FluidKnown,MATCH({fluid},FluidNames,0))),'
            '"Cannot be worked out: see "&{fluid}&" on Fluids",""))),"")'),
    _cause("r_fluidlacks", "What the fluid's row lacks",
            '=IF({liquid},IF(OR({lacks}="viscosity",AND({lacks}="vapour pressure",{use}="suction")),'
            '"Cannot be worked out: no "&{lacks}&" of "&{fluid}&" on Fluids",""),"")'),
    _cause("r_hosename", "Hose in its table",
            f'=IF({{ready}},IF(ISERROR({{hw}}),{CANNOT}<hose>&", not a row of Hoses",'
            'IF(COUNTIF(HoseNames,{hose})>1,"Cannot be worked out: two rows of Hoses are called "&{hose},"")),"")'),
    _bare("r_hosebare", "Hose without figures", "hw", "hose", "Hoses"),
    _cause("r_narrow", "Vent far too narrow",
            '=IF(AND({use}="vent",ISERROR({drophot}),ISNUMBER({smallest})),IF({smallest}>{bore},'
            '"Change: this vent cannot pass its flow"&{advice},""),"")'),
    _reason("r_use", "Use",
            f'=IF({{ready}},IF(ISERROR(MATCH({{use}},UseNames,0)),{CANNOT}<use>&", not a word of its list",""),"")'),
    _reason("r_pushed", "Pushed by",
            '=IF({ready},IF(OR({pushedw}="pump fixed flow",{pushedw}="pump limited pressure",{pushedw}="gravity",'
            f'{{pushedw}}="none"),"",{CANNOT}<pushed>&", not a word of its list"),"")'),
    _reason("r_scope", "Scope",
            '=IF(AND({liquid},{kind}="brake fluid"),"Change: hydraulic brake lines are out of scope","")'),
    _reason("r_push", "What pushes it",
            '=IF({liquid},IF({pushedw}="none","Change: nothing pushes this "&{use}&" line: see Pushed by",'
            'IF(AND(OR({forced},{limited}),{flown}=0),"Change: no flow in a line that a pump pushes","")),"")'),
    _reason("r_length", "Length", '=IF({ready},IF(ISERROR({lengthn}),"",IF({lengthn}>0,"","Change: length "&ROUND({lengthn},3)&" m: measure the line")),"")'),
    _reason("r_air", "Hottest air",
            '=IF({ready},IF({hottestn}<{airn},"Change: hottest "&ROUND({hottestn},1)&" °C, the hottest air on Start has "&ROUND({airn},1),""),"")'),
    _reason("r_bypass", "Cold bypass",
            f'=IF(OR({{bypass}}="",{{bypass}}="yes",{{bypass}}="no"),"",{CANNOT}<bypass>&", not a word of its list")'),
    _reason("r_hose", "Hose",
            f'=IFERROR(IF({{hosesaid}}="Within limits","",SUBSTITUTE({{hosesaid}}," kPa, "," kPa"&{{cause}}&", ",1)&'
            f'IF({{cause}}="","",IF(ISERROR(SEARCH(" kPa, ",{{hosesaid}})),"",{{advice}}))),{SEE}<hose>))'),
    _reason("r_hosenear", "Hose, near its limit",
            '=IF({see}="","",IF(LEFT(IFERROR({hosesaid},"")&"Change",6)="Change","",IF({working}>{limit}*NearBelow,"Near limit: "&FIXED({working},0,TRUE)'
            '&" kPa, hose allows "&FIXED({limit},0,TRUE),IF(LEFT({hosefurther},6)="Change","Near limit: "&NearTemperature&'
            '" K further: "&MID({hosefurther},9,90),""))))'),
    _reason("r_liner", "Liner, unless the hose says it",
            '=IFERROR(IF(AND({liner}="limited",ISERROR(SEARCH("only limited",{hosesaid}))),'
            f'"Near limit: liner only limited for "&{{kind}}&": replace early",""),{SEE}<liner>))'),
    _reason("r_velocity", "Velocity",
            at_most("v", "vmax", f'{{vsaid}}&" m/s in a "&{{use}}&" line, at most "&{limit_words("vmax")}&{{advice}}')),
    _reason("r_margin", "Suction margin",
            at_least("margin", "marginmin",
                     f'"suction margin "&{{marginsaid}}&" kPa"&{{marginat}}&", at least "&{limit_words("marginmin")}&{{margintail}}')),
    _reason("r_thickmargin", "Suction margin at the thickest",
            '=IFERROR(IF(AND({margincold}>={marginmin},{marginthick}<{marginmin}),"Near limit: suction margin "&'
            'FIXED({margincold},1,TRUE)&" kPa at "&{coldw}&", "&FIXED({marginthick},1,TRUE)&" if as thick as allowed",""),"")'),
    _reason("r_known", "Fluid's figures",
            '=IFERROR(IF(AND({liquid},ISNUMBER({known}),{coldn}<{known}),"Cannot be worked out: "&{fluid}&" is known down to "&'
            f'{{known}}&" °C",""),{SEE}<fluid>))'),
    _reason("r_coldflow", "Cold flow",
            at_least("coldflow", "flowmin", '{coldsaid}&" L/min left at "&{coldw}&", at least "&'
                     '{flowleast}&{bypassadvice}')),
    _reason("r_thickflow", "Cold flow at the thickest",
            '=IFERROR(IF(OR({flowmin}="",{thickflow}=""),"",IF(AND({coldflow}>={flowmin},{thickflow}<{flowmin}),"Near limit: "&'
            'FIXED({coldflow},1,TRUE)&" L/min at "&{coldw}&", "&FIXED({thickflow},1,TRUE)&" if as thick as allowed, at least "&{flowleast},"")),'
            '"")'),
    _reason("r_thick", "Pressure at the thickest",
            '=IFERROR(IF(AND({use}="return",{forced},{dropcold}<={limit},{dropthick}>{limit}),"Near limit: "&'
            + shown("dropcold") + '&" kPa cold, "&' + shown("dropthick") + '&" if as thick as allowed, at most "&'
            + 'FIXED({limit},0,TRUE),""),"")'),
    _reason("r_downto", "Works down to",
            '=IFERROR(IF({forced},IF(AND({downto}>{coldn},{downto}>{known}+0.001),"Change: works down to "&'
            f'FIXED({{downto}},IF(ROUND({{downto}},0)=ROUND({{coldn}},0),2,0),TRUE)&" °C, coldest "&ROUND({{coldn}},2)&'
            f'": larger bore or thinner fluid",""),""),{SEE}<downto>))'),
    _reason("r_downnear", "Works down to, near",
            '=IFERROR(IF(AND({forced},{downto}<={coldn},{downthick}>{known}+0.001,{downthick}>{coldn}-NearTemperature),'
            '"Near limit: works down to "&FIXED({downto},0,TRUE)&" °C, "&FIXED({downthick},0,TRUE)&" if as thick as allowed, '
            'coldest "&{coldn},""),"")'),
    _reason("r_return", "Fuel return drop",
            at_most("drophot", "returnmax", f'{{returnsaid}}&" kPa in a fuel return, at most "&{limit_words("returnmax")}&{{advice}}')),
    _reason("r_vent", "Vent pressure",
            at_most("drophot", "ventmax", f'{{ventsaid}}&" kPa behind the vent, at most "&{limit_words("ventmax")}&{{advice}}')),
    _reason("r_gap", "Clearance", f'=IFERROR(SUBSTITUTE({{gapsaid}},"Within limits",""),{SEE}IF({SHIELDED},<gap>,<shield>&", not a word of its list")))'),
    _reason("r_circuit", "Circuit",
            '=IF({waiting}>0,"Cannot be worked out: another line of circuit "&{circuit}&IF(COUNTIFS([circuitw],{circuitw},'
            '[ready],FALSE)>0," is not filled in"," has no answer yet"),"")'),
    _reason("r_pushes", "Circuit pushed alike",
            '=IF(AND({limited},{circuitw}<>""),IF(COUNTIF([circuitw],{circuitw})>COUNTIFS([circuitw],{circuitw},[pushedw],{pushedw}),'
            '"Change: lines of circuit "&{circuitw}&" are pushed in different ways",""),"")'),
    _reason("r_flows", "Circuit's flow",
            '=IF(AND({limited},{circuitw}<>"",{waiting}=0),IF(ABS({circuitflow}-{flown})>0.001*{flown},'
            '"Change: lines of circuit "&{circuitw}&" carry different flows",""),"")'),
    _reason("r_rest", "Other answers",
            '=IF({see}="","",IF(ISERROR({drophot}),{see}&" "&<drophot>,IF(ISERROR({dropcold}),{see}&" "&<dropcold>,'
            'IF(ISERROR({smallest}),{see}&" "&<smallest>,IF(ISERROR({volume}),{see}&" "&<volume>,"")))))'),
]  # fmt: skip
REASONS = [*BEFORE, *LIST]
PARTS = -(-len(LIST) // PIECES_READ)
_SPAN = f"{{{LIST[0].key}}}:{{{LIST[-1].key}}}"
WORDS = [
    verdict("see", "What fails, unless its cause is named",
            '=IF(AND({r_connected}="",{r_typed}="",{r_fluid}="",{r_hosename}="",{r_narrow}="",{r_limits}="",{r_fluidbare}="",{r_hosebare}="",{r_fluidread}="",{r_fluidlacks}=""),"Cannot be worked out: see","")'),
    verdict("whytyped1", "Why a typed cell is not read, 1", _why(("flown", "flow", "L/min"), ("highestn", "highest", "kPa"))),
    verdict("whytyped2", "Why a typed cell is not read, 2", _why(("hottestn", "hottest", "degC"), ("coldn", "coldest", "degC"))),
    verdict("whytyped3", "Why a typed cell is not read, 3", _why(("lengthn", "length", "m"), ("risen", "rise", "m"))),
    verdict("typedwhy", "Why typed cells are not read", "={whytyped1}&{whytyped2}&{whytyped3}"),
    verdict("whyhose", "Why no hose answer",
            '=IF(OR({see}="",ISERROR({working})),"",IFERROR(IF(ISERROR({hosesaid}),"; "&ANSWER_WHY("HOSE_CHECK",{hw},{working},'
            '{fw},{hottestn},{coldn},{use},{ends}),""),""))'),
    verdict("whydrop", "Why no drop",
            '=IF({see}="","",IFERROR(IF(OR(ISERROR({dropcold}),AND({liquid},ISERROR({drophot}))),"; "&ANSWER_WHY("LINE_PRESSURE_DROP",{flown},'
            '{bore},{lengthn},{fw},IF(ISERROR({dropcold}),{coldn},{hottestn}),{kloss},{risen}),""),""))'),
    verdict("whymargin", "Why no suction margin",
            '=IF({see}="","",IFERROR(IF(ISERROR({marginhot}),"; "&ANSWER_WHY("SUCTION_MARGIN",{flown},{bore},{lengthn},'
            '{fw},{hottestn},{kloss},{risen},RoadAltitude),""),""))'),
    verdict("whygap", "Why no clearance",
            '=IFERROR(IF(ISERROR({gapsaid}),"; "&ANSWER_WHY("CLEARANCE_CHECK",{gap},{shield}&"",ClearanceBare,ClearanceShielded),""),"")'),
    verdict("worst", "Worst word", worst(_SPAN)),
    verdict("first", "First reason",
            '=IF(AND({line}="",{nameless}=""),"",IFERROR(IF({missing}<>"","Not checked: fill in "&{missing},IF({worst}="","Within limits",'
            f'INDEX({_SPAN},MATCH({{worst}},{_SPAN},0)))),"Cannot be worked out: a cell of this row holds an error"))'),
    *(
        verdict(f"all{part}", f"All reasons, part {part}", joined(LIST[part * PIECES_READ : (part + 1) * PIECES_READ]))
        for part in range(PARTS)
    ),
    verdict("asfar", "As far as the data go",
            '=IF({forced},IFERROR(IF(AND({downto}<={known}+0.001,{known}>-1E9),"; works down as far as the data go",""),""),"")'),
    verdict("otherwords", "Other reasons, joined",
            '=IF({line}="","",IFERROR(MID(SUBSTITUTE(' + "&".join(f"{{all{part}}}" for part in range(PARTS))
            + ',"; "&{first},"",1)&{whyhose}&{whydrop}&{whymargin}&{whygap}&{asfar},3,900),"see the fold"))'),
]  # fmt: skip
