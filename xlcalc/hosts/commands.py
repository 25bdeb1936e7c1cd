"""What each command does."""

import sys
from pathlib import Path

import xlcalc
from xlcalc.core.errors import CalcError, FileError
from xlcalc.core.registry import find
from xlcalc.core.registry import functions as declared
from xlcalc.core.tables import fingerprint
from xlcalc.workbook.demo import FILE_NAME
from xlcalc.workbook.recalc import Report, compute, recalc
from xlcalc.workbook.rows import FIRST_ROW
from xlcalc.workbook.sheets.functions import FAMILY_WORDS, argument_words
from xlcalc.workbook.template import build


def say(text: str = "") -> None:
    """A result, without the control characters that a cell may hold."""
    print("".join(letter if letter.isprintable() or letter == "\n" else "?" for letter in text))  # noqa: T201


def tell(text: str) -> None:
    """Talk, beside the results."""
    print(text, file=sys.stderr)  # noqa: T201


def version() -> int:
    """Version and data."""
    say(f"xlcalc {xlcalc.__version__}, data {fingerprint()}")
    return 0


def demo(to: Path | None, *, force: bool) -> int:
    """Build the demo workbook, work it out, say which lines pass and which do not."""
    path = to or Path(FILE_NAME)
    if path.exists() and not force:
        raise FileError(f"{path} is there already and stays as it is: give another name with --to, or --force")
    build(path, demo=True)
    report = recalc(path)
    say(f"An invented job, worked out: {report.computed} cells in {path.resolve()}\n")
    for line in line_words(report):
        say(line)
    say(f"\nNext: open {path} in a spreadsheet, change a cell of Lines, save it, and run: xlcalc recalc {path}")
    return 0


def line_words(report: Report) -> list[str]:
    """One line of text for each line of the Lines sheet, those to change first."""
    from xlcalc.workbook.sheets.lines import SHEET  # noqa: PLC0415

    others = SHEET.letter("others")
    found = []
    for row in range(FIRST_ROW, FIRST_ROW + 10_000):
        name = report.value_at("Lines", f"A{row}")
        if not name:
            break
        said = str(report.value_at("Lines", f"B{row}"))
        more = str(report.value_at("Lines", f"{others}{row}") or "")
        found.append((said.startswith("Within"), f"  {name:<6} {said}" + (f"\n         also: {more}" if more else "")))
    return [text for _, text in sorted(found, key=lambda each: each[0])]


def new(path: Path, rows: int) -> int:
    """An empty template with its values."""
    if path.exists():
        raise FileError(f"{path} is there already and stays as it is: give another name")
    build(path, rows=rows)
    recalc(path)
    say(f"{path} is ready, with room for {rows} lines.")
    say(f"Next: fill in Start and Lines in a spreadsheet, save it, and run: xlcalc recalc {path}")
    return 0


def recalculate(path: Path, to: Path | None) -> int:
    """Fill in the answers of a workbook."""
    report = recalc(path, to)
    say(f"{report.computed} cells worked out, {report.changed} changed in {to or path}")
    for stopped in [*report.frozen, *report.kept]:
        say(f"  {stopped.cell} keeps its value: {stopped.reason}")
    for cell, code in report.errors:
        say(f"  {cell} is {code}")
    say(f"Next: open {to or path} and look at the Checks.")
    return 0


def explain(path: Path, cell: str) -> int:
    """How one cell was worked out."""
    from xlcalc.workbook.explain import explain as lines_of  # noqa: PLC0415

    for line in lines_of(path, cell):
        say(line)
    return 0


def functions(name: str | None) -> int:
    """List the functions, or explain one."""
    if name is None:
        family = ""
        for made in declared().values():
            if made.family != family:
                family = made.family
                say(f"\n{FAMILY_WORDS[family]}")
            say(f"  {made.name:<24} {made.summary}")
        say("\nNext: xlcalc functions NAME explains one.")
        return 0
    found = find(name)
    if isinstance(found, str):
        tell(f"xlcalc: {found}")
        return 2
    say(f"{found.signature}\n{found.summary}\n")
    for words in argument_words(found):
        say(f"  {words}")
    say(f"\nanswers {found.answer.label} {found.answer.unit_text}\nhow: {found.relation}\nnot for: {found.not_for}")
    say(f"example: {found.example.formula(found.name)} shows {found.example.shows}")
    return 0


def evaluate(formula: str) -> int:
    """Answer one formula through the embedded engine."""
    import io  # noqa: PLC0415

    import openpyxl  # noqa: PLC0415

    from xlcalc.workbook.package import Package  # noqa: PLC0415

    book = openpyxl.Workbook()
    book.active.title = "S"
    book.active["A1"] = "=" + formula.strip().removeprefix("=")
    made = io.BytesIO()
    book.save(made)
    report = compute(Package.from_bytes(made.getvalue(), "eval.xlsx"))
    answer = report.value_at("S", "A1")
    if report.frozen:
        tell(f"xlcalc: {report.frozen[0].reason}")
        return 1
    if isinstance(answer, CalcError):
        say(f"{answer.code} {answer}".strip())
        return 1
    say(str(answer))
    return 0
