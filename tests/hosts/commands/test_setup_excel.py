"""`xlcalc setup excel`: what it writes where, what it refuses, and in which words."""

import os
from pathlib import Path

import pytest

from tests.hosts.excel.machines import Windows
from xlcalc.core.errors import FileBusy, FileError, FileRefused
from xlcalc.hosts.commands.setup_excel import setup_excel
from xlcalc.hosts.excel import addin, place
from xlcalc.hosts.excel.machine import Machine


@pytest.fixture
def windows(tmp_path: Path) -> Windows:
    return Windows(tmp_path)


def names(folder: Path) -> list[str]:
    return sorted(file.name for file in folder.iterdir())


def test_it_installs_where_excel_starts(windows: Windows) -> None:
    outcome = setup_excel(None, None, remove=False, machine=windows)
    target = windows.xlstart / "xlcalc.xlam"
    assert names(windows.xlstart) == ["xlcalc.xlam"]
    assert outcome.data == {"addin": str(target), "functions": 78}
    assert outcome.lines == [f"{target} connects Excel with 78 functions."]
    assert "Self-check" in outcome.next
    found = addin.read(target)
    assert found is not None
    assert found.python == str(windows.python)
    assert found.libraries == (str(windows.library(64)), str(windows.library(32)))
    assert outcome.code == 0


def test_the_start_folder_is_made_where_it_is_missing(windows: Windows) -> None:
    windows.xlstart.rmdir()
    setup_excel(None, None, remove=False, machine=windows)
    assert names(windows.xlstart) == ["xlcalc.xlam"]


def test_installing_again_replaces_it(windows: Windows) -> None:
    setup_excel(None, None, remove=False, machine=windows)
    windows.packages["xlwings"] = "0.37.9"
    for bits in (64, 32):
        windows.library(bits).write_bytes(b"")
    setup_excel(None, None, remove=False, machine=windows)
    found = addin.read(windows.xlstart / "xlcalc.xlam")
    assert found is not None
    assert found.libraries
    assert [library for library in found.libraries if "0.37.9" not in library] == []
    assert names(windows.xlstart) == ["xlcalc.xlam"]


def test_the_command_is_fixed_and_trusts_no_folder_of_the_moment(windows: Windows) -> None:
    command = place.start_of(windows).command
    assert command.startswith(f'"{windows.python}" -E -P -B -c "import os, sys; os.chdir(sys.prefix); ')
    assert command.endswith("s.start('$(CLSID)')\"")
    compile(command.partition(' -c "')[2].rstrip('"'), "command", "exec")


def test_the_text_for_import_by_hand(windows: Windows, tmp_path: Path) -> None:
    file = tmp_path / "by hand.bas"
    outcome = setup_excel(file, None, remove=False, machine=windows)
    content = file.read_bytes()
    assert content.startswith(b'Attribute VB_Name = "xlcalc_functions"\r\nOption Explicit\r\n')
    assert content.count(b"\n") == content.count(b"\r\n")
    assert content.decode("ascii").replace("\r\n", "\n") == place.text_for(windows)
    assert "Import File" in outcome.next
    assert names(windows.xlstart) == []


def test_the_addin_as_a_file(windows: Windows, tmp_path: Path) -> None:
    file = tmp_path / "xlcalc.xlam"
    outcome = setup_excel(None, file, remove=False, machine=windows)
    assert addin.read(file) is not None
    assert outcome.lines == [f"{file} is the add-in; it is not installed."]
    assert names(windows.xlstart) == []


def test_both_at_once(windows: Windows, tmp_path: Path) -> None:
    outcome = setup_excel(tmp_path / "a.bas", tmp_path / "a.xlam", remove=False, machine=windows)
    assert len(outcome.lines) == 2
    assert outcome.data["functions"] == 78


def test_it_is_taken_away_again(windows: Windows) -> None:
    target = windows.xlstart / "xlcalc.xlam"
    setup_excel(None, None, remove=False, machine=windows)
    outcome = setup_excel(None, None, remove=True, machine=windows)
    assert not target.exists()
    assert outcome.lines == [f"{target} is removed."]
    again = setup_excel(None, None, remove=True, machine=windows)
    assert again.lines == ["There was no add-in of xlcalc to remove."]
    assert again.data == {"removed": None}


def test_a_running_excel_is_waited_for(windows: Windows) -> None:
    setup_excel(None, None, remove=False, machine=windows)
    before = (windows.xlstart / "xlcalc.xlam").read_bytes()
    windows.running = True
    for remove in (False, True):
        with pytest.raises(FileBusy, match="Excel is running"):
            setup_excel(None, None, remove=remove, machine=windows)
    assert (windows.xlstart / "xlcalc.xlam").read_bytes() == before


def test_a_file_that_excel_holds_is_named(windows: Windows, monkeypatch: pytest.MonkeyPatch) -> None:
    setup_excel(None, None, remove=False, machine=windows)

    def held(*_: object) -> None:
        fault = PermissionError(13, "used by another process")
        fault.winerror = 32  # type: ignore[attr-defined]
        raise fault

    monkeypatch.setattr("xlcalc.hosts.excel.place.__version__", "9.9.9")  # so that there is something to replace
    monkeypatch.setattr(os, "replace", held)
    with pytest.raises(FileBusy, match=r"xlcalc\.xlam is open in another program"):
        setup_excel(None, None, remove=False, machine=windows)
    assert names(windows.xlstart) == ["xlcalc.xlam"]
    monkeypatch.setattr(Path, "unlink", held)
    with pytest.raises(FileBusy, match="Close Excel"):
        setup_excel(None, None, remove=True, machine=windows)


