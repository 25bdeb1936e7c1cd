"""Rows of Fluids and Hoses, cited and the shop's own: what a line makes of them, and what they say themselves."""

import io
from collections.abc import Mapping
from dataclasses import replace

import openpyxl
import pytest

from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import FIRST_ROW
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.sheets.fluids import SHEET as FLUIDS
from xlcalc.workbook.sheets.hoses import SHEET as HOSES
from xlcalc.workbook.template import content

from .lines_job import book, retyped, said
from .retyped import Frozen


@pytest.fixture(scope="module")
def demo() -> Frozen:
    return retyped(demo_job()).frozen()


def test_vents_and_vacuum_lines_hold_no_liquid_to_buy(demo: Frozen) -> None:
    # pi/4 d^2 L by hand, litres: PS 0.0792 + 0.0354 + 0.2126, GB 0.2166 + 0.2197, FU 0.0638 + 0.2059 + 0.1415, CO 2.892
    assert demo.value_at(*book().address("LitresOfFluid")) == "4.07"
    litres = FLUIDS.letter("litres")
    of = {demo.value_at("Fluids", f"A{row}"): demo.value_at("Fluids", f"{litres}{row}") for row in range(8, 26)}
    assert of["coolant 50/50"] == pytest.approx(2.892, abs=0.0005)
    assert (of["air"], of["gear oil 75W-90"]) == (0, 0)


def test_a_verdict_of_the_liner_table_rests_on_memory() -> None:
    """Which liner suits which fluid is from memory throughout, so a verdict that it decides says so."""
    job = demo_job()
    own = {"family": "shop", "size": "10", "bore": 9.5, "working": 300, "clamps": 300, "hottest": 120, "coldest": -40,
           "liner": "EPDM", "suction": "yes", "mark": "V"}  # fmt: skip
    rows = [{**row, "hose": "shop 10"} if row["line"] == "FU-2" else row for row in job.lines]
    report = retyped(Job(job.start, rows, job.fluids, [*job.hoses, own]))
    assert str(said(report)["FU-2"]).startswith("Change: liner EPDM does not suit petrol")
    assert said(report, "memory")["FU-2"] == "hose"


def test_what_is_to_be_looked_up_is_named(demo: Frozen) -> None:
    """The liner of EPDM hose and ATF are from memory; coolant, petrol and the velocity in a suction line are not."""
    found = said(demo, "memory")
    assert (found["CO-1"], found["FU-1"]) == ("hose", "hose")
    assert (found["GB-1"], found["PS-2"]) == ("hose, fluid", "hose, fluid")
    assert demo.value_at(*book().address("LinesOnMemory")) == sum(each != "" for each in found.values())


def test_a_fluid_without_what_its_line_asks_for_is_named_and_not_the_hose() -> None:
    """A fuel of which the density alone is known: its row of Fluids is at fault, nothing else."""
    job = demo_job()
    bare = {"fluid": "blend", "kind": "E10", "density": 750}
    rows = [{**row, "fluid": "blend"} if row["line"] in ("FU-1", "FU-2") else row for row in job.lines]
    half = {"fluid": "half", "based": "E10", "nu": 0.55, "pv1": 60, "pv1at": 37.8}
    rows = [{**row, "fluid": "half", "gap": 200} if row["line"] == "FU-3" else row for row in rows]
    report = retyped(Job(job.start, rows, [*job.fluids, half, bare], job.hoses))
    assert said(report)["FU-1"] == said(report)["FU-2"] == "Cannot be worked out: no viscosity of blend on Fluids"
    assert said(report)["FU-3"] == "Cannot be worked out: see half on Fluids"
    assert "34 mm2/s" not in str(said(report, "others")["FU-1"])  # an oil's figures are no example for a fuel
    check = {report.value_at("Fluids", f"A{row}"): report.value_at("Fluids", f"B{row}") for row in range(FIRST_ROW, 30)}
    assert check["blend"] == "Not checked: fill in Constant viscosity, or Viscosity 1 and 2"
    assert str(check["half"]).startswith("Cannot be worked out: Fluid: give the vapour pressure at two temperatures")
    assert check["E85"] == "Within limits"  # no line asks for it

    thick = {"fluid": "blend thick", "kind": "E10", "density": 750, "nu": 0.55}
    thin = {"fluid": "petrol thin", "based": "petrol", "nu": 0.55}
    rows = [{**row, "fluid": "blend thick"} if row["line"] in ("FU-1", "FU-2") else row for row in job.lines]
    rows.append({**next(row for row in job.lines if row["line"] == "FU-1"), "line": "FU-9", "fluid": "petrol thin"})
    report = retyped(Job(job.start, rows, [*job.fluids, thick, thin], job.hoses))
    assert said(report)["FU-1"] == "Cannot be worked out: no vapour pressure of blend thick on Fluids"
    assert said(report)["FU-2"] == "Within limits"  # under pressure it asks for none
    check = {report.value_at("Fluids", f"A{row}"): report.value_at("Fluids", f"B{row}") for row in range(FIRST_ROW, 30)}
    assert check["blend thick"] == "Not checked: fill in Constant vapour pressure, or Vapour pressure 1 and 2"
    assert check["petrol thin"] == "Not checked: fill in Reid vapour pressure"


