"""Numbers that would be right in another unit: what is usual is tied to the words and units of a new workbook."""

import pytest

from xlcalc.core.datafiles import raw_rows
from xlcalc.workbook.audit.evidence.naming import BESIDE
from xlcalc.workbook.audit.evidence.peers import SHARE_KEY, unit_key
from xlcalc.workbook.audit.known.template import known_sheets
from xlcalc.workbook.audit.rules.outliers import JOB, unusual_job

from ..sheets import book, places

USUAL = raw_rows("audit/usual")
FORMS = [(each["head"], each["unit"]) for each in USUAL if each["table"] == JOB]


def beside(label: str, unit: str, sheets: list[str]) -> list[int]:
    """The rows of sheets of a new workbook with a label and its unit behind the cells where its figure stands."""
    rows = (row for sheet in sheets for row in known_sheets()[sheet].rows)
    held = ((row.first, row.texts, [column for column, text in row.texts.items() if text == label]) for row in rows)
    return [first for first, texts, columns in held for column in columns
            if unit in [texts.get(column + step) for step in range(2, BESIDE + 2)]]  # fmt: skip


@pytest.mark.parametrize(("label", "unit"), FORMS)
def test_what_is_usual_of_a_job_is_a_label_of_a_new_workbook_with_its_unit(label: str, unit: str) -> None:
    assert len(beside(label, unit, list(known_sheets()) if unit == SHARE_KEY else [JOB])) == 1


def test_what_is_usual_of_a_table_stands_under_a_header_of_a_new_workbook_in_its_unit() -> None:
    known = {(each["table"], each["head"], unit_key("", each["unit"])) for each in raw_rows("audit/known_units")}
    said = {(each["table"], each["head"], unit_key("", each["unit"])) for each in USUAL if each["table"] != JOB}
    assert said <= known


@pytest.mark.parametrize(("power", "found"), [(150.0, []), (150_000.0, ["B1"]), (0.15, [])])
def test_a_figure_of_the_job_is_usual_in_the_unit_beside_it_or_in_another(power: float, found: list[str]) -> None:
    """Watts in place of kilowatts; megawatts are no unit of a workshop."""
    assert places(unusual_job(book({"A1": "Engine power", "B1": power, "C1": "kW"}))) == found
