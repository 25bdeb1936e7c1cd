"""Which sizes of hose there are, by bore: those of the table or those of three columns of a workbook."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from xlcalc.core.errors import MissingInput, NotInTable, WrongKind
from xlcalc.core.steps import listening, step
from xlcalc.core.tables import table
from xlcalc.core.words import joined, nearest
from xlcalc.functions.wording import said, told_apart

_HAIR = 1e-9  # a bore in another unit still counts as that bore


@dataclass(frozen=True, slots=True)
class Size:
    """One size of one family; `bore` in m."""

    family: str
    size: str
    bore: float


@lru_cache(maxsize=1)
def sizes_of_the_table() -> tuple[Size, ...]:
    """Sizes of the hoses table that have a bore."""
    rows = ((row.text("family"), row.text("size"), row.number("bore")) for row in table("hoses"))
    return tuple(Size(family, size, bore) for family, size, bore in rows if bore is not None)


def sizes_listed(
    families: Sequence[str | None] | None,
    sizes: Sequence[str | None] | None,
    bores: Sequence[float | None] | None,
) -> list[Size]:
    """Filled rows of three columns.

    Raises MissingInput where one of the columns is not given, WrongKind where they differ in height.
    """
    if families is None or sizes is None or bores is None:
        raise MissingInput("families, sizes and bores go together: give all three columns or none")
    if not len(families) == len(sizes) == len(bores):
        heights = f"{len(families)}, {len(sizes)} and {len(bores)} cells"
        raise WrongKind(f"families, sizes and bores differ in height: {heights}")
    return [
        Size(family, size, bore)
        for family, size, bore in zip(families, sizes, bores, strict=True)
        if family is not None and size is not None and bore is not None
    ]


def next_size(family: str, smallest_bore: float, sizes: Sequence[Size]) -> str:
    """Smallest size of a family with at least a bore (m); of equal bores the first.

    Raises NotInTable where the family is not there or none of its sizes is large enough.
    """
    own = sorted((each for each in sizes if each.family.casefold() == family.casefold()),
                 key=lambda each: each.bore)  # fmt: skip
    if not own:
        known = tuple(dict.fromkeys(each.family for each in sizes))
        near = nearest(family, known) or (f"; it knows {joined(known)}" if known else ": no row is filled in")
        raise NotInTable(f"the list of hoses has no family {family!r}{near}")
    for each in own:
        if each.bore >= smallest_bore * (1.0 - _HAIR):
            if listening():
                step(f"{each.family} {each.size} has a bore of {said(each.bore, 'mm')}")
            return each.size
    largest = own[-1]
    wanted, has = told_apart(smallest_bore, largest.bore, "mm")
    raise NotInTable(
        f"{largest.family} ends at size {largest.size}, bore {has} mm; wanted is {wanted} mm: take another "
        f"family, or two lines"
    )