def test_e10_answers_as_shipped() -> None:
    """Petrol of RVP 10 psi and summer E10 have one vapour pressure: they differ by the thicker ethanol alone."""
    job = demo_job()
    rows = [{**row, "fluid": "E10"} if row["line"] in ("FU-1", "FU-2") else row for row in job.lines]
    report = retyped(Job(job.start, rows, job.fluids, job.hoses))
    assert str(said(report)["FU-1"]).startswith("Near limit: ")
    assert said(report)["FU-2"] == "Within limits"
    assert said(report, "margin")["FU-1"] == pytest.approx(10.4, abs=0.3)  # 10.5 kPa with petrol


def test_a_hose_and_a_fluid_of_the_shops_own_work_like_cited_ones() -> None:
    job = demo_job()
    hose = {"family": "shop", "size": "7", "bore": 7.9375, "working": 13789.514, "burst": 62052.813, "proof": 31026.407,
            "hottest": 121.11, "coldest": -53.89, "liner": "NBR", "suction": "no", "mark": "V"}  # fmt: skip
    figures = {"density": 870, "nu1": 33, "nu1at": 40, "nu2": 7, "nu2at": 100, "vapour": 0, "doubt": 10}
    span = {"coldest": -40, "hottest": 150}
    fluid = {"fluid": "shop oil", "kind": "ATF", "class": "lubricating", "mark": "V", **figures, **span}
    rows = [{**row, "hose": "shop 7", "fluid": "shop oil"} if row["line"] == "PS-1" else row for row in job.lines]
    keys = ("dropcold", "v", "limit", "volume")
    cited = [said(retyped(job), key)["PS-1"] for key in keys]
    own = retyped(Job(job.start, rows, [*job.fluids, fluid], [*job.hoses, hose]))
    assert said(own)["PS-1"] == "Within limits"
    assert [said(own, key)["PS-1"] for key in keys] == pytest.approx(cited, rel=1e-4)
    assert said(own, "memory")["PS-1"] == ""


def test_a_row_that_starts_from_a_cited_one_takes_its_kind_liner_and_memory() -> None:
    """Petrol in a PTFE hose without a conductive liner is said even where the shop's row leaves those cells blank."""
    job = demo_job()
    fluid = {"fluid": "our petrol", "based": "petrol"}
    plain = {"family": "plain", "size": "6", "cited": "PTFE braid -6", "conductive": "no"}
    rows = [{**row, "fluid": "our petrol", "hose": "plain 6"} if row["line"] == "FU-1" else row for row in job.lines]
    report = retyped(Job(job.start, rows, [*job.fluids, fluid], [*job.hoses, plain]))
    reasons = f"{said(report)['FU-1']}; {said(report, 'others')['FU-1']}"
    assert "petrol in PTFE needs the conductive liner" in reasons


def test_two_rows_of_one_name_are_said_in_every_line_that_uses_them() -> None:
    job = demo_job()
    twice = {"fluid": "twin", "based": "ATF generic"}
    rows = [{**row, "fluid": "twin"} if row["line"] == "PS-1" else row for row in job.lines]
    once = said(retyped(Job(job.start, rows, [*job.fluids, twice], job.hoses)))["PS-1"]
    both = said(retyped(Job(job.start, rows, [*job.fluids, twice, twice], job.hoses)))["PS-1"]
    assert not once.startswith("Cannot be worked out")
    assert both == "Cannot be worked out: two rows of Fluids are called twin"


def test_words_joined_on_a_decimal_comma_pc_are_read_alike() -> None:
    """A spreadsheet of a decimal-comma PC joins 1519.5 as 1519,5: SUBSTITUTE in the words puts the point back."""
    book = openpyxl.load_workbook(io.BytesIO(content(demo_job(), 20, ())))
    pieces = [cell.value for cell in book["Hoses"][FIRST_ROW] if isinstance(cell.value, str) and "bore" in cell.value]
    found = [piece for piece in pieces if "SUBSTITUTE" in piece and '",","."' in piece]
    assert found, f"nothing puts the point back: {pieces}"


def test_a_hose_or_fluid_of_which_nothing_is_known_is_said_and_so_is_a_line_without_length() -> None:
    job = demo_job()
    cells: dict[str, Mapping[str, object]]
    cells = {"PS-1": {"hose": "mine"}, "FU-2": {"fluid": "milk"}, "CO-1": {"length": "0"}}
    lines = [{**row, **cells.get(str(row["line"]), {})} for row in job.lines]
    hoses, fluids = [*job.hoses, {"family": "mine", "size": ""}], [*job.fluids, {"fluid": "milk"}]
    report = retyped(replace(job, lines=lines, hoses=hoses, fluids=fluids))
    checks = said(report)
    assert checks["PS-1"] == "Cannot be worked out: see Hose, no figures in Hoses"
    assert checks["FU-2"] == "Cannot be worked out: see Fluid, no figures in Fluids"
    assert checks["CO-1"] == "Change: length 0 m: measure the line"
    for made, words in ((HOSES, "fill in Bore or Starts from"), (FLUIDS, "fill in Starts from or figures")):
        cells = [f"{made.letter('check')}{row}" for row in range(FIRST_ROW, FIRST_ROW + 200)]
        assert f"Not checked: {words}" in {report.value_at(made.name, cell) for cell in cells}
