"""`xlcalc functions` and `--version`: what there is."""

import re
from collections.abc import Iterable
from itertools import groupby
from typing import Any

import xlcalc
from xlcalc.core.declaration import Declaration
from xlcalc.core.help_text import REST, answer_words, called, error_lines, shapes
from xlcalc.core.registry import FAMILIES, find
from xlcalc.core.registry import functions as declared
from xlcalc.core.tables import fingerprint, sources
from xlcalc.hosts.output import Outcome, Slip, command
from xlcalc.workbook.sheets.functions import argument_words


def version() -> Outcome:
    """Version of the program and fingerprint of its data."""
    data = {"version": xlcalc.__version__, "data": fingerprint()}
    return Outcome([f"xlcalc {xlcalc.__version__}, data {fingerprint()}"], data)


def functions(name: str | None) -> Outcome:
    """List the functions by family, those about a word such as `vacuum`, or explain one.

    Raises Slip for what is neither a name nor a word of any.
    """
    if name is None:
        return listed(declared().values())
    found = find(name)
    if isinstance(found, str):
        if about := speaking_of(name):
            return listed(about)
        raise Slip(f"{found}\n{command('functions')} lists what there is.")
    example = found.example.formula(found.name).removeprefix("=")
    return Outcome(list(told(found)), data_of(found), f"try it: {command('eval', example)}")


def speaking_of(word: str) -> list[Declaration]:
    """The functions that have a word in what they say of themselves."""
    wanted = word.strip().casefold()
    said = ((each, f"{each.name} {FAMILIES[each.family].words} {each.summary}") for each in declared().values())
    return [each for each, words in said if wanted and re.search(rf"\b{re.escape(wanted)}", words.casefold())]


def listed(found: Iterable[Declaration]) -> Outcome:
    """Functions in one line each, by family."""
    shown = list(found)
    lines: list[str] = []
    for family, made in groupby(shown, key=lambda each: each.family):
        lines += ["", FAMILIES[family].words, *(f"  {each.name:<24} {each.summary}" for each in made)]
    names = [{"name": each.name, "family": each.family, "answers": each.summary} for each in shown]
    return Outcome(lines[1:], {"functions": names}, f"{command('functions', 'NAME')} explains one")


def told(one: Declaration) -> list[str]:
    """All that is declared of a function, for a person."""
    arguments = argument_words(one)
    if one.about and one.args:
        arguments.append(REST)
    lines = [called(one), one.summary, "", *(f"  {words}" for words in arguments or ["takes no arguments"]), ""]
    lines.append(f"Answer: {answer_words(one)}")
    lines.append(f"Shapes: {shapes(one)}")
    lines += [f"Error: {refused}" for refused in error_lines(one)]
    lines += [f"No answer: {one.no_answer}"] if one.no_answer else []
    lines += [f"How: {one.relation}"] if one.relation else []
    lines += [f"Not for: {one.not_for}"] if one.not_for else []
    lines += [f"Source: {sources()[source].cited}" for source in one.sources]
    lines += [f"Caution: {caution}" for caution in one.cautions]
    shows = "" if one.about else f" shows {one.example.shows}"
    return [*lines, f"Example: {one.example.formula(one.name)}{shows}"]


def data_of(one: Declaration) -> dict[str, Any]:
    """The same for a program."""
    arguments = [
        {"name": arg.name, "label": arg.label, "takes": arg.reader.allows(), "required": arg.required,
         "default": arg.default}
        for arg in one.args
    ]  # fmt: skip
    return {
        "name": one.name,
        "family": one.family,
        "signature": one.signature,
        "answers": one.summary,
        "unit": one.answer.unit_text,
        "arguments": arguments,
        "shapes": shapes(one),
        "errors": error_lines(one),
        "no_answer": one.no_answer,
        "relation": one.relation,
        "not_for": one.not_for,
        "sources": [sources()[source].cited for source in one.sources],
        "cautions": list(one.cautions),
        "example": one.example.formula(one.name),
    }
