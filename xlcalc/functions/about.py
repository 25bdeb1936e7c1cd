"""About an answer: why there is none, how it was worked out, how far to trust it."""

from collections.abc import Sequence
from typing import Any

from xlcalc.core.declaration import Declaration
from xlcalc.core.declare import Answer, Arg, example, worksheet_function
from xlcalc.core.errors import CalcError, shorten
from xlcalc.core.evaluate import BLANK, answer_of, read, span_of
from xlcalc.core.kinds import Text
from xlcalc.core.steps import steps_taken
from xlcalc.core.tables import FROM_MEMORY, Provenance, fingerprint, sources
from xlcalc.core.words import digits

NAME = Arg("Function", Text("the name of a function", "LINE_PRESSURE_DROP"))
LEAST_WITHOUT_EXPONENT = 1e-6  # a flow of 0.06 L/min in m3/s; less is easier to read with its power of ten
_EXAMPLE = ("LINE_VELOCITY", 8, 7.9)


@worksheet_function(
    "ANSWER_WHY",
    args={"name": NAME},
    answer=Answer("Why there is no answer"),
    sources=("PRACTICE",),
    example=example(*_EXAMPLE, shows="There is an answer: 2.72 m/s"),
    about=True,
)
def answer_why(name: Declaration, cells: Sequence[Any]) -> str:
    """Why a function has no answer for these arguments, in one sentence.

    No answer: #VALUE! where the name is of no function that computes; else what stands in its way is the answer.
    """
    try:
        answer = answer_of(name, cells)
    except CalcError as error:
        return str(error) or f"An input cell holds {error.code}: mend that cell first"
    if answer == BLANK:
        return BLANK
    asked = read(name, cells)
    return shorten(f"There is an answer: {name.answer.format(answer, asked[1] if asked else None)}")


@worksheet_function(
    "ANSWER_STEPS",
    args={"name": NAME},
    answer=Answer("How an answer was worked out"),
    sources=("PRACTICE",),
    example=example(*_EXAMPLE, shows="Flow: 8 L/min"),
    about=True,
)
def answer_steps(name: Declaration, cells: Sequence[Any]) -> list[list[str]] | str:
    """How an answer was worked out: inputs, relation, values on the way, answer, span, sources, cautions.

    No answer: where the function named has none, with its error; #VALUE! for a name of no function that computes,
    or for ranges, as one call fills a column.
    """
    reading = read(name, cells)
    if reading is None:
        return BLANK
    values, asked = reading
    with steps_taken() as taken:
        answer = answer_of(name, cells)
    lines = _input_lines(name, cells, values)
    lines.append(f"Relation: {name.relation}")
    lines += taken
    lines.append(f"Answer: {name.answer.format(answer, asked)}")
    lines += _span_lines(name, cells)
    lines += _source_lines(name, values, taken)
    if name.not_for:
        lines.append(f"Not for: {name.not_for}")
    lines += [f"Caution: {caution}" for caution in name.cautions]
    return [[shorten(line)] for line in lines]


def _input_lines(name: Declaration, cells: Sequence[Any], values: Sequence[Any]) -> list[str]:
    lines = []
    for place, (arg, value) in enumerate(zip(name.workshop_args, values, strict=True)):
        given = cells[place] if place < len(cells) else None
        if value is None:
            continue
        said = "" if given not in (None, "") else " (left out)"
        shown = arg.reader.show(value)
        typed = f" (given as {given})" if isinstance(given, str) and given.strip() != shown and len(given) < 100 else ""
        lines.append(f"{arg.label}: {shown}{si_text(arg, value)}{said}{typed}")
    return lines


def si_text(arg: Arg, value: Any) -> str:
    """` = 0.000133 m3/s` behind a quantity whose workshop unit is not SI."""
    if not isinstance(value, float) or not arg.unit or arg.unit in ("1", "m", "%", "s", "K"):
        return ""
    number = digits(value) if abs(value) >= LEAST_WITHOUT_EXPONENT else f"{value:.6g}"
    return f" = {number} {_SI.get(arg.unit, 'in SI')}"


_SI = {"L/min": "m³/s", "mm": "m", "kPa": "Pa", "kPa vac": "Pa", "degC": "K", "L": "m³", "m/s": "m/s", "kW": "W",
       "deg": "rad", "g/kWh": "kg/J", "mL/h": "m³/s", "h": "s", "min": "s", "rev/min": "1/s", "kW/K": "W/K",
       "mm2": "m²", "A": "A", "V": "V"}  # fmt: skip


def _span_lines(name: Declaration, cells: Sequence[Any]) -> list[str]:
    try:
        found = span_of(name, cells)
    except CalcError:
        return []
    if found is None or found[0].low == found[0].high:
        return []
    ends, unit = found
    low, high = (float(f"{unit.from_si(end):.4g}") for end in (ends.low, ends.high))
    return [f"Between {digits(low)} and {digits(high)} {unit.printed}: what decides most is the {ends.decides}"]


def _source_lines(name: Declaration, values: Sequence[Any], taken: Sequence[str]) -> list[str]:
    """Where the figures come from, which of them are from memory, the sources of the relation, cautions."""
    cited: list[tuple[str, Provenance]] = [
        pair for value in values for pair in getattr(value, "cited", ()) if isinstance(pair, tuple)
    ]
    lines = [f"{label}: {provenance.cited}" for label, provenance in cited]
    memory = [label for label, provenance in cited if provenance.memory]
    memory += [line.removesuffix(f": {FROM_MEMORY}") for line in taken if line.endswith(f": {FROM_MEMORY}")]
    if memory:
        lines.append(f"The answer rests on memory for {', '.join(dict.fromkeys(memory))}")
    lines += [f"Source: {sources()[source].cited}" for source in name.sources]
    lines += [f"Caution: {caution}" for value in values if (caution := getattr(value, "caution", ""))]
    return lines


@worksheet_function(
    "ANSWER_LOW",
    args={"name": NAME},
    answer=Answer("Lowest that the answer may be"),
    sources=("PRACTICE",),
    example=example(*_EXAMPLE, shows="2.72"),
    about=True,
)
def answer_low(name: Declaration, cells: Sequence[Any]) -> Any:
    """Lowest that an answer may be when the stated doubt of data and method runs through it.

    No answer: where the function named has none, with its error; #VALUE! where it answers words.
    """
    found = span_of(name, cells)
    return BLANK if found is None else found[1].from_si(found[0].low)


@worksheet_function(
    "ANSWER_HIGH",
    args={"name": NAME},
    answer=Answer("Highest that the answer may be"),
    sources=("PRACTICE",),
    example=example(*_EXAMPLE, shows="2.72"),
    about=True,
)
def answer_high(name: Declaration, cells: Sequence[Any]) -> Any:
    """Highest that an answer may be when the stated doubt of data and method runs through it.

    No answer: where the function named has none, with its error; #VALUE! where it answers words.
    """
    found = span_of(name, cells)
    return BLANK if found is None else found[1].from_si(found[0].high)


@worksheet_function(
    "XLCALC_STATUS",
    args={},
    answer=Answer("Connection, version and data"),
    sources=("PRACTICE",),
    example=example(shows="connected"),
    about=True,
)
def xlcalc_status() -> str:
    """Whether the functions are connected, with the version and the fingerprint of the data."""
    from xlcalc import __version__  # noqa: PLC0415  (the package imports this family)

    return f"connected, version {__version__}, data {fingerprint()}"
