"""A declaration that is not sound stops the import with a sentence; a sound one tells all that is generated."""

from collections.abc import Callable
from typing import Any

import pytest

from xlcalc import functions
from xlcalc.core import registry
from xlcalc.core.declaration import Declaration
from xlcalc.core.declare import Answer, Arg, example, worksheet_function
from xlcalc.core.errors import DeclarationError


def sound(area: float, velocity: float) -> float:
    """Flow through an area.

    Method: area x velocity, which
    runs over two lines.
    Not for: gas.
    """
    return area * velocity


def declared(function: Callable[..., Any] = sound, name: str = "TRIAL_FLOW", **changes: Any) -> Declaration:
    given: dict[str, Any] = {
        "args": {"area": Arg("Area", "mm2", 1, 100), "velocity": Arg("Velocity", "m/s", 0, 60, default=2, help="mean")},
        "answer": Answer("Flow", "L/min"),
        "sources": ("CONTINUITY",),
        "example": example(50, 2, shows="6.0"),
    }
    worksheet_function(name, **{**given, **changes})(function)
    return registry._declared[name]


def test_a_sound_declaration_tells_everything() -> None:
    made = declared()
    assert made.signature == "TRIAL_FLOW(area, [velocity], [unit])"
    assert made.summary == "Flow through an area."
    assert made.relation == "area x velocity, which runs over two lines."
    assert made.not_for == "gas."
    assert made.args[1].description == "Velocity: mean. Takes 0 to 60 m/s. Left out: 2."
    assert made.args[2].description == "Unit of the answer. Takes L/min or another unit of that kind. May be left out."
    assert made.example.formula(made.name) == "TRIAL_FLOW(50, 2)"
    assert [arg.name for arg in made.workshop_args] == ["area", "velocity"]
    assert "TRIAL_FLOW" not in functions(), "a function outside the families is not handed out"


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"name": "FLOW"}, "not two or more capital words"),
        ({"name": "trial_flow"}, "not two or more capital words"),
        ({"name": "TRIAL_" + "X" * 40}, "not two or more capital words"),
        ({"args": {"area": Arg("Area", "mm2", 1, 100)}}, r"takes \['area', 'velocity'\], the declaration says"),
        ({"args": {"velocity": Arg("V", "m/s", 0, 60), "area": Arg("Area", "mm2", 1, 100)}}, "the declaration says"),
        ({"args": {"area": Arg("Area", "mm2", 100, 1), "velocity": Arg("V", "m/s", 0, 60)}}, "low 100 is not below"),
        ({"args": {"area": Arg("A", "mm2", 1, 9, "NOBODY"), "velocity": Arg("V", "m/s", 0, 60)}}, "limit's source"),
        ({"args": {"area": Arg("A", "mm2", 1, 9, default=2), "velocity": Arg("V", "m/s", 0, 60)}}, "behind an opt"),
        ({"args": {"area": Arg("A", "mm2", 1, 9), "velocity": Arg("V", "m/s", 0, 60, default=61)}},
         "velocity: its default 61 is refused: 61 m/s is above 60 m/s"),
        ({"args": {"area": Arg("A" * 300, "mm2", 1, 9), "velocity": Arg("V", "m/s", 0, 60)}}, "at most 255"),
        ({"sources": ()}, "cites no source"),
        ({"sources": ("NOBODY",)}, "cites 'NOBODY', which is not in data/sources.csv"),
        ({"example": example(50, 2, shows="7.0")}, r"the example shows 6\.0, not 7\.0"),
        ({"example": example(500, 2, shows="7.0")}, "the example shows Area: 500 mm² is above"),
    ],
)  # fmt: skip
def test_what_is_not_sound_is_refused(changes: dict[str, Any], words: str) -> None:
    with pytest.raises(DeclarationError, match=words):
        declared(**changes)


@pytest.mark.parametrize("name", ["next", "type", "to", "r1", "c2", "a1", "Flow", "2nd", "_x"])
def test_argument_names_that_vba_or_a_sheet_would_misread(name: str) -> None:
    with pytest.raises(DeclarationError, match="not legal in VBA or reads as a cell address"):
        declared(args={name: Arg("Area", "mm2", 1, 100), "velocity": Arg("Velocity", "m/s", 0, 60)})


def test_a_function_without_method_is_refused() -> None:
    def bare(area: float, velocity: float) -> float:
        """Flow."""
        return area * velocity

    with pytest.raises(DeclarationError, match="no Method part"):
        declared(bare)
    bare.__doc__ = ""
    with pytest.raises(DeclarationError, match="text of summary has 0 characters"):
        declared(bare)


def test_one_name_has_one_function() -> None:
    def other(area: float, velocity: float) -> float:
        """Flow. Method: none.

        Method: the same.
        """
        return area * velocity

    declared(name="TRIAL_TWICE")
    declared(name="TRIAL_TWICE")  # a module that is loaded anew
    with pytest.raises(DeclarationError, match=r"TRIAL_TWICE is declared twice, as .*sound and as .*other"):
        declared(other, name="TRIAL_TWICE")


def test_words_get_no_unit_argument() -> None:
    def verdict(area: float, velocity: float) -> str:
        """Whether it flows.

        Method: always.
        """
        return "yes"

    made = declared(verdict, "TRIAL_VERDICT", answer=Answer("Verdict"), example=example(50, 2, shows="yes"))
    assert made.signature == "TRIAL_VERDICT(area, [velocity])"
