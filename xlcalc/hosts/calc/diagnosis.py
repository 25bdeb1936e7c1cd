"""What `xlcalc doctor` says about Calc: each thing on which the add-in depends, as it is on this machine."""

import os
from collections.abc import Iterator
from pathlib import Path

import xlcalc
from xlcalc.hosts.calc.install import NO_OFFICE
from xlcalc.hosts.calc.office import Installed, Office, offices, run
from xlcalc.hosts.causes import Cause
from xlcalc.hosts.output import command
from xlcalc.workbook.spelling import OLD_CALC, first_plain

ASK = "import sys; sys.path.insert(0, sys.argv[1]); import xlcalc; print(xlcalc.__version__)"


def causes() -> list[Cause]:
    """The findings, in the order in which they matter."""
    found = offices()
    if not found:
        return [Cause("LibreOffice", "not found", NO_OFFICE)]
    return [cause for office in found for cause in _of(office)]


def _of(office: Office) -> Iterator[Cause]:
    yield Cause("LibreOffice", office.said)
    yield names(office)
    if office.sandbox:
        yield Cause(
            "Where it runs", f"locked in a {office.sandbox}",
            "It cannot start the Python that xlcalc runs in: install LibreOffice from the system's packages instead.",
        )  # fmt: skip
        return
    if office.manager is None:
        yield Cause("Extension manager", "unopkg is missing", "Install LibreOffice whole: its add-ins need unopkg.")
    if os.name != "nt" and os.geteuid() == 0:
        yield Cause("User", "root", "LibreOffice installs no add-in for root: run setup as the person who uses Calc.")
    if office.running:
        found = f"yes, or {office.profile.parent / '.lock'} was left behind"
        yield Cause("Open now", found, "Close LibreOffice before setup, and start it anew after it.")
    yield from _add_in(office)


def names(office: Office) -> Cause:
    """What the version means for the names of the functions in .xlsx files."""
    since = first_plain()
    if office.version is None:
        do = f"Names work as they are from LibreOffice {since} on."
        return Cause("Function names", "the version cannot be read", do)
    if office.plain_names:
        return Cause("Function names", "as they are in .xlsx files")
    copy = command("names", "book.xlsx", "--for", OLD_CALC, "--to", "copy.xlsx")
    found = "only with a prefix in .xlsx files"
    return Cause("Function names", found, f"Update to {since} or newer, or make a copy: {copy}")


def _add_in(office: Office) -> Iterator[Cause]:
    installed = office.installed()
    setup = command("setup", "calc")
    if installed is None:
        yield Cause("Calc add-in", "not installed for this user", f"Run {setup}")
        return
    do = "" if installed.version == xlcalc.__version__ else f"The package is {xlcalc.__version__}: run {setup} again."
    yield Cause("Calc add-in", f"version {installed.version}", do)
    yield worker(installed)
    yield Cause("How it answers", way(installed))


def way(installed: Installed) -> str:
    """Whether the functions run inside the office or beside it."""
    own = installed.settings.get("own_python")
    if own:
        return f"in the office's own Python {'.'.join(map(str, own['version']))}, else in a process of its own"
    return "in a process of its own"


def worker(installed: Installed) -> Cause:
    """Whether the Python that the add-in was built for is still there with the same package."""
    words = installed.settings.get("command") or [""]
    python, setup = Path(words[0]), command("setup", "calc")
    if not python.is_file():
        return Cause("Its Python", f"{python} is gone", f"The environment was moved or deleted: run {setup} again.")
    done = run([python, "-I", "-c", ASK, installed.settings.get("home", "")])
    version = done.stdout.strip()
    if done.returncode or version != installed.version:
        what = f"has xlcalc {version}" if version else "has no xlcalc"
        return Cause("Its Python", f"{python} {what}", f"Install xlcalc there, then run {setup} again.")
    return Cause("Its Python", f"{python} with xlcalc {version}")
