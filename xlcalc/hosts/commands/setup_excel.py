"""`xlcalc setup excel`: connect Excel on Windows with the functions, or take the connection away."""

from pathlib import Path

from xlcalc.core.registry import functions
from xlcalc.hosts.excel.machine import Machine
from xlcalc.hosts.excel.place import install, taken_away, write_addin, write_text
from xlcalc.hosts.output import Outcome, command

BY_HAND = (
    "in Excel open a new workbook, press Alt+F11, choose File, Import File and take {bas}; then save the workbook as "
    "an Excel add-in named xlcalc.xlam in the folder XLSTART, and start Excel again"
)
RESTART = "start Excel and look at the verdict on top of the Self-check sheet of your workbook"


def setup_excel(bas: Path | None, to: Path | None, *, remove: bool, machine: Machine | None = None) -> Outcome:
    """Put the add-in into the folder from which Excel starts; with `to` or `bas` write it, or its text, there instead.

    Raises FileRefused (nothing to connect here, with what works instead), FileBusy (Excel is running) and FileError.
    """
    machine = machine or Machine()
    if remove:
        return _removed(machine)
    if not bas and not to:
        target = install(machine)
        return Outcome(
            [f"{target} connects Excel with {len(functions())} functions."],
            {"addin": str(target), "functions": len(functions())},
            RESTART,
        )
    return _written(machine, bas, to)


def _removed(machine: Machine) -> Outcome:
    gone = taken_away(machine)
    said = f"{gone} is removed." if gone else "There was no add-in of xlcalc to remove."
    then = "in workbooks that use the functions the values last calculated stay; xlcalc recalc renews them"
    return Outcome([said], {"removed": str(gone) if gone else None}, then)


def _written(machine: Machine, bas: Path | None, to: Path | None) -> Outcome:
    lines = []
    if bas:
        write_text(machine, bas)
        lines.append(f"{bas} holds the text of the add-in.")
    if to:
        write_addin(machine, to)
        lines.append(f"{to} is the add-in; it is not installed.")
    data = {"bas": str(bas) if bas else None, "to": str(to) if to else None, "functions": len(functions())}
    install_it = f"put it into Excel's folder XLSTART, or run: {command('setup', 'excel')}"
    return Outcome(lines, data, BY_HAND.format(bas=bas) if bas else install_it)
