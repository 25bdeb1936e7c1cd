"""Tables: every figure has a known source, mark and doubt, and stands in SI once read."""

import shutil
from collections import Counter
from importlib.resources import files
from pathlib import Path

import pytest

from xlcalc.core import datafiles, tables
from xlcalc.core.datafiles import fingerprint, headers, raw_rows, split_header
from xlcalc.core.errors import DeclarationError
from xlcalc.core.tables import MARKS, Provenance, Row, sources, table
from xlcalc.core.units import unit

NAMES = sorted(file.name.removesuffix(".csv") for file in files("xlcalc").joinpath("data").iterdir()
               if file.name.endswith(".csv"))  # fmt: skip
FIGURES = [name for name in NAMES if "mark" in headers(name)]
KINDS = ("published", "library", "derived", "practice", "memory")
LAST = ["note", "source", "place", "mark", "doubt_basis", "doubt"]
NAMED_BY = {  # the columns that name a row: what a lookup, or a person, asks for
    "derating": ("liner", "temperature"), "expansion": ("class",), "fluid_points": ("fluid", "property", "temperature"),
    "fluids": ("fluid",), "hoses": ("family", "size"), "limits": ("id",), "liners": ("liner", "fluid_kind"),
    "losses": ("word",), "practice_figures": ("id",), "published": ("id",), "roughness": ("surface",),
    "supports": ("line_kind", "size"), "torques": ("size", "for", "metal", "rank"),
}  # fmt: skip
BASES = ("printed", "half last digit", "practice", "compared", "exact")


def test_every_table_of_figures_is_known_here() -> None:
    assert set(NAMES) - set(FIGURES) == {"sources", "units", "unit_sizes"}


@pytest.mark.parametrize("name", FIGURES)
def test_a_table_of_figures(name: str) -> None:
    assert list(headers(name))[-6:] == LAST
    rows = table(name)
    assert len(rows) == len(list(raw_rows(name))) > 0
    for row in rows:
        given = row.provenance
        assert given.source in sources()
        assert given.mark in MARKS
        assert 0 <= given.doubt < 1
        assert given.doubt_basis in BASES
        assert (given.mark == "M") == (given.source == "MEM") == given.memory
        assert given.mark != "P" or given.source == "PRACTICE"
        assert 0 < len(given.cited) <= 400


@pytest.mark.parametrize("name", NAMED_BY)
def test_no_two_rows_have_one_name(name: str) -> None:
    named = [tuple(row[column] for column in NAMED_BY[name]) for row in table(name)]
    asked = Counter(str(each).casefold() for each in named if None not in each)  # what is blank nobody asks for
    assert [each for each, times in asked.items() if times > 1] == []


@pytest.mark.parametrize("name", FIGURES)
def test_a_unit_stands_in_the_header_and_one_unit_a_column(name: str) -> None:
    for column, unit_text in headers(name).items():
        if unit_text:
            assert unit(unit_text).factor > 0
        assert not set(column) & set("[]()"), f"the header {column!r} holds a bracket of its unit"


@pytest.mark.parametrize("name", FIGURES)
def test_figures_become_si(name: str) -> None:
    for row, raw in zip(table(name), raw_rows(name), strict=True):
        for column, unit_text in headers(name).items():
            if column in LAST:
                continue
            text = raw[f"{column} [{unit_text}]" if unit_text else column]
            expected = unit(unit_text).to_si(float(text)) if unit_text and text else text or None
            assert row[column] == expected


def test_sources() -> None:
    for source in sources().values():
        assert source.title, f"{source} has no title"
        assert source.kind in KINDS
        assert len(source.checked.split("-")) == 3
        assert source.cited.startswith(source.title)
        assert ("not re-read" in source.cited) is (source.kind == "published" and not source.reread)
    assert len(sources()) == len(list(raw_rows("sources")))


def test_a_row_in_words_and_figures() -> None:
    row = Row({"bore": 0.0079, "name": "x", "blank": None}, Provenance("MEM", "", "M", 0.1))
    assert (row.number("bore"), row.number("name"), row.number("blank")) == (0.0079, None, None)
    assert (row.text("name"), row.text("bore"), row.text("blank")) == ("x", "", "")
    with pytest.raises(KeyError):
        row["no such column"]


def test_where_a_figure_comes_from_in_words() -> None:
    assert Provenance("MEM", "", "M", 0.1).cited == "from memory, not seen in print"
    assert Provenance("PRACTICE", "", "P", 0.1).cited == "common practice"
    assert Provenance("MUNSON", "Ex. 8.2", "V", 0).cited == (
        "Munson, Fundamentals of Fluid Mechanics, edition not noted, Ex. 8.2 (seen in a reproduction of the source)"
    )
    assert "(not re-read)" in Provenance("CFR46-182", "", "V", 0).cited


HEAD = "bore [mm],note,source,place,mark,doubt_basis,doubt [%]"


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        ([HEAD, "5,,NOBODY,,V,exact,0"], "source 'NOBODY' is not known"),
        ([HEAD, "5,,MUNSON,,X,exact,0"], "line 2: mark 'X'"),
        ([HEAD, "5,,MUNSON,,V,exact,0", "5,,MUNSON,,V,exact,"], "line 3: the doubt '' is not a number"),
        ([HEAD, "5 mm,,MUNSON,,V,exact,0"], "'5 mm' is not a number"),
        ([HEAD.replace("[mm]", "[mm"), "5,,MUNSON,,V,exact,0"], "is not of the form"),
    ],
)
def test_a_table_that_is_not_sound(lines: list[str], words: str, monkeypatch: pytest.MonkeyPatch) -> None:
    heads = lines[0].split(",")
    rows = [dict(zip(heads, line.split(","), strict=True)) for line in lines[1:]]
    monkeypatch.setattr(tables, "raw_rows", {"trial": rows}.get)
    monkeypatch.setattr(tables, "headers", lambda _: dict(split_header(head) for head in heads))
    with pytest.raises(DeclarationError, match=words):
        table.__wrapped__("trial")


def test_headers_split_into_name_and_unit() -> None:
    assert split_header("bore [mm]") == ("bore", "mm")
    assert split_header("K0 [kg2/(m3 m3 K)]") == ("K0", "kg2/(m3 m3 K)")
    assert split_header("note") == ("note", "")


def test_the_fingerprint_changes_with_any_figure(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copytree(str(files("xlcalc").joinpath("data")), tmp_path / "data")
    monkeypatch.setattr(datafiles, "files", lambda _: tmp_path)
    again = fingerprint.__wrapped__
    assert again() == fingerprint()
    page = tmp_path / "data" / "limits.csv"
    page.write_bytes(page.read_bytes().replace(b"\n", b"\r\n"))
    assert again() == fingerprint(), "line ends are no figures"
    page.write_bytes(page.read_bytes().replace(b"6.1,m/s", b"6.2,m/s"))
    assert again() != fingerprint()
