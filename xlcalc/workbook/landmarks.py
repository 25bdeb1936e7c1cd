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

CLAMPS, CLIPS, WASHERS, RINGS, GROMMETS, SLEEVE, WRAP, TAGS, HAND = (
    "hose clamps", "P-clips", "banjo washers", "O-rings", "grommets", "heat sleeve", "spiral wrap", "tags", "by hand"
)  # fmt: skip
"""What a small part of Parts is counted by."""

FLOW, DROP, STOPS, WARM = "flow", "pressure drop", "vacuum after stops", "return temperature"
"""What a reading of Testing is of."""

SERVICE_ROWS = (
    ("every line and clip: look again", "at 100 km", None),
    ("nuts and clamps: torque again", "at 1000 km", None),
    ("breather filters: clean", "each oil change", None),
    ("catch tanks: drain", "each oil change", None),
    ("hoses: flex and look", "every year", 1),
    ("vacuum non-return valves: try", "every year", 1),
)
"""What is to be looked after in an empty Testing: what, when, and the years after which it is due again.

Distances and years are common practice (P), and the sheet says so of them.
"""

WORDS, DEFAULT, OWN, USED, UNIT, KIND, SOURCE, CHANGED, IN_WORDS = range(1, 10)
"""The columns of Start."""

LIMIT_UNITS = {"1": "times", "degC": "°C", "A/mm2": "A/mm²", "day": "days"}
"""Units of limits as a person reads them, where the data spell them otherwise."""


def limit_name(limit: str) -> str:
    """`velocity-pressure` -> `VelocityPressure`: the named cell of a limit."""
    return "".join(word.capitalize() for word in limit.split("-"))
