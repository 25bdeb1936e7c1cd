"""Every word that the Checks of the Cooling sheet can say, and a sump that is run through time with its fan."""

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

import pytest

from xlcalc.workbook.building.job import Job

from .cooling_job import (
    CIRCUITS,
    COOLERS,
    ELECTRICS,
    FAN,
    FANS,
    GEARBOX,
    PER,
    STEERING,
    WIRED,
    air_of_a_degree,
    behind,
    job,
    said,
)
from .retyped import Frozen, Retyped


def lived(sender: str, on: float, off: float, share: float = 0.2, heat: float = 4.6, limit: float = 120) -> str:
    """What a fan does in four hours: a sump of 30 kJ/K warms and is cooled, the switch follows the sender every 5 s."""
    sump, running, switched, flips, came, stopped = 60.0, False, 0, 0, False, False
    for step in range(4 * 720):
        per = PER * (1 if running else share)
        reading = sump if sender == "hot line" else behind(sump, 45, per)
        wanted = reading > off if running else reading >= on
        if wanted != running:
            flips += step - switched <= 2 and came
            stopped |= running
            came |= not running
            running, switched = wanted, step
        sump += (heat - PER * (1 if running else share) * (sump - 45)) * 5 / 30.0
        if sump > limit and not came:
            return "fan never comes on before the sump limit"
        if flips > 5:
            return "fan keeps switching on and off"
    return "" if stopped else "fan never stops"


