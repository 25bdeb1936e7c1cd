"""What each command does. Every one answers an `Outcome`; nothing here prints."""

import io
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path
from typing import Any

import xlcalc
from xlcalc.core.errors import CalcError, FileError
from xlcalc.core.registry import find
from xlcalc.core.registry import functions as declared
from xlcalc.core.tables import fingerprint, sources
from xlcalc.hosts.output import Outcome, progress
from xlcalc.workbook import explain as explaining
from xlcalc.workbook.demo import FILE_NAME
from xlcalc.workbook.formulas import calls, column_letters
from xlcalc.workbook.headers import WIDEST, Headers
from xlcalc.workbook.package import Package
from xlcalc.workbook.recalc import Report, compute, recalc
from xlcalc.workbook.sheets.functions import FAMILY_WORDS, argument_words
from xlcalc.workbook.sheets.start import VERDICTS
from xlcalc.workbook.template import build

MOST_ERRORS = 20


def version() -> Outcome:
    """Version of the program and fingerprint of its data."""
    data = {"version": xlcalc.__version__, "data": fingerprint()}
    return Outcome([f"xlcalc {xlcalc.__version__}, data {fingerprint()}"], data)


def demo(to: Path | None, *, force: bool) -> Outcome:
    """Build the demo workbook, work it out, say which lines pass and which do not."""
    path = to or Path(FILE_NAME)
    if path.exists() and not force:
        raise FileError(f"{path} is there already and stays as it is. Give another name with --to, or --force.")
    build(path, demo=True)
    report = recalc(path, progress=progress())
    rows = list(checked_rows(report, "Lines"))
    lines = [f"An invented job, worked out: {report.computed} cells in {path.resolve()}"]
    for title, wanted in (
        ("To be changed, or not worked out yet:", ("Change", "Cannot", "Not checked")),
        ("Near a limit:", ("Near",)),
        ("Within limits:", ("Within",)),
    ):
        found = [row for row in rows if row["check"].startswith(wanted)]
        lines += ["", title] if found else []
        for row in found:
            lines.append(f"  {row['name']:<6} {row['check']}")
            lines += [f"         also: {row['others']}"] if row["others"] else []
    do = f"open {path} in a spreadsheet, change a cell of Lines, save it, and run: xlcalc recalc {path}"
    return Outcome(lines, {"file": str(path.resolve()), "computed": report.computed, "lines": rows}, do)


def checked_rows(report: Report, sheet: str) -> Iterator[dict[str, str]]:
    """Name, Check and Other reasons of each row that has a Check, found by the headers."""
    heads = Headers(report, sheet)
    columns = {heads.head(heads.row + 1, column).casefold(): column for column in range(1, WIDEST)}
    check, others = columns.get("check"), columns.get("other reasons")
    if check is None:
        return
    for row in sorted({row for name, row, column in report.formulas() if name == sheet and column == check}):
        said = report.value(sheet, row, check)
        if isinstance(said, str) and said:
            name, more = report.value(sheet, row, 1), report.value(sheet, row, others) if others else ""
            yield {"name": str(name or ""), "check": said, "others": str(more or "")}


def new(path: Path, rows: int) -> Outcome:
    """An empty template with its values."""
    if path.exists():
        raise FileError(f"{path} is there already and stays as it is. Give another name.")
    build(path, rows=rows)
    recalc(path, progress=progress())
    do = f"fill in Start and Lines in a spreadsheet, save it, and run: xlcalc recalc {path}"
    return Outcome([f"{path} is ready, with room for {rows} lines."], {"file": str(path.resolve()), "rows": rows}, do)


def recalculate(path: Path, to: Path | None) -> Outcome:
    """Fill in the answers of a workbook, and say what it holds now."""
    report = recalc(path, to, progress=progress())
    target = to or path
    lines = [f"{report.computed} cells worked out, {report.changed} of them changed in {target}"]
    counts = {}
    package = Package.open(target)
    for sheet in package.worksheets():
        rows = list(checked_rows(report, sheet.name))
        if rows:
            counts[sheet.name] = {word: sum(row["check"].startswith(word) for row in rows) for word in VERDICTS}
            lines.append(f"{sheet.name}: " + ", ".join(f"{word} {n}" for word, n in counts[sheet.name].items()))
    for stopped in [*report.frozen, *report.kept]:
        lines.append(f"  {stopped.cell} keeps its value: {stopped.reason}")
    errors = [
        {"cell": cell, "code": code, "why": why(package, report, cell)} for cell, code in report.errors[:MOST_ERRORS]
    ]
    lines += [f"  {each['cell']} is {each['code']}{': ' if each['why'] else ''}{each['why']}" for each in errors]
    if len(report.errors) > MOST_ERRORS:
        lines.append(f"  and {len(report.errors) - MOST_ERRORS} more cells with an error")
    data: dict[str, Any] = {
        "file": str(target),
        "computed": report.computed,
        "changed": report.changed,
        "checks": counts,
        "frozen": [stopped._asdict() for stopped in report.frozen],
        "kept": [stopped._asdict() for stopped in report.kept],
        "errors": errors,
        "error_count": len(report.errors),
    }
    return Outcome(lines, data, _after_recalc(target, counts, errors))


