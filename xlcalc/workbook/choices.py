"""Words that tell the rows of our workbooks apart; the sheets are written with them, the audit reads them.

They stand here by themselves so that auditing a workbook need not load what writes one.
"""

CLAMPS, CLIPS, WASHERS, RINGS, GROMMETS, SLEEVE, WRAP, TAGS, HAND = (
    "hose clamps", "P-clips", "banjo washers", "O-rings", "grommets", "heat sleeve", "spiral wrap", "tags", "by hand"
)  # fmt: skip
"""What a small part of Parts is counted by."""

FLOW, DROP, STOPS, WARM = "flow", "pressure drop", "vacuum after stops", "return temperature"
"""What a reading of Testing is of."""

SERVICE_ROWS = (
    ("every line and clip: look again", "at 100 km"),
    ("nuts and clamps: torque again", "at 1000 km"),
    ("breather filters: clean", "each oil change"),
    ("catch tanks: drain", "each oil change"),
    ("hoses: flex and look", "every year"),
    ("vacuum non-return valves: try", "every year"),
)
"""What is to be looked after in an empty Testing: what, and when."""
