"""Where Calc answers otherwise than the other doors, because of what Calc hands over. The docs and the tests read this.

Everything else is the same: same value to one part in a thousand million, or the same error value.
"""

from typing import NamedTuple


class Difference(NamedTuple):
    """One difference, by name: where it shows, what Calc answers there, and what to write instead."""

    name: str
    where: str
    calc: str
    reason: str
    instead: str


DIFFERENCES = (
    Difference(
        "blank or zero",
        "A single blank cell, or a 0, in an argument that may be left out, may be 0 and has another default than 0",
        "#VALUE!, never one of the two readings",
        "Calc hands over a blank cell as 0 in such an argument",
        "leave the argument out, write B7:B7 for B7, or give the 0 as text with its unit",
    ),
    Difference(
        "zero as left out",
        "A 0 in an argument that may be left out and cannot be 0, e.g. a unit or a word of a list",
        "as if left out; the other doors refuse it",
        "Calc hands over a blank cell as 0 in such an argument",
        "leave it out",
    ),
    Difference(
        "blank handed on",
        "A single blank cell among the arguments that ANSWER_WHY, ANSWER_STEPS, ANSWER_LOW or ANSWER_HIGH hand on",
        "counts as 0 where the function takes a 0 there; if all of them are blank or 0 the answer is blank",
        "Calc hands over a blank cell as 0 in such an argument",
        "write B7:B7 for B7",
    ),
    Difference(
        "true and false",
        "TRUE or FALSE in any argument",
        "counts as 1 or 0; the other doors refuse it",
        "Calc hands over truth values as numbers",
        "give the number",
    ),
    Difference(
        "error first",
        "An error value in an input, beside another input that is wrong or missing, or in ANSWER_WHY",
        "that error value, before anything else is looked at; ANSWER_WHY has no sentence for it",
        "Calc calls no function on an error value",
        "mend the cell that holds the error",
    ),
    Difference(
        "error in a range",
        "An error value inside a range",
        "Err:504 for the whole formula, saved as #VALUE!",
        "Calc calls no function on a range that holds an error value",
        "mend the cell that holds the error",
    ),
    Difference(
        "required left out",
        "A required argument that is left out, not blank: F(;3)",
        "Err:502 or Err:504, saved as #VALUE!, also where every argument is left out",
        "Calc takes no gap in an argument that tells a blank cell from a zero",
        "point at a blank cell",
    ),
    Difference(
        "text like a number",
        "A number where a name is wanted, or text that looks exactly like a number, in a required argument",
        "taken as what the argument wants; an error may be another one",
        "Calc hands over numbers as text in such an argument, with the decimal sign of the office",
        "give a number as a number and a name as text",
    ),
    Difference(
        "words over a range",
        "A function that answers words, such as HOSE_CHECK, over a range of several cells, in an array formula or not",
        "#VALUE!",
        "Text out of an array is not equal to the same text in a cell of Calc, so words come one by one",
        "write one formula a cell",
    ),
)


def table() -> str:
    """The differences as a Markdown table."""
    lines = ["| where | in Calc | because | write instead |", "|---|---|---|---|"]
    lines += [f"| {each.where} | {each.calc} | {each.reason} | {each.instead} |" for each in DIFFERENCES]
    return "\n".join(lines)
