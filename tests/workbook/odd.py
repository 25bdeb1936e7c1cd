"""Scraps of XML, pieces of formulas, texts and numbers that do harm where they can."""

SCRAPS = [
    b"<", b">", b'"', b"'", b"&", b"/", b"=", b" ", b"", b"\0", b"\xff", b"]]>", b"<!--", b"-->", b"<![CDATA[",
    b"<?x?>", b"</c>", b"<c>", b"<f>", b"</f>", b"<v>", b"</v>", b"<is><t>", b"</row>", b"<row>", b"<extLst>",
    b"</sheetData>", b"<sheetData>", b'<c r="A1">', b' t="s"', b' t="e"', b' t="d"', b' t="shared" si="0"',
    b' t="array" ref="A1:B9"', b' ref="A1:XFD1048576"', b' r="XFE1"', b"&#0;", b"&#x110000;", b"&x;",
    b"_x000D_", b"9" * 400, b"-1", b"1e999", b"NaN", b"#SPILL!", b"../", b"External", b"\xef\xbb\xbf",
    b"<!DOCTYPE a>", b"1048577", b"#REF!", b"[1]",
]  # fmt: skip
PIECES = [
    "A1", "$B$2", "A1:C3", "C:C", "1:3", "S!A1", "T!A1", "'T'!A1", "[1]S!A1",
    "Gone!A1", "Gone!A1:B2", "A0", "A0:A2", "S:T!A1", "XFE1", "Rate", "Own", "A1#", "#REF!",
    "TRUE", "1", "0", "-1", "1E308", "0.1", '"6 L/min"', '"x"', '""', "{1,2;3,4}", "(", ")", ",", ",,", " ",
    "+", "-", "*", "/", "^", "&", "=", "<>", "%", "@", ":", "!", "[", "]", "'", '"', "{", "}", ";", "SUM(",
    "IF(", "IFERROR(", "INDEX(", "OFFSET(", "INDIRECT(", "SEQUENCE(", "LET(", "LAMBDA(", "FILTER(",
    "_xlfn.XLOOKUP(", "NO_SUCH(", "REPT(", "LINE_VELOCITY(", "QUANTITY_IN(", "ANSWER_WHY(", "ANSWER_STEPS(",
    "FLUID_DENSITY(", "HOSE_ROLLS_TO_BUY(", "[1]!LINE_VELOCITY(", "'C:\\x y.xlam'!BORE_FOR_FLOW(",
    "_xll.HOSE_BORE(", "TABLE(", "cmd|'/C calc'!A0", "é", "😀", "\u202e", "9" * 30,
]  # fmt: skip
TEXTS = [
    "", " ", "6", "6,5", "1,250", "1/2", "3/8 in", "-20 degF", "6 US gpm", "150 psi", "8 inHg", "petrol",
    "ISO VG 46", "865 kg/m3; 34 mm2/s @ 40 degC; 7.2 mm2/s @ 100 degC", "PTFE braid -6",
    "PTFE braid -6; outside 13 mm", "2x elbow 90; 1x ball valve", "gal", "nan", "inf", "-inf", "1e400", "0x10",
    "１２ mm", "−5 °C", "6\u00a0mm", "6\u200b mm", "=1+1", "@x", "\ttab", "a\rb", "_x000D_", "\x1b[2J", "ü", "😀",
    "\ud800", "x" * 400, "x" * 401, "9" * 5_000, "-" * 300, "1;" * 150, "(" * 300, "/" * 300,
    "1 m" + "^2" * 100, "kg/" * 90, "1e5 mm", "mm", "yes", "TRUE", "#N/A", "lambda: 0", "__import__('os')",
    "1 $(touch x)", "../../x", "%s%n", "LINE_VELOCITY", "BORE_FOR_FLOW",
]  # fmt: skip
NUMBERS = [
    0.0, -0.0, 1.0, -1.0, 6.0, 8.0, 20.0, 40.0, 100.0, 1e3, 1e-9, 1e9, 1e15, 1e-300, 1e300, 1.7e308, 5e-324,
    -273.15, -273.16, 0.1, 1 / 3, 45658.0,
]  # fmt: skip
