"""Functions: every worksheet function, generated from its declaration."""

from itertools import groupby

from openpyxl import Workbook

from xlcalc.core.declaration import Declaration
from xlcalc.core.registry import FAMILIES, functions
from xlcalc.core.tables import MARKS, Row
from xlcalc.core.words import digits
from xlcalc.functions.fittings import fitting_words
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.style import PLAIN, Painter
from xlcalc.workbook.sheets.printed import HEAD_ROW, opened, put_band, put_row

NAME = "Functions"
HEADS = ("Function", "What it answers", "Arguments, in their order", "Example", "How", "Not for, cautions", "Sources")
WIDTHS = (29, 26, 47.5, 38, 31, 29, 18.5)


def add(book: Workbook, painter: Painter, job: Job) -> None:  # noqa: ARG001 (the sheet is the same for every job)
    """Write the sheet."""
    says = "A number is in the unit given here; text carries its own, e.g. 6 US gpm. Arguments in [ ] may be left out."
    common = f"A fluid is {fluid_allows()}. [unit]: the answer comes in that unit instead, of the same kind."
    sheet = opened(book, painter, NAME, "What does each function answer, and what does it take?", says, HEADS, WIDTHS)
    painter.put(sheet, 3, 1, common, PLAIN)
    row = HEAD_ROW
    for family, declared in groupby(functions().values(), key=lambda made: made.family):
        row += 1
        put_band(sheet, painter, row, FAMILIES[family].words, len(HEADS))
        for made in declared:
            row += 1
            put_row(sheet, painter, row, row_of(made), WIDTHS)
    row += 2
    put_band(sheet, painter, row, "Words for fittings", len(HEADS))
    for word, loss in fitting_words().items():
        row += 1
        put_row(sheet, painter, row, row_of_fitting(word, loss), WIDTHS)


def row_of(made: Declaration) -> tuple[str, ...]:
    """The texts of one function."""
    arguments = "\n".join(argument_words(made, fluid_allows())) or "none"
    if made.about and made.args:
        arguments += "\nthen the arguments of that function, as they stand"
    warnings = "\n".join([*([f"Not for {made.not_for}"] if made.not_for else []), *made.cautions])
    unit = f", in {made.answer.unit.printed}" if made.answer.unit_text else ""
    example = f"{made.example.formula(made.name)}\n{'begins' if made.about else 'shows'} {made.example.shows}"
    cited = "\n".join(made.sources)
    return (made.name, f"{made.summary.removesuffix('.')}{unit}.", arguments, example, made.relation, warnings, cited)


def row_of_fitting(word: str, loss: Row) -> tuple[str, ...]:
    """The texts of a word for a fitting: the row of the loss table that it stands for."""
    k1, ki, kd = (digits(loss.number(name) or 0.0) for name in ("K1", "Ki", "Kd"))
    three_k = bool(loss.number("K1"))
    figures = f"K1 {k1}, Ki {ki}, Kd {kd}" if three_k else f"K {ki}"
    how = "K1/Re + Ki (1 + Kd/d^0.3), d in inches" if three_k else "the same at every flow and size"
    given = loss.provenance
    return (word, loss.text("fitting"), figures, f"2x {word}", how, MARKS[given.mark], given.source)


def fluid_allows() -> str:
    """What a fluid may be: it stands once on top, as many functions take one."""
    return next(arg for arg in functions()["FLUID_DENSITY"].args if arg.name == "fluid").reader.allows()


def argument_words(made: Declaration, said_above: str = "") -> list[str]:
    """`flow: Flow, 0 to 2000 L/min` for each argument; those that may be left out in brackets.

    What is said above already, such as what every fluid may be on top of the sheet, is not said again.
    """
    found = []
    for arg in made.args:
        name = arg.name if arg.required else f"[{arg.name}]"
        default = "" if arg.required or arg.default == "" else f"; left out: {arg.default}"
        allows = "" if arg.name == "unit" and not arg.required else arg.reader.allows()
        allowed = "" if not allows else ", see above" if allows == said_above else f", {allows}"
        found.append(f"{name}: {arg.label}{allowed}{default}")
    return found