def _after_recalc(target: Path, counts: dict[str, dict[str, int]], errors: list[dict[str, str]]) -> str:
    if errors:
        return f"ask why with: xlcalc explain {target} '{errors[0]['cell']}'"
    if any(found["Change"] or found["Not checked"] for found in counts.values()):
        return f"open {target}, mend the rows marked Change or Not checked, save it, and run this again"
    return f"open {target} and look at the Checks"


def why(package: Package, report: Report, cell: str) -> str:
    """Why a cell has an error: the sentence of the outermost of our functions in it."""
    sheet, row, column = explaining.place_of(package, cell)
    ours = [made for made in calls(report.formula(sheet, row, column)) if made.name in declared()]
    return explaining.Explanation(package, report, sheet).why(ours[0]) if ours else ""


def explain(path: Path, cell: str) -> Outcome:
    """How one cell was worked out."""
    lines = explaining.explain(path, cell)
    return Outcome(lines, {"file": str(path), "cell": cell, "lines": lines})


def functions(name: str | None) -> Outcome:
    """List the functions, or explain one."""
    if name is None:
        lines = []
        for family, made in groupby(declared().values(), key=lambda each: each.family):
            lines += ["", FAMILY_WORDS[family], *(f"  {each.name:<24} {each.summary}" for each in made)]
        names = [{"name": each.name, "family": each.family, "answers": each.summary} for each in declared().values()]
        return Outcome(lines[1:], {"functions": names}, "xlcalc functions NAME explains one")
    made_or_words = find(name)
    if isinstance(made_or_words, str):
        return Outcome([made_or_words], {"error": made_or_words}, code=2)
    one = made_or_words
    lines = [one.signature, one.summary, "", *(f"  {words}" for words in argument_words(one)), ""]
    lines.append(f"Answer: {one.answer.label}{', ' + one.answer.unit.printed if one.answer.unit_text else ''}")
    lines += [f"How: {one.relation}"] if one.relation else []
    lines += [f"Not for: {one.not_for}"] if one.not_for else []
    lines += [f"Source: {sources()[source].cited}" for source in one.sources]
    lines += [f"Caution: {caution}" for caution in one.cautions]
    example = one.example.formula(one.name)
    lines.append(f"Example: {example}" + ("" if one.about else f" shows {one.example.shows}"))
    args = [
        {"name": arg.name, "label": arg.label, "takes": arg.reader.allows(), "required": arg.required}
        for arg in one.args
    ]
    data = {
        "name": one.name,
        "answers": one.summary,
        "unit": one.answer.unit_text,
        "arguments": args,
        "example": example,
    }
    return Outcome(lines, data)


def evaluate(formula: str) -> Outcome:
    """Answer one formula through the embedded engine."""
    text = formula.strip().removeprefix("=").strip()
    report = compute(Package.from_bytes(book_of(text), "formula"))
    if report.frozen:
        words = report.frozen[0].reason
        name = words.removeprefix("unknown function ")
        hint = str(find(name)) if words.startswith("unknown function") else words
        return Outcome([f"#NAME? {hint}"], {"formula": text, "code": "#NAME?", "why": hint}, code=1)
    if report.kept:
        reason = "between arguments stands a comma here, not a semicolon" if ";" in text else "this is not a formula"
        return Outcome([f"#VALUE! {reason}"], {"formula": text, "code": "#VALUE!", "why": reason}, code=1)
    answer = report.value("Formula", 1, 1)
    made = [each for each in calls(text) if each.name in declared()]
    package = Package.from_bytes(book_of(text), "formula")
    if isinstance(answer, CalcError):
        reason = explaining.Explanation(package, report, "Formula").why(made[0]) if made else ""
        return Outcome(
            [f"{answer.code} {reason}".strip()], {"formula": text, "code": answer.code, "why": reason}, code=1
        )
    alone = len(made) >= 1 and made[0].start == 0 and made[0].end == len(text)
    asked = explaining.Explanation(package, report, "Formula")
    unit, notes = (asked.unit(made[0]), asked.notes(made[0])) if alone else ("", [])
    lines = [f"{explaining.shown(answer)} {unit}".strip(), *(f"  {note}" for note in notes)]
    return Outcome(lines, {"formula": text, "answer": answer, "unit": unit, "notes": notes})


def book_of(formula: str) -> bytes:
    """A workbook with one formula in its first cell."""
    import openpyxl  # noqa: PLC0415  (writes a book of our own)

    book = openpyxl.Workbook()
    book.active.title = "Formula"
    book.active[f"{column_letters(1)}1"] = f"={formula}"
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()
