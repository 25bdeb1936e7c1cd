"""The spellings in which spreadsheets write our functions: by a link to the add-in, in lower case, with a path."""

from collections.abc import Callable

from xlcalc.workbook.calculation.recalc import worksheet_functions
from xlcalc.workbook.formulas import plain_name, spliced, tokens

from . import moves
from .draft import Draft

ADD_IN = "xlcalc.xlam"


def by_link(draft: Draft, sheets: list[str]) -> None:
    """Our functions as Excel writes them while the add-in is loaded: `[1]!NAME(`, with the link to the add-in."""
    number_ = moves.add_link(draft, ADD_IN)
    for sheet in sheets:
        respelled(draft, sheet, lambda name: f"[{number_}]!{name}(")


def respelled(draft: Draft, sheet: str, spelling: Callable[[str], str]) -> None:
    """Write the calls of our functions on a sheet otherwise."""
    grid = draft.edit(sheet)
    for place, cell in grid.cells.items():
        if cell.formula is not None and "(" in cell.formula:
            grid.cells[place] = cell._replace(formula=spelled(cell.formula, spelling))


def spelled(formula: str, spelling: Callable[[str], str]) -> str:
    """A formula with the calls of our functions written otherwise."""
    ours = worksheet_functions()
    found = ((piece, plain_name(piece.text)) for piece in tokens(formula) if piece.kind == "call")
    edits = [(each.start, each.start + len(each.text), spelling(name)) for each, name in found if name in ours]
    return spliced(formula, edits)
