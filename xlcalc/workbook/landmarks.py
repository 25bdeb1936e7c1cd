"""Words and places of our workbooks by which a reader finds its way; the sheets are written with them.

They stand here by themselves so that working out or auditing a workbook need not load what writes one.
"""

MARKER = "put new rows above this line, then fill the formulas down"
"""Stands in the row that ends a table."""

OPERATIONS = (
    "measure", "cut and build", "holes and grommets", "clips", "sleeves", "adaptors", "install", "fill and bleed",
    "test", "road test", "paperwork",
)  # fmt: skip
"""What is done on a job, in the order of an empty Quote: a forgotten one is work for nothing, so it names them."""

WORDS, DEFAULT, OWN, USED, UNIT, KIND, SOURCE, CHANGED, IN_WORDS = range(1, 10)
"""The columns of Start."""

LIMIT_UNITS = {"1": "times", "degC": "°C", "A/mm2": "A/mm²", "day": "days"}
"""Units of limits as a person reads them, where the data spell them otherwise."""


def limit_name(limit: str) -> str:
    """`velocity-pressure` -> `VelocityPressure`: the named cell of a limit."""
    return "".join(word.capitalize() for word in limit.split("-"))
