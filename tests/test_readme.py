"""README.md and DEVELOPERS.md: their commands, names and map are those of the code; nothing needs a test package."""

import re
import subprocess
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path

import openpyxl
import pytest

import xlcalc
from tests.workbook.books import book, formula, row
from xlcalc.hosts.arguments import parser
from xlcalc.workbook.calculation.engine import has_function

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
CODE = re.compile(r"`([^`\n]+)`")


def command(marker: str) -> str:
    """The command that CI takes from under a marker of README.md."""
    found = re.findall(rf"^<!-- {marker} -->\n```\n(.+)\n```$", README, re.MULTILINE)
    assert len(found) == 1
    return str(found[0])


def windows(line: str) -> str:
    """A command as the Command Prompt takes it."""
    return line.replace("python3 ", "py ").replace("/bin/", "/Scripts/").replace("/", "\\").replace("'", "")


@pytest.mark.parametrize("marker", ["run", "test"])
def test_each_command_has_its_windows_form(marker: str) -> None:
    assert f"`{windows(command(marker))}`" in README


def test_the_job_comes_first_in_one_paragraph_and_then_the_commands() -> None:
    title, job, heading, *_ = README.split("\n\n")
    assert (title, heading) == ("# xlcalc", "## Two commands")
    assert "\n" not in job
    for word in ("steering", "gearbox", "fuel", "vacuum", "breathers", "coolant", "spreadsheets"):
        assert word in job


def test_what_must_not_be_missing_is_said() -> None:
    for words in ("Steering, fuel and brake assistance can kill", "brake lines are out of scope",
                  "licensed practice decide", "Excel has not been run"):  # fmt: skip
        assert words in README


def test_every_function_named_in_the_text_is_one() -> None:
    named = {each for text in (README, DEVELOPERS) for each in re.findall(r"\b[A-Z]{3,}(?:_[A-Z0-9]+)+\b", text)}
    assert named - {"NO_COLOR", "XLCALC_OFFICE"} <= set(xlcalc.functions())
    assert not {name for name in xlcalc.functions() if has_function(name)}  # a name that the spreadsheet has is taken


def test_every_command_named_in_the_text_is_one() -> None:
    named = {
        each
        for text in (README, DEVELOPERS)
        for each in re.findall(r"xlcalc ([a-z]+)\b", "\n".join(CODE.findall(text)))
    }
    assert named == set(parser()[1])


def test_every_sheet_named_in_the_table_is_in_the_workbook() -> None:
    sheets = openpyxl.load_workbook(ROOT / "workbooks" / "template.xlsx", read_only=True).sheetnames
    rows = [line.split("|") for line in README.partition("## I want to")[2].partition("\n## ")[0].splitlines()[4:]]
    named = {name.strip() for row in rows if len(row) > 3 for name in row[3].split(",")}
    assert named - {"by function", "any"} <= set(sheets)
    assert {"Lines", "Start"} <= named


def test_every_dependency_has_its_reason() -> None:
    table = DEVELOPERS.partition("## Dependencies")[2].partition("\n## ")[0].casefold()
    needed = [*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["test"]]
    for name in (re.match(r"[\w-]+", each) for each in needed):
        assert name
        assert name[0].casefold() in table


def test_the_version_is_one() -> None:
    assert PROJECT["version"] == xlcalc.__version__
    assert f"\n{xlcalc.__version__}: " in README.partition("## Changes")[2]


ELSEWHERE = ("__main__", "calc.component.addin", "excel.serve")  # run by Calc's own Python, and by Excel on Windows


def test_nothing_but_the_tests_needs_a_test_package(tmp_path: Path) -> None:
    wanted = {re.match(r"[\w-]+", each)[0].casefold() for each in PROJECT["optional-dependencies"]["test"]}  # type: ignore[index]
    owners = packages_distributions()
    blocked = sorted(name for name, by in owners.items() if wanted & {each.casefold() for each in by})
    assert {"pytest", "hypothesis", "CoolProp"} <= set(blocked)
    (tmp_path / "small.xlsx").write_bytes(book(row(1, formula("A1", "LINE_VELOCITY(8,7.9)"))))
    program = (
        f"import pkgutil, sys; sys.modules.update(dict.fromkeys({blocked!r}))\n"  # None there: the import fails
        "import xlcalc\n"
        "for each in pkgutil.walk_packages(xlcalc.__path__, 'xlcalc.'):\n"
        f"    if not each.name.endswith({ELSEWHERE!r}): __import__(each.name)\n"
        "from xlcalc.hosts.cli import main\n"
        "from xlcalc.hosts.commands import demo, new\n"
        "from xlcalc.workbook.template import content\n"
        "def small(job, rows): return content(job, rows, ['Breathers', 'Self-check'])\n"  # every function stands there
        "demo.content = new.content = small\n"
        "for words in (['demo'], ['new', 'a.xlsx', '--rows', '1'], ['recalc', 'small.xlsx'],\n"
        "              ['explain', 'small.xlsx', 'A1'], ['compare', 'small.xlsx', 'small.xlsx'],\n"
        "              ['audit', 'small.xlsx'], ['doctor'], ['functions'],\n"
        "              ['eval', 'FLUID_VISCOSITY(\"ATF generic\", 40)']):\n"
        "    assert main(words) == 0, words"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, cwd=tmp_path, check=False)
    assert (done.returncode, done.stderr) == (0, "")
