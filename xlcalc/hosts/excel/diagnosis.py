"""Why Excel and the functions do not meet: each known cause, looked up on this computer."""

from collections.abc import Iterator
from pathlib import Path

from xlcalc.core.errors import FileError, FileRefused
from xlcalc.hosts.causes import Cause
from xlcalc.hosts.diagnosis import fits, requirements
from xlcalc.hosts.excel.addin import Built, read, said
from xlcalc.hosts.excel.machine import Machine
from xlcalc.hosts.excel.place import ELSEWHERE, PYTHON_ORG, from_store, start_folder, start_of, text_for
from xlcalc.hosts.excel.policies import folders_opened, refusals
from xlcalc.workbook.formulas import ADDIN

SETUP = "Run: xlcalc setup excel"
CLICK_TO_RUN = r"HKLM\SOFTWARE\Microsoft\Office\ClickToRun\Configuration"
APP_PATH = r"HKLM\SOFTWARE\Microsoft\Windows\CurrentVersion\App Paths\excel.exe"
PACKAGES = ("xlwings", "pyopenvba")
PARTS = ("pythoncom", "win32com", "win32api")  # of pywin32, which xlwings needs


def causes(machine: Machine | None = None) -> list[Cause]:
    """What the Excel door depends on, as found here; `do` says what to do where it stands in the way."""
    asked = machine or Machine()
    if asked.system != "Windows":
        found = f"not connected on {asked.system}: worksheet functions in Excel need Windows. {ELSEWHERE}"
        return [Cause("Excel", found)]
    return [
        *_excel(asked),
        *_python(asked),
        *_packages(asked),
        *_paths(asked),
        *_addin(asked),
        *_blocked(asked),
        *_places(asked),
        *refusals(asked),
    ]


def _excel(machine: Machine) -> Iterator[Cause]:
    path = str(machine.values(APP_PATH).get("", ""))
    click = machine.values(CLICK_TO_RUN)
    bits = {"x64": ", 64 bit", "x86": ", 32 bit"}.get(str(click.get("Platform", "")), "")
    if not path:
        yield Cause("Excel", "not found on this computer", "Install Excel for Windows, or use LibreOffice Calc")
    elif from_store(path):
        do = "This edition lets no program in. Install Office from your account page at Microsoft instead"
        yield Cause("Excel", f"the edition of the Microsoft Store ({path})", do)
    else:
        yield Cause("Excel", f"{path} {click.get('VersionToReport', '')}{bits}".replace(" ,", ","))
    if machine.excel_runs():
        yield Cause("Excel is running", "what `xlcalc setup excel` changes shows after Excel is closed and started")


def _python(machine: Machine) -> Iterator[Cause]:
    version, bits, made_for = machine.python_is
    found = f"{version}, {bits} bit, {made_for}, in {machine.base}"
    if from_store(machine.base):
        found += ": the edition of the Microsoft Store, which Excel cannot start"
        yield Cause("Python for Excel", found, PYTHON_ORG)
    elif made_for.upper() not in ("AMD64", "X86_64") or bits != 64:
        yield Cause("Python for Excel", f"{found}: xlwings has no library for it", PYTHON_ORG)
    else:
        yield Cause("Python for Excel", found)
    if machine.processor == "ARM64":
        found = "ARM64: never tried; Windows runs programs made for AMD64 there"
        yield Cause("Processor", found, "If cells show #NAME?, use xlcalc recalc or Calc" if bits == 64 else PYTHON_ORG)
    if (Path(machine.base) / "conda-meta").is_dir():
        found = f"{machine.base} is kept by conda, whose libraries load only where it is activated"
        yield Cause("Python of conda", found, "If cells show #NAME?, take Python from python.org")
    if not machine.python.is_file():
        yield Cause("pythonw", f"{machine.python} is missing", PYTHON_ORG)


def _packages(machine: Machine) -> Iterator[Cause]:
    needed = {name: wanted for name, wanted, marker in requirements() if "extra" not in marker}
    for name in PACKAGES:
        version, wanted = machine.package(name), needed.get(name, "")
        fitting = version and fits(version, wanted)
        do = "" if fitting else f'Run: pip install "{name}{wanted}", then: xlcalc setup excel'
        yield Cause(name, version or "not installed", do)
    if missing := [part for part in PARTS if not machine.loads(part)]:
        yield Cause("pywin32", f"{', '.join(missing)} not found", "Run: pip install --force-reinstall pywin32")
    for bits in (64, 32):
        library = machine.library(bits)
        if not library.is_file():
            yield Cause(f"Library of xlwings, {bits} bit", f"{library} is missing", PYTHON_ORG)


def _paths(machine: Machine) -> Iterator[Cause]:
    """Letters and lengths that Windows does not hand over."""
    try:
        start_of(machine)
    except FileRefused as refused:
        yield Cause("Path of Python", str(machine.python), str(refused))


def _addin(machine: Machine) -> Iterator[Cause]:
    try:
        target = start_folder(machine) / ADDIN
        built = read(target) if target.exists() else None
    except FileError as fault:
        yield Cause("Add-in", str(fault), SETUP)
        return
    if not target.parent.is_dir():
        yield Cause("XLSTART", f"{target.parent} is missing", SETUP)
    elif not target.exists():
        yield Cause("Add-in", f"not installed in {target.parent}", SETUP)
    elif built is None:
        yield Cause("Add-in", f"{target} was not made by xlcalc", f"Move it away. {SETUP}")
    else:
        yield from _tied(machine, target, built)


def _tied(machine: Machine, target: Path, built: Built) -> Iterator[Cause]:
    """Whether an installed add-in is tied to what is here now."""
    try:
        now = said(text_for(machine))
    except FileRefused:
        return  # said already, of the Python, the package or the path that stands in the way
    stamp = now.stamp if now else ""
    do = "" if built.stamp == stamp else f"It is not of the xlcalc that is here now, {stamp}. {SETUP}"
    yield Cause("Add-in", f"{target}, version {built.stamp}", do)
    if not Path(built.python).is_file():
        yield Cause("Python of the add-in", f"{built.python} is gone", SETUP)
    elif now and built.command != now.command:
        yield Cause("Python of the add-in", f"{built.python}, not the one that runs now: {now.python}", SETUP)
    for library in built.libraries:
        if not Path(library).is_file():
            yield Cause("Library of the add-in", f"{library} is gone", SETUP)


def _blocked(machine: Machine) -> Iterator[Cause]:
    """Files that Windows blocks because they came from the internet."""
    files = [machine.python, machine.library(64), machine.library(32)]
    if machine.setting("APPDATA"):
        files.append(start_folder(machine) / ADDIN)
    for file in files:
        if machine.marked(file):
            do = "Right-click it, choose Properties, tick Unblock, and start Excel again"
            yield Cause("Blocked file", f"{file} came from the internet", do)


def _places(machine: Machine) -> Iterator[Cause]:
    """The add-in anywhere else than in this person's XLSTART: Excel then ties formulas to a path."""
    own = start_folder(machine) / ADDIN if machine.setting("APPDATA") else None
    for place in folders_opened(machine):
        if place.is_file() and place != own:
            do = "Remove it there, so that the one in XLSTART is the only one, and start Excel again"
            yield Cause("Second add-in", str(place), do)
