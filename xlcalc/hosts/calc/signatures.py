"""How Calc hands over the arguments of each worksheet function, and what it says about them.

A required argument is declared as rows of text: the one type in which Calc tells a blank cell from a zero. Such
an argument cannot be left out, so an optional one is `any`, in which a single blank cell looks like a zero.

An answer is rows of `any`: numbers, texts and error values, in one cell or many. Text in such rows is never equal to
the same text in a cell, for Calc compares where they are kept. So a function that answers words is declared to answer
one `any`, and only one.
"""

from typing import NamedTuple

from xlcalc.core.declaration import Declaration
from xlcalc.core.evaluate import evaluate

ROWS, ONE = "[][]any", "any"
REQUIRED, OPTIONAL, REST = "s", "a", "r"
UNO_TYPES = {REQUIRED: "[][]string", OPTIONAL: "any", REST: "[]any"}
REST_NAME = "arguments"
REST_HELP = "The arguments of that function, as they stand in its own call."


class Parameter(NamedTuple):
    """An argument as Calc knows it: name, help in the function wizard, how it is handed over."""

    name: str
    help: str
    way: str  # REQUIRED, OPTIONAL or REST

    @property
    def uno_type(self) -> str:
        """The type under which the type library declares it."""
        return UNO_TYPES[self.way]


def parameters(declaration: Declaration) -> list[Parameter]:
    """The arguments of a worksheet function in their order."""
    found = [Parameter(arg.name, arg.description, REQUIRED if arg.required else OPTIONAL) for arg in declaration.args]
    if declaration.about and declaration.args:
        found.append(Parameter(REST_NAME, REST_HELP, REST))
    return found


def answers_words(declaration: Declaration) -> bool:
    """Whether the answer of a call is one text, not a number or a column."""
    return isinstance(evaluate(declaration, declaration.example.cells), str)


def answer_type(declaration: Declaration) -> str:
    """The type under which the type library declares the answer."""
    return ONE if answers_words(declaration) else ROWS


def ways(declaration: Declaration) -> str:
    """How the arguments are handed over, one letter each."""
    return "".join(parameter.way for parameter in parameters(declaration))


def help_text(declaration: Declaration) -> str:
    """What the function wizard says of a function: what it answers, and in which unit."""
    unit = declaration.answer.unit.printed if declaration.answer.unit_text else ""
    return f"{declaration.summary} Answer in {unit}." if unit else declaration.summary
