"""What the built-ins of a spreadsheet take as each of their arguments: one value, an area as it is, or an array.

The classes are those by which spreadsheets decide where an area stands for one of its cells (OASIS OpenDocument 1.2,
part 2, 3.3, Non-Scalar Evaluation; the letters for each function from common practice, held against answers of
LibreOffice Calc by a test).
"""

from collections.abc import Mapping

from xlcalc.workbook.calculation.tolerant import ROUNDING, SPELLING

ONE, AREA, ARRAY, PASSED_ON = "one", "area", "array", "passed on"
"""One value; an area as it stands, what is worked out from areas is one value; anything as it comes; what it is for
the call around, which IF and its like hand on.
"""

LETTERS = {"1": ONE, "R": AREA, "A": ARRAY, "P": PASSED_ON}

_WRITTEN = """
R*: SUM SUMSQ PRODUCT COUNT COUNTA COUNTBLANK AVERAGE AVERAGEA MAX MAXA MIN MINA MEDIAN STDEV STDEV.P STDEV.S STDEVA
R*: STDEVP STDEVPA VAR VAR.P VAR.S VARA VARP VARPA DEVSQ AVEDEV GEOMEAN HARMEAN KURT SKEW SKEW.P AND OR XOR CONCAT
R*: GCD LCM MULTINOMIAL MODE MODE.SNGL
11R*: TEXTJOIN
1R*: NPV XNPV SUBTOTAL
R1*: IRR MIRR LARGE SMALL PERCENTILE PERCENTILE.INC PERCENTILE.EXC QUARTILE QUARTILE.INC QUARTILE.EXC PERCENTRANK
R1*: PERCENTRANK.INC PERCENTRANK.EXC TRIMMEAN OFFSET COUNTIF
RR1*: XIRR
1R1*: RANK RANK.EQ RANK.AVG CELL
R1R1*: SUMIF AVERAGEIF
R1+: COUNTIFS
RR1+: SUMIFS AVERAGEIFS MAXIFS MINIFS
11R1*: NETWORKDAYS WORKDAY
111R*: NETWORKDAYS.INTL WORKDAY.INTL
R1R*: DSUM DAVERAGE DCOUNT DCOUNTA DGET DMAX DMIN DPRODUCT DSTDEV DSTDEVP DVAR DVARP
1A1*: MATCH XMATCH VLOOKUP HLOOKUP
1AA*: LOOKUP
1AA1*: XLOOKUP
A1*: INDEX
1P*: IF CHOOSE
1P+: IFS
11P*: SWITCH
1A*: FORECAST FORECAST.LINEAR
11A*: AGGREGATE
111A*: SERIESSUM
A*: SUMPRODUCT SUMX2MY2 SUMX2PY2 SUMXMY2 MMULT MDETERM MINVERSE TRANSPOSE FREQUENCY LINEST LOGEST TREND GROWTH CORREL
A*: COVAR COVARIANCE.P COVARIANCE.S PEARSON RSQ SLOPE INTERCEPT STEYX FTEST TTEST CHITEST ZTEST Z.TEST MODE.MULT ROW
A*: COLUMN ROWS COLUMNS AREAS SHEET SHEETS ISREF TYPE FORMULATEXT ISFORMULA LET LAMBDA FILTER SORT SORTBY
A*: UNIQUE TAKE DROP CHOOSEROWS CHOOSECOLS HSTACK VSTACK TOCOL TOROW VALUETOTEXT SINGLE ANCHORARRAY
"""
"""Letters of the arguments and the functions: `*` repeats the last letter, `+` the last two of them."""


class Taken:
    """What a function takes as its arguments, counted from 0."""

    def __init__(self, letters: str = "1*") -> None:
        head, sign = letters[:-1], letters[-1]
        self._cycle = 2 if sign == "+" else 1
        self._kinds = [LETTERS[letter] for letter in head]

    def at(self, place: int) -> str:
        """ONE, AREA, ARRAY or PASSED_ON."""
        beyond = place - len(self._kinds)
        return self._kinds[place if beyond < 0 else beyond % self._cycle - self._cycle]

    def whole(self, count: int) -> set[int]:
        """The places among so many arguments that take an area as it is."""
        return {place for place in range(count) if self.at(place) in {AREA, ARRAY}}


def _table() -> Mapping[str, Taken]:
    lines = (line.split(": ") for line in _WRITTEN.split("\n") if line)
    return {name: Taken(letters) for letters, names in lines for name in names.split()}


TAKES: Mapping[str, Taken] = _table()
SINGLES = Taken()
"""What every other function takes: one value in each place."""

GIVES_ARRAY = frozenset(
    """TRANSPOSE FREQUENCY MMULT MINVERSE LINEST LOGEST TREND GROWTH MODE.MULT SEQUENCE RANDARRAY MUNIT FILTER SORT
    SORTBY UNIQUE TAKE DROP CHOOSEROWS CHOOSECOLS HSTACK VSTACK TOCOL TOROW TEXTSPLIT""".split()  # noqa: SIM905
)
"""Functions that answer several values for what they take as it is."""

MAY_GIVE_AREA = frozenset(
    "INDEX OFFSET INDIRECT XLOOKUP LET LAMBDA SINGLE ANCHORARRAY VALUETOTEXT".split()  # noqa: SIM905
)
"""Functions of which only their answer shows whether it is one value."""

ANSWERS_ONE = frozenset(TAKES) - GIVES_ARRAY - MAY_GIVE_AREA - {
    "IF", "IFS", "CHOOSE", "SWITCH", "ROW", "COLUMN",
} | {"INDEX", "XLOOKUP"}  # fmt: skip
"""Functions that take areas and answer one value, as they are used nearly always."""

GONE_THROUGH = frozenset({"IF", "IFERROR", "IFNA", "SIN", "COS", "TAN", "ATAN2"})
"""Functions that the engine itself works out cell by cell; it answers every other one for the first cell, or not."""

TOLD_APART = frozenset(
    """CELL CHOOSE N T RAND RANDBETWEEN NOW TODAY INDIRECT OFFSET EDATE EOMONTH WORKDAY WORKDAY.INTL NETWORKDAYS
    NETWORKDAYS.INTL WEEKNUM YEARFRAC MROUND QUOTIENT ISEVEN ISODD CONVERT DELTA GESTEP FACTDOUBLE SERIESSUM ERF ERFC
    BIN2DEC BIN2HEX BIN2OCT DEC2BIN DEC2HEX DEC2OCT HEX2BIN HEX2DEC OCT2DEC HYPERLINK ADDRESS SUBTOTAL AGGREGATE INDEX
    """.split()  # noqa: SIM905
)
"""Functions that one spreadsheet works out cell by cell, and another one refuses or takes the first: left to it."""

OWN = {**ROUNDING, **SPELLING}
"""Those that `workbook/calculation/tolerant` works out, cell by cell too."""
