"""Put the extension into a person's profile of the office, and take it out again."""

import json
import os
import sys
import tempfile
from pathlib import Path
from typing import Any

from xlcalc.core.errors import FileBusy, FileError, FileRefused
from xlcalc.hosts.calc.extension import IDENTIFIER, extension, home, in_process
from xlcalc.hosts.calc.office import FOLDER, Office, offices, run

NO_OFFICE = (
    "LibreOffice is not found on this machine. Install it with Calc, or name the folder of its programs in the "
    f"environment variable {FOLDER}. With --to FILE.oxt the extension is built without it."
)
AS_ROOT = (
    "An add-in for Calc belongs to one person, and LibreOffice installs none for root. Run this as the person who uses "
    "Calc, without sudo. With --to FILE.oxt the extension is built without installing it."
)
CLOSING = "while disposing"  # unopkg's word where it did its work and stumbled while it closed down
TRIAL = """
import json, struct, sys
sys.path.extend(json.loads(sys.argv[1]))
from xlcalc.hosts.calc.answering import answer, ready
ready()
print(json.dumps([list(sys.version_info[:2]), answer("LINE_VELOCITY", [8.0, 7.9])]))
"""


def chosen_office() -> Office:
    """The office to install into. Raises FileRefused where there is none, or none that can be used."""
    found = offices()
    if not found:
        raise FileRefused(NO_OFFICE)
    free = next((office for office in found if not office.sandbox), None)
    if free is None:
        raise FileRefused(
            f"{found[0].said} is locked in a {found[0].sandbox}: it cannot start the Python that xlcalc runs in. "
            "Install LibreOffice from the system's own packages or from its makers."
        )
    return free


def own_python(office: Office) -> dict[str, Any] | None:
    """What the component needs to answer in the office's own Python; None where the package does not run there."""
    if office.python is None:
        return None
    packages = [path for path in sys.path if path.rstrip("/\\").endswith(("site-packages", "dist-packages"))]
    paths = list(dict.fromkeys([str(home()), *packages]))
    done = run([office.python, "-B", "-c", TRIAL, json.dumps(paths)])
    try:
        version, answered = json.loads(done.stdout)
    except ValueError:
        return None
    return in_process(version, paths) if isinstance(answered, float) else None


def install(office: Office) -> dict[str, Any] | None:
    """Build the extension for this office and add it; returns what `own_python` found.

    Raises FileRefused (root, or the office refuses) and FileBusy (the office is open).
    """
    _check(office)
    here = own_python(office)
    add(office, extension(here))
    if office.installed() is None:
        raise FileError(f"{office.said} took the add-in, but it is not in {office.profile}. Is the folder writable?")
    return here


def add(office: Office, oxt: bytes) -> None:
    """Let the office take a built extension. Raises FileRefused where it does not."""
    with tempfile.TemporaryDirectory(prefix="xlcalc-") as folder:
        file = Path(folder) / "xlcalc.oxt"
        file.write_bytes(oxt)
        said = _managed(office, "add", "-f", file)
        if CLOSING in said:  # seen once in some thousand runs: what was still to be written is missing, and is now
            said = _managed(office, "add", "-f", file)
    if said:
        raise _refused(office, said)


def remove(office: Office) -> bool:
    """Take the extension out; False where it was not there. Raises as `install`."""
    if office.installed() is None:
        return False
    _check(office)
    said = _managed(office, "remove", IDENTIFIER)
    if said and office.installed() is not None:
        raise _refused(office, said)
    return True


def _check(office: Office) -> None:
    if os.name != "nt" and os.geteuid() == 0:
        raise FileRefused(AS_ROOT)
    if office.manager is None:
        raise FileRefused(f"{office.said} has no unopkg, the program that installs add-ins. Install LibreOffice whole.")
    if office.running:
        raise FileBusy(
            "LibreOffice is open. Close all its windows, also its sign in the corner of the screen, then run this "
            f"again. If it is closed, delete {office.profile.parent / '.lock'}."
        )


def _managed(office: Office, *words: str | Path) -> str:
    """Run unopkg; the reason that it gives where it fails, else empty."""
    done = run([str(office.manager), *words])
    return _reason(done.stderr + done.stdout) if done.returncode else ""


def _refused(office: Office, said: str) -> FileRefused:
    return FileRefused(f"{office.said} refused the add-in: {said}")


def _reason(said: str) -> str:
    """The line of what unopkg said that names the reason."""
    lines = [line.removeprefix("ERROR: ").strip() for line in said.splitlines() if line.startswith(("ERROR", "Exc"))]
    return next((line[:200] for line in lines if line != "unopkg failed."), "unopkg gives no reason")
