"""Plant faults of the 45 classes into a clean book: seeded, one or several at once, as a spreadsheet would have it."""

from collections.abc import Sequence
from random import Random
from typing import NamedTuple

from . import plant_book, plant_cells, plant_ranges, plant_units
from .ground import FAULTS, Bench, Fault, Ground, Planted

FAMILIES = (plant_cells, plant_ranges, plant_units, plant_book)  # to declare a class is to import its module
TRIES = 25

__all__ = ["FAULTS", "Bench", "Fault", "Planted", "Sown", "plant", "sow"]


class Sown(NamedTuple):
    """A book with faults in it; `left` are those that found no place."""

    data: bytes
    planted: list[Planted]
    left: list[tuple[int, int]]


def sow(bench: Bench, wanted: Sequence[tuple[int, int]]) -> Sown:
    """Plant faults, each a class and a seed, at places of their own. At most one of them concerns the whole book."""
    ground = Ground(bench, Random(0))
    planted, left = [], []
    for number, seed in wanted:
        done = None
        for attempt in range(TRIES):
            ground.random = Random(f"{number} {seed} {attempt}")
            if (done := FAULTS[number].plant(ground)) is not None:
                break
        if done is None:
            left.append((number, seed))
        else:
            planted.append(done)
    return Sown(ground.data(), planted, left)


def plant(bench: Bench, number: int, seed: int) -> Sown:
    """Plant one fault of a class."""
    return sow(bench, [(number, seed)])
