"""Quote: the money by hand in decimals, what keeps it from going out, and what the customer's page shows."""

import io
from dataclasses import replace
from datetime import date
from decimal import Decimal

import openpyxl
import pytest

from xlcalc.core.errors import CalcError
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.calculation.recalc import Report
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.explained.headers import Headers
from xlcalc.workbook.explained.labels import Labels
from xlcalc.workbook.formulas import corners
from xlcalc.workbook.landmarks import OPERATIONS
from xlcalc.workbook.sheets.quote import TABLES
from xlcalc.workbook.sheets.quote_words import EXCLUSIONS

from .quote_book import (
    Made,
    assert_money,
    book_without_parts,
    by_hand,
    cents,
    job,
    labour,
    made,
    names,
    quiet,
    typed,
    whole_book,
)


@pytest.fixture(scope="module")
def demo() -> Made:
    book = whole_book()
    return Made(book.of(job(whole=True)).frozen(), names(book.package), book.data)


def test_revision_a_as_it_was_frozen_is_what_decimals_give() -> None:
    wanted = by_hand("1240.00")
    stated = ("1240.00", "1080.00", "2610.58", "3729.39", "745.88", "4475.27", "1790.11")
    assert tuple(str(cents(value)) for value in wanted.values()) == stated


def test_the_money_now_is_what_decimals_give(demo: Made) -> None:
    assert_money(demo, by_hand("1240.00"))
    for name in ("Parts", "Labour", "Cost", "Price", "Tax", "Total", "Deposit", "Days"):
        now, sent = float(str(demo[f"Now{name}"])), float(str(demo[f"Sent{name}"]))
        assert now == pytest.approx(sent, abs=0.005)
    assert demo.beside("Price from the cost") == "margin 30 % of the price: a mark-up of 42.9 % of the cost"
    assert demo.beside("Other costs", "F") == pytest.approx(60 + 37.20 + 193.376)
    assert (demo.beside("Other costs", "E"), demo.beside("Other costs", "G")) == (pytest.approx(290.58), 0)
    assert demo.beside("Labour") == "21.6 h worked at 50 an hour"


def test_the_demo_may_not_go_out_before_its_lines_are_changed(demo: Made) -> None:
    assert demo["QuoteCheck"] == "Change: quote has 6 lines marked Change"
    assert demo.beside("1") == "Not checked: variation 1 is not agreed"
    assert demo.page()[0] == "DRAFT: lines marked Change"
    # 11 operations and 7 subjects within limits, the variation not checked, lines and a price of Parts to change
    words = ("Change", "CannotBeWorkedOut", "NotChecked", "NearLimit", "WithinLimits", "Named")
    assert [demo[f"Quote{word}"] for word in words] == [2, 0, 1, 0, 18, 21]
    sums = "Agreed: 0.00 on top, 0.00 in the figures; not agreed: 46.00 before tax, 1 day, not in the total"
    assert demo.beside(sums, "A") == sums


def test_the_customers_page_says_what_a_quote_must_say(demo: Made) -> None:
    page = "\n".join(demo.page())
    for words in (
        "the workshop (invented)   Quote", "Anystreet 1, Anytown, telephone",
        "2601, revision B", "a mountain tour operator", "16-seat mountain coach",
        "PS-1: pump to steering box; wire braid rubber -6|BR-1: axle to tank; PTFE braid -6",
        "VA-3: tee to reservoir, servo; vacuum brake hose 11.1", "CO-2: heater to engine; EPDM 19", "none",
        "Not agreed and not included: 46.00 before tax, 1 day", "Brake hydraulics", "Bodywork", "carry no warranty",
        "found after strip-down are variations", "Certification", "Valid until|46113", "000-000 (invented)",
        "Price before tax, money units|3729.39", "tax 20 %|745.88", "Total|4475.27",
        "Deposit before work starts 40 %|1790.11",
        "proved with liquid at 2 times their working pressure, tubes at 1.5 times, held at least 5 min",
        "at least 70 kPa below the air around, at most 3 kPa lost in 5 min", "a leak test at 20.7 kPa",
        "the rating of the cap",
        "\nTerms\nWarranty: 24 months on hoses", "\nPayment: the deposit before work starts",
        "For the customer: name, date, signature", "local rules and licensed practice decide",
    ):  # fmt: skip
        assert words in page
    assert (date(2026, 4, 1) - date(1899, 12, 30)).days == 46113  # 2 March and 30 days
    assert "more line" not in page
    order = ("What is included", "Not included", "Total", "Cautions", "Terms", "Lines included", "CO-2: ", "signature")
    assert sorted(order, key=page.index) == list(order)  # what few lines leave free is the end of the page


