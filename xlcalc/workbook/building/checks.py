"""What every table with a Check shares: what is missing, one reason a column, the first reason that counts.

A table is built by `row_table`: its shown columns, then folded ones in the order missing, ready, helpers, reasons,
verdict. In a filled row every worked-out cell begins `IF({ready},...)`, and so does every limit that a reason looks at,
so that empty and half-filled rows stay blank.
"""

from collections.abc import Callable, Mapping, Sequence
from itertools import groupby

from xlcalc.core import verdicts
from xlcalc.core.verdicts import CHANGE, NEAR, NOT_CHECKED, URGENT, WITHIN, short
from xlcalc.workbook.building.rows import Column, RowSheet
from xlcalc.workbook.landmarks import MARKER

CANNOT = f'"{verdicts.CANNOT}: see "&'
"""The words of an answer that failed, as the first piece of a formula; the head of a column follows."""

NOT_CONNECTED = "xlcalc is not connected here"
UNCONNECTED = f'"{verdicts.CANNOT}: {NOT_CONNECTED}"'
"""The words where the spreadsheet does not know our functions."""

PIECES_READ = 6  # reasons joined in one formula are what a person reads
MISSING_READ = 7
_PATTERNS = tuple(f"{short(word).removesuffix(' limit')}*" for word in URGENT)


def folded(
    key: str,
    head: str,
    unit: str,
    spec: str,
    band: str = "Helpers",
    width: float = 9,
    reads: tuple[str, str] | None = None,
) -> Column:
    """A worked-out cell that is folded away; `reads` as of `Column`."""
    return Column(key, band, head, unit, "folded", width, spec, reads=reads)


def verdict(key: str, head: str, spec: str) -> Column:
    """A folded cell that the Check is put together from."""
    return folded(key, head, "", spec, "Verdict", 14)


def number(key: str, head: str, unit: str, source: str, asked: str, blank: str = '""') -> Column:
    """A typed cell as a plain number in a unit: sums and comparisons take only these, never the typed cell.

    A blank cell is never handed to a function: some spreadsheets work a cell with an empty answer out anew on opening.
    """
    read = f'IF({{{source}}}="",{blank},QUANTITY_IN({{{source}}},"{asked}"))'
    return folded(key, head, unit, f'=IF({{ready}},{read},"")', reads=(source, asked))


def said_by(label: str) -> str:
    """The words of an answer that failed, as a piece of a formula."""
    return f"{CANNOT}{label}"


def reason(key: str, head: str, spec: str) -> Column:
    """A reason; where its own working fails it says so, since an error there would count as no reason at all."""
    if not spec.startswith(("=IFERROR(", "=IF(ISERROR(")):
        spec = f'=IFERROR({spec[1:]},{CANNOT}"{head}, in the fold")'
    return as_it_stands(key, head, spec)


def as_it_stands(key: str, head: str, spec: str) -> Column:
    """A reason no part of which can fail, or which says itself what is to be said then."""
    return Column(key, "Reasons", head, "", "reason", 24, spec)


def says(cell: str, word: str) -> str:
    """A condition that holds where a Check begins with a verdict; `cell` is a piece of formula."""
    begin = short(word)
    return f'LEFT({cell},{len(begin)})="{begin}"'


def fails(cell: str) -> str:
    """A condition that holds where nothing may rest on a row, by its Check; `cell` is a piece of formula."""
    return f"OR({says(cell, CHANGE)},{says(cell, verdicts.CANNOT)})"


def plain_name(key: str, name: str = "r_plain") -> Column:
    """A name that a spreadsheet would take for a pattern or a comparison, or that only looks like another one."""
    bare = f'SUBSTITUTE(SUBSTITUTE(SUBSTITUTE({{{key}}},"*",""),"?",""),"~","")'
    signs = f'OR(ISNUMBER(SEARCH(LEFT({{{key}}},1),"<>=")),LEN({bare})<LEN({{{key}}}))'
    return reason(name, "Name as typed",
                  f'=IFERROR(IF({{{key}}}="","",IF({signs},"{CHANGE}: write the name without * ? ~ < > =",'
                  f'IF(TRIM({{{key}}})={{{key}}}&"","","{CHANGE}: a blank too many in the name"))),"")')  # fmt: skip


def at_most(value: str, limit: str, words: str, failed: Callable[[str], str] = said_by) -> str:
    """A reason for a number that must not pass a limit in its row; a blank limit means that there is none."""
    return (
        f'=IFERROR(IF({{{limit}}}="","",IF({{{value}}}<={{{limit}}}*NearBelow,"",'
        f'IF({{{value}}}>{{{limit}}},"{CHANGE}: ","{NEAR}: ")&{words})),{failed(f"<{value}>")})'
    )


