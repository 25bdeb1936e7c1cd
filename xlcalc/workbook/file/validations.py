"""The checks on what may be typed into the cells of a sheet, as the file has them."""

from collections.abc import Iterator
from xml.etree.ElementTree import Element

from xlcalc.workbook.file.package import MAIN, Package
from xlcalc.workbook.formulas import corners

Area = tuple[int, int, int, int]
"""Top, left, bottom, right."""


def validations(package: Package, part: str) -> Iterator[tuple[Element, list[Area]]]:
    """The checks of a sheet with their areas; one over an area that is none is left out, as spreadsheets do."""
    for rule in package.around_rows(part).iter(f"{MAIN}dataValidation"):
        yield rule, list(areas(rule.get("sqref") or ""))


def areas(text: str) -> Iterator[Area]:
    """The areas of a list such as `B2 D4:E9`; `#REF!` and the like are none."""
    for each in text.split():
        try:
            yield corners(each)
        except ValueError:
            continue
