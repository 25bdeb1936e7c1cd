"""What every host depends on: Python, this package, its data and packages, the engine, terminal and folder."""

import importlib
import locale
import operator
import platform
import re
import shutil
import sys
import sysconfig
import tempfile
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from importlib import metadata
from pathlib import Path
from typing import Any

import xlcalc
from xlcalc.core.declaration import shown_as
from xlcalc.core.registry import functions
from xlcalc.core.tables import fingerprint
from xlcalc.hosts.causes import Cause
from xlcalc.hosts.commands.evaluate import evaluate

PROOF = "BORE_FOR_FLOW"  # the function whose printed example is worked out
PRINTED = "°²³"  # letters that answers hold
LEAST_SPACE = 200_000_000  # bytes; a large workbook is written beside the old one
REQUIREMENT = re.compile(r"([\w.-]+)(?:\[[^\]]*\])?\s*\(?([^;()]*)\)?(?:;\s*(.*))?")
COMPARISON = re.compile(r"(==|>=|<=|!=|<|>)\s*([\d.]+)(\*?)")
COMPARE: dict[str, Callable[[Any, Any], bool]] = {
    "==": operator.eq, ">=": operator.ge, "<=": operator.le, "!=": operator.ne, "<": operator.lt, ">": operator.gt
}  # fmt: skip


def causes() -> list[Cause]:
    """What was found of each of them; a check that fails itself is a line of its own."""
    checks = {
        "Python": python, "xlcalc": package, "Command": started_by_name, "Data": data, "Packages": packages,
        "Example": example, "Terminal": terminal, "Folder": folder,
    }  # fmt: skip
    return [cause for subject, check in checks.items() for cause in careful(subject, check)]


def careful(subject: str, check: Callable[[], Iterable[Cause]]) -> list[Cause]:
    """What a check finds; where it fails itself, a cause that says so."""
    try:
        return list(check())
    except Exception as fault:  # one check that fails must not hide what the others find
        words = f"could not be looked at ({type(fault).__name__}: {fault})"
        return [Cause(subject, words, "report it, with what the other lines say")]


def python() -> Iterator[Cause]:
    """Version, size of its addresses, where it stands."""
    bits = 64 if sys.maxsize > 2**32 else 32
    yield Cause("Python", f"{platform.python_version()}, {bits} bit, {sys.executable}")


def package() -> Iterator[Cause]:
    """Version of this package and its folder; whether the one that is installed is the one that runs."""
    here = Path(xlcalc.__file__).parent
    found = f"{xlcalc.__version__}, in {here}"
    try:
        installed = metadata.version("xlcalc")
    except metadata.PackageNotFoundError:
        yield Cause("xlcalc", f"{found}, not installed", f"install it: {pip(str(here.parent))}")
        return
    if installed == xlcalc.__version__:
        yield Cause("xlcalc", found)
    else:
        yield Cause("xlcalc", f"{found}, but {installed} is installed", f"install it anew: {pip(str(here.parent))}")


def started_by_name() -> Iterator[Cause]:
    """Whether the shell finds this program by its name, or another one."""
    own = sysconfig.get_path("scripts"), sysconfig.get_path("scripts", sysconfig.get_preferred_scheme("user"))
    found = shutil.which("xlcalc")
    if found is None:
        yield Cause("Command", f"the shell does not know xlcalc by its name; it stands in {own[0]}")
    elif Path(found).resolve().parent in {Path(each).resolve() for each in own}:
        yield Cause("Command", found)
    else:
        do = f"take the other one off, or start this one as {Path(own[0]) / 'xlcalc'}"
        yield Cause("Command", f"the shell starts another xlcalc, {found}", do)


def data() -> Iterator[Cause]:
    """The fingerprint of the data files, equal on two machines that hold the same figures."""
    yield Cause("Data", f"fingerprint {fingerprint()}")


def packages() -> Iterator[Cause]:
    """Each package that this one needs here: its version, whether it is the one wanted, whether it loads."""
    for name, wanted, marker in requirements():
        if needed_here(marker):
            yield from careful(name, partial(needed, name, wanted))


