"""Computers to try the Excel door on: a Windows that is whole, and what can be wrong with it."""

from pathlib import Path
from typing import Any

from xlcalc.hosts.excel.machine import Machine

TEMPLATE = "quickstart_addin.xlam"


class Windows(Machine):
    """A computer with Windows, Excel and Python, all of it under one folder; a test changes what it likes."""

    def __init__(self, root: Path) -> None:
        super().__init__()
        self.root = root
        self.system_is, self.processor_is = "Windows", "AMD64"
        self.version, self.bits, self.made_for, self.base_is = "3.12.4", 64, "AMD64", r"C:\Python312"
        self.environment = {"APPDATA": str(root / "Roaming"), "ProgramFiles": str(root / "Programs")}
        self.packages = {"xlwings": "0.37.8", "pyopenvba": "6.5.0"}
        self.modules = {"pythoncom", "win32com", "win32api"}
        self.page, self.short, self.running = "cp1252", dict[str, str](), False
        self.registry: dict[str, dict[str, Any]] = {
            r"HKLM\SOFTWARE\Microsoft\Windows\CurrentVersion\App Paths\excel.exe": {"": str(root / "EXCEL.EXE")},
            r"HKLM\SOFTWARE\Microsoft\Office\ClickToRun\Configuration": {
                "Platform": "x64",
                "VersionToReport": "16.0.17328.20162",
            },
            r"HKCU\Software\Microsoft\Office\16.0\Excel\Options": {"OPEN": '/R "C:\\other.xlam"', "Maximized": 3},
        }
        self.folder = root / "venv"
        (self.folder / "Scripts").mkdir(parents=True)
        for file in (self.python, self.library(64), self.library(32)):
            file.write_bytes(b"")
        (self.xlstart).mkdir(parents=True)

    @property
    def xlstart(self) -> Path:
        return self.root / "Roaming" / "Microsoft" / "Excel" / "XLSTART"

    @property
    def system(self) -> str:
        return self.system_is

    @property
    def processor(self) -> str:
        return self.processor_is

    @property
    def python(self) -> Path:
        return self.folder / "Scripts" / "pythonw.exe"

    @property
    def base(self) -> str:
        return self.base_is

    @property
    def python_is(self) -> tuple[str, int, str]:
        return self.version, self.bits, self.made_for

    def setting(self, name: str) -> str:
        return self.environment.get(name, "")

    def package(self, name: str) -> str:
        return self.packages.get(name, "")

    def loads(self, module: str) -> bool:
        return module in self.modules

    def library(self, bits: int) -> Path:
        return self.folder / f"xlwings{bits}-{self.package('xlwings')}.dll"

    def values(self, key: str) -> dict[str, Any]:
        return self.registry.get(key, {})

    def keys(self, key: str) -> list[str]:
        rest = [name[len(key) + 1 :] for name in self.registry if name.startswith(key + "\\")]
        return sorted({name.partition("\\")[0] for name in rest})

    def code_page(self) -> str:
        return self.page

    def short_path(self, path: str) -> str:
        return self.short.get(path, path)

    def excel_runs(self) -> bool:
        return self.running


def mark(path: Path) -> None:
    """Mark a file as one that came from the internet, as Windows does."""
    Path(f"{path}:Zone.Identifier").write_text("[ZoneTransfer]\nZoneId=3\nHostUrl=about:internet\n", encoding="utf-8")
