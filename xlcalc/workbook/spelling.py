"""How a file spells the names of our functions: plain for everyone, or with the prefix that an older Calc needs."""

OLD_CALC, EVERYONE = "old-calc", "everyone"
PREFIXES = {OLD_CALC: "XLCALC.", EVERYONE: ""}
"""What stands before a name for each way of spelling it."""

PLAIN_SINCE = (25, 2)
"""The first version of Calc that is known to read and write plain names in .xlsx files."""


def first_plain() -> str:
    """That version as a sentence has it."""
    return ".".join(map(str, PLAIN_SINCE))