def at_least(value: str, limit: str, words: str, failed: Callable[[str], str] = said_by) -> str:
    """A reason for a number that must reach a limit in its row."""
    return (
        f'=IFERROR(IF({{{limit}}}="","",IF({{{value}}}>={{{limit}}}*NearAbove,"",'
        f'IF({{{value}}}<{{{limit}}},"{CHANGE}: ","{NEAR}: ")&{words})),{failed(f"<{value}>")})'
    )


def shown(key: str) -> str:
    """A number in words: one decimal below 100, none above."""
    return f"FIXED({{{key}}},IF(ABS({{{key}}})<100,1,0),TRUE)"


def told_apart(key: str, head: str, value: str, limit: str) -> Column:
    """A number as the words give it: with more digits where it would print like its limit."""
    digits = f"IF(ROUND({{{value}}},1)=ROUND({limit},1),3,IF(ABS({{{value}}})<100,1,0))"
    return folded(key, head, "", f'=IFERROR(IF({limit}="","",FIXED({{{value}}},{digits},TRUE)),"")', "Reasons", 14)


def limit_words(limit: str) -> str:
    """A limit in words: as many digits as it was given with, three at most."""
    return f"ROUND({{{limit}}},3)"


def joined(reasons: Sequence[Column]) -> str:
    """Reasons one after the other, each with `; ` in front."""
    return "=" + "&".join(f'IF({{{each.key}}}="","","; "&{{{each.key}}})' for each in reasons)


def worst(span: str) -> str:
    """The most urgent word among the reasons, as a pattern to look for.

    MATCH stops at the first that it finds. COUNTIF over a row gives the same and costs the engine ten times as much.
    """
    words = '""'
    for word in reversed(_PATTERNS):
        words = f'IF(ISNUMBER(MATCH("{word}",{span},0)),"{word}",{words})'
    return f"={words}"


def fetched(key: str, head: str, unit: str, name: str) -> Column:
    """What Lines says of the line that this row names: `name` is a named column of Lines."""
    return folded(key, head, unit, f'=IF({{ready}},INDEX({name},{{place}}),"")')


def not_a_line(key: str) -> str:
    """The words for a name that no row of Lines has, as a piece of a formula."""
    return f'"{verdicts.CANNOT}: "&{{{key}}}&" is not a line of Lines"'


def unfilled_line(key: str) -> str:
    """The words for a line whose row on Lines lacks something, as a piece of a formula."""
    return f'"{verdicts.CANNOT}: fill in line "&{{{key}}}&" on Lines first"'


def of_line(key: str = "line") -> tuple[list[Column], list[Column]]:
    """Helper columns and reasons of a table whose rows name a line: `place`, `lineready`, and why there is none."""
    helpers = [
        folded("place", "Place of the line", "", f'=IF({{{key}}}="",0,IFERROR(MATCH({{{key}}},LineNames,0),0))'),
        folded("lineready", "Line filled in", "", "=IF({place}=0,FALSE,INDEX(LineReady,{place}))"),
    ]
    reasons = [
        reason("r_line", "Line", f'=IF(OR({{{key}}}="",{{lineready}}),"",IF({{place}}=0,'
               f'{not_a_line(key)},{unfilled_line(key)}))'),
    ]  # fmt: skip
    return helpers, reasons


def row_table(
    name: str,
    title: str,
    *,
    shown: Sequence[Column],
    helpers: Sequence[Column],
    reasons: Sequence[Column],
    required: Sequence[str],
    answers: Sequence[str] = (),
    read: Sequence[str] | None = None,
    unique: bool = True,
    of_a_line: bool = False,
    more_missing: str = '""',
    also_ready: str = "",
    whys: Sequence[str] = (),
    marker: str = "",
    marker_words: str = MARKER,
    frozen: int = 3,
) -> RowSheet:
    """A table with a Check. The first column names the row; `check` and `others` are among the shown columns.

    What may be wrong: `required` are typed columns that must be filled; `more_missing` is a piece of formula that
    gives the header of what is missing only in some rows. `read` are the helpers that say why the cell that they read
    is not read, in the order of their reasons; None for all that read one. `answers` are cells that call our
    functions, to tell whether these are connected. `unique`: each name once; `of_a_line`: it is one of Lines.
    `also_ready` is a condition without which nothing of a row is worked out, such as another row that it rests on; a
    reason says so. `whys` are folded columns, each empty or `; ` and words, that stand at the end of Other reasons.

    How it stands there: `marker_words` stand below the rows in the column `marker`, without it the first typed one;
    `frozen` columns stay in view.
    """
    first = shown[0].key
    numbers = {column.key: column.reads for column in helpers if column.reads}
    told = numbers if read is None else {key: numbers[key] for key in read}
    line_helpers, line_reasons = of_line(first) if of_a_line else ([], [])
    causes = _causes(first, answers, told, unique)
    rests = [f'{{{first}}}<>""', '{missing}=""', *(["{lineready}"] if of_a_line else []), *([also_ready] if also_ready else [])]
    every = [*causes, *line_reasons, *reasons]
    return RowSheet(
        name,
        title,
        [
            *shown,
            *_missing(shown, required, more_missing),
            *line_helpers,
            folded("ready", "Ready", "", f"=AND({','.join(rests)})"),
            *helpers,
            *every,
            *_verdicts(first, every, whys),
        ],
        marker or next(column.key for column in shown if column.typed and column.key != first),
        frozen,
        marker=marker_words,
    )


