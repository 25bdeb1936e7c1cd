"""Some thousands of mutated workbooks and cells, the same every time; `python -m tests.workbook.fuzz` tries more."""

import pytest

from .fuzz import KINDS, run

SEED = 20240301
CASES = {"bytes of the file": 400, "XML of a part": 300, "cells": 250, "inputs of a function": 2_500}


@pytest.mark.parametrize("kind", KINDS)
def test_mutated(kind: str) -> None:
    first = KINDS.index(kind)
    counts, faults = run(range(first, CASES[kind] * len(KINDS), len(KINDS)), SEED)
    assert faults == []
    assert sum(counts.values()) == CASES[kind]
    assert min(counts.values()) > CASES[kind] // 50
    assert len(counts) == 2  # some are refused or errors, some are read or answered
