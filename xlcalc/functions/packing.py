"""Cutting pieces from rolls: as few rolls as possible, and which piece comes from which roll.

n pieces in a roll need the sum of their lengths and n - 1 cuts. With one cut added to every piece and to the
roll this is bin packing. Longest first into the fullest roll it fits is tried first; where that needs more
rolls than the pieces' lengths demand, rolls are filled one after the other, each in every way that wastes no
more than may be wasted, until a better packing is found or none is left.
"""

from bisect import bisect_left, bisect_right, insort
from collections import Counter, deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate

from xlcalc.core.errors import OutOfRange
from xlcalc.core.steps import listening, step
from xlcalc.core.words import digits

_GRAIN = 1e-9  # m; lengths are counted in whole grains, so that sums are exact
_HAIR = 1000  # grains: a micrometre too long still counts as fitting
_MOST_TRIES = 60_000  # fillings looked at before a search is given up: well under a second
_MOST_ROLLS = 150  # rolls in a search, one function call deep each
_MOST_TOLD = 40  # rolls listed in ANSWER_STEPS

Filling = tuple[int, ...]  # how many pieces of each size are in a roll, or left over


@dataclass(frozen=True, slots=True)
class Packing:
    """`roll_of` holds for each cell its roll, counted from 1, or None for a blank cell.

    `at_least` is the number of rolls below which no packing exists, so `rolls == at_least` is the best.
    """

    rolls: int
    roll_of: tuple[int | None, ...]
    at_least: int


class _GivenUpError(Exception):
    """The search took too many tries."""


@lru_cache(maxsize=256)
def pack(lengths: tuple[float | None, ...], roll_length: float, loss_per_cut: float) -> Packing:
    """Pack pieces (m, None for a blank cell) into rolls of `roll_length` (m).

    Raises OutOfRange where a piece is longer than a roll.

    >>> pack((2.6, None, 2.6, 0.3), 3.0, 0.003)
    Packing(rolls=2, roll_of=(1, None, 2, 1), at_least=2)
    """
    for place, length in enumerate(lengths, start=1):
        if length is not None and round(length / _GRAIN) > round(roll_length / _GRAIN) + _HAIR:
            raise OutOfRange(
                f"piece {place} of {digits(length * 1000)} mm is longer than a roll of "
                f"{digits(roll_length)} m: buy longer rolls or split the line"
            )
    pieces = [None if length is None else round((length + loss_per_cut) / _GRAIN) for length in lengths]
    room = round((roll_length + loss_per_cut) / _GRAIN) + _HAIR
    wanted = sorted((piece for piece in pieces if piece is not None), reverse=True)
    rolls = _fullest_first(wanted, room)
    at_least = _lower_bound(wanted, room)
    if at_least < len(rolls) <= _MOST_ROLLS:
        rolls, at_least = _searched(wanted, room, rolls, at_least)
    return Packing(len(rolls), _places(pieces, rolls), at_least)


def _searched(pieces: Sequence[int], room: int, rolls: list[list[int]], at_least: int) -> tuple[list[list[int]], int]:
    """A packing into fewer rolls where one is found, and the number of rolls below which there is none."""
    proven = True
    for most_rolls in range(at_least, len(rolls)):
        try:
            better = _Search(pieces, room, most_rolls).rolls()
        except _GivenUpError:
            proven = False
            continue
        if better is not None:
            return better, most_rolls if proven else at_least
        at_least = most_rolls + 1
    return rolls, at_least


def _fullest_first(pieces: Sequence[int], room: int) -> list[list[int]]:
    """Pieces, longest first, each into the fullest roll that still takes it."""
    rolls: list[list[int]] = []
    left: list[tuple[int, int]] = []  # room left, number of the roll: least room first
    for piece in pieces:
        place = bisect_left(left, (piece, -1))
        if place == len(left):
            rolls.append([piece])
            insort(left, (room - piece, len(rolls) - 1))
        else:
            free, number = left.pop(place)
            rolls[number].append(piece)
            insort(left, (free - piece, number))
    return rolls


