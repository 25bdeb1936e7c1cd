"""What asks the computer, with models of Python's doors to Windows; nothing raises where there is no Windows."""

import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import xlwings

from xlcalc.hosts.excel.machine import Machine

from .machines import mark

KEY = r"HKCU\Software\Microsoft\Office"


class Registry:
    """`winreg` as far as it is used: OSError for a key that is missing and after the last name."""

    HKEY_CURRENT_USER, HKEY_LOCAL_MACHINE = "user", "machine"

    def __init__(self, content: dict[tuple[str, str], tuple[list[tuple[str, Any]], list[str]]]) -> None:
        self.content = content

    class Opened:
        def __init__(self, values: list[tuple[str, Any]], keys: list[str]) -> None:
            self.values, self.keys = values, keys

        def __enter__(self) -> "Registry.Opened":
            return self

        def __exit__(self, *_: object) -> None:
            pass

    def OpenKey(self, root: str, path: str) -> "Registry.Opened":  # noqa: N802
        if (root, path) not in self.content:
            raise FileNotFoundError(2, "The system cannot find the file specified")
        return Registry.Opened(*self.content[root, path])

    def EnumValue(self, opened: "Registry.Opened", place: int) -> tuple[str, Any, int]:  # noqa: N802
        if place >= len(opened.values):
            raise OSError(259, "No more data is available")
        return (*opened.values[place], 1)

    def EnumKey(self, opened: "Registry.Opened", place: int) -> str:  # noqa: N802
        if place >= len(opened.keys):
            raise OSError(259, "No more data is available")
        return opened.keys[place]


def test_the_registry() -> None:
    machine = Machine(Registry({("user", r"Software\Microsoft\Office"): ([("a", 1), ("b", b"x")], ["16.0", "Common"])}))
    assert machine.values(KEY) == {"a": 1, "b": b"x"}
    assert machine.keys(KEY) == ["16.0", "Common"]
    assert machine.values(KEY + r"\none") == {}
    assert machine.keys(r"HKLM\none") == []


def test_where_there_is_no_windows() -> None:
    machine = Machine()
    assert machine.values(KEY) == {}
    assert machine.keys(KEY) == []
    assert machine.short_path("C:\\a") == "C:\\a"
    assert not machine.excel_runs()
    assert machine.code_page() == "utf-8"
    assert machine.system != "Windows"


def test_doors_of_windows() -> None:
    windows: list[tuple[str, object]] = []

    def short(path: str, room: Any, size: int) -> int:
        room.value = path.replace("Łódź", "DZ~1")
        return len(room.value) if "none" not in path else 0

    def find(kind: str, title: object) -> int:
        windows.append((kind, title))
        return 7

    windll = SimpleNamespace(
        kernel32=SimpleNamespace(GetACP=lambda: 1250, GetShortPathNameW=short),
        user32=SimpleNamespace(FindWindowW=find),
    )
    machine = Machine(windll=windll)
    assert machine.code_page() == "cp1250"
    assert machine.short_path(r"C:\Łódź\pythonw.exe") == r"C:\DZ~1\pythonw.exe"
    assert machine.short_path(r"C:\none\Łódź") == r"C:\none\Łódź"
    assert machine.excel_runs()
    assert windows == [("XLMAIN", None)]


def test_packages_and_files() -> None:
    machine = Machine()
    assert machine.package("xlwings") == xlwings.__version__
    assert machine.package("no-such-package") == ""
    assert machine.container() == Path(xlwings.__file__).with_name("quickstart_addin.xlam")
    assert machine.container().is_file()
    assert machine.library(64).name == f"xlwings64-{xlwings.__version__}.dll"
    assert not machine.library(64).exists()  # only the wheels for Windows bring it
    assert machine.loads("json")
    assert not machine.loads("no_such_module")
    assert machine.python.name == "pythonw.exe"
    assert machine.python.parent == Path(sys.executable).parent
    assert machine.python_is[1] in (32, 64)


def test_a_library_that_pip_put_elsewhere_is_found(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    machine = Machine()
    there = tmp_path / f"xlwings32-{xlwings.__version__}.dll"
    entry = SimpleNamespace(locate=lambda: tmp_path / "site-packages" / ".." / there.name)
    monkeypatch.setattr("xlcalc.hosts.excel.machine.metadata.files", lambda _: [entry])
    assert machine.library(32) == there


def test_a_mark_of_the_internet(tmp_path: Path) -> None:
    file = tmp_path / "xlcalc.xlam"
    file.write_bytes(b"")
    assert not Machine().marked(file)
    mark(file)
    assert Machine().marked(file)
    Path(f"{file}:Zone.Identifier").write_text("[ZoneTransfer]\nZoneId=1\n", encoding="utf-8")
    assert not Machine().marked(file)


def test_the_processor_behind_a_pretended_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PROCESSOR_IDENTIFIER", "ARMv8 (64-bit) Family 8 Model 1")
    assert Machine().processor == "ARM64"
    monkeypatch.setenv("PROCESSOR_IDENTIFIER", "Intel64 Family 6 Model 154")
    assert Machine().processor != "ARM64"
    assert Machine().setting("PROCESSOR_IDENTIFIER").startswith("Intel64")
    monkeypatch.delenv("PROCESSOR_IDENTIFIER")
    assert Machine().setting("PROCESSOR_IDENTIFIER") == ""
