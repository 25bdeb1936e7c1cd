"""`xlcalc audit`: what is wrong, weak or worth knowing in a workbook, most serious first."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

from xlcalc.core.words import plural
from xlcalc.hosts.commands.audit_notes import (
    MORE,
    MOST_CHANGES,
    Section,
    changed_in_book,
    changes_data,
    facts_data,
    in_full,
    in_short,
)
from xlcalc.hosts.commands.audit_page import page
from xlcalc.hosts.output import Outcome, Progress, Slip, ask, command
from xlcalc.workbook.audit.accepted import accepting
from xlcalc.workbook.audit.audit import Audit, audit
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.facts import facts
from xlcalc.workbook.audit.finding import Finding, Weight
from xlcalc.workbook.audit.since.since import Since, since
from xlcalc.workbook.explained.listing import NAME_COLUMN
from xlcalc.workbook.explained.workings import shown
from xlcalc.workbook.file.atomic import kept_free, refuse_locked, write_whole
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.formulas import address

FOUND = 1  # the exit code that says there are findings
MOST_SHOWN = 40  # findings in full on a terminal; the page and --json have all
HEADS = {Weight.WRONG: "Wrong", Weight.WEAK: "Weak", Weight.NOTE: "Worth knowing"}


def audit_book(
    path: Path,
    *,
    html: Path | None = None,
    old: Path | None = None,
    accept: str | None = None,
    reason: str = "",
    by: str = "",
    force: bool = False,
) -> Outcome:
    """Audit a workbook. The file is not changed, unless a finding is accepted: then its sheet of these gets a row.

    `html` is a page to be written, `old` an older copy of the book, `accept` the code of a finding that is accepted
    for a `reason`. Raises FileError and its kinds, and Slip for a code that no finding has.
    """
    free = kept_free(html, force=force)
    if accept is None and (reason or by):
        raise Slip("--reason and --by belong to a finding that is accepted: give its code after --accept")
    if accept is not None and not reason.strip():
        raise Slip("a finding is accepted with a reason: --reason 'why it may stay as it is'")
    if accept is not None:
        refuse_locked(path)
    with Progress() as tell:
        tell("reading")
        found = audit(Package.open(path), progress=tell)
        before = audit(Package.open(old), progress=tell) if old is not None else None
    if accept is not None:
        return accepted(path, found, accept.strip().lower(), reason, by)
    listed, known = found.findings, facts(found.book)
    lines: list[str] = []
    data: dict[str, Any] = {"file": str(path), **as_data(found), "facts": partial(facts_data, known)}
    notes = {"No findings, but worth knowing": in_full(known)}
    if before is not None and old is not None:
        change = since(before, found)
        listed = change.new
        lines += since_in_words(old, change)
        whole = {"file": str(old), "new": list(change.new), "gone": list(change.gone)}
        data["since"] = {**whole, "changes": changes_data(change.changes)}
        notes = {f"Changed since {old.name}": changed_in_book(change.changes), **notes}
    if html is not None:
        write_whole(html, page(path.name, found, date.today(), notes).encode(), before_replace=free)
        data["html"] = str(html)
    lines += [*in_words(listed, found.book), *in_short(known), *summary(path, found)]
    return Outcome(lines, data, after(path, listed, html), FOUND if listed else 0)


def since_in_words(old: Path, change: Since) -> Iterator[str]:
    """What changed since an older copy: how many findings, and what was done to the book."""
    yield (f"Since {old.name}: {plural(len(change.new), 'new finding')}, {len(change.gone)} gone, "
           f"{len(change.still)} as before.")  # fmt: skip
    if change.gone:
        gone = [f"{each.place}: {each.rule}" for each in change.gone.values()]
        yield from Section("Findings that are gone", gone, MOST_CHANGES).shown()
    sections = changed_in_book(change.changes)
    yield "Changed in the book:" if sections else "Nothing else was changed in the book."
    for section in sections:
        yield from section.shown()


def in_words(found: Mapping[str, Finding], book: Book) -> Iterator[str]:
    """The findings for a terminal, under their weight."""
    last = None
    for code, each in list(found.items())[:MOST_SHOWN]:
        if each.weight != last:
            last = each.weight
            yield f"{HEADS[each.weight]}:"
        yield f"  {each.place}{titled(each, book)}  [{each.rule}, {each.sure.word}, {code}]"
        for head, text in (("there", each.there), ("expected", each.expected), ("why", each.why), ("mend", each.mend)):
            if text:
                yield f"    {head + ':':<10}{text}"
    if len(found) > MOST_SHOWN:
        yield f"  and {len(found) - MOST_SHOWN} more: {MORE}"


def titled(each: Finding, book: Book) -> str:
    """` (Flow, L/min) of PS-1`: the header and unit of the first cell, and the name of its row."""
    if not each.cells:
        return ""
    sheet, row, column = each.cells[0]
    name = book.value((sheet, row, NAME_COLUMN)) if book.headers(sheet).head(row, column) else None
    of = f" of {shown(name)}" if len(each.cells) == 1 and isinstance(name, str) and name else ""
    return f"{book.title(each.cells[0])}{of}"


def summary(path: Path, found: Audit) -> Iterator[str]:
    """How many there are of each weight, and how many were accepted."""
    numbers = [
        f"{sum(each.weight == weight for each in found.findings.values())} {words.lower()}"
        for weight, words in HEADS.items()
    ]
    kept = f"; {plural(len(found.accepted), 'finding')} accepted on the sheet" if found.accepted else ""
    formulas = found.book.report.computed
    if found.findings:
        yield f"{path.name}: {formulas} formulas audited: {', '.join(numbers)}{kept}."
    else:
        yield f"{path.name}: {formulas} formulas audited, nothing found{kept}."


def as_data(found: Audit) -> dict[str, Any]:
    """The findings for a program."""
    open_ones = [(code, each, "") for code, each in found.findings.items()]
    kept = [(code, each, reason) for code, (each, reason) in found.accepted.items()]
    return {"formulas": found.book.report.computed, "findings": rows(open_ones), "accepted": rows(kept)}


def rows(found: Iterable[tuple[str, Finding, str]]) -> list[dict[str, Any]]:
    """Findings as JSON has them."""
    return [
        {
            "code": code,
            "rule": each.rule,
            "where": each.place,
            "cells": [address(*cell) for cell in each.cells],
            "there": each.there,
            "expected": each.expected,
            "why": each.why,
            "mend": each.mend,
            "sure": each.sure.word,
            "weight": each.weight.name.lower(),
            **({"reason": reason} if reason else {}),
        }
        for code, each, reason in found
    ]


def accepted(path: Path, found: Audit, code: str, reason: str, by: str) -> Outcome:
    """Accept one finding: its row goes into the book's sheet, which is added where there is none."""
    if code in found.accepted:
        return Outcome([f"{code} is accepted already: {found.accepted[code][1]}"], {"file": str(path), "code": code})
    if code not in found.findings:
        raise Slip(f"no finding has the code {code}. {command('audit', path)} lists them with their codes")
    finding = found.findings[code]
    content = accepting(found.book, finding, reason, by, date.today())
    found.book.package.replace(content)
    words = f"{finding.place}: {finding.rule} is accepted in {path}: {reason.strip()}"
    data = {"file": str(path), "code": code, "where": finding.place, "reason": reason.strip()}
    return Outcome([words], data, f"see what is left with: {command('audit', path)}")


def after(path: Path, listed: Mapping[str, Finding], html: Path | None) -> str:
    """What to do next."""
    if html is not None:
        return f"open {html} in a browser and print it"
    for code, each in listed.items():
        if each.cells:
            accept = command("audit", path, "--accept", code, "--reason", "...")
            return f"mend it, or ask about it with: {ask(path, address(*each.cells[0]))}. To let it stand: {accept}"
    if listed:
        return "mend what is named, save, and run this again"
    return f"read the Checks with: {command('recalc', path)}"
