"""Where the add-in stands, what it is tied to, and how it gets there and away again."""

from pathlib import Path

from xlcalc import __version__
from xlcalc.core.errors import FileBusy, FileError, FileRefused
from xlcalc.core.registry import functions
from xlcalc.hosts.excel.addin import build, read
from xlcalc.hosts.excel.machine import Machine
from xlcalc.hosts.excel.vba import Start, module
from xlcalc.workbook.file.atomic import write_whole
from xlcalc.workbook.formulas import ADDIN

LONGEST_COMMAND = 2000  # bytes; xlwings' library keeps 2,048 for it
STORE = "\\windowsapps\\"  # in the path of every program of the Microsoft Store
PYTHON_ORG = "Install Python of 64 bit for AMD64 from python.org, xlcalc in it, and run: xlcalc setup excel"
WORKS = {
    "Darwin": "Excel for Mac has no way to reach Python from a cell through xlwings.",
    "": "Excel with worksheet functions in Python runs on Windows only.",
}
ELSEWHERE = (
    "Here the cells of a workbook keep the values last calculated, `xlcalc recalc FILE.xlsx` renews them, "
    "LibreOffice Calc works them out live (`xlcalc setup calc`), and Python answers through xlcalc.call."
)
NO_STORE = "Excel cannot start it, and other programs do not see what it writes into the folder of your settings"
UNFIT = (
    "Install Python, or make the virtual environment, in a short path of plain letters such as C:\\xlcalc, "
    "and run this again from there"
)


def start_folder(machine: Machine) -> Path:
    """The folder from which Excel opens files when this person starts it. Raises FileError where it is unknown."""
    roaming = machine.setting("APPDATA")
    if not roaming:
        raise FileError("Windows does not say where your settings are kept (APPDATA is empty). Log in and try again.")
    return Path(roaming) / "Microsoft" / "Excel" / "XLSTART"


def refuse_unfit(machine: Machine) -> None:
    """Raise FileRefused where no add-in can work on this computer, with what works instead."""
    if machine.system != "Windows":
        raise FileRefused(f"{WORKS.get(machine.system, WORKS[''])} {ELSEWHERE}")
    if from_store(machine.base):  # Windows would keep the add-in in a folder of its own, where Excel does not see it
        raise FileRefused(f"This Python is the edition of the Microsoft Store. {NO_STORE}. {PYTHON_ORG}. {ELSEWHERE}")
    version, bits, made_for = machine.python_is
    missing = [file for file in (machine.library(64), machine.library(32)) if not file.is_file()]
    if missing:
        raise FileRefused(
            f"{missing[0].name} of xlwings is not on this computer: this Python {version} is made for {made_for}, "
            f"{bits} bit, and xlwings brings its library only with Python for AMD64 of 64 bit. Install that Python "
            f"and xlcalc in it. {ELSEWHERE}"
        )
    if not machine.python.is_file():
        raise FileRefused(f"{machine.python} is missing. Install Python from python.org and xlcalc in it.")
    if not machine.container().is_file():
        raise FileRefused(f"{machine.container()} is missing. Run: pip install --force-reinstall xlwings")


def from_store(path: str) -> bool:
    """Whether a program, or the folder of one, is of the Microsoft Store."""
    return STORE in f"{path}\\".lower()


def start_of(machine: Machine) -> Start:
    """What an add-in built now is tied to.

    Raises FileRefused where Windows cannot hand the command over, because of its letters or its length.
    """
    python = carried(machine, machine.python)
    start = Start(command(python), str(machine.library(64)), str(machine.library(32)))
    if len(start.command.encode(machine.code_page())) > LONGEST_COMMAND:
        raise FileRefused(f"The path of Python is too long for Excel: {python}. {UNFIT}.")
    return start


def command(python: str) -> str:
    """The command that starts Python: fixed, without the environment's settings (-E), with no folder of the moment on
    its path (-P), writing nothing beside the modules (-B). It leaves the folder of the open workbook first."""
    body = "import os, sys; os.chdir(sys.prefix); import xlcalc.hosts.excel.serve as s; s.start('$(CLSID)')"
    return f'"{python}" -E -P -B -c "{body}"'


def carried(machine: Machine, path: Path) -> str:
    """A path in letters that Windows' code page has, by its short names where need be. Raises FileRefused."""
    for text in (str(path), machine.short_path(str(path))):
        try:
            text.encode(machine.code_page())
        except (UnicodeEncodeError, LookupError):
            continue
        return text
    raise FileRefused(f"Excel cannot start {path}: its path holds letters that Windows cannot hand over. {UNFIT}.")


def text_for(machine: Machine) -> str:
    """The VBA text for this computer. Raises FileRefused where nothing can work here."""
    refuse_unfit(machine)
    return module(functions().values(), start_of(machine), __version__)


def write_text(machine: Machine, to: Path) -> None:
    """Write the VBA text for import by hand, lines ended as Windows ends them. Raises FileRefused and FileError."""
    text = text_for(machine)
    _refuse_foreign(to)
    write_whole(to, text.replace("\n", "\r\n").encode("ascii"))


def write_addin(machine: Machine, to: Path) -> None:
    """Build the add-in as a file. Raises FileRefused and FileError."""
    text = text_for(machine)
    _refuse_foreign(to)
    write_whole(to, build(machine.container().read_bytes(), text))


def install(machine: Machine) -> Path:
    """Put the add-in where Excel opens it at its start. Raises FileBusy while Excel runs."""
    refuse_unfit(machine)
    target = start_folder(machine) / ADDIN
    _refuse_running(machine)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise FileError(f"The folder {target.parent} cannot be made: {fault.strerror or fault}.") from fault
    write_addin(machine, target)
    return target


def taken_away(machine: Machine) -> Path | None:
    """Take the add-in away again; None where there was none. Raises FileBusy while Excel runs."""
    if machine.system != "Windows":
        raise FileRefused(f"There is nothing to remove. {WORKS.get(machine.system, WORKS[''])}")
    target = start_folder(machine) / ADDIN
    if not target.exists():
        return None
    _refuse_running(machine)
    _refuse_foreign(target)
    try:
        target.unlink()
    except OSError as fault:
        raise FileBusy(f"{target} cannot be removed: {fault.strerror or fault}. Close Excel and try again.") from fault
    return target


def _refuse_running(machine: Machine) -> None:
    if machine.excel_runs():
        raise FileBusy("Excel is running. Save your workbooks, close all windows of Excel, and run this again.")


def _refuse_foreign(target: Path) -> None:
    """Raise FileRefused where a file that stands there already is not ours."""
    if target.exists() and read(target) is None:
        raise FileRefused(f"{target} was not made by xlcalc and stays as it is. Move it away and run this again.")