SWITCHES: tuple[tuple[str, dict[str, object], str], ...] = (
    ("keeps switching", {"sender": "return", "on": 85, "off": 75}, "fan keeps switching on and off"),
    ("never comes on", {"sender": "return", "on": 115, "off": 70}, "fan never comes on before the sump limit"),
    ("never stops", {"sender": "return", "on": 85, "off": 50}, "fan never stops"),
    ("return within", {"sender": "return", "on": 104, "off": 63}, ""),
    ("hot within", {"sender": "hot line", "on": 100, "off": 90}, ""),
    ("hot never stops", {"sender": "hot line", "on": 95, "off": 76}, "fan never stops"),
    ("hot never comes on", {"sender": "hot line", "on": 126, "off": 90}, "fan never comes on before the sump limit"),
    ("no heat without fan", {"sender": "return", "on": 100, "off": 75, "share": 0}, "fan keeps switching on and off"),
    ("much without fan", {"sender": "return", "on": 84, "off": 75, "share": 40}, "fan keeps switching on and off"),
)
WORDS: tuple[tuple[str, dict[str, object], str], ...] = (
    ("order", {"off": 90}, "Change: off at 90 is not below on at 85"),
    ("apart", {"sender": "hot line", "on": 95, "off": 90}, "Change: on and off are 5.0 K apart, at least 8"),
    ("target hot", {"sender": "hot line", "target": 125, "on": 100, "off": 90},
     "Change: sump target 125 °C, at most 120"),
    ("target near", {"sender": "hot line", "target": 117, "on": 100, "off": 90},
     "Near limit: sump target 117 °C, at most 120"),
    ("target cold", {"target": 40}, "Change: sump target 40 °C, the air before the cooler is 45"),
    ("share", {"share": 0.2}, "Change: fan-off share 0.2 % is nearly nothing: type 20 for 20 %"),
    ("late near", {"sender": "hot line", "on": 117, "off": 90},
     "Near limit: fan hardly comes on before the sump limit: on at 117, 120 °C in the sump reads 120"),
    ("late", {"on": 115, "off": 70},
     "Change: fan never comes on before the sump limit: on at 115, 120 °C in the sump reads 110"),
    ("stops near", {"sender": "hot line", "on": 100, "off": 83},
     "Near limit: fan hardly stops: off at 83, cooler reaches only 82"),
    ("stops", {"sender": "return", "off": 50}, "Change: fan never stops: off at 50, cooler reaches only 58"),
    ("cycles near", {"on": 104, "off": 65},
     "Near limit: fan nearly keeps switching on and off: on at 104, reads 69 while it runs, off at 65: lower off"),
    ("missing", {"on": None}, "Not checked: fill in On"),
    ("place", {"sender": "sump"}, "Cannot be worked out: see Sender in, not a word of its list"),
    ("text", {"on": "185 degF", "off": "75 °C"}, "Change: fan keeps switching on and off: on at 85, reads 61"),
    ("comma", {"on": "85,0", "off": "75"}, "Change: fan keeps switching on and off: on at 85, reads 61"),
    ("unread", {"on": "85 bar"}, "Cannot be worked out: On: "),
)  # fmt: skip
OILS: tuple[tuple[str, dict[str, object], str], ...] = (
    ("within", {}, "Within limits"),
    ("too hot", {"heat": 10.8},
     "Change: oil 131 °C to the cooler, at most 120: larger cooler or more air"),  # 45 + 85.9
    ("far too hot", {"heat": 40}, "Change: oil 363 °C to the cooler, at most 120: larger cooler or more air"),
    ("near", {"heat": 9.0},
     "Near limit: oil 117 °C to the cooler, at most 120: larger cooler or more air"),  # 45 + 71.6
    ("just over", {"heat": 9.45}, "Change: oil 120.17 °C to the cooler, at most 120"),  # 45 + 75.17
    ("swapped", {"heat": None, "hot": 58, "cool": 82},
     "Cannot be worked out: hot 58 °C is not above cool 82: swapped?"),
    ("hot already", {"hot": 124}, "Change: oil is 124 °C before the cooler already, at most 120"),
    ("in words", {"heat": "4,6", "flow": "7 L/min", "air": "113 degF", "diff": "55", "cat": "8500 W"}, "Within limits"),
    ("oil unread", {"heat": "4.6 bar"}, "Cannot be worked out: Heat known: "),
    ("air unread", {"air": "45 bar"}, "Cannot be worked out: Air before: "),
    ("no heat", {"heat": None}, "Not checked: fill in Hot"),
    ("no cool", {"heat": None, "hot": 82}, "Not checked: fill in Cool"),
    ("no fluid", {"fluid": None}, "Not checked: fill in Fluid"),
    ("no flow", {"flow": None}, "Not checked: fill in Flow"),
    ("no rating", {"cat": None}, "Not checked: fill in Rated heat"),
    ("no difference", {"diff": None}, "Not checked: fill in Rated over air"),
    ("no air", {"air": None}, "Not checked: fill in Air before"),
    ("no kind", {"kind": None}, "Not checked: fill in Kind"),
    ("line unread", {"line": "CO-2", "flow": None, "fluid": None},
     "Cannot be worked out: see the flow and the highest pressure of CO-2 on Lines"),
    ("flow unread", {"flow": "9 gpm"}, 'Cannot be worked out: Flow: "gpm" alone has two sizes'),
    ("kind", {"kind": "axle"}, "Cannot be worked out: see Kind, not a word of its list"),
    ("line", {"line": "XX-9"}, "Cannot be worked out: XX-9 is not a line of Lines"),
    ("cold air", {"air": 20}, "Change: air 20 °C before the cooler, the hottest day has 32"),
    ("flow of line", {"line": "GB-1", "flow": 6}, "Change: GB-1 carries 7.0 L/min on Lines, typed 6.0: clear one"),
    ("other fluid", {"line": "PS-1"}, "Change: PS-1 carries power steering mineral on Lines"),
    ("milk", {"fluid": "milk"}, "Cannot be worked out: see Fluid, not a row of Fluids"),
    ("other flow", {"cat": 20}, "Cannot be worked out: Oil back: giving off "),  # 0.30 kW/K, 7 L/min carry 0.19
    ("by ua", {"cat": None, "diff": None}, "Within limits"),
    ("half a ua", {"cat": None, "diff": None},
     "Cannot be worked out: its row in the last table of this sheet is not filled in"),
    ("lock", {**STEERING, "heat": None, "air": None}, "Within limits"),
    ("lock short", {**STEERING, "heat": None, "volume": 0.08},
     "Change: 4.4 s at full lock to 120 °C, at least 5: more oil"),
    ("lock near", {**STEERING, "heat": None, "volume": 0.095},
     "Near limit: 5.2 s at full lock to 120 °C, at least 5: more oil"),
    ("lock hot", {**STEERING, "heat": None, "hot": 121}, "Change: oil is 121 °C before full lock already, at most 120"),
    ("lock empty", {**STEERING, "heat": None, "volume": None}, "Not checked: fill in Volume of oil"),
    ("lock relief", {**STEERING, "heat": None, "relief": None}, "Not checked: fill in Relief"),
    ("lock uncooled", {**STEERING, "heat": 0.2, "cat": None}, "Not checked: fill in Rated heat"),
)  # fmt: skip
TROUBLED = {
    "air unread": "Cannot be worked out: fill in circuit air unread above first, with its cooler",
    "milk": "Cannot be worked out: see Target, fan off",
    "other flow": "Cannot be worked out: see Target, fan on",
    "no cool": "Cannot be worked out: fill in circuit no cool above first, with its cooler",
}
CORE: dict[str, object] = {"ua": 0.4, "through": 2000, "oil": 80}
COILS: tuple[tuple[str, dict[str, object], str], ...] = (
    ("by ua", CORE, "Within limits"),
    ("half a ua", {**CORE, "through": None}, "Not checked: fill in Air flow"),
    ("within", {"oil": 80}, "Not checked: fill in UA"),
    ("too hot", {"oil": 80, "bore": 8, "length": 2, "diameter": 200}, "Within limits"),
    ("air unread", CORE, "Cannot be worked out: see Air carries"),
    ("milk", {**CORE, "bore": 8, "length": 2, "diameter": 200}, "Cannot be worked out: see Oil carries"),
    ("near", {"oil": 40, "bore": 6, "length": 4, "diameter": 200}, "Change: coil holds back "),
    ("just over", {"oil": 80, "bore": 8, "length": 2}, "Not checked: fill in Coil across"),
    ("lock", {**CORE}, "Cannot be worked out: fill in heat known and air before of lock above"),
    ("swapped", {**CORE, "oil": "80 bar"}, "Cannot be worked out: Mean oil: "),
    ("in words", {**CORE, "cross": "sideways"}, "Cannot be worked out: see Share of all heat"),
)
CABLES: tuple[tuple[str, dict[str, object], str], ...] = (
    ("wide", {"area": 6}, "Within limits"),  # 2.2 %
    ("just", {"area": 4.5}, "Near limit: 2.956 % lost in the cable, at most 3"),  # 5.32 x 2.5 / 4.5, told apart from 3
    ("blows", {"area": 6, "fuse": 8}, "Change: fuse 8 A, at least 12.5 for 10.0 A"),
    ("fuse near", {"area": 6, "fuse": 13}, "Near limit: fuse 13 A, at least 12.5 for 10.0 A"),
    ("burns", {"area": 6, "fuse": 60}, "Change: fuse 60 A on 6 mm², at most 48: smaller fuse or thicker cable"),
    ("burns nearly", {"area": 6, "fuse": 45}, "Near limit: fuse 45 A on 6 mm², at most 48"),
    ("words", {"watt": "0.12 kW", "volt": "12 V", "length": "4,0", "area": "6"}, "Within limits"),
    ("unread", {"watt": "120 kg"}, "Cannot be worked out: Power: "),
    ("no voltage", {"volt": 0}, "Cannot be worked out: see Current"),
    ("no fuse", {"fuse": None}, "Not checked: fill in Fuse"),
)


