"""`xlcalc setup calc` and what `xlcalc doctor` says of Calc: no office, an old one, a locked one, one that is open."""

import json
import os
import zipfile
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pytest

import xlcalc
from xlcalc.core.errors import FileBusy, FileRefused
from xlcalc.hosts.calc import diagnosis, install
from xlcalc.hosts.calc.extension import IDENTIFIER, SETTINGS, extension
from xlcalc.hosts.calc.office import FOLDER, Office, offices
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


def test_a_folder_of_the_path_that_nobody_may_look_into_is_passed_over(
    make: Make, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    office = make("25.2")
    monkeypatch.delenv(FOLDER)
    closed = "/" + "x" * 300  # not to be looked into whoever asks: its name is longer than a system allows
    with pytest.raises(OSError, match="too long"):
        Path(closed).exists()
    monkeypatch.setenv("PATH", os.pathsep.join((closed, str(office.program))))
    assert office.program in [each.program for each in offices()]


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


FAULT = "ERROR: Exception occurred: caught unexpected exception while disposing..."  # of LibreOffice 7.4, met once


def test_an_office_that_stumbles_while_it_closes_is_asked_once_more(make: Make, tmp_path: Path) -> None:
    office = make("25.2")
    installed(office, [])
    (office.program / "unopkg").write_text(f'#!/bin/sh\necho x >>{tmp_path}/runs\n[ $(wc -l <{tmp_path}/runs) = 1 ] || '
                                           f'exit 0\necho "{FAULT}" >&2\nexit 1\n')  # fmt: skip
    assert f"version {xlcalc.__version__}, is installed" in setup_calc(None, remove=False).lines[0]
    assert (tmp_path / "runs").read_text().split() == ["x", "x"]


def test_an_office_that_stumbles_again_is_quoted(make: Make, tmp_path: Path) -> None:
    office = make("25.2")
    (office.program / "unopkg").write_text(f'#!/bin/sh\necho x >>{tmp_path}/runs\necho "{FAULT}" >&2\nexit 1\n')
    with pytest.raises(FileRefused, match=r"refused the add-in: .*while disposing"):
        setup_calc(None, remove=False)
    assert (tmp_path / "runs").read_text().split() == ["x", "x"]


@pytest.mark.parametrize("gone", [True, False])
def test_what_is_taken_out_all_the_same_is_no_fault(make: Make, gone: bool) -> None:
    office = make("25.2")
    installed(office, [])
    emptied = f'rm -r "{office.profile}"' if gone else "true"
    (office.program / "unopkg").write_text(f'#!/bin/sh\n{emptied}\necho "{FAULT}" >&2\nexit 1\n')
    if gone:
        assert setup_calc(None, remove=True).lines == [f"The add-in for Calc is taken out of {office.said}."]
    else:
        with pytest.raises(FileRefused, match="while disposing"):
            setup_calc(None, remove=True)


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
