"""The office on this machine: where it is, which version, which Python it runs, where it keeps a person's add-ins."""

import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator, Mapping
from functools import cached_property
from pathlib import Path
from typing import Any, NamedTuple
from xml.etree import ElementTree

from xlcalc.hosts.calc.extension import DESCRIPTION, IDENTIFIER, SETTINGS
from xlcalc.workbook.spelling import PLAIN_SINCE

FOLDER = "XLCALC_OFFICE"  # environment: the program folder of the office that is meant, where there are several
PATIENCE = 120.0  # seconds for one run of another program
SANDBOXES = {"snap": ("/snap/",), "flatpak": ("/flatpak/",)}
_VERSION = re.compile(r"^ProductKey\s*=\s*\D*?(\d+)\.(\d+)", re.M)
_LISTED = re.compile(rb"\xff" + re.escape(IDENTIFIER.encode()) + rb"\n([^\xff\n]+)\xff([^\xff\n]+)\xff")
_PROFILE = re.compile(r"^UserInstallation\s*=\s*(\S.*?)\s*$", re.M)


class Installed(NamedTuple):
    """The extension as it stands in a person's profile: its version and what its component was told."""

    version: str
    settings: Mapping[str, Any]


class Office:
    """One installation, by its program folder. `home` is the home folder of the person who uses it."""

    def __init__(self, program: Path, home: Path | None = None) -> None:
        self.program = program
        self.home = home or Path.home()

    @cached_property
    def version(self) -> tuple[int, int] | None:
        """Year and half-year such as (25, 2), or (7, 4) of an older one; None where it cannot be read."""
        found = _VERSION.search(self._settings("bootstrap"))
        return (int(found[1]), int(found[2])) if found else None

    @property
    def plain_names(self) -> bool:
        """True where its Calc reads and writes `LINE_VELOCITY(...)` in .xlsx files without a prefix."""
        return self.version is not None and self.version >= PLAIN_SINCE

    @property
    def said(self) -> str:
        """Version and place, for a sentence."""
        number = ".".join(map(str, self.version)) if self.version else "of an unknown version"
        return f"LibreOffice {number} in {self.program}"

    @property
    def sandbox(self) -> str:
        """`snap` or `flatpak` where it is locked in one, else empty: it cannot start a program outside."""
        place = f"{self.program.as_posix()}/"
        return next((name for name, signs in SANDBOXES.items() if any(sign in place for sign in signs)), "")

    @property
    def manager(self) -> Path | None:
        """The program that adds and removes extensions."""
        names = ("unopkg.com", "unopkg.exe") if os.name == "nt" else ("unopkg",)
        return next((self.program / name for name in names if (self.program / name).exists()), None)

    @cached_property
    def python(self) -> Path | None:
        """A Python that is the office's own: the one it brings along, else the system's where it knows the office."""
        names = ("python.exe",) if os.name == "nt" else ("python",)
        places = [self.program / name for name in names]
        if os.name != "nt":
            places += [self.program.parent / "Resources/python", Path("/usr/bin/python3")]
        return next((place for place in places if place.exists() and _knows_office(place)), None)

    @property
    def profile(self) -> Path:
        """The folder with the settings and extensions of this person."""
        said = _PROFILE.search(self._settings("bootstrap"))
        tail = Path(said[1]).relative_to("$SYSUSERCONFIG") if said and "$SYSUSERCONFIG" in said[1] else None
        return self._settings_folder() / (tail or Path("libreoffice/4")) / "user"

    def _settings_folder(self) -> Path:
        if os.name == "nt":
            return Path(os.environ.get("APPDATA") or self.home / "AppData/Roaming")
        if sys.platform == "darwin":
            return self.home / "Library/Application Support"
        return Path(os.environ.get("XDG_CONFIG_HOME") or self.home / ".config")

    @property
    def running(self) -> bool:
        """True where it is open for this person, or was ended without a chance to say so."""
        return (self.profile.parent / ".lock").exists()

    def installed(self) -> Installed | None:
        """The extension in the profile of this person. Folders of earlier ones may lie there until the next start:
        the office's own list says which one counts."""
        packages = self.profile / "uno_packages/cache"
        try:
            listed = _LISTED.search((packages / "uno_packages.pmap").read_bytes())
            if listed is None:
                return None
            folder = packages / "uno_packages" / f"{listed[1].decode()}_" / listed[2].decode()
            told = ElementTree.parse(folder / "description.xml").getroot()
            settings = json.loads((folder / SETTINGS).read_text(encoding="utf-8"))
        except (OSError, ValueError, ElementTree.ParseError):
            return None
        version = told.find(f"{{{DESCRIPTION}}}version")
        return Installed(version.get("value", "") if version is not None else "", settings)

    def _settings(self, name: str) -> str:
        for ending in (f"{name}rc", f"{name}.ini"):
            for folder in (self.program, self.program.parent / "Resources"):
                if (folder / ending).is_file():
                    return (folder / ending).read_text(encoding="utf-8", errors="replace")
        return ""


def offices() -> list[Office]:
    """The installations on this machine, the one that is meant first."""
    found: dict[Path, Office] = {}
    for place in _places():
        if _there(place / ("soffice.exe" if os.name == "nt" else "soffice")):
            found.setdefault(place.resolve(), Office(place.resolve()))
    return list(found.values())


def _there(file: Path) -> bool:
    """False also where nobody may look, such as another person's folder in PATH."""
    try:
        return file.exists()
    except OSError:
        return False


def _places() -> Iterator[Path]:
    if chosen := os.environ.get(FOLDER):
        yield Path(chosen)
        return
    if os.name == "nt":
        for name in ("ProgramFiles", "ProgramFiles(x86)", "LOCALAPPDATA"):
            if folder := os.environ.get(name):
                yield Path(folder) / "LibreOffice/program"
                yield Path(folder) / "Programs/LibreOffice/program"
        return
    for folder in os.environ.get("PATH", os.defpath).split(os.pathsep):
        for name in ("soffice", "libreoffice"):
            if _there(start := Path(folder) / name):
                yield start.resolve().parent
    yield Path("/usr/lib/libreoffice/program")
    yield Path("/usr/lib64/libreoffice/program")
    yield from sorted(Path("/opt").glob("libreoffice*/program"), reverse=True)
    yield Path("/Applications/LibreOffice.app/Contents/MacOS")
    yield Path("/snap/libreoffice/current/lib/libreoffice/program")
    inside = "org.libreoffice.LibreOffice/current/active/files/libreoffice/program"
    for base in (Path("/var/lib/flatpak"), Path.home() / ".local/share/flatpak"):
        yield base / "app" / inside


def _knows_office(python: Path) -> bool:
    done = run([python, "-c", "import uno"])
    return done.returncode == 0


def run(command: list[str | Path], folder: Path | None = None) -> "subprocess.CompletedProcess[str]":
    """Run another program to its end, without what an active virtual environment would tell it.

    An office that finds such an environment's `python3` first takes it for its own Python and cannot load an
    add-in. Answers return code 1 where the program cannot be run or does not end.
    """
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "VIRTUAL_ENV"))}
    if os.name != "nt":
        kept["PATH"] = os.defpath
    try:
        return subprocess.run(
            [str(word) for word in command], stdin=subprocess.DEVNULL, capture_output=True, text=True, env=kept,
            errors="replace", timeout=PATIENCE, cwd=folder, check=False,
        )  # fmt: skip
    except (OSError, subprocess.TimeoutExpired) as fault:
        return subprocess.CompletedProcess([], 1, "", str(fault))
