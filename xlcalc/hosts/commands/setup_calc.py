"""`xlcalc setup calc`: build the add-in for Calc on this machine, install it for this user, or take it out."""

from pathlib import Path

import xlcalc
from xlcalc.hosts.calc.diagnosis import names
from xlcalc.hosts.calc.extension import extension
from xlcalc.hosts.calc.install import chosen_office, install, own_python
from xlcalc.hosts.calc.install import remove as take_out
from xlcalc.hosts.calc.office import offices
from xlcalc.hosts.output import Outcome
from xlcalc.workbook.file.atomic import kept_free, write_whole

TRY = "start Calc and type =XLCALC_STATUS() into a cell"


def setup_calc(to: Path | None, *, remove: bool) -> Outcome:
    """Install the add-in, or build it as the file `to`, or `remove` it.

    Raises FileError (no office, refused, open, or the file cannot be written).
    """
    if remove:
        return _removed()
    return _installed() if to is None else _built(to)


def _built(to: Path) -> Outcome:
    free = kept_free(to, force=False, instead="Give another name, or delete it first.")
    found = next((office for office in offices() if not office.sandbox), None)
    write_whole(to, extension(own_python(found) if found else None), before_replace=free)
    return Outcome(
        [f"{to}: add-in for Calc, version {xlcalc.__version__}, for this machine and this environment."],
        {"file": str(to), "version": xlcalc.__version__},
        "in Calc, open Tools, Extensions, Add, choose the file, and start Calc anew",
    )


def _installed() -> Outcome:
    office = chosen_office()
    own = install(office)
    how = f"The functions run {'in the office itself' if own else 'in a process beside the office'}."
    lines = [f"The add-in for Calc, version {xlcalc.__version__}, is installed in {office.said}.", how]
    told = names(office)
    if told.do:
        lines.append(f"{told.subject}: {told.found}. {told.do}")
    return Outcome(
        lines,
        {"office": str(office.program), "office_version": list(office.version or ()), "in_process": own is not None,
         "plain_names": office.plain_names, "version": xlcalc.__version__},
        TRY,
    )  # fmt: skip


def _removed() -> Outcome:
    gone = [office for office in offices() if not office.sandbox and take_out(office)]
    lines = [f"The add-in for Calc is taken out of {office.said}." for office in gone]
    data = {"removed": [str(office.program) for office in gone]}
    return Outcome(lines or ["There is no add-in for Calc to take out."], data)
