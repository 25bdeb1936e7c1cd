"""`xlcalc doctor` and `xlcalc setup`: what is found, what is to be done, and that no check ends the others."""

import json
import sys
from importlib import metadata
from pathlib import Path
from types import ModuleType, SimpleNamespace

import pytest

import xlcalc
from xlcalc.core.tables import fingerprint
from xlcalc.hosts import diagnosis
from xlcalc.hosts.causes import Cause
from xlcalc.hosts.diagnosis import fits, needed, needed_here
from xlcalc.hosts.output import Outcome

from ..running import said


def put(monkeypatch: pytest.MonkeyPatch, name: str, **inside: object) -> None:
    """A module of a host that says what the test wants."""
    module = ModuleType(name)
    vars(module).update(inside)
    monkeypatch.setitem(sys.modules, name, module)


@pytest.fixture
def _two_hosts(monkeypatch: pytest.MonkeyPatch) -> None:
    """Calc wants something, Excel fails while it is looked at."""
    causes = [Cause("Calc", "25.2.3"), Cause("Add-in", "not installed", "run: xlcalc setup calc")]
    for host in ("calc", "excel"):
        put(monkeypatch, f"xlcalc.hosts.{host}")
    put(monkeypatch, "xlcalc.hosts.calc.diagnosis", causes=lambda: causes)
    put(monkeypatch, "xlcalc.hosts.excel.diagnosis", causes=lambda: 1 / 0)