def _missing(columns: Sequence[Column], required: Sequence[str], more: str) -> list[Column]:
    """Which cells are filled, and the header of the first that is missing; a filled row without a name lacks that."""
    first = columns[0].key
    runs = [list(run) for typed, run in groupby(columns[1:], key=lambda column: column.typed) if typed]
    filled = "+".join(f"COUNTA({{{run[0].key}}}:{{{run[-1].key}}})" for run in runs) or "0"
    made = [folded("filled", "Cells filled in", "", f"={filled}")]
    parts = [required[at : at + MISSING_READ] for at in range(0, len(required), MISSING_READ)] or [()]
    after = more
    for place in range(len(parts) - 1, -1, -1):
        words = "".join(f'IF({{{key}}}="",<{key}>,' for key in parts[place]) + after + ")" * len(parts[place])
        if place:
            made.append(folded(f"missing{place + 1}", f"Missing, part {place + 1}", "", f"={words}"))
            after = f"{{missing{place + 1}}}"
        else:
            made.append(
                folded("missing", "Missing", "", f'=IF({{{first}}}="",IF({{filled}}=0,"",<{first}>),{words})')
            )
    return made


def _causes(
    first: str, answers: Sequence[str], numbers: Mapping[str, tuple[str, str]], unique: bool
) -> list[Column]:
    """Reasons that come before all others: not connected, two rows of one name, a typed cell that is not read."""
    found = []
    if answers:
        counted = "+".join(f"IFERROR(IF(ERROR.TYPE({{{key}}})=5,1,0),0)" for key in answers)
        said = f'=IF({counted}>0,{UNCONNECTED},"")'
        found.append(as_it_stands("r_connected", "Connection", said))
    if unique:
        found.append(plain_name(first))
        found.append(
            reason("r_twice", "Names", f'=IF({{{first}}}="","",IF(COUNTIF([{first}],{{{first}}})>1,'
                   f'"{CHANGE}: two rows are called "&{{{first}}},""))')
        )  # fmt: skip
    for cell, (source, unit) in numbers.items():
        why = f'"{verdicts.CANNOT}: "&<{source}>&": "&SUBSTITUTE(ANSWER_WHY("QUANTITY_IN",{{{source}}},"{unit}"),"Quantity: ","")'
        said = f'IF(ERROR.TYPE({{{cell}}})=5,{UNCONNECTED},IF({{{source}}}="",{CANNOT}<{source}>,{why}))'
        found.append(reason(f"r_{cell}", f"{source} as typed", f'=IF(ISERROR({{{cell}}}),{said},"")'))
    return found


def _verdicts(first: str, reasons: Sequence[Column], whys: Sequence[str]) -> list[Column]:
    span = f"{{{reasons[0].key}}}:{{{reasons[-1].key}}}"
    parts = [reasons[at : at + PIECES_READ] for at in range(0, len(reasons), PIECES_READ)]
    others = "&".join(f"{{all{place}}}" for place in range(len(parts)))
    after = "".join(f"&{{{key}}}" for key in whys)
    return [
        verdict("worst", "Worst word", worst(span)),
        verdict("first", "First reason",
                f'=IF(AND({{{first}}}="",{{missing}}=""),"",IFERROR(IF({{missing}}<>"","{NOT_CHECKED}: fill in "&{{missing}},'
                f'IF({{worst}}="","{WITHIN}",INDEX({span},MATCH({{worst}},{span},0)))),'
                f'"{verdicts.CANNOT}: a cell of this row holds an error"))'),
        *(verdict(f"all{place}", f"All reasons, part {place + 1}", joined(part)) for place, part in enumerate(parts)),
        verdict("otherwords", "Other reasons, joined",
                f'=IF(OR({{{first}}}="",{{missing}}<>""),"",IFERROR(MID(SUBSTITUTE({others},"; "&{{first}},"",1){after},3,900),'
                '"see the fold"))'),
    ]  # fmt: skip
