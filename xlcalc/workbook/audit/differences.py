"""What sets a formula apart from the one that was expected, in words that a fabricator reads."""

from typing import NamedTuple

from xlcalc.workbook.formulas import Token, tokens

LONGEST = 150  # letters of a formula in a message; of a longer one the part that differs
SHORT = 60  # letters of a formula that is shown whole beside what it was
AROUND = 40  # letters on both sides of that part


class Difference(NamedTuple):
    """The pieces in which two formulas differ, and both formulas with no more around them than is needed."""

    there: str
    expected: str
    there_formula: str
    expected_formula: str

    @property
    def words(self) -> str:
        """Why it matters what differs, without a full stop."""
        there, expected = brief(self.there), brief(self.expected)
        if not expected:
            return f"`{there}` was put in: it changes the answer, or will once the cells around it change"
        if not there:
            return f"`{expected}` is missing: the answer leaves it out"
        kinds = ({token.kind for token in tokens(text)} for text in (self.there, self.expected))
        first, second = kinds
        if first <= {"reference"} and second <= {"reference"}:
            return f"it looks at {there} where {expected} is meant"
        if first <= {"number"} and second <= {"number"}:
            return f"the figure {there} stands where {expected} is meant"
        if first <= {"number"}:
            return f"the figure {there} was typed where {expected} is meant: it no longer follows"
        return f"`{there}` stands where `{expected}` is meant"

    @property
    def since(self) -> str:
        """What was changed, where `expected` is how it was: both formulas, of long ones the pieces that differ."""
        there, was = brief(self.there), brief(self.expected)
        if max(map(len, (self.there_formula, self.expected_formula))) <= SHORT:
            return f"was {self.expected_formula}, is {self.there_formula}"
        if not was:
            return f"`{there}` was put in"
        if not there:
            return f"`{was}` was taken out"
        kinds = {token.kind for text in (self.there, self.expected) for token in tokens(text)}
        if kinds <= {"reference"}:
            return f"looks at {there}, before at {was}"
        return f"`{there}` in place of `{was}`"


def brief(text: str) -> str:
    """A piece of a formula; of a long one its two ends."""
    return text if len(text) <= 2 * AROUND else f"{text[:AROUND]} ... {text[-AROUND:]}"


def difference(there: str, expected: str) -> Difference:
    """Two formulas, both without `=`."""
    here, wanted = ([token for token in tokens(text) if token.kind != "space"] for text in (there, expected))
    start = 0
    while start < min(len(here), len(wanted)) and alike(here[start], wanted[start]):
        start += 1
    end = 0
    while end < min(len(here), len(wanted)) - start and alike(here[-1 - end], wanted[-1 - end]):
        end += 1
    pieces = [between(text, held, start, end) for text, held in ((there, here), (expected, wanted))]
    (first, last), (wanted_first, wanted_last) = pieces
    return Difference(
        there[first:last], expected[wanted_first:wanted_last],
        shortened(there, first, last), shortened(expected, wanted_first, wanted_last),
    )  # fmt: skip


def alike(one: Token, other: Token) -> bool:
    """True for the same piece."""
    return one.kind == other.kind and one.text.upper() == other.text.upper()


def between(text: str, pieces: list[Token], start: int, end: int) -> tuple[int, int]:
    """Where the pieces stand in a text that are neither among the first nor among the last that are alike."""
    stop = len(pieces) - end
    first = pieces[start].start if start < len(pieces) else len(text)
    last = pieces[stop - 1].start + len(pieces[stop - 1].text) if stop > start else first
    return first, max(first, last)


def shortened(formula: str, first: int, last: int) -> str:
    """A formula with `=`; of a long one the part from `first` to `last` and what stands around it."""
    if len(formula) <= LONGEST:
        return f"={formula}"
    start, stop = max(0, first - AROUND), min(len(formula), last + AROUND, first + LONGEST)
    return f"{'=' if start == 0 else '...'}{formula[start:stop]}{'' if stop == len(formula) else '...'}"