def test_the_page_shows_no_cost_no_margin_and_no_hours(demo: Made) -> None:
    sheet = openpyxl.load_workbook(io.BytesIO(demo.data))["Quote"]
    area = sheet.print_area.split("!")[-1].replace("$", "")
    cells = [str(cell.value) for row in sheet[area] for cell in row if cell.value]
    secret = ("NowCost", "PriceFromCost", "NowParts", "NowLabour", "Margin", "LabourRate", "LabourHours", "Contingency")
    assert [cell for cell in cells if any(word in cell for word in secret)] == []
    for word in ("margin", "mark-up", "an hour", "2610"):
        assert word not in "\n".join(demo.page()).lower()
    setup = sheet.page_setup
    assert (setup.orientation, setup.fitToWidth, setup.fitToHeight) == ("portrait", 1, 1)
    assert sheet.print_title_rows in (None, "")  # the counts of the office would stand on the page


def without_parts(**cells: float | None) -> Made:
    """The quote where the Parts sheet says this."""
    book = book_without_parts()
    for name, value in cells.items():
        book.type_over(*book.address(name), value)
    return typed(book, book.job)


def test_without_parts_the_total_is_incomplete() -> None:
    found = without_parts(PartsTotal=None, PartsOpen=None, PartsLead=None)
    assert found["QuoteCheck"] == "Not checked: fill in Parts"
    assert found["NowTotal"] == ""
    assert found.beside("Total") == "Incomplete"
    assert found.page()[0] == "DRAFT: incomplete"
    assert "Total   Incomplete" in "\n".join(found.page())


def test_the_parts_sheet_is_taken_where_there_is_no_own_figure() -> None:
    found = without_parts(PartsTotal=1354.321, PartsOpen=2, PartsLead=10)
    assert_money(found, by_hand("1354.321"))
    assert found["QuoteCheck"] == "Not checked: 2 rows of Parts without an answer"
    assert (found.beside("Total"), found.page()[0]) == ("Incomplete", "DRAFT: incomplete")
    assert found.beside("Working days") == "in the shop; parts take up to 10 days"
    wanted = by_hand("1354.321")["NowPrice"] - Decimal("3729.39")
    assert found.beside(f"The price is {wanted} more than revision A; agreed variations make 0.00 of it", "A")


def test_an_empty_quote_says_nothing_but_what_to_type() -> None:
    found = made(Job(), 2)
    assert isinstance(found.report, Report)
    labels = Labels(found.report, "Quote", Headers(found.report, "Quote"))
    for name, called in (("QuoteCheck", "May the quote go out?"), ("NowTotal", "Total, Now"), ("FirstLow", "Low"),
                         ("VariationsOpen", "Money not agreed")):  # fmt: skip
        top, left, *_ = corners(found.names[name].partition("!")[2])
        assert labels.named(top, left) == (called, "")
    values = found.report.values["Quote"]
    assert {ref: value for ref, value in values.items() if isinstance(value, CalcError)} == {}
    shown = {ref: value for ref, value in values.items() if len(ref.rstrip("0123456789")) == 1 and ref[0] <= "J"}
    hints = {
        "Job number: fill it in on Start",
        "Type the hours of the first operation below, and what the job needs under Money.",
        "How it comes", "from the Parts sheet, or typed here", "hours of the table below", "in the shop", "Quote",
    }  # fmt: skip
    exclusions = {words for words in found.page() if words and words in EXCLUSIONS}
    assert {str(value) for value in shown.values() if value != ""} == hints | exclusions
    assert found["QuoteNamed"] == 0
    assert [found.beside(each) for each in OPERATIONS] == [""] * len(OPERATIONS)


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("Margin", "Not checked: fill in Margin, on Start"),
        ("LabourRate", "Not checked: fill in Labour rate, on Start"),
    ],
)
def test_a_blank_on_start_is_never_taken_for_zero(name: str, says: str) -> None:
    found = quiet(job({name: None}))
    assert found["QuoteCheck"] == says
    assert found["NowTotal"] == ""
    assert found.beside("Total") == "Incomplete"
    assert found.beside("measure") == (says if name == "LabourRate" else "Within limits")


