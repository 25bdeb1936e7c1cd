"""What the versions of Python that the package runs in do differently: its answers rest on none of it.

From 3.12 on `sum` keeps what rounding loses of floats, so that the last digit of an answer, and a byte of a workbook,
would be another; the answers add one float to the next, as spreadsheets do.

Before 3.11.5 the re of Python repeats a group possessively, `(?:...)*+`, only where the group holds nothing to go back
to (its changelog: gh-106052). A group is therefore written `(?>(?:...)*)`; one character or class may be repeated so.
"""

import builtins
import pkgutil
import re
from collections.abc import Iterable, Iterator
from importlib import import_module
from math import fsum
from typing import Any

import pytest

import xlcalc
from xlcalc.functions.fittings import fittings_of
from xlcalc.workbook.calculation.products import summed

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


def exact_sum(numbers: Iterable[Any], start: Any = 0) -> Any:
    """`sum` with nothing lost: what the `sum` of a later Python comes close to."""
    held = [start, *numbers]
    return fsum(held) if any(isinstance(each, float) for each in held) else plain_sum(held)


plain_sum = sum
BENDS = "1x elbow 90; 2x elbow 90 long; 1x elbow 45; 1x 180 bend"
CALLS = [
    *((name, *made.example.cells) for name, made in xlcalc.functions().items()),
    *(("COOLER_EFFECTIVENESS", units / 7, 0.7, "cross both unmixed") for units in range(1, 30)),
    *(("HOSE_ROLLS_TO_BUY", [[length / 7] for length in range(700, 3000, 97)], 6, loss) for loss in (0.1, 0.3, 1.7)),
]  # fmt: skip


def test_no_answer_rests_on_how_sum_rounds(monkeypatch):
    tenths = [[0.1] * 10, [1.0] * 10]
    before, bends, added = [xlcalc.call(*each) for each in CALLS], fittings_of(BENDS), summed(tenths)
    fittings_of.cache_clear()
    monkeypatch.setattr(builtins, "sum", exact_sum)
    assert [each for each, answer in zip(CALLS, before, strict=True) if xlcalc.call(*each) != answer] == []
    assert (fittings_of(BENDS), summed(tenths)) == (bends, added)
    assert sum([0.1] * 10) == 1.0  # the other sum is at work
