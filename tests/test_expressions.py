"""Regular expressions mean the same in every Python that the package runs in.

Before 3.11.5 the re of Python repeats a group possessively, `(?:...)*+`, only where the group holds nothing to go back
to (its changelog: gh-106052). A group is therefore written `(?>(?:...)*)`; one character or class may be repeated so.
"""

import pkgutil
import re
from collections.abc import Iterable, Iterator
from importlib import import_module
from typing import Any

import pytest

import xlcalc

NOT_HERE = (  # the second loads in a running office only, the third on Windows
    "xlcalc.__main__", "xlcalc.hosts.calc.component.addin", "xlcalc.hosts.excel.serve"
)  # fmt: skip
MODULES = [
    module.name
    for module in pkgutil.walk_packages(xlcalc.__path__, "xlcalc.")
    if not module.ispkg and module.name not in NOT_HERE
]


def expressions() -> dict[str, re.Pattern[Any]]:
    """Every expression that a module keeps, by its name."""
    return {
        f"{module}.{name}": value
        for module in MODULES
        for name, value in vars(import_module(module)).items()
        if isinstance(value, re.Pattern)
    }


def repeats(parsed: Iterable[Any]) -> Iterator[Any]:
    """What an expression repeats possessively, at any depth of what Python reads it as."""
    for piece in parsed:
        if isinstance(piece, tuple) and piece and str(piece[0]) == "POSSESSIVE_REPEAT":
            yield piece[1][2]
        if isinstance(piece, tuple | list | re._parser.SubPattern):
            yield from repeats(piece)


def groups_repeated(expression: re.Pattern[Any]) -> int:
    """How often an expression repeats more than one character or class possessively."""
    parsed = re._parser.parse(expression.pattern, expression.flags & ~re.DEBUG)
    single = {"LITERAL", "NOT_LITERAL", "ANY", "IN", "CATEGORY"}
    return sum(len(held) != 1 or str(held[0][0]) not in single for held in repeats(parsed))


def test_no_group_is_repeated_by_the_short_form():
    found = expressions()
    assert "xlcalc.workbook.file.cell_xml.FORMULA_CELL" in found
    assert [name for name, expression in found.items() if groups_repeated(expression)] == []


@pytest.mark.parametrize(
    ("expression", "count"), [("(?:ab*+)*+", 1), ("x(a|b(?:c+d)?+)+", 1), ("[ab]*+.?+", 0), ("(?>(?:ab)*)", 0)]
)
def test_groups_are_told_from_single_characters(expression, count):
    assert groups_repeated(re.compile(expression)) == count
