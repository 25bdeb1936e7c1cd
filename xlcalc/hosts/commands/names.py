"""`xlcalc names`: a copy of a workbook with the names of our functions as everyone, or an older Calc, reads them."""

from pathlib import Path

from xlcalc.core.errors import FileError
from xlcalc.core.words import plural
from xlcalc.hosts.output import Outcome, command
from xlcalc.workbook.copies.respell import Respelling, respelling
from xlcalc.workbook.file.atomic import kept_free, same_file
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.spelling import EVERYONE, OLD_CALC, PREFIXES, first_plain


def names(path: Path, way: str, to: Path, *, force: bool = False) -> Outcome:
    """Write a copy in which every call of our functions is spelled anew; values and all else stay.

    `way` is `old-calc` or `everyone`. Raises FileError and its kinds: where the copy is there already and `force` is
    not given, where it is the workbook itself, or where a formula would grow too long.
    """
    if same_file(to, path):
        raise FileError(f"{to} is the workbook itself, which stays as it is. Give another name after --to.")
    free = kept_free(to, force=force)
    package = Package.open(path)
    made = respelling(package, way)
    package.save(made.edits, to, free)
    data = {"file": str(to), "from": str(path), "for": way, "formulas": made.formulas, "linked": made.linked}
    return Outcome(told(path, to, way, made), data, after(to, way))


def told(path: Path, to: Path, way: str, made: Respelling) -> list[str]:
    """What was changed, and where."""
    count = sum(made.formulas.values())
    spelled = f"{PREFIXES[way]}NAME(...)"
    if not count:
        return [f"No formula had to be changed: each calls our functions as {spelled} already, or calls none.",
                f"{to} is the same as {path}, byte for byte."]  # fmt: skip
    where = ", ".join(f"{place} {number}" for place, number in made.formulas.items())
    lines = [
        f"{plural(count, 'formula')} in {to} now call{'' if count > 1 else 's'} our functions as {spelled}: {where}.",
        f"{path} stays as it is. The copy holds the same values, and all else as it was.",
    ]
    if made.linked:
        lines.append("The link to the add-in that Excel put into the file stays there; none of these formulas uses it.")
    return lines


def after(to: Path, way: str) -> str:
    """What to do with the copy."""
    if way == OLD_CALC:
        back = command("names", to, "--for", EVERYONE, "--to", to.with_name(f"{to.stem}-{EVERYONE}{to.suffix}"))
        return f"open {to} in a Calc older than {first_plain()}; for Excel and newer Calc turn it back with: {back}"
    return f"open {to} in Excel or Calc {first_plain()} or newer; for an older Calc: {command('names', '--help')}"
