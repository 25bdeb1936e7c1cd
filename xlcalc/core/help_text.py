"""The help text of a worksheet function, composed from its declaration: what Python's `help` shows of it."""

from collections.abc import Iterator
from typing import Any

from xlcalc.core.declaration import Declaration
from xlcalc.core.tables import sources
from xlcalc.core.words import joined

WIDTH = 100
REST = "...: the arguments of that function, as they stand in its cell"
OF_ANY = (
    "#NUM! where the numbers leave what can be worked out.",
    "An error in a cell given comes back with its own code. All inputs blank answer a blank.",
)
_REFUSED = {
    "#VALUE!": "where {} is not of its kind or in a unit of another kind, or what is needed is blank.",
    "#NUM!": "where {} is outside what is allowed.",
    "#N/A": "where {} names nothing that its table holds.",
}
_SINGLE = (
    "is one value, a row, a column or a block. One value goes with every place, a row with every row, a column with "
    "every column; the answer is a list of rows, #N/A at a place that one range has and another has not."
)


def docstring(made: Declaration) -> str:
    """The whole help text. Summary, Method, Not for and No answer are read back from it as they were written."""
    paragraphs = [
        _paragraph(f"In a cell, or by xlcalc.call: {called(made)}. {_in_python(made)}"),
        _list("Arguments, a bare number in the unit named, text with any unit of that kind", argument_lines(made)),
        _paragraph(f"Answer: {answer_words(made)}."),
        _paragraph(f"Shapes: {shapes(made)}"),
        _list("Errors", error_lines(made)),
        *(_paragraph(f"{heading}: {text}") for heading, text in _written(made) if text),
        _list("Sources", [f"{source}: {sources()[source].cited}" for source in made.sources]),
        _example(made),
    ]
    return "\n\n".join([made.summary, *filter(None, paragraphs)]) + "\n"


def called(made: Declaration) -> str:
    """`NAME(flow, bore, [unit])`, with `...` where the arguments of another function follow."""
    return made.signature.replace(")", ", ...)") if made.about and made.args else made.signature


def _in_python(made: Declaration) -> str:
    if not made.args:
        return "This Python function itself is called the same way."
    if made.about:
        return "This Python function itself takes the declaration of the function named, and its cells as a list."
    answers = "; it answers in SI" if made.answer.unit_text else ""
    return (
        "This Python function itself takes one value each as its kind reads it, numbers in SI, shares as fractions, "
        f"angles in rad{answers}."
    )


def argument_lines(made: Declaration) -> list[str]:
    """Name, kind, label, what it takes in which unit and span, and what holds where it is left out."""
    lines = [f"{arg.name} ({arg.reader.called}): {arg.description}" for arg in made.args]
    return [*lines, f"{REST}."] if made.about and made.args else lines


def answer_words(made: Declaration) -> str:
    """What it answers and in which unit."""
    unit = f", in {made.answer.unit.printed}" if made.answer.unit_text else ""
    return f"{made.answer.label}{unit}{', or in the unit asked for' if unit and made.has_unit else ''}"


def shapes(made: Declaration) -> str:
    """How values and ranges in its arguments go together, in a few sentences."""
    if not made.args:
        return "It takes nothing and answers one cell."
    if made.about:
        return "The name is one cell; the arguments behind it may be ranges as the function named takes them."
    lists = [arg.name for arg in made.args if arg.reader.takes_range]
    if not lists:
        return f"Each argument {_SINGLE}"
    return f"A whole range is one list in {', '.join(lists)}. Each other argument {_SINGLE}"


def error_lines(made: Declaration) -> list[str]:
    """Which error value comes when, by what the kinds of its arguments refuse and what its relation refuses."""
    lines = []
    for code, where in _REFUSED.items():
        names = [arg.name for arg in made.args if code in {refused for _, refused in arg.reader.bad()}]
        lines += [f"{code} {where.format(joined(names))}"] if names else []
    lines += [f"{arg.reader.refuses_later}, asked of {arg.name}." for arg in made.args if arg.reader.refuses_later]
    return lines if made.about else [*lines, *OF_ANY]


def _written(made: Declaration) -> Iterator[tuple[str, str]]:
    yield "No answer", made.no_answer
    yield "Method", made.relation
    yield "Not for", made.not_for
    for reason in dict.fromkeys(made.not_with.values()):
        fluids = (fluid for fluid, why in made.not_with.items() if why == reason)
        yield "Not with", f"{joined(fluids)}: {reason}."
    for caution in made.cautions:
        yield "Caution", caution


def _example(made: Declaration) -> str:
    printed = f", its figures from {made.example.source}" if made.example.source else ""
    return "\n    ".join([f"Example{printed}:", *example_lines(made)])


def example_lines(made: Declaration) -> list[str]:
    """The declared example as Python would call it, rounded to the digits that it shows."""
    cells = ", ".join(_literal(cell) for cell in (made.name, *made.example.cells))
    call, shows = f"xlcalc.call({cells})", made.example.shows
    answers = made.function.__annotations__["return"]
    if answers in (float, Any):
        places = len(shows.partition(".")[2])
        call, shows = (f"round({call}, {places})", repr(float(shows))) if places else (f"round({call})", shows)
    elif made.about:  # its example is how the answer begins: a text, or the first row of a column
        call, shows = f"{call}  # doctest: +ELLIPSIS", f"{'' if answers is str else '[['}'{shows}..."
    elif answers is str:
        shows = repr(shows)
    return [">>> import xlcalc", f">>> {call}", shows]


def _literal(cell: object) -> str:
    """A cell as Python writes it, texts in double quotes as in a formula."""
    return '"' + cell.replace('"', '\\"') + '"' if isinstance(cell, str) else repr(cell)


def _list(heading: str, lines: list[str]) -> str:
    """A heading with its lines below it; nothing where there are none."""
    return "\n    ".join([f"{heading}:", *(_paragraph(line, "        ") for line in lines)]) if lines else ""


def _paragraph(text: str, indent: str = "    ") -> str:
    """A text in lines, all but the first indented. (textwrap takes ten times as long, at every start.)"""
    lines, line = [], ""
    for word in text.split():
        if line and len(line) + len(word) >= WIDTH:
            lines.append(line)
            line = f"{indent}{word}"
        else:
            line = f"{line} {word}" if line else word
    return "\n".join([*lines, line])
