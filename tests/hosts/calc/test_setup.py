"""Setup and diagnosis of the Calc door where there is no office, an old one, a locked one, or one that is open."""

import json
import os
import struct
import zipfile
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

import pytest

import xlcalc
from xlcalc.core.errors import FileBusy, FileError, FileRefused
from xlcalc.core.registry import functions
from xlcalc.hosts.calc import diagnosis, install
from xlcalc.hosts.calc.answering import answer
from xlcalc.hosts.calc.differences import DIFFERENCES, table
from xlcalc.hosts.calc.extension import IDENTIFIER, SETTINGS, extension
from xlcalc.hosts.calc.office import FOLDER, Office, offices
from xlcalc.hosts.calc.signatures import UNO_TYPES, answers_words, help_text, parameters
from xlcalc.hosts.calc.typelib import type_library
from xlcalc.hosts.commands.setup_calc import setup_calc

Make = Callable[..., Office]


@pytest.fixture
def make(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Make:
    """Makes an office of a version, as far as its files tell, in a program folder that is the chosen one."""

    def made(version: str, folder: str = "office") -> Office:
        program = tmp_path / folder / "program"
        program.mkdir(parents=True)
        for name in ("soffice", "unopkg"):
            (program / name).write_text("#!/bin/sh\nexit 1\n")
            (program / name).chmod(0o755)
        told = f"[Bootstrap]\nProductKey=LibreOffice {version}\nUserInstallation=$SYSUSERCONFIG/libreoffice/4\n"
        (program / "bootstraprc").write_text(told)
        monkeypatch.setenv(FOLDER, str(program))
        monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
        monkeypatch.setattr(os, "geteuid", lambda: 1000)
        return offices()[0]

    return made


def installed(office: Office, command: list[str], version: str = xlcalc.__version__) -> None:
    """Put an extension into the profile as the office would unpack it."""
    packages = office.profile / "uno_packages/cache"
    folder = packages / "uno_packages/x.tmp_/xlcalc.oxt"
    folder.mkdir(parents=True)
    listed = f"x.tmp\xffxlcalc.oxt\xffapplication/vnd.sun.star.package-bundle\xff{version}\xff0\n\n"
    (packages / "uno_packages.pmap").write_bytes(f"Pmp1\xff{IDENTIFIER}\n{listed}".encode("latin-1"))
    with zipfile.ZipFile(BytesIO(extension())) as oxt:
        oxt.extractall(folder)
    settings = json.loads((folder / SETTINGS).read_text())
    (folder / SETTINGS).write_text(json.dumps({**settings, "command": command}))
    text = (folder / "description.xml").read_text()
    (folder / "description.xml").write_text(text.replace(f'"{xlcalc.__version__}"', f'"{version}"'))


def found(subject: str) -> diagnosis.Cause:
    return next(cause for cause in diagnosis.causes() if cause.subject == subject)


@pytest.mark.parametrize(("version", "plain"), [("7.4", False), ("24.8", False), ("25.2", True), ("26.8", True)])
def test_the_version_says_what_names_need(make: Make, version: str, plain: bool) -> None:
    office = make(version)
    assert office.said == f"LibreOffice {version} in {office.program}"
    assert office.plain_names is plain
    assert ("names book.xlsx --for old-calc --to copy.xlsx" in found("Function names").do) is not plain


def test_doctor_where_nothing_is_installed(make: Make) -> None:
    make("25.2")
    assert found("Calc add-in").found == "not installed for this user"
    assert "setup calc" in found("Calc add-in").do


def test_doctor_where_the_environment_is_gone_or_another(make: Make, tmp_path: Path) -> None:
    office = make("25.2")
    installed(office, [str(tmp_path / "gone" / "python")])
    assert found("Its Python").found.endswith("is gone")
    assert "setup calc" in found("Its Python").do


def test_doctor_where_the_package_is_newer(make: Make) -> None:
    office = make("25.2")
    installed(office, [str(Path("/bin/sh"))], version="0.0.9")
    assert found("Calc add-in").found == "version 0.0.9"
    assert xlcalc.__version__ in found("Calc add-in").do
    assert "has no xlcalc" in found("Its Python").found


def test_an_open_office_is_named(make: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    office = make("25.2")
    office.profile.mkdir(parents=True)
    (office.profile.parent / ".lock").write_text("")
    assert "Close LibreOffice" in found("Open now").do
    with pytest.raises(FileBusy, match="LibreOffice is open"):
        setup_calc(None, remove=False)


def test_root_is_refused_in_a_sentence(make: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    make("25.2")
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    with pytest.raises(FileRefused, match="as the person who uses Calc, without sudo"):
        setup_calc(None, remove=False)
    assert found("User").found == "root"


def test_an_office_that_refuses_is_quoted(make: Make) -> None:
    make("25.2")
    with pytest.raises(FileRefused, match="refused the add-in: unopkg gives no reason"):
        setup_calc(None, remove=False)


def test_no_office(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(FOLDER, str(tmp_path))
    assert diagnosis.causes()[0].found == "not found"
    with pytest.raises(FileRefused, match="LibreOffice is not found on this machine"):
        setup_calc(None, remove=False)


def test_a_locked_office_is_refused(make: Make) -> None:
    office = make("25.2", "snap/libreoffice/current")
    assert office.sandbox == "snap"
    assert "install LibreOffice from the system" in found("Where it runs").do
    with pytest.raises(FileRefused, match="locked in a snap"):
        install.chosen_office()


def test_the_extension_as_a_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(FOLDER, str(tmp_path))  # no office: every call goes to a worker
    file = tmp_path / "xlcalc.oxt"
    assert "Extensions, Add" in setup_calc(file, remove=False).next
    with zipfile.ZipFile(file) as oxt:
        told = ElementTree.fromstring(oxt.read("description.xml"))
        assert [each.get("value") for each in told][:2] == [IDENTIFIER, xlcalc.__version__]
        settings = json.loads(oxt.read(SETTINGS))
        assert settings["own_python"] is None
        assert list(settings["functions"]) == list(functions())
        for name in oxt.namelist():
            if name.endswith((".xml", ".xcu")):
                assert oxt.read(name).startswith(b'<?xml version="1.0" encoding="UTF-8"?>')
    assert extension() == extension()
    written = file.read_bytes()
    with pytest.raises(FileError, match="is there already and stays as it is"):
        setup_calc(file, remove=False)
    assert file.read_bytes() == written


def test_the_type_library_can_be_read_back() -> None:
    methods = {"A_B": ("any", [("flow", "[][]string"), ("unit", "any")]), "C": ("[][]any", [])}
    data = type_library("org.xlcalc.calc.XFunctions", methods)
    at, count = struct.unpack_from("<II", data, 8)
    path = []
    while True:
        label, entity = struct.unpack_from("<II", data, at)
        path.append(data[label : data.index(b"\0", label)].decode())
        if data[entity] != 0:
            break
        count, at = struct.unpack_from("<I", data, entity + 1)[0], entity + 5
        assert count == 1
    assert path == ["org", "xlcalc", "calc", "XFunctions"]
    assert data[entity] == 5
    for word in (b"com.sun.star.uno.XInterface", b"A_B", b"[][]string", b"flow"):
        assert struct.pack("<I", len(word)) + word in data


def test_help_fits_the_wizard() -> None:
    for made in functions().values():
        assert 0 < len(help_text(made)) <= 255
        for each in parameters(made):
            assert 0 < len(each.help) <= 255
            assert each.way in UNO_TYPES
    assert {name for name, made in functions().items() if answers_words(made)} >= {"HOSE_CHECK", "ANSWER_WHY"}


@pytest.mark.parametrize(
    ("name", "cells", "expected"),
    [
        ("TANK_FOR_EXPANSION", [10.0, "coolant 50/50", 20.0, 100.0, 0.0], {"error": "#VALUE!"}),  # blank or 0 %
        ("TANK_FOR_EXPANSION", [None, None, None, None, 0.0, 0.0], ""),
        ("LINE_VELOCITY", [8.0, 0.0, None], {"error": "#NUM!"}),  # a 0 that was typed
        ("QUANTITY_IN", [1.0, 1.0], 1.0),  # the unit 1
        ("ANSWER_WHY", ["LINE_VELOCITY", 0.0, 0.0], ""),
        ("ANSWER_WHY", ["LINE_VELOCITY", 8.0, 7.9, 0.0], "There is an answer: 2.72 m/s"),
        ("NO_SUCH", [], {"error": "#NAME?"}),
    ],
)
def test_what_a_zero_stands_for(name: str, cells: list[object], expected: object) -> None:
    assert answer(name, cells) == expected


def test_a_range_of_one_cell_tells_a_blank_from_a_zero() -> None:
    blank, zero = ([10.0, "coolant 50/50", 20.0, 100.0, [[cell]]] for cell in (None, 0.0))
    assert answer("TANK_FOR_EXPANSION", blank) == xlcalc.call("TANK_FOR_EXPANSION", 10, "coolant 50/50", 20, 100)
    assert answer("TANK_FOR_EXPANSION", zero) == xlcalc.call("TANK_FOR_EXPANSION", 10, "coolant 50/50", 20, 100, 0)


def test_every_difference_says_what_to_do() -> None:
    assert len(table().splitlines()) == len(DIFFERENCES) + 2
    for each in DIFFERENCES:
        assert all(each)