def test_every_subject_says_what_keeps_the_quote() -> None:
    start = {"PriceListDate": date(2026, 1, 19), "SentRevision": "B", "SentTotal": 4475.00, "FirstLikely": 2000,
             "Freight": 70, "TaxRate": None}  # fmt: skip
    lines = [{**row, "flow": None} if row["line"] == "CO-1" else row for row in job().lines]
    found = quiet(replace(job(start), lines=lines))
    assert found.beside("Price list") == "Change: price list is 42 days old, at most 30: ask again"
    assert found.beside("Lines not checked") == "Not checked: 1 line not checked"
    assert found.beside("Figures") == "Not checked: fill in Tax, on Start"
    assert (found["NowTax"], found["NowTotal"], found["NowDeposit"]) == ("", "", "")
    assert found.beside("As sent") == "Change: revision B as sent does not add up"  # 3729.39 + 745.88
    # 70 of freight: 10 x 1.08 / 0.70 = 15.43 more
    assert found.beside("First call") == "Change: price 3745, the first call said 1700 to 2500: tell the customer"
    assert found["QuoteCheck"] == "Change: price list is 42 days old, at most 30: ask again"
    assert found.page()[0] == "DRAFT: incomplete"


def test_a_revision_that_was_sent_is_not_changed_under_its_letter() -> None:
    start = {"SentRevision": "B", "Freight": 70, "RangeBelow": None, "ValidDays": "a month"}
    found = quiet(job(start))
    assert found.beside("As sent") == "Change: revision B was sent with another total: take the next letter"
    assert found.beside("First call") == "Not checked: fill in Lower by and Higher by"
    assert found.beside("Price list") == "Cannot be worked out: see the dates on Start"


def test_figures_pasted_as_text_are_read_or_said() -> None:
    text = {"PartsOwn": "1240,00", "Freight": "60.0", "Consumables": "3 %", "Contingency": "8", "DepositShare": "40 %",
            "Margin": "30 %", "TaxRate": "20", "LabourRate": "50", "PriceListDate": date(2026, 2, 2)}  # fmt: skip
    changed = labour(measure={"hours": "90 min", "access": "1,2"}, clips={"times": "30"})
    found = quiet(job(text, {"labour": changed}))
    assert_money(found, by_hand("1240"))
    assert found["QuoteCheck"] == "Near limit: price list is 28 days old, at most 30"
    assert found.page()[0] == ""


def test_what_routes_counts_stands_beside_what_is_typed_and_goes_where_nothing_is() -> None:
    """Six routes of the demo with two panels and 25 clips; what is typed decides."""
    changed = labour(cut_and_build={"times": 5}, clips={"times": None})
    found = typed(whole_book(), job(whole=True))
    known = ("cut and build", "holes and grommets", "clips")
    assert [found.beside(each, "F") for each in (*known, "test")] == [6, 2, 25, ""]
    assert {found.beside(each) for each in known} == {"Within limits"}
    whole = demo_job()
    found = typed(whole_book(), replace(whole, tables={**whole.tables, "labour": changed}))
    assert found.beside("cut and build") == "Change: Routes counts 6, typed 5"
    assert found.beside("clips") == "Not checked: 25 so far, 11 of the lines without a route"
    routed = {row["line"] for row in whole.tables["routes"]}
    lines = [row for row in whole.lines if row["line"] in routed]
    changed = labour(clips={"times": None}, holes_and_grommets={"times": 2})
    found = typed(whole_book(), replace(whole, lines=lines, tables={**whole.tables, "labour": changed}))
    assert found.beside("cut and build") == "Change: Routes counts 6, typed 17"
    assert (found.beside("clips"), found.beside("holes and grommets")) == ("Within limits", "Within limits")
    assert found.beside("clips", "G") == pytest.approx(25 * 0.05 * 1.2)


def test_labour_says_what_is_missing_or_not_read() -> None:
    changed = labour(
        clips={"hours": None}, sleeves={"access": 0.8}, adaptors={"times": -1},
        install={"hours": "five"}, test={"times": 0}, paperwork={"times": 0, "hours": None},
    )  # fmt: skip
    found = quiet(job({"Freight": "soon"}, {"labour": [*changed, {"operation": "clips", "times": 1, "hours": 1}]}))
    assert found.beside("clips") == "Not checked: fill in Hours each"
    assert found.beside("clips", nth=2) == "Change: two rows are called clips"
    assert found.beside("sleeves") == "Change: access factor 0.8: 1.0 is an open place"
    assert found.beside("adaptors") == "Change: less than no work"
    assert str(found.beside("install")).startswith("Cannot be worked out: Hours each:")
    assert (found.beside("test"), found.beside("test", "G")) == ("Within limits", 0)
    assert (found.beside("paperwork"), found.beside("paperwork", "G")) == ("Within limits", 0)  # 0 times
    assert found.beside("Figures") == "Cannot be worked out: see Freight"
    assert found.beside("Total") == "Incomplete"
    assert found.page()[0] == "DRAFT: incomplete"


