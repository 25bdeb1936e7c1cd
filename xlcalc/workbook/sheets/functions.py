"""Functions: every worksheet function, generated from its declaration."""

from itertools import groupby

from openpyxl import Workbook

from xlcalc.core.declaration import Declaration
from xlcalc.core.kinds import digits
from xlcalc.core.registry import functions
from xlcalc.functions.fittings import fitting_words
from xlcalc.workbook.job import Job
from xlcalc.workbook.sheets.printed import HEAD_ROW, opened, put_row
from xlcalc.workbook.style import BAND, Painter

NAME = "Functions"
HEADS = ("Function", "What it answers", "Arguments, in their order", "Example", "How", "Not for, cautions", "Sources")
WIDTHS = (28, 27, 50, 29, 33, 31, 17)
FAMILY_WORDS = {
    "flow": "Flow and bore",
    "properties": "Fluids and air",
    "hoses": "Hoses",
    "routing": "Routing and supports",
    "breathers": "Breathers and tanks",
    "vacuum": "Vacuum",
    "cooling": "Cooling and heat",
    "testing": "Test, torque, price",
    "about": "About an answer",
}


def add(book: Workbook, painter: Painter, job: Job) -> None:  # noqa: ARG001 (the sheet is the same for every job)
    """Write the sheet."""
    says = "A number is in the unit given here; text carries its own, e.g. 6 US gpm. Arguments in [ ] may be left out."
    sheet = opened(book, painter, NAME, says, HEADS, WIDTHS)
    row = HEAD_ROW
    for family, declared in groupby(functions().values(), key=lambda made: made.family):
        row += 1
        painter.put(sheet, row, 1, FAMILY_WORDS[family], BAND)
        for made in declared:
            row += 1
            put_row(sheet, painter, row, row_of(made), WIDTHS)
    row += 2
    painter.put(sheet, row, 1, "Words for fittings", BAND)
    for word, loss in fitting_words().items():
        row += 1
        figures = ", ".join(f"{name} {digits(loss.number(name) or 0.0)}" for name in ("K1", "Ki", "Kd"))
        texts = (
            word,
            loss.text("fitting"),
            figures,
            f"2x {word}",
            "three-K method, by size",
            "",
            loss.provenance.source,
        )
        put_row(sheet, painter, row, texts, WIDTHS)


def row_of(made: Declaration) -> tuple[str, ...]:
    """The texts of one function."""
    arguments = "\n".join(argument_words(made)) or "none"
    if made.about and made.args:
        arguments += "\nthen the arguments of that function, as they stand"
    warnings = "\n".join([*([f"Not for {made.not_for}"] if made.not_for else []), *made.cautions])
    unit = f", in {made.answer.unit.printed}" if made.answer.unit_text else ""
    example = made.example.formula(made.name) + ("" if made.about else f"\nshows {made.example.shows}")
    cited = "\n".join(made.sources)
    return (made.name, f"{made.summary.removesuffix('.')}{unit}.", arguments, example, made.relation, warnings, cited)


def argument_words(made: Declaration) -> list[str]:
    """`flow: Flow, 0 to 2000 L/min` for each argument; those that may be left out in brackets."""
    found = []
    for arg in made.args:
        name = arg.name if arg.required else f"[{arg.name}]"
        default = "" if arg.required or arg.default == "" else f"; left out: {arg.default}"
        found.append(f"{name}: {arg.label}, {arg.reader.allows()}{default}")
    return found
