"""The books that the audit is measured on, all worked out: three to plant faults in, twenty that must stay quiet.

Made once for a state of the package and of these recipes, then kept in the temporary folder of the machine.
"""

import hashlib
import os
import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from random import Random

import xlcalc
from xlcalc.workbook.demo import FILE_NAME
from xlcalc.workbook.template import content

from . import lived, moves, spellings
from .draft import Draft
from .jobs import filled_job
from .worked import worked_out

SEED = 1
SHIPPED = Path(__file__).parents[2] / "workbooks"  # worked out already; tests hold that they are what is built today
RECIPES = (
    "books.py", "draft.py", "jobs.py", "layout.py", "lived.py", "moves.py", "spellings.py", "typed.py", "worked.py",
)  # fmt: skip


def empty() -> bytes:
    """The template as it is shipped: 60 rows, nothing filled in."""
    return (SHIPPED / "template.xlsx").read_bytes()


def template() -> bytes:
    """The template of 60 rows with the lines of one vehicle filled in, so that a fault has something to spoil."""
    return content(filled_job(17, 8, 60, seed=7), 60)


def filled() -> bytes:
    """A job with 1,000 lines, 250 of them with routes and tests."""
    return content(filled_job(1_000, 250, 250, SEED), 250)


def shop() -> bytes:
    """A shop's copy: rows sorted and put in, columns and sheets moved and renamed, columns and sheets of its own."""
    draft, random = Draft(content(filled_job(80, 30, 50, seed=3), 50)), Random(3)
    lived.sorted_by_length(draft, random)
    lived.extended_in_the_middle(draft, random)
    lived.swapped_columns(draft, random)
    lived.own_columns(draft, random)
    lived.own_sums(draft, random)
    lived.own_calculations(draft, random)
    lived.local_limits(draft, random)
    lived.own_notes(draft, random)
    lived.reworded(draft, random)
    lived.renamed_sheets(draft, random)
    spellings.by_link(draft, ["Lines", "Breathers"])
    for sheet in ("Testing", "Vacuum", "Hose cutting"):
        spellings.respelled(draft, sheet, lambda name: f"{name.lower()}(")
    for sheet in ("Lines", "Hose cutting", "Order", "Our sums"):
        grid = draft.edit(sheet)
        moves.shared(grid, sorted({column for _, column in grid.cells}))
    return draft.data()


def demo() -> bytes:
    """The demo job as it is shipped: small enough for tests of the tests."""
    return (SHIPPED / FILE_NAME).read_bytes()


def lived_in(name: str) -> bytes:
    """One of the twenty."""
    place = list(lived.BOOKS).index(name)
    draft = Draft(content(filled_job(17 + 3 * (place % 4), 8, 24, seed=100 + place), 24))
    lived.lived_in(draft, name, place)
    return draft.data()


PLANTED: dict[str, Callable[[], bytes]] = {"template": template, "filled": filled, "shop": shop}
CLEAN: dict[str, Callable[[], bytes]] = {
    "empty": empty,
    **PLANTED,
    "demo": demo,
    **{name: (lambda name=name: lived_in(name)) for name in lived.BOOKS},  # type: ignore[misc]
}


def book(name: str) -> bytes:
    """A book by its name, worked out: of `CLEAN`."""
    place = folder() / (name.replace(" ", "-") + ".xlsx")
    if not place.exists():
        made = worked_out(CLEAN[name]())
        fresh = place.with_suffix(f".{os.getpid()}")
        fresh.write_bytes(made)
        fresh.replace(place)
    return place.read_bytes()


@cache
def folder() -> Path:
    """Where the books of this state of the package are kept."""
    state = hashlib.sha256()
    root = Path(xlcalc.__file__).parent
    sources = [*sorted(root.rglob("*.py")), *sorted(root.rglob("*.csv"))]
    for source in [*(each for each in sources if "audit" not in each.parts and "hosts" not in each.parts),
                   *(Path(__file__).with_name(name) for name in RECIPES), *sorted(SHIPPED.glob("*.xlsx"))]:  # fmt: skip
        state.update(source.read_bytes())
    place = Path(tempfile.gettempdir()) / f"xlcalc-audit-{state.hexdigest()[:16]}"
    place.mkdir(exist_ok=True)
    return place
