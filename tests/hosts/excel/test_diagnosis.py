"""Each known cause why Excel and the functions do not meet is found where it is planted, and only there."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from xlcalc.hosts.causes import Cause
from xlcalc.hosts.commands.setup_excel import setup_excel
from xlcalc.hosts.excel.diagnosis import causes

from .machines import Windows, mark

STORE = r"C:\Program Files\WindowsApps\Publisher.Product_1.0_x64"
OFFICE = r"HKCU\Software\Microsoft\Office\16.0\Excel"
RULES = r"HKCU\Software\Policies\Microsoft\Office\16.0\Excel"
EXCEL = r"HKLM\SOFTWARE\Microsoft\Windows\CurrentVersion\App Paths\excel.exe"


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, bytes]:
    """Folder of a computer, and the add-in that was built there: it is built once, because it knows its place."""
    root = tmp_path_factory.mktemp("computer")
    made = Windows(root)
    setup_excel(None, None, remove=False, machine=made)
    return root, (made.xlstart / "xlcalc.xlam").read_bytes()


@pytest.fixture
def windows(installed: tuple[Path, bytes]) -> Windows:
    """A computer on which everything is as it should be."""
    root, built = installed
    shutil.rmtree(root)
    made = Windows(root)
    (made.xlstart / "xlcalc.xlam").write_bytes(built)
    return made


def in_the_way(machine: Windows) -> list[Cause]:
    return [cause for cause in causes(machine) if cause.do]


def test_nothing_is_in_the_way_of_a_whole_computer(windows: Windows) -> None:
    found = causes(windows)
    assert in_the_way(windows) == []
    lines = {cause.subject: cause.found for cause in found}
    assert lines["Excel"] == f"{windows.root / 'EXCEL.EXE'} 16.0.17328.20162, 64 bit"
    assert lines["Python for Excel"].startswith("3.12.4, 64 bit, AMD64, in ")
    assert lines["xlwings"] == "0.37.8"
    assert lines["pyopenvba"] == "6.5.0"
    assert lines["Add-in"].startswith(str(windows.xlstart / "xlcalc.xlam"))


def excel_of_the_store(windows: Windows) -> None:
    windows.registry[EXCEL] = {"": STORE + r"\EXCEL.EXE"}


def no_excel(windows: Windows) -> None:
    del windows.registry[EXCEL]


def python_of_the_store(windows: Windows) -> None:
    windows.base_is = STORE


def python_of_32_bits(windows: Windows) -> None:
    windows.bits, windows.made_for = 32, "x86"


def python_for_arm(windows: Windows) -> None:
    windows.made_for = "ARM64"


def an_arm_computer(windows: Windows) -> None:
    windows.processor_is = "ARM64"


def python_of_conda(windows: Windows) -> None:
    windows.base_is = str(windows.root / "conda")
    (windows.root / "conda" / "conda-meta").mkdir(parents=True)


def no_pythonw(windows: Windows) -> None:
    windows.python.unlink()


def other_xlwings(windows: Windows) -> None:
    windows.packages["xlwings"] = "0.38.0"


def other_pyopenvba(windows: Windows) -> None:
    windows.packages["pyopenvba"] = ""


def half_a_pywin32(windows: Windows) -> None:
    windows.modules.discard("pythoncom")


def no_library(windows: Windows) -> None:
    windows.library(32).unlink()


def newer_xlwings_than_the_addin(windows: Windows) -> None:
    windows.library(64).rename(windows.folder / "xlwings64-0.37.9.dll")
    windows.library(32).rename(windows.folder / "xlwings32-0.37.9.dll")
    windows.packages["xlwings"] = "0.37.9"


def letters_without_a_code(windows: Windows) -> None:
    windows.page = "ascii"
    old, windows.folder = windows.folder, windows.root / "Łódź"
    old.rename(windows.folder)


def python_moved(windows: Windows) -> None:
    old, windows.folder = windows.folder, windows.root / "elsewhere"
    old.rename(windows.folder)


def another_python(windows: Windows) -> None:
    windows.folder = windows.root / "second"
    (windows.folder / "Scripts").mkdir(parents=True)
    for file in (windows.python, windows.library(64), windows.library(32)):
        file.write_bytes(b"")


def not_installed(windows: Windows) -> None:
    (windows.xlstart / "xlcalc.xlam").unlink()


def no_start_folder(windows: Windows) -> None:
    not_installed(windows)
    windows.xlstart.rmdir()


def no_settings_folder(windows: Windows) -> None:
    del windows.environment["APPDATA"]


def file_of_another_maker(windows: Windows) -> None:
    (windows.xlstart / "xlcalc.xlam").write_bytes(b"PK something else")


def addin_from_the_internet(windows: Windows) -> None:
    mark(windows.xlstart / "xlcalc.xlam")


def library_from_the_internet(windows: Windows) -> None:
    mark(windows.library(64))


def second_among_the_addins(windows: Windows) -> None:
    second = windows.root / "Roaming" / "Microsoft" / "AddIns" / "xlcalc.xlam"
    second.parent.mkdir()
    second.write_bytes(b"")


def second_for_everybody(windows: Windows) -> None:
    second = windows.root / "Programs" / "Microsoft Office" / "root" / "Office16" / "XLSTART" / "xlcalc.xlam"
    second.parent.mkdir(parents=True)
    second.write_bytes(b"")


def second_that_excel_opens(windows: Windows) -> None:
    second = windows.root / "desk" / "xlcalc.xlam"
    second.parent.mkdir()
    second.write_bytes(b"")
    windows.registry[OFFICE + r"\Options"]["OPEN1"] = f'/R "{second}"'


def second_in_the_other_start_folder(windows: Windows) -> None:
    second = windows.root / "team" / "xlcalc.xlam"
    second.parent.mkdir()
    second.write_bytes(b"")
    windows.registry[OFFICE + r"\Options"]["AltStartup"] = str(second.parent)


def no_folder_trusted(windows: Windows) -> None:
    windows.registry[OFFICE + r"\Security\Trusted Locations"] = {"AllLocationsDisabled": 1}


def a_rule_against_trusted_folders(windows: Windows) -> None:
    windows.registry[RULES + r"\Security\Trusted Locations"] = {"AllLocationsDisabled": 1}


def a_signature_wanted(windows: Windows) -> None:
    windows.registry[OFFICE + r"\Security"] = {"RequireAddinSig": 1}


def no_addins_at_all(windows: Windows) -> None:
    windows.registry[RULES + r"\Security"] = {"DisableAllAddins": 1}


def switched_off_after_a_crash(windows: Windows) -> None:
    held = b"\1\0\0\0" + r"C:\Users\a\XLSTART\XLCALC.XLAM".encode("utf-16-le")
    windows.registry[OFFICE + r"\Resiliency\DisabledItems"] = {"9A4B": held}


PLANTED: dict[Callable[[Windows], None], tuple[str, str]] = {  # cause: its subject, and a word of what to do
    excel_of_the_store: ("Excel", "Install Office from"),
    no_excel: ("Excel", "LibreOffice Calc"),
    python_of_the_store: ("Python for Excel", "python.org"),
    python_of_32_bits: ("Python for Excel", "python.org"),
    python_for_arm: ("Python for Excel", "AMD64"),
    an_arm_computer: ("Processor", "xlcalc recalc"),
    python_of_conda: ("Python of conda", "python.org"),
    no_pythonw: ("pythonw", "python.org"),
    other_xlwings: ("xlwings", 'pip install "xlwings==0.37.*"'),
    other_pyopenvba: ("pyopenvba", 'pip install "pyopenvba==6.5.*"'),
    half_a_pywin32: ("pywin32", "pip install --force-reinstall pywin32"),
    no_library: ("Library of xlwings, 32 bit", "python.org"),
    newer_xlwings_than_the_addin: ("Library of the add-in", "xlcalc setup excel"),
    letters_without_a_code: ("Path of Python", "plain letters"),
    python_moved: ("Python of the add-in", "xlcalc setup excel"),
    another_python: ("Python of the add-in", "xlcalc setup excel"),
    not_installed: ("Add-in", "xlcalc setup excel"),
    no_start_folder: ("XLSTART", "xlcalc setup excel"),
    no_settings_folder: ("Add-in", "xlcalc setup excel"),
    file_of_another_maker: ("Add-in", "Move it away"),
    addin_from_the_internet: ("Blocked file", "Unblock"),
    library_from_the_internet: ("Blocked file", "Unblock"),
    second_among_the_addins: ("Second add-in", "Remove it there"),
    second_for_everybody: ("Second add-in", "Remove it there"),
    second_that_excel_opens: ("Second add-in", "Remove it there"),
    second_in_the_other_start_folder: ("Second add-in", "Remove it there"),
    no_folder_trusted: ("Setting of Excel", "Trust Center"),
    a_rule_against_trusted_folders: ("Setting of Excel", "rule of your company"),
    a_signature_wanted: ("Setting of Excel", "Trust Center"),
    no_addins_at_all: ("Setting of Excel", "rule of your company"),
    switched_off_after_a_crash: ("Disabled item", "Disabled Items"),
}


@pytest.mark.parametrize("plant", PLANTED, ids=lambda plant: plant.__name__)
def test_a_planted_cause_is_found(windows: Windows, plant: Callable[[Windows], None]) -> None:
    plant(windows)
    subject, words = PLANTED[plant]
    found = in_the_way(windows)
    assert [cause for cause in found if cause.subject == subject and words in cause.do], found
    assert [cause for cause in found if not (cause.found.strip() and cause.subject)] == []


def test_a_running_excel_is_said_but_stands_in_nobodys_way(windows: Windows) -> None:
    windows.running = True
    assert in_the_way(windows) == []
    assert [cause for cause in causes(windows) if cause.subject == "Excel is running" and "started" in cause.found]


def test_an_addin_older_than_the_package_is_found(windows: Windows, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("xlcalc.hosts.excel.place.__version__", "9.9.9")
    (found,) = in_the_way(windows)
    assert found.subject == "Add-in"
    assert "9.9.9" in found.do
    assert "xlcalc setup excel" in found.do


@pytest.mark.parametrize("system", ["Linux", "Darwin"])
def test_elsewhere_one_line_says_what_works(windows: Windows, system: str) -> None:
    windows.system_is = system
    (found,) = causes(windows)
    assert found.do == ""
    for word in (system, "Windows", "xlcalc recalc", "Calc", "xlcalc.call"):
        assert word in found.found
