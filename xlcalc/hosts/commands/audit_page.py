"""The audit as a page to print: one HTML file with nothing in it but text."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from html import escape

from xlcalc.core.words import plural
from xlcalc.hosts.commands.audit_notes import Section
from xlcalc.hosts.output import clean
from xlcalc.workbook.audit.audit import Audit
from xlcalc.workbook.audit.finding import Finding, Weight

STYLE = """body{font:11pt Arial,sans-serif;margin:2em auto;max-width:60em;color:#222}
h1{font-size:16pt}h2{font-size:12pt;border-bottom:1pt solid #999}
table{border-collapse:collapse;width:100%}td{vertical-align:top;padding:.2em .6em .2em 0;overflow-wrap:anywhere}
td.k{color:#555;width:7em;white-space:nowrap}section{break-inside:avoid;margin:0 0 1.2em}
ul{margin:.3em 0 1em;padding-left:1.4em}li{overflow-wrap:anywhere}
h3{font-size:11pt;margin:0}small{color:#555;font-weight:normal}
@page{size:A4;margin:15mm}"""
HEADS = {
    Weight.WRONG: "Wrong: a number or a verdict is or may be wrong now",
    Weight.WEAK: "Weak: right now, but it can go wrong unseen",
    Weight.NOTE: "Worth knowing",
}


def page(name: str, found: Audit, today: date, notes: Mapping[str, Sequence[Section]]) -> str:
    """The page for a workbook of that name; every text of the workbook is escaped.

    `notes` are what stands behind the findings, by the head over it; nothing is printed of one without a section.
    """
    return "\n".join(lines(name, found, today, notes)) + "\n"


def lines(name: str, found: Audit, today: date, notes: Mapping[str, Sequence[Section]]) -> Iterator[str]:
    """The page line by line."""
    title = text(f"Audit of {name}")
    yield f'<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>{title}</title>'
    yield f"<style>{STYLE}</style></head><body><h1>{title}</h1>"
    count = len(found.findings)
    findings = plural(count, "finding") if count else "no findings"
    formulas = plural(found.book.report.computed, "formula")
    yield f"<p>{today:%Y-%m-%d}. {formulas} audited, {findings}, {len(found.accepted)} accepted.</p>"
    for weight, head in HEADS.items():
        here = {code: each for code, each in found.findings.items() if each.weight == weight}
        if here:
            yield f"<h2>{head}</h2>"
            yield from sections(here)
    if found.accepted:
        yield "<h2>Accepted, with the reason given</h2>"
        for code, (each, reason) in found.accepted.items():
            yield from section(code, each, {"reason": reason})
    for head, parts in notes.items():
        if parts:
            yield f"<h2>{text(head)}</h2>"
            yield from listed(parts)
    yield "<p>Checked by, date: ______________________________</p></body></html>"


def sections(found: Mapping[str, Finding]) -> Iterator[str]:
    """Findings one below the other."""
    for code, each in found.items():
        yield from section(code, each, {"why": each.why, "mend": each.mend})


def listed(parts: Iterable[Section]) -> Iterator[str]:
    """Sections of lines, one below the other."""
    for part in parts:
        yield f"<h3>{text(part.head)}</h3><ul>"
        yield from (f"<li>{text(line)}</li>" for line in part.lines)
        yield "</ul>"


def section(code: str, each: Finding, further: Mapping[str, str]) -> Iterator[str]:
    """One finding."""
    said = f"{text(each.place)} <small>{text(each.rule)}, {each.sure.word}, {code}</small>"
    yield f"<section><h3>{said}</h3><table>"
    for head, words in {"there": each.there, "expected": each.expected, **further}.items():
        if words:
            yield f'<tr><td class="k">{head}</td><td>{text(words)}</td></tr>'
    yield "</table></section>"


def text(words: str) -> str:
    """Words of a workbook as a page may hold them."""
    return escape(clean(words), quote=True)
