"""The one place that asks this computer: registry, windows, short paths, packages, where Python is.

Everything that only Windows can answer stands here, so that the rest can be tried with a `Machine` that answers
otherwise. What a system does not have reads as empty, never as an error.
"""

import os
import platform
import struct
import sys
from collections.abc import Iterator
from contextlib import suppress
from importlib import metadata, util
from pathlib import Path
from typing import Any

LONGEST_PATH = 1024
ROOTS = {"HKCU": "HKEY_CURRENT_USER", "HKLM": "HKEY_LOCAL_MACHINE"}


class Machine:
    """What this computer says of itself. `winreg` and `windll` are Python's doors to Windows, None elsewhere."""

    def __init__(self, winreg: Any = None, windll: Any = None) -> None:
        self._winreg, self._windll = winreg, windll
        if sys.platform == "win32":
            import ctypes  # noqa: PLC0415  (these two are there on Windows only)
            import winreg as real  # noqa: PLC0415

            self._winreg, self._windll = winreg or real, windll or ctypes.windll

    @property
    def system(self) -> str:
        """`Windows`, `Linux` or `Darwin`."""
        return platform.system()

    @property
    def processor(self) -> str:
        """Kind of the processor, also where Windows only pretends to be another: `AMD64`, `ARM64`."""
        known = self.setting("PROCESSOR_IDENTIFIER")
        return "ARM64" if known.startswith("ARM") else platform.machine()

    @property
    def python(self) -> Path:
        """The interpreter without a window that stands beside the one that runs now."""
        return Path(sys.executable).with_name("pythonw.exe")

    @property
    def base(self) -> str:
        """Folder of the Python that a virtual environment was made from."""
        return sys.base_prefix

    @property
    def python_is(self) -> tuple[str, int, str]:
        """Version of Python, its bits, and the processor that it was built for."""
        return platform.python_version(), 8 * struct.calcsize("P"), platform.machine()

    def setting(self, name: str) -> str:
        """A variable of the environment, empty where it is not set."""
        return os.environ.get(name, "")

    def package(self, name: str) -> str:
        """Version of an installed package, empty where it is not installed."""
        try:
            return metadata.version(name)
        except metadata.PackageNotFoundError:
            return ""

    def loads(self, module: str) -> bool:
        """Whether Python finds a module."""
        return util.find_spec(module) is not None

    def container(self) -> Path:
        """The empty add-in in xlwings' wheel, whether or not it is there."""
        spec = util.find_spec("xlwings")
        folder = Path(spec.origin).parent if spec and spec.origin else Path(sys.prefix)
        return folder / "quickstart_addin.xlam"

    def library(self, bits: int) -> Path:
        """xlwings' library for an Excel of so many bits, where pip put it, or where it would stand."""
        name = f"xlwings{bits}-{self.package('xlwings')}.dll"
        for file in self._files("xlwings"):
            if file.name == name:
                return file
        return Path(sys.prefix) / name

    def _files(self, package: str) -> Iterator[Path]:
        with suppress(metadata.PackageNotFoundError):
            for file in metadata.files(package) or ():
                yield Path(os.path.abspath(str(file.locate())))  # noqa: PTH100 (a link stays a link)

    def values(self, key: str) -> dict[str, Any]:
        """The values of a key of the registry such as `HKCU\\Software\\...`; empty where there is none."""
        found: dict[str, Any] = {}
        with suppress(OSError), self._opened(key) as opened:
            while True:
                name, value, _ = self._winreg.EnumValue(opened, len(found))
                found[name] = value
        return found

    def keys(self, key: str) -> list[str]:
        """The names of the keys under a key of the registry."""
        found: list[str] = []
        with suppress(OSError), self._opened(key) as opened:
            while True:
                found.append(self._winreg.EnumKey(opened, len(found)))
        return found

    def _opened(self, key: str) -> Any:
        if self._winreg is None:
            raise OSError("no registry")
        root, _, rest = key.partition("\\")
        return self._winreg.OpenKey(getattr(self._winreg, ROOTS[root]), rest)

    def code_page(self) -> str:
        """Name of the code page in which Windows hands a command to a program."""
        return f"cp{self._windll.kernel32.GetACP()}" if self._windll else "utf-8"

    def short_path(self, path: str) -> str:
        """The path in names of 8 + 3 letters, or the path as it is where the disk keeps no such names."""
        if not self._windll:
            return path
        room = _buffer()
        count = self._windll.kernel32.GetShortPathNameW(path, room, LONGEST_PATH)
        return room.value if 0 < count < LONGEST_PATH else path

    def excel_runs(self) -> bool:
        """Whether a window of Excel is open, seen or unseen."""
        return bool(self._windll and self._windll.user32.FindWindowW("XLMAIN", None))

    def marked(self, path: Path) -> bool:
        """Whether Windows keeps in mind that a file came from the internet, which blocks it."""
        try:
            return "ZoneId=3" in Path(f"{path}:Zone.Identifier").read_text(encoding="utf-8", errors="replace")
        except OSError:
            return False


def _buffer() -> Any:
    import ctypes  # noqa: PLC0415

    return ctypes.create_unicode_buffer(LONGEST_PATH)
