"""The words that a Check begins with, from the most urgent to the one that asks for nothing."""

CHANGE, CANNOT, NOT_CHECKED = "Change", "Cannot be worked out", "Not checked"
NEAR, WITHIN = "Near limit", "Within limits"

URGENT = (CHANGE, CANNOT, NOT_CHECKED, NEAR)
"""Those that ask for something."""

VERDICTS = (*URGENT, WITHIN)


def short(verdict: str) -> str:
    """A verdict by as many of its words as tell it from the others: `Cannot`."""
    return verdict.partition(" be ")[0]
