"""What a label says beside a formula of a shop's own, and the figures that are written into it."""

import pytest

from xlcalc.workbook.audit.rules.labels import labels_apart, said_again_apart, shares_apart

from ..sheets import book, places


def found(label: str, formula: str) -> list[str]:
    return places(labels_apart(book({"A1": "Flow", "B1": 12.0, "A2": label, "B2": formula})))


@pytest.mark.parametrize(
    ("label", "formula"),
    [
        ("Bore at 3 m/s", "=BORE_FOR_FLOW(B1,30)"),
        ("Bore at 3 m/s, in", '=BORE_FOR_FLOW(B1,"3 ft/s","in")'),
        ("Speed in 10 mm", "=ROUND(LINE_VELOCITY(B1,1),2)"),
        ("Growth to 60 °C", '=FLUID_EXPANSION_VOLUME("90 L","petrol",10,50)'),
        ("at 12 US gpm", '=LINE_VELOCITY("12 L/min",9.5)'),
    ],
)
def test_a_figure_that_is_not_the_one_of_the_label(label: str, formula: str) -> None:
    assert found(label, formula) == ["B2"]


@pytest.mark.parametrize(
    ("label", "formula"),
    [
        ("Bore at 3 m/s", "=BORE_FOR_FLOW(B1,3)"),
        ("Bore at 9.84 ft/s", "=BORE_FOR_FLOW(B1,3)"),  # the same to what the label rounds
        ("Speed in 10 mm", "=LINE_VELOCITY(B1,B1)"),  # no figure in the formula
        ("Growth from 10 °C to 60 °C", '=FLUID_EXPANSION_VOLUME("90 L","petrol",10,60)'),
        ("Cooler 2, 24 V fan", "=LINE_VELOCITY(B1,10)"),  # nothing that the function takes
        ("Line PS-1, 100R6", "=LINE_VELOCITY(B1,10)"),
        ("Bore", "=BORE_FOR_FLOW(B1,30)"),
    ],
)
def test_a_label_that_goes_with_its_formula(label: str, formula: str) -> None:
    assert found(label, formula) == []


def test_the_finding_says_both() -> None:
    (got,) = labels_apart(book({"A1": "Bore at 3 m/s", "B1": "=BORE_FOR_FLOW(12,30)"}))
    assert got.there == "=BORE_FOR_FLOW(12,30) beside the label Bore at 3 m/s: 30 m/s in BORE_FOR_FLOW"
    assert got.expected == "3 m/s, as the label says"


@pytest.mark.parametrize(
    ("label", "formula", "cells"),
    [
        ("VAT 19 %", "=B1*0.19", []),
        ("with 19 % VAT", "=B1*1.19", []),
        ("less 3 %", "=B1*0.97", []),
        ("price for a margin of 20 %", "=B1*1.25", []),
        ("less 10 % and 5 %", "=B1*0.855", []),
        ("Deposit 30%", "=B1*30/100", []),
        ("two, with 10 % waste", "=B1*2", []),
        ("VAT 19 %", "=B1*Rate", []),
        ("VAT 19 %", "=B1*0.16", ["B2"]),
        ("with 19 % VAT", "=B1*1.6", ["B2"]),
        ("waste of 2.5 %", "=B1*0.25", ["B2"]),
    ],
)
def test_a_share_is_that_of_its_label(label: str, formula: str, cells: list[str]) -> None:
    assert places(shares_apart(book({"A1": "Net", "B1": 12.0, "A2": label, "B2": formula}))) == cells


@pytest.mark.parametrize(
    ("label", "formula", "cells"),
    [
        ("in inches", '=BORE_FOR_FLOW(B1,3,"in")', []),
        ("at 5 m/s", '=BORE_FOR_FLOW(B1,5,"in")', []),
        ("in all", "=BORE_FOR_FLOW(B1,5)", []),
        ("in mm", "=LINE_VELOCITY(B1,5)", []),  # another function: not the figure above
        ("in inches", '=BORE_FOR_FLOW(B1,30,"in")', ["B3", "B2"]),
        ("in inches", '=BORE_FOR_FLOW(B2,3,"in")', ["B3", "B2"]),
    ],
)
def test_a_figure_that_is_said_again_in_another_unit_is_the_same(label: str, formula: str, cells: list[str]) -> None:
    held = {"A1": "Flow", "B1": 12.0, "A2": "Bore at 3 m/s", "B2": '=BORE_FOR_FLOW(B1,3,"mm")'}
    assert places(said_again_apart(book(held | {"A3": label, "B3": formula}))) == cells
