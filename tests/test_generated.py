"""Generated text and workbooks are what the generator makes today: run `python -m xlcalc.hosts.handbook`."""

from pathlib import Path

import pytest

from xlcalc.hosts import handbook
from xlcalc.workbook.package import Package

ROOT = Path(__file__).parents[1]


def test_the_function_table_of_the_readme_is_of_today() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert handbook.readme(text) == text


@pytest.mark.parametrize("name", handbook.WORKBOOKS)
def test_the_shipped_workbook_is_of_today(name: str) -> None:
    shipped = Package.open(ROOT / "workbooks" / name)
    today = Package.from_bytes(handbook.workbook(name), name)
    assert shipped.names == today.names
    assert [part for part in today.names if shipped.read(part) != today.read(part)] == []