def test_a_file_of_another_maker_stays(windows: Windows) -> None:
    target = windows.xlstart / "xlcalc.xlam"
    target.write_bytes(Machine().container().read_bytes())
    for remove in (False, True):
        with pytest.raises(FileRefused, match="was not made by xlcalc"):
            setup_excel(None, None, remove=remove, machine=windows)
    assert target.read_bytes() == Machine().container().read_bytes()


def test_a_file_of_another_maker_is_not_written_over(windows: Windows, tmp_path: Path) -> None:
    bas, to = tmp_path / "mine.bas", tmp_path / "mine.xlam"
    for file in (bas, to):
        file.write_bytes(b'Attribute VB_Name = "mine"')
        given = (file, None) if file == bas else (None, file)
        with pytest.raises(FileRefused, match=f"{file.name} was not made by xlcalc and stays as it is"):
            setup_excel(*given, remove=False, machine=windows)
        assert file.read_bytes() == b'Attribute VB_Name = "mine"'
        file.unlink()
        for _ in range(2):  # one of ours is replaced
            assert setup_excel(*given, remove=False, machine=windows).code == 0


def test_a_python_of_the_store_is_refused(windows: Windows, tmp_path: Path) -> None:
    windows.base_is = r"C:\Program Files\WindowsApps\Publisher.Python_3.12_x64"
    for bas in (None, tmp_path / "a.bas"):
        with pytest.raises(FileRefused, match=r"Microsoft Store.*python\.org.*xlcalc recalc"):
            setup_excel(bas, None, remove=False, machine=windows)
    assert names(windows.xlstart) == []


@pytest.mark.parametrize("system", ["Darwin", "Linux"])
def test_elsewhere_it_says_what_works_there(windows: Windows, tmp_path: Path, system: str) -> None:
    windows.system_is = system
    for bas, to in ((None, None), (tmp_path / "a.bas", None), (None, tmp_path / "a.xlam")):
        with pytest.raises(FileRefused) as refused:
            setup_excel(bas, to, remove=False, machine=windows)
        for word in ("values last calculated", "xlcalc recalc", "Calc", "xlcalc.call"):
            assert word in str(refused.value)
    with pytest.raises(FileRefused, match="nothing to remove"):
        setup_excel(None, None, remove=True, machine=windows)
    assert not list(tmp_path.glob("a.*"))


def test_it_asks_the_computer_that_it_runs_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("xlcalc.hosts.excel.machine.platform.system", lambda: "Linux")
    with pytest.raises(FileRefused, match="xlcalc recalc"):
        setup_excel(None, tmp_path / "a.xlam", remove=False)


def test_a_python_without_the_library_is_named(windows: Windows) -> None:
    windows.library(64).unlink()
    windows.made_for, windows.version = "ARM64", "3.13.1"
    with pytest.raises(FileRefused) as refused:
        setup_excel(None, None, remove=False, machine=windows)
    for word in ("xlwings64-0.37.8.dll", "ARM64", "3.13.1", "AMD64", "xlcalc recalc", "Calc"):
        assert word in str(refused.value)


def test_missing_parts_are_named(windows: Windows) -> None:
    windows.python.unlink()
    with pytest.raises(FileRefused, match=r"pythonw\.exe is missing"):
        setup_excel(None, None, remove=False, machine=windows)
    windows.environment.clear()
    windows.python.write_bytes(b"")
    with pytest.raises(FileError, match="APPDATA"):
        setup_excel(None, None, remove=False, machine=windows)


def test_a_path_that_the_code_page_has_is_taken(windows: Windows) -> None:
    windows.folder = windows.root / "Jürgen's place"
    (windows.folder / "Scripts").mkdir(parents=True)
    for file in (windows.python, windows.library(64), windows.library(32)):
        file.write_bytes(b"")
    setup_excel(None, None, remove=False, machine=windows)
    found = addin.read(windows.xlstart / "xlcalc.xlam")
    assert found is not None
    assert found.python == str(windows.python)
    assert found.libraries
    assert [library for library in found.libraries if "Jürgen" not in library] == []


def test_a_path_that_the_code_page_lacks_goes_by_its_short_name(windows: Windows) -> None:
    windows.folder = windows.root / "Łódź"
    (windows.folder / "Scripts").mkdir(parents=True)
    for file in (windows.python, windows.library(64), windows.library(32)):
        file.write_bytes(b"")
    with pytest.raises(FileRefused, match="letters that Windows cannot hand over"):
        setup_excel(None, None, remove=False, machine=windows)
    windows.short[str(windows.python)] = r"C:\DZ~1\Scripts\pythonw.exe"
    setup_excel(None, None, remove=False, machine=windows)
    found = addin.read(windows.xlstart / "xlcalc.xlam")
    assert found is not None
    assert found.python == r"C:\DZ~1\Scripts\pythonw.exe"
    assert found.libraries
    assert [library for library in found.libraries if "Łódź" not in library] == [], "loaded by its whole name"
    windows.short.clear()
    windows.page = "cp1250"  # where people write such names, the code page has them
    setup_excel(None, None, remove=False, machine=windows)


def test_a_path_that_is_too_long_is_refused(windows: Windows) -> None:
    long = windows.root.joinpath(*["x" * 200] * 9)
    windows.folder = long
    (long / "Scripts").mkdir(parents=True)
    for file in (windows.python, windows.library(64), windows.library(32)):
        file.write_bytes(b"")
    with pytest.raises(FileRefused, match="too long"):
        setup_excel(None, None, remove=False, machine=windows)