def _lower_bound(pieces: Sequence[int], room: int) -> int:
    """Rolls below which no packing exists.

    For every limit up to half a roll: pieces over room - limit are alone, pieces over half a roll are one a
    roll, and what the others between do not find beside these needs rolls of its own (Martello and Toth).
    """
    rising = sorted(pieces)
    sums = [0, *accumulate(rising)]
    half = bisect_right(rising, room // 2)
    most = -(-sums[-1] // room)
    for limit in {0, *rising[:half]}:
        alone = bisect_right(rising, room - limit)
        large = alone - half
        spare = large * room - (sums[alone] - sums[half])
        small = sums[half] - sums[bisect_left(rising, limit)]
        most = max(most, len(rising) - half + max(0, -(-(small - spare) // room)))
    return most


class _Search:
    """Whether pieces go into a number of rolls, by trying the fillings of one roll after another."""

    def __init__(self, pieces: Sequence[int], room: int, most_rolls: int) -> None:
        counted = Counter(pieces)
        self.sizes = sorted(counted, reverse=True)
        self.counts: Filling = tuple(counted[size] for size in self.sizes)
        self.room, self.most_rolls = room, most_rolls
        self.hopeless: set[tuple[Filling, int]] = set()
        self.tries = 0

    def rolls(self) -> list[list[int]] | None:
        """Sizes in each roll, or None where they do not go in. Raises _GivenUpError."""
        found = self._fill(self.counts, self.most_rolls)
        if found is None:
            return None
        return [
            [size for size, count in zip(self.sizes, filling, strict=True) for _ in range(count)] for filling in found
        ]

    def _fill(self, left: Filling, rolls_left: int) -> list[Filling] | None:
        """Fillings of the rolls left that take all pieces left."""
        if not any(left):
            return []
        total = sum(size * count for size, count in zip(self.sizes, left, strict=True))
        waste = rolls_left * self.room - total
        if waste < 0 or (left, rolls_left) in self.hopeless:
            return None
        first = next(place for place, count in enumerate(left) if count)
        for filling in self._fillings(left, first, waste):
            after = tuple(have - used for have, used in zip(left, filling, strict=True))
            rest = self._fill(after, rolls_left - 1)
            if rest is not None:
                return [filling, *rest]
        self.hopeless.add((left, rolls_left))
        return None

    def _fillings(self, left: Filling, first: int, waste: int) -> Iterator[Filling]:
        """Fillings with the longest piece left that take no more and waste at most `waste`."""
        used = [0] * len(left)
        used[first] = 1

        def add(place: int, free: int) -> Iterator[Filling]:
            self.tries += 1
            if self.tries > _MOST_TRIES:
                raise _GivenUpError
            while place < len(left) and (left[place] == used[place] or self.sizes[place] > free):
                place += 1
            if place == len(left):
                if free <= waste and not self._takes_more(left, used, free):
                    yield tuple(used)
                return
            before = used[place]
            most = min(left[place] - before, free // self.sizes[place])
            for more in range(most, -1, -1):
                used[place] = before + more
                yield from add(place + 1, free - more * self.sizes[place])
            used[place] = before

        yield from add(first, self.room - self.sizes[first])

    def _takes_more(self, left: Filling, used: Sequence[int], free: int) -> bool:
        return any(have > taken and size <= free for size, have, taken in zip(self.sizes, left, used, strict=True))


def _places(pieces: Sequence[int | None], rolls: Sequence[Sequence[int]]) -> tuple[int | None, ...]:
    """Roll of each cell: equal pieces go to the rolls in the order of the cells."""
    waiting: dict[int, deque[int]] = {}
    for number, sizes in enumerate(rolls, start=1):
        for size in sizes:
            waiting.setdefault(size, deque()).append(number)
    return tuple(None if piece is None else waiting[piece].popleft() for piece in pieces)


def tell(packing: Packing, lengths: Sequence[float | None], roll_length: float, loss_per_cut: float) -> None:
    """Say which pieces (lengths in m) come from which roll, and whether fewer rolls are possible (ANSWER_STEPS)."""
    if not listening():
        return
    for roll in range(1, min(packing.rolls, _MOST_TOLD) + 1):
        numbered = zip(lengths, packing.roll_of, strict=True)
        pieces = [length for length, number in numbered if number == roll and length is not None]
        left = max(0.0, roll_length - sum(pieces) - loss_per_cut * (len(pieces) - 1))
        cut = " + ".join(digits(round(length * 1000, 3)) for length in pieces)
        step(f"Roll {roll}: {cut} mm, {digits(round(left * 1000, 3))} mm left")
    if packing.rolls > _MOST_TOLD:
        step(f"Rolls {_MOST_TOLD + 1} to {packing.rolls} are packed likewise")
    step(
        "Fewer rolls are not possible"
        if packing.rolls == packing.at_least
        else f"A packing into {packing.at_least} rolls was neither found nor ruled out: the list is long"
    )
