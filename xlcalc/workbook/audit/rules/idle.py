"""Formulas that contradict themselves: a cell twice in a sum, a question about a divisor that guards nothing.

What is asked here can be seen in one formula, on any sheet: nothing around it has to be understood.
"""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.differences import LONGEST
from xlcalc.workbook.audit.evidence.naming import label
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.reading.patterns import Pattern
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.formulas import Token, calls, tokens

ENDS = {"", "+", "-"}  # what stands on both sides of a plain term of a sum
GUARD = re.compile(r"(.+?)(<>|<=|>=|=|<|>)(-?[0-9.]+)", re.DOTALL)
CONSTANT = re.compile(r'-?[0-9.]+|"[^"]*"|')
NEUTRAL = {"0", "1"}  # for a share of nothing, by common practice (P): others give a finding and no verdict
LAST = r"(?![\w.$(])"  # behind a name or a reference that ends there
LOOKS = re.compile(r"[A-Z]\$?[0-9]")
RATIO = re.compile(r"\b(?:share|per|ratio|average|mean)\b", re.IGNORECASE)


def twice_in_a_sum(book: Book) -> Iterator[Finding]:
    """Sums of single cells in which a subtotal stands twice, or a cell that is taken off again."""
    for place, pattern in own_formulas(book):
        terms = plain_terms(pattern.at(place[1])) if len(pattern.targets) > 1 else ()
        signs = {text: [sign for sign, each in terms if each == text] for text, count in
                 Counter(text for _, text in terms).items() if count > 1}  # fmt: skip
        for text, of_each in signs.items():
            gone = set(of_each) == {"+", "-"}
            again = set(of_each) == {"+"} and len({each for _, each in terms}) > 1 and summed(book, text, place)
            if not (gone or again):
                continue  # two ends of a hose, both sides of a car
            does = "is added and taken off again" if gone else "counts twice"
            yield Finding(
                "counted-twice", (place,),
                f"={pattern.at(place[1])[:LONGEST]}{book.title(place)}, in which {text} stands {len(of_each)} times",
                "every cell once",
                f"{text} {does}: another cell was meant, or one too many was clicked",
                f"put the cell that is meant in its place, or write 2*{text} where that is meant",
                Sure.LIKELY, Weight.WRONG,
            )  # fmt: skip


def summed(book: Book, text: str, place: Place) -> bool:
    """True for a cell that is worked out from others itself, as a subtotal is."""
    look = book.written.alone(text, place)
    return look is not None and bool(LOOKS.search(book.formula((look.sheet, look.top, look.left))))


def own_formulas(book: Book) -> Iterator[tuple[Place, Pattern]]:
    """The first cell of each pattern that the template does not know."""
    for pattern, places in book.every_pattern():
        if not book.known(places[0]):
            yield places[0], pattern


def plain_terms(formula: str) -> list[tuple[str, str]]:
    """The single cells that a sum adds or takes off, each with its sign; none for a formula that is no plain sum."""
    pieces = [each for each in tokens(formula) if each.kind != "space"]
    depth, found = 0, []
    for at, piece in enumerate(pieces):
        if piece.kind in ("call", "open"):
            depth += 1
        elif piece.kind == "close":
            depth -= 1
        elif depth == 0 and piece.kind == "reference" and ":" not in piece.text:
            before, after = text_at(pieces, at - 1), text_at(pieces, at + 1)
            if before in ENDS and after in ENDS:
                found.append((before or "+", piece.text.replace("$", "").upper()))
        elif depth == 0 and piece.kind == "sign" and piece.text not in "+-*/%^":
            return []
    return found


def text_at(pieces: Sequence[Token], at: int) -> str:
    """The text of a piece; empty before the first and behind the last."""
    return pieces[at].text if 0 <= at < len(pieces) else ""


class Guarded(NamedTuple):
    """`IF(X=0,0,Y/X)`: what is asked, how, beside which number, and what is answered then and else."""

    asked: str
    sign: str
    beside: float
    then: str
    other: str

    def takes(self, sign: str, branch: str) -> bool:
        """True where what is asked stands whole behind a sign of a branch: `/B1`, and not `/B12`."""
        return re.search(re.escape(sign + self.asked) + LAST, branch.replace(" ", "")) is not None


def open_guards(book: Book) -> Iterator[Finding]:
    """Questions about a divisor after which it is 0 all the same, or after which nothing is divided by it."""
    for place, pattern in own_formulas(book):
        if "IF(" not in pattern.shape:
            continue
        for guard in guards(pattern.at(place[1])):
            if wrong := amiss(guard, label(book, *place)):
                yield Finding(
                    "open-guard", (place,),
                    f"={pattern.at(place[1])[:LONGEST]}{book.title(place)}",
                    f"IF({guard.asked}=0,0,.../{guard.asked})",
                    wrong,
                    "write the question, the constant and the sign as in the expected formula",
                    Sure.LIKELY, Weight.WRONG,
                )  # fmt: skip


def guards(formula: str) -> Iterator[Guarded]:
    """The questions whether something is a number after which it, or a constant, is the answer."""
    for call in calls(formula):
        if call.name == "IF" and len(call.arguments) == len(("condition", "then", "else")):
            condition, then, other = (argument.text for argument in call.arguments)
            if found := GUARD.fullmatch(condition):
                yield Guarded(found[1].replace(" ", ""), found[2], float(found[3]), then, other)


def amiss(guard: Guarded, called: str) -> str:
    """What is wrong with a question about a divisor; empty where nothing is."""
    then_constant, else_constant = (CONSTANT.fullmatch(each.strip()) for each in (guard.then, guard.other))
    if then_constant and guard.takes("/", guard.other):
        return amiss_behind(guard)
    if else_constant and guard.takes("/", guard.then) and guard.beside == 0 and guard.sign in ("=", "<"):
        return f"it divides by {guard.asked} only where that is 0 or less"
    times = then_constant and guard.takes("*", guard.other)
    if guard.sign == "=" and guard.beside == 0 and times and RATIO.search(called):
        return f"it asks whether {guard.asked} is 0, as before a division, and multiplies by it"
    return ""


def amiss_behind(guard: Guarded) -> str:
    """What is wrong where a constant is the answer first, and a division is where the question is answered by no."""
    if guard.sign == "=" and guard.beside != 0:
        return f"it asks for {guard.beside:g}, and a divisor of 0 is an error all the same"
    if guard.sign in ("<>", ">") and guard.beside == 0:
        return f"it divides by {guard.asked} only where that is 0 or less"
    if guard.sign == "=" and is_odd(guard.then.strip()):
        return f"without anything to divide by, the answer is {guard.then}: a figure that nothing gave"
    return ""


def is_odd(constant: str) -> bool:
    """True for a constant that is a number, and stands for no share of nothing."""
    return constant not in NEUTRAL and constant[:1] not in ("", '"')