def requirements() -> Iterator[tuple[str, str, str]]:
    """Each package that this one names: its name, the versions wanted, where it is needed."""
    try:
        lines = metadata.requires("xlcalc") or ()
    except metadata.PackageNotFoundError:  # then nothing says which are wanted; the line about xlcalc says what to do
        return
    for line in lines:
        if requirement := REQUIREMENT.fullmatch(line):
            name, wanted, marker = requirement.groups(default="")
            yield name, wanted.strip(), marker


def needed_here(marker: str) -> bool:
    """True for a package that is not for tests only and not for another system."""
    system = re.search(r"""platform_system\s*==\s*["'](\w+)""", marker)
    return "extra" not in marker and (system is None or system[1] == platform.system())


def needed(name: str, wanted: str) -> Iterator[Cause]:
    """What is found of a package."""
    do = f"install the one wanted: {pip(name + wanted)}"
    try:
        version = metadata.version(name)
    except metadata.PackageNotFoundError:
        yield Cause(name, f"missing, wanted is {wanted}", do)
        return
    if not fits(version, wanted):
        yield Cause(name, f"{version}, wanted is {wanted}", do)
        return
    try:
        importlib.import_module(name.replace("-", "_"))
    except Exception as fault:  # a package that is broken fails in its own way
        yield Cause(name, f"{version}, but it does not load ({fault})", f"install it anew: {pip(name + wanted)}")
    else:
        yield Cause(name, f"{version}, loads")


def fits(version: str, wanted: str) -> bool:
    """True when a version such as `1.3.1` is one of those wanted, such as `>=1.3,<2` or `==1.3.*`."""
    return all(
        f"{version}.".startswith(limit) == (sign == "==") if star else COMPARE[sign](numbers(version), numbers(limit))
        for sign, limit, star in COMPARISON.findall(wanted)
    )


def numbers(version: str) -> list[int]:
    """`1.3.0rc1` -> [1, 3]: noughts at the end do not count."""
    found = [int(number) for number in re.match(r"[\d.]*", version)[0].split(".") if number]  # type: ignore[index]
    while found and found[-1] == 0:
        found.pop()
    return found


def pip(what: str) -> str:
    """The command that installs something into this Python."""
    program = f'"{sys.executable}"' if " " in sys.executable else sys.executable
    return f'{program} -m pip install --force-reinstall "{what}"'


def example() -> Iterator[Cause]:
    """One function worked out by the engine, held against the answer that its help prints."""
    declaration = functions()[PROOF]
    formula, shows = declaration.example.formula(PROOF), declaration.example.shows
    answer = evaluate(formula).data.get("answer")
    if answer is not None and shown_as(answer, shows) == shows:
        yield Cause("Example", f"{formula} is {shows}, as printed")
    else:
        yield Cause("Example", f"{formula} is {answer}, printed is {shows}",
                    "use no number of this installation; install xlcalc anew and look again")  # fmt: skip


def terminal() -> Iterator[Cause]:
    """Whether the letters of an answer can be printed."""
    encoding = sys.stdout.encoding or "unknown"
    found = f"writes {encoding}, locale {locale.setlocale(locale.LC_CTYPE)}"
    try:
        PRINTED.encode(encoding)
    except (UnicodeEncodeError, LookupError):
        do = "set the environment variable PYTHONUTF8 to 1 and open a new terminal"
        yield Cause("Terminal", f"{found}; {', '.join(PRINTED)} come out as ?", do)
    else:
        yield Cause("Terminal", found)


def folder() -> Iterator[Cause]:
    """Whether a workbook can be written where the person is."""
    here = Path.cwd()
    free = shutil.disk_usage(here).free
    try:
        with tempfile.TemporaryFile(dir=here):
            pass
    except OSError as fault:
        do = "go to a folder of your own, or name one with --to"
        yield Cause("Folder", f"{here} cannot be written ({fault.strerror or fault})", do)
        return
    do = "free some space before you write a workbook" if free < LEAST_SPACE else ""
    yield Cause("Folder", f"{here} can be written, {free / 1e9:.1f} GB free", do)
