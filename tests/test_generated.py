"""Generated text and workbooks are what the generator makes today: run `python -m xlcalc.hosts.handbook`."""

import gzip
from pathlib import Path

import pytest

from xlcalc.core.datafiles import raw_rows
from xlcalc.core.unit_sizes import by_pint, size
from xlcalc.hosts import handbook
from xlcalc.workbook.audit.known import template as known
from xlcalc.workbook.file.package import Package

ROOT = Path(__file__).parents[1]


@pytest.mark.parametrize("name", handbook.PAGES)
def test_the_table_of_a_page_is_of_today(name: str) -> None:
    text = (ROOT / name).read_text(encoding="utf-8")
    assert handbook.page(name, text) == text


def test_a_page_without_its_markers_is_refused() -> None:
    with pytest.raises(ValueError, match="does not hold <!-- functions -->"):
        handbook.page("README.md", "no table")


def test_every_module_says_in_one_line_what_it_is_for() -> None:
    rows = handbook.module_map(ROOT / "xlcalc").splitlines()[2:]
    assert len(rows) > len(handbook.LAYERS)
    assert [row for row in rows if row.endswith("|  |")] == []
    modules = [file for file in (ROOT / "xlcalc").rglob("*.py") if not file.stem.startswith("__")]
    assert len(rows) == len(modules) + len(handbook.LAYERS)


def test_the_sizes_of_units_are_those_of_pint() -> None:
    kept = (ROOT / "xlcalc" / "data" / "unit_sizes.csv").read_text(encoding="utf-8")
    assert kept == handbook.unit_sizes()
    other = [row["pint"] for row in raw_rows("unit_sizes") if size(row["pint"]) != by_pint(row["pint"])]
    assert other == [], "these are not what pint says to the last bit"


@pytest.mark.parametrize("name", handbook.WORKBOOKS)
def test_the_shipped_workbook_is_of_today(name: str) -> None:
    shipped = Package.open(ROOT / "workbooks" / name)
    today = Package.from_bytes(handbook.workbook(name), name)
    assert shipped.names == today.names
    assert [part for part in today.names if shipped.read(part) != today.read(part)] == []


@pytest.mark.parametrize("name", handbook.KNOWN)
def test_what_an_audit_knows_of_a_new_workbook_is_true(name: str) -> None:
    assert (ROOT / "xlcalc" / "data" / "audit" / f"{name}.csv").read_text(encoding="utf-8") == handbook.known_rows(name)


def test_the_audit_knows_the_template_as_it_is_shipped() -> None:
    kept = (ROOT / "xlcalc" / "data" / known.PLACE).read_bytes()
    assert len(kept) < 300_000
    made = known.contents(Package.open(ROOT / "workbooks" / handbook.TEMPLATE))
    assert gzip.decompress(kept) == gzip.decompress(made)