def every_case() -> Job:
    """Every case of all four tables in one job."""
    switches: list[Mapping[str, object]] = [{**FAN, **cells, "circuit": name} for name, cells, _ in (*SWITCHES, *WORDS)]
    circuits = [{**GEARBOX, "circuit": fan["circuit"]} for fan in switches]
    circuits += [{**GEARBOX, **cells, "circuit": name} for name, cells, _ in OILS]
    circuits += [{**STEERING, "circuit": "no cooler"}]
    return job(
        circuits,
        [*switches, *({**FAN, "circuit": name} for name in ("no cooler", "unknown", *TROUBLED)),
         {**FAN, "circuit": "oil unread", "sender": "hot line", "on": 100, "off": 90},
         {**FAN, "circuit": "far too hot", "sender": "hot line", "on": 100, "off": 90}],
        [{**WIRED, **cells, "fan": name} for name, cells, _ in CABLES],
        [{**cells, "circuit": name} for name, cells, _ in COILS],
    )


@lru_cache(1)
def book_of_cases() -> Retyped:
    return Retyped(every_case(), 18, ["Cooling"])


@pytest.fixture(scope="module")
def cases() -> tuple[Frozen, Job]:
    return book_of_cases().of(every_case()).frozen(), every_case()


@pytest.mark.parametrize(("name", "cells", "fault"), SWITCHES, ids=[name for name, _, _ in SWITCHES])
def test_a_sump_run_through_four_hours_ends_as_the_check_says(
    cases: tuple[Frozen, Job], name: str, cells: dict[str, object], fault: str
) -> None:
    on, off, share = (float(str(cells.get(key, 20))) for key in ("on", "off", "share"))
    assert lived(str(cells["sender"]), on, off, share / 100) == fault
    check = str(said(*cases, FANS)[name])
    assert check.startswith(f"Change: {fault}") if fault else check == "Within limits"


