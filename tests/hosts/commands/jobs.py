"""A small workbook of a job with a quote, made by hand: what a revision needs and no more."""

from collections.abc import Mapping, Sequence

from tests.workbook.books import HEAD, MAIN, OFFICE, formula, number, packed, parts, row, text

STYLES = (
    '<numFmts><numFmt numFmtId="170" formatCode="[$-409]d mmm yyyy"/></numFmts>'
    "<fonts><font/></fonts><fills><fill><patternFill/></fill></fills><borders><border/></borders>"
    '<cellStyleXfs><xf/></cellStyleXfs>'
    '<cellXfs><xf numFmtId="0"/><xf numFmtId="14"/><xf numFmtId="170"/><xf numFmtId="2"/></cellXfs>'
    '<cellStyles><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles>'
)
DAY = 46083  # 2 March 2026, counted from 1900
AMOUNTS = ("Parts", "Labour", "Cost", "Price", "Tax", "Total", "Deposit", "Days")
FIRST_AMOUNT = 6  # row of Parts on Quote
DAYS_ROW = 40  # the row of SentDays is not in the file
LIMIT = 3.0  # m, of every line

Line = tuple[str, float | str, str]
LINES: tuple[Line, ...] = (("PS-1", 1.6, "wire braid -6"), ("PS-2", 4.5, "textile -6"), ("CO-1", 2.0, "EPDM 19"))


def names(without: Sequence[str] = ()) -> str:
    """The defined names of the book."""
    found = {"JobNumber": "Start!$B$2", "Revision": "Start!$B$3", "JobDate": "Start!$B$4", "HottestAir": "Start!$B$5",
             "LineLongest": "Start!$B$6", "Currency": "Start!$B$7", "VelocitySuction": "Start!$D$8",
             "Margin": "Start!$B$9",
             "SentRevision": "Quote!$B$4", "SentDate": "Quote!$B$5", "LineList": "Lines!$A$5:$A$9"}  # fmt: skip
    for place, name in enumerate(AMOUNTS, start=FIRST_AMOUNT):
        found[f"Now{name}"] = f"Quote!$C${place}"
        found[f"Sent{name}"] = f"Quote!$B${DAYS_ROW if name == 'Days' else place}"
    kept = {name: area for name, area in found.items() if name not in without}
    return "".join(f'<definedName name="{name}">{area}</definedName>' for name, area in kept.items())


def job(
    revision: str = text("B3", "A"),
    *,
    day: str = f'<c r="B4" s="2"><v>{DAY}</v></c>',
    hottest: float = 32,
    velocity: str = "",
    margin: float = 30,
    costs: float = 1240,
    days: str = "12",
    lines: Sequence[Line] = LINES,
    routes: Mapping[str, float] | None = None,
    incomplete: bool = False,
    without: Sequence[str] = (),
    more: str = "",
    properties: str = "",
) -> bytes:
    """The file. Each amount of the quote is a share of `costs`; `more` are further rows of Quote."""
    start = row(1, text("A1", "The job")) + row(2, text("A2", "Job number"), text("B2", "2601"))
    start += row(3, text("A3", "Revision"), revision) + row(4, text("A4", "Date"), day)
    start += row(5, text("A5", "Hottest air"), number("B5", hottest), text("C5", "°C"))
    start += row(6, text("A6", "Longest line"), formula("B6", "MAX(Lines!C5:C9)"))
    start += row(7, text("A7", "Currency"), text("B7", "money units"))
    start += row(8, text("A8", "velocity in a suction line"), number("B8", 1.2), velocity,
                 formula("D8", 'IF(C8="",B8,C8)'), text("E8", "m/s"))  # fmt: skip
    start += row(9, text("A9", "Margin"), number("B9", margin), text("C9", "%"))
    quote = quote_sheet(costs, days, incomplete) + more
    made = parts(
        {"Start": start, "Lines": lines_sheet(lines, routes or {"PS-1": 1601}), "Quote": quote},
        names=names(without),
        properties=properties,
        links=f'<Relationship Id="s" Type="{OFFICE}/sharedStrings" Target="sharedStrings.xml"/>',
    )
    made["xl/sharedStrings.xml"] = f'<sst xmlns="{MAIN}" count="1"><si><t>as sent</t></si></sst>'.encode()
    made["xl/styles.xml"] = f'{HEAD}<styleSheet xmlns="{MAIN}">{STYLES}</styleSheet>'.encode()
    made["xl/media/image1.png"] = bytes(range(256))
    return packed(made)


def heads(place: int, *words: str) -> str:
    """A row of headers."""
    return row(place, *(text(f"{letter}{place}", head) for letter, head in zip("ABCD", words, strict=False)))


def lines_sheet(lines: Sequence[Line], routes: Mapping[str, float]) -> str:
    """Two tables under each other: lines from row 5, then their routes."""
    rows = row(1, text("A1", "Does each line pass?"))
    rows += heads(3, "Line", "Check", "Length", "Hose")
    rows += row(4, text("C4", "m"))
    for place, (name, length, hose) in enumerate(lines, start=5):
        check = f'IF(C{place}&gt;{LIMIT},"Change: "&amp;C{place}&amp;" m, at most 3","Within limits")'
        long = text(f"C{place}", length) if isinstance(length, str) else number(f"C{place}", length)
        named = text(f"A{place}", name) if name else ""
        rows += row(place, named, formula(f"B{place}", check), long, text(f"D{place}", hose))
    top = 6 + len(lines)
    rows += row(top, text(f"C{top}", "put new rows above this line"))
    rows += row(top + 2, text(f"A{top + 2}", "How long is the hose to be cut?"))
    rows += heads(top + 3, "Route", "Check", "Cut")
    rows += row(top + 4, text(f"C{top + 4}", "mm"))
    for place, (name, cut) in enumerate(routes.items(), start=top + 5):
        check = f'IF(C{place}&lt;100,"Change: too short","Within limits")'
        rows += row(place, text(f"A{place}", name), formula(f"B{place}", check), number(f"C{place}", cut))
    return rows


def quote_sheet(costs: float, days: str, incomplete: bool) -> str:
    """As sent in column B, now in C, the difference in D; what was sent stands in cells of every kind."""
    sent = ('<c r="B6" s="3"><v>1000</v></c>', '<c r="B7" s="3"/>', '<c r="B8" s="3" t="s"><v>0</v></c>', "",
            text("B10", "older"), "", "")  # fmt: skip
    rows = row(1, text("A1", "Quote"), number("F1", costs))
    rows += heads(3, "Money", "As sent", "Now", "Difference")
    rows += row(4, text("A4", "Revision"), formula("C4", "Revision")) + row(5, text("A5", "Date"), '<c r="B5" s="1"/>')
    for place, (name, held) in enumerate(zip(AMOUNTS[:-1], sent, strict=True), start=FIRST_AMOUNT):
        now = formula(f"C{place}", f"ROUND($F$1*{place}/7,2)")
        more = formula(f"D{place}", f'IF(B{place}="","",C{place}-B{place})')
        rows += row(place, text(f"A{place}", name), held, now, more)
    said = formula("E13", '"Incomplete"') if incomplete else ""
    return rows + row(13, text("A13", "Days"), formula("C13", days), said)
