"""How a cell stands in a sheet's XML: the expressions that find one, with a formula or without, and their groups."""

import re

# None of these patterns looks at a piece of XML twice: a sheet that was made to harm takes no longer than another.
# A group is repeated as (?>(?:...)*), which is (?:...)*+: Python before 3.11.5 finds nothing by the short form.
REF = rb"""\sr=["']([A-Z]{1,3}+)([0-9]{1,7}+)["']"""
BEFORE_REF = rb"(?>(?:\s(?!r=)[^<>\s]*+)*)"  # gives up at once where it does not fit: most cells have no formula
ADDRESSED = BEFORE_REF + REF
ATTRIBUTE = rb"""(?:\s++[\w:.-]++\s*+=\s*+(?:"[^"<]*+"|'[^'<]*+'))"""
INLINE = rb"<is>(?>(?:[^<]++|<(?!/is>|/?c[\s>/]))*)</is>"
VALUE_ELEMENT = rb"(<v(?:\s[^<>]*+)?>([^<]*+)</v>|<v\s*+/>|" + INLINE + rb")"
FORMULA_CELL = re.compile(
    rb"<c(" + ADDRESSED + rb"[^<>]*+)>\s*+"
    rb"(<f((?>" + ATTRIBUTE + rb"*))\s*+(?:/>|>([^<]*+)</f>))\s*+" + VALUE_ELEMENT + rb"?(?=\s*+</c>|\s*+<extLst)",
)
ATTRIBUTES, LETTERS, DIGITS, ELEMENT, FORMULA_ATTRIBUTES, FORMULA, VALUE, VALUE_TEXT = range(1, 9)
OTHER_ATTRIBUTES = rb"[^<>/]*+(?>(?:/(?!>)[^<>/]*+)*)"
EXTENSION = rb"<extLst(?>(?:[^<]++|<(?!/?c[\s>/]))*)"
ANY_CELL = re.compile(
    rb"<c(" + ADDRESSED + OTHER_ATTRIBUTES + rb")"
    rb"(?:/>|>\s*+(?>" + VALUE_ELEMENT + rb"?)\s*+(?>(" + EXTENSION + rb")?)</c>)"
)
PLAIN_ATTRIBUTES, PLAIN_LETTERS, PLAIN_DIGITS, PLAIN_VALUE, PLAIN_VALUE_TEXT, PLAIN_REST = range(1, 7)
SHARED_GROUP = re.compile(rb"""\ssi=["']([0-9]+)["']""")  # in the attributes of a formula, as is the area of an array
AREA = re.compile(rb"""\sref=["']([^"'<>]*+)""")

Cell = re.Match[bytes]
"""A match of `FORMULA_CELL` or `ANY_CELL`: it holds the pieces of a cell and where they stand."""