@pytest.mark.parametrize(("name", "words"), [(name, words) for name, _, words in WORDS])
def test_every_word_of_a_switch(cases: tuple[Frozen, Job], name: str, words: str) -> None:
    assert str(said(*cases, FANS)[name]).startswith(words)


@pytest.mark.parametrize(("name", "words"), TROUBLED.items())
def test_a_switch_of_a_circuit_in_trouble_is_never_within_limits(
    cases: tuple[Frozen, Job], name: str, words: str
) -> None:
    assert said(*cases, FANS)[name] == words
    assert said(*cases, FANS)["far too hot"] == "Change: fan never stops: off at 90, cooler reaches only 363"
    assert said(*cases, FANS)["oil unread"] == "Cannot be worked out: see Cooler reaches"


def test_a_switch_of_a_circuit_without_a_cooler_or_of_none_is_not_worked_out(cases: tuple[Frozen, Job]) -> None:
    checks = said(*cases, FANS)
    assert checks["no cooler"] == "Cannot be worked out: fill in circuit no cooler above first, with its cooler"
    assert checks["unknown"] == "Cannot be worked out: unknown is not a circuit above"


def test_a_sender_in_the_hot_line_reads_the_target_itself(cases: tuple[Frozen, Job]) -> None:
    for key in ("targetoff", "targeton"):
        assert said(*cases, FANS, key)["hot within"] == 90


def test_one_cause_of_a_switch_is_said_once(cases: tuple[Frozen, Job]) -> None:
    others = said(*cases, FANS, "others")
    for name in ("unread", "no cooler", "unknown", "missing"):
        assert others[name] == ""


@pytest.mark.parametrize(("name", "words"), [(name, words) for name, _, words in OILS])
def test_every_word_of_a_circuit(cases: tuple[Frozen, Job], name: str, words: str) -> None:
    assert str(said(*cases, CIRCUITS)[name]).startswith(words)


@pytest.mark.parametrize(("name", "words"), [(name, words) for name, _, words in COILS])
def test_every_word_of_a_cooler_by_ua_or_coil(cases: tuple[Frozen, Job], name: str, words: str) -> None:
    assert str(said(*cases, COOLERS)[name]).startswith(words)


def test_figures_typed_as_text_are_read_like_numbers(cases: tuple[Frozen, Job]) -> None:
    for key in ("heatw", "per", "oilin", "back", "airflow"):
        plain, read = (said(*cases, CIRCUITS, key)[name] for name in ("within", "in words"))
        assert read == pytest.approx(plain)


def test_4_6_kw_make_what_the_workshop_reckons(cases: tuple[Frozen, Job]) -> None:
    assert said(*cases, CIRCUITS, "oilin")["within"] == pytest.approx(45 + 4.6 / PER, abs=0.01)  # 81.6
    wanted = 4.6 / 15 / air_of_a_degree(45, 2100) * 3600  # 1276 m3/h
    assert said(*cases, CIRCUITS, "airflow")["within"] == pytest.approx(wanted, abs=0.5)


def test_one_cause_of_a_circuit_is_said_once(cases: tuple[Frozen, Job]) -> None:
    others = said(*cases, CIRCUITS, "others")
    told_once = ("oil unread", "flow unread", "line unread", "air unread", "milk",
                 "line", "swapped", "far too hot", "other flow", "half a ua")  # fmt: skip
    for name in told_once:
        assert others[name] == ""


@pytest.mark.parametrize(("name", "words"), [(name, words) for name, _, words in CABLES])
def test_every_word_of_a_cable(cases: tuple[Frozen, Job], name: str, words: str) -> None:
    assert str(said(*cases, ELECTRICS)[name]).startswith(words)


def test_the_advised_copper_passes_its_own_check(cases: tuple[Frozen, Job]) -> None:
    wanted = said(*cases, ELECTRICS, "wanted")
    assert wanted["just"] == 4.5
    assert wanted["burns"] == 7.5  # 60 A at 8 A/mm2 ask for more than the drop does
    assert said(*cases, ELECTRICS, "advice")["just"] == ""


def test_a_row_keeps_its_verdict_where_the_rows_are_sorted_otherwise(cases: tuple[Frozen, Job]) -> None:
    what = every_case()
    turned = {name: list(what.tables[name])[::-1] for name in ("circuits", "coolers")}
    other = book_of_cases().of(replace(what, tables={**what.tables, **turned, "fans": (), "electrics": ()}))
    for table in (CIRCUITS, COOLERS):
        assert said(other, what, table) == said(*cases, table)