@pytest.mark.parametrize(
    ("start", "says"),
    [
        ({"TaxRate": 0.2}, "Change: Tax, on Start: less than 1 %, type 20 for 20 %"),
        ({"DepositShare": 0.4}, "Change: Deposit: less than 1 %, type 20 for 20 %"),
        ({"Contingency": 0.05}, "Near limit: Contingency: less than 1 %, type 5 for 5 %"),
        ({"Consumables": 0.03}, "Near limit: Consumables: less than 1 %, type 5 for 5 %"),
        ({"TaxRate": 0, "DepositShare": 0, "Contingency": 1}, "Within limits"),
    ],
)
def test_a_share_typed_as_a_fraction_is_not_taken_without_a_word(start: dict[str, object], says: str) -> None:
    assert quiet(job(start)).beside("Figures") == says


def test_a_share_typed_with_its_sign_stands_with_one_sign() -> None:
    found = quiet(job({"TaxRate": "20 %", "DepositShare": "40%", "Margin": "30 %"}))
    words = " ".join([*found.page(), str(found.beside("Tax")), str(found.beside("Price from the cost"))])
    for said in ("20 % of the price", "Deposit before work starts 40 %", "margin 30 % of"):
        assert said in words
    assert "%%" not in words.replace(" ", "")


AGREED: dict[str, object] = {"by": "the customer", "date": date(2026, 3, 3)}


def test_only_an_agreed_variation_on_top_enters_the_total() -> None:
    rows: list[dict[str, object]] = [
        {"no": "1", "line": "PS-1", "money": "46,00", "days": 1, "priced": "on top", "cause": "16 mm", **AGREED},
        {"no": "2", "money": 30, "days": 2, "priced": "in the figures", "cause": "adaptors", **AGREED},
        {"no": "3", "money": 99, "days": 3, "cause": "cracked port", "by": "the customer"},
    ]
    found = quiet(job(tables={"variations": rows}))
    assert_money(found, by_hand("1240", added="46"))
    assert found["NowDays"] == 7
    assert [found.beside(each) for each in "12"] == ["Within limits"] * 2
    assert found.beside("3") == "Not checked: variation 3 is not agreed"
    page = found.page()
    assert "1: PS-1, 16 mm; 46.00, 1 day" in page
    assert "2: adaptors; 30.00, 2 days" in page
    assert "Not agreed and not included: 99.00 before tax, 3 days" in page
    assert found.beside("The price is 46.00 more than revision A; agreed variations make 76.00 of it", "A")
    assert (found["QuoteCheck"], found.beside("Total"), page[0]) == ("Within limits", "", "")


def test_a_variation_that_is_not_agreed_may_not_hide_in_the_figures() -> None:
    rows: list[dict[str, object]] = [
        {"no": "1", "money": 46, "days": 1, "priced": "in the figures", "cause": "16 mm"},
        {"no": "2", "line": "XX-9", "money": 46, "days": 1, "cause": "16 mm", **AGREED},
        {"no": "3", "money": "much", "days": 1, "cause": "16 mm", **AGREED},
        {"no": "4", "money": 46, "days": 1, "priced": "perhaps", "cause": "16 mm", **AGREED},
        {"no": "5", "money": 46, "days": 1, **AGREED},
    ]
    found = quiet(job(tables={"variations": rows}))
    assert found.beside("1") == "Change: variation 1 is in the figures and not agreed: ask first"
    assert found.beside("2") == "Cannot be worked out: XX-9 is not a line of Lines"
    assert str(found.beside("3")).startswith("Cannot be worked out: Money:")
    assert found.beside("4") == "Cannot be worked out: see Priced, not a word of its list"
    assert found.beside("5") == "Not checked: fill in What and why"
    assert found.beside("Figures") == "Cannot be worked out: see Variations"  # a sum with a figure that is not read
    assert found["QuoteCheck"] == "Change: a variation is marked Change"
    assert found.beside("Total") == "Incomplete"


def test_the_page_lists_24_lines_past_a_gap_and_counts_the_rest() -> None:
    row = next(each for each in demo_job().lines if each["line"] == "CO-1")
    lines: list[dict[str, object]] = [{**row, "line": f"CO-{place}"} for place in range(1, 28)]
    lines[9] = {}  # cleared in the middle of the sheet
    page = made(replace(job(), lines=lines), 27).page()
    listed = [words for line in page for words in line.split("|") if words.startswith("CO-")]
    names = [words.partition(":")[0] for words in listed]
    assert sorted(names, key=lambda name: int(name[3:])) == [f"CO-{place}" for place in range(1, 26) if place != 10]
    assert "and 2 more lines" in page


def test_no_row_of_labour_waits_for_another_one() -> None:
    columns = {column.key: column.spec for column in TABLES[0].made.columns}
    assert [key for key, spec in columns.items() if "{begun}" in spec] == ["first"]