@pytest.mark.usefixtures("_two_hosts")
def test_every_subject_is_a_line_and_what_is_to_be_done_stands_under_it(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    code, out, err = said(capsys, "doctor")
    assert (code, err) == (0, "")
    general, calc, excel, do = out.split("\n\n")
    found = dict(line.strip().split(": ", 1) for line in general.splitlines()[1:])
    assert general.startswith("General\n")
    assert found["Python"].startswith(f"{sys.version.split()[0]}, {64 if sys.maxsize > 2**32 else 32} bit, ")
    assert found["xlcalc"] == f"{xlcalc.__version__}, in {Path(xlcalc.__file__).parent}"
    assert found["Data"] == f"fingerprint {fingerprint()}"
    assert found["formualizer"] == "0.13.0, loads"
    assert set(found) >= {"fluids", "openpyxl", "pint", "Command", "Terminal"}
    assert "pytest" not in found
    assert found["Example"] == 'BORE_FOR_FLOW("30 US gpm", "20 ft/s", "in") is 0.783, as printed'
    assert found["Folder"].startswith(f"{tmp_path} can be written, ")
    assert calc == "Calc\n  Calc: 25.2.3\n  Add-in: not installed\n    To do: run: xlcalc setup calc"
    assert excel == ("Excel\n  Excel: could not be looked at (ZeroDivisionError: division by zero)\n"
                     "    To do: report it, with what the other lines say")  # fmt: skip
    assert do == "Next: Add-in: run: xlcalc setup calc (1 more above)\n"
    assert list(tmp_path.iterdir()) == []


@pytest.mark.usefixtures("_two_hosts")
def test_a_program_gets_the_same_as_json(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(diagnosis, "causes", lambda: [Cause("Python", "3.13")])
    code, out, _ = said(capsys, "doctor", "--json")
    assert code == 0
    data = json.loads(out)
    assert list(data["sections"]) == ["General", "Calc", "Excel"]
    assert data["sections"]["General"] == [{"subject": "Python", "found": "3.13", "do": ""}]
    assert data["to_do"][0] == "Add-in: run: xlcalc setup calc"


def test_where_nothing_stands_in_the_way_the_demo_is_next(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in ("xlcalc.hosts.calc", "xlcalc.hosts.excel"):
        put(monkeypatch, module)
        put(monkeypatch, f"{module}.diagnosis", causes=lambda: [Cause("All", "there")])
    monkeypatch.setattr(diagnosis, "causes", lambda: [Cause("Python", "3.13")])
    assert said(capsys, "doctor")[1].splitlines()[-1].startswith("Next: nothing stands in the way; ")


@pytest.mark.parametrize(
    ("version", "wanted", "so"),
    [
        ("1.3.1", "<2,>=1.3", True), ("1.3", ">=1.3.0,<2", True), ("1.2.9", ">=1.3,<2", False), ("2.0", "<2", False),
        ("0.13.0", "==0.13.0", True), ("0.13.1", "==0.13.0", False), ("0.26.1rc1", "<0.27,>=0.24", True),
        ("0.30", "<0.27", False), ("3", "", True),
        ("0.37.8", "==0.37.*", True), ("0.37", "==0.37.*", True), ("0.38.0", "==0.37.*", False),
        ("6.50.1", "==6.5.*", False), ("6.0.1", "==6.*", True),
    ],
)  # fmt: skip
def test_a_version_is_one_of_those_wanted_or_not(version: str, wanted: str, so: bool) -> None:
    assert fits(version, wanted) is so


def test_a_package_that_is_missing_other_or_broken_says_how_to_install_it(monkeypatch: pytest.MonkeyPatch) -> None:
    (missing,) = needed("no-such-package", ">=1")
    assert missing.found == "missing, wanted is >=1"
    assert missing.do.endswith('-m pip install --force-reinstall "no-such-package>=1"')
    (other,) = needed("formualizer", "==0.12.0")
    assert other.found == "0.13.0, wanted is ==0.12.0"
    assert '"formualizer==0.12.0"' in other.do
    monkeypatch.setitem(sys.modules, "pint", None)  # an import of it fails
    (broken,) = needed("pint", ">=0.1")
    assert broken.found.startswith(f"{metadata.version('pint')}, but it does not load (")
    assert broken.do, "it does not say what to do"


@pytest.mark.parametrize(
    ("marker", "so"),
    [("", True), ("extra == 'test'", False), ("platform_system == 'Nowhere'", False),
     (f'platform_system == "{diagnosis.platform.system()}"', True)],
)  # fmt: skip
def test_only_the_packages_of_this_system_are_wanted(marker: str, so: bool) -> None:
    assert needed_here(marker) is so


def by_subject() -> dict[str, Cause]:
    return {cause.subject: cause for cause in diagnosis.causes()}


def test_what_stands_in_the_way_here_is_found(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(30, "Read-only file system")

    def away(_: str) -> str:
        raise metadata.PackageNotFoundError("xlcalc")

    other = tmp_path / "xlcalc"
    monkeypatch.setattr(diagnosis.shutil, "which", lambda _: str(other))
    monkeypatch.setattr(diagnosis.tempfile, "TemporaryFile", full)
    monkeypatch.setattr(diagnosis.metadata, "version", away)
    monkeypatch.setattr(diagnosis.metadata, "requires", away)
    monkeypatch.setattr(diagnosis, "evaluate", lambda _: Outcome(data={"answer": 0.8}))
    monkeypatch.setattr(diagnosis, "fingerprint", lambda: 1 / 0)
    monkeypatch.setattr(sys, "stdout", SimpleNamespace(encoding="ascii"))
    found = by_subject()
    assert found["xlcalc"].found.endswith(", not installed")
    assert found["xlcalc"].do.startswith("install it: ")
    assert found["Command"].found == f"the shell starts another xlcalc, {other}"
    assert found["Command"].do
    assert found["Data"].found == "could not be looked at (ZeroDivisionError: division by zero)"
    assert found["Example"].found.endswith("is 0.8, printed is 0.783")
    assert found["Example"].do.startswith("use no number")
    assert found["Terminal"].do.startswith("set the environment variable PYTHONUTF8")
    assert found["Folder"].found.endswith("cannot be written (Read-only file system)")
    assert found["Folder"].do
    assert "fluids" not in found


def test_another_version_than_the_installed_one_and_a_full_disk(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(diagnosis.metadata, "version", lambda _: "0.0.1")
    monkeypatch.setattr(diagnosis.shutil, "disk_usage", lambda _: SimpleNamespace(free=1_000_000))
    (package,), (folder,) = diagnosis.package(), diagnosis.folder()
    assert package.found.endswith(", but 0.0.1 is installed")
    assert package.do.startswith("install it anew: ")
    assert folder.do == "free some space before you write a workbook"
    monkeypatch.setattr(diagnosis.shutil, "which", lambda _: None)
    (command,) = diagnosis.started_by_name()
    assert command.found.startswith("the shell does not know xlcalc by its name; it stands in ")
    assert command.do == ""


@pytest.mark.parametrize(
    ("words", "handed"),
    [
        (["calc"], ((None,), {"remove": False})),
        (["calc", "--to", "x.oxt"], ((Path("x.oxt"),), {"remove": False})),
        (["calc", "--remove"], ((None,), {"remove": True})),
        (["excel"], ((None, None), {"remove": False})),
        (["excel", "--bas", "x.bas", "--to", "x.XLAM"], ((Path("x.bas"), Path("x.XLAM")), {"remove": False})),
        (["excel", "--remove", "--json"], ((None, None), {"remove": True})),
    ],
)
def test_setup_hands_over_what_was_typed(
    words: list[str], handed: object, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    heard: list[object] = []

    def setup(*given: object, **options: object) -> Outcome:
        heard.append((given, options))
        return Outcome(["done"], {"done": True})

    for host in ("calc", "excel"):
        name = f"setup_{host}"
        put(monkeypatch, f"xlcalc.hosts.commands.{name}", **{name: setup if host == words[0] else None})
    code, out, _ = said(capsys, "setup", *words)
    assert (code, heard) == (0, [handed])
    assert out == "done\n" or json.loads(out)["command"] == "setup"
