"""What a workbook may hold: every limit of the file layer, once.

A spreadsheet writes far less. What is larger was made to harm, or cannot be worked out in the memory of a workshop's
computer; it is refused before it is unpacked.
"""

ENTRY_LIMIT = 10_000  # parts in the container
PART_LIMIT = 256 * 2**20  # bytes of one part, unpacked
TOTAL_LIMIT = 2**30  # bytes of all parts, unpacked, and of the file itself
LARGEST_BOOK = 127 * 2**20  # bytes that the engine reads, unpacked, found by trying formualizer 0.13: sheets and texts
TREE_LIMIT = 32 * 2**20  # bytes of a part that is read as a tree of XML: names, links, styles; ten times that in memory
MOST_TAGS = 1_000_000  # opening and closing ones of such a part, 200 bytes of memory each
LONGEST_TAG = 2**16  # bytes of one of them; the engine takes 13 s for one with 100,000 attributes
LARGEST_ARRAY = 1_000_000  # cells that the array formulas of a sheet may fill
LONGEST_TEXT = 32_767  # characters in a cell
FORMULA_SIGNS = 8_192  # characters of a formula
LONGEST_FORMULA = 8 * FORMULA_SIGNS  # bytes of it in the file, each character spelled as long as XML can
ENDINGS = (".xlsx", ".xlsm", ".xltx", ".xltm")  # of the names of workbooks
