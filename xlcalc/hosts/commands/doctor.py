"""`xlcalc doctor`: what stands in the way on this machine, and what to do about it."""

from collections.abc import Callable
from importlib import import_module

from xlcalc.hosts.causes import Cause
from xlcalc.hosts.diagnosis import careful
from xlcalc.hosts.doors import DOORS
from xlcalc.hosts.output import Outcome, command

SECTIONS = {
    "General": "xlcalc.hosts.diagnosis",
    **{door.name.capitalize(): f"xlcalc.hosts.{door.name}.diagnosis" for door in DOORS},
}


def doctor() -> Outcome:
    """Look at everything; what is found ends nothing, a check that fails is a line like the others."""
    found = {section: careful(section, looker(module)) for section, module in SECTIONS.items()}
    lines: list[str] = []
    for section, causes in found.items():
        lines += ["", section]
        for cause in causes:
            lines.append(f"  {cause.subject}: {cause.found}")
            lines += [f"    To do: {cause.do}"] if cause.do else []
    to_do = [cause for causes in found.values() for cause in causes if cause.do]
    sections = {section: [cause._asdict() for cause in causes] for section, causes in found.items()}
    data = {"sections": sections, "to_do": [f"{cause.subject}: {cause.do}" for cause in to_do]}
    return Outcome(lines[1:], data, after(to_do))


def looker(module: str) -> Callable[[], list[Cause]]:
    """What looks at one subject; a host is loaded only when it is looked at, so that its fault is a line too."""

    def look() -> list[Cause]:
        causes: list[Cause] = import_module(module).causes()
        return causes

    return look


def after(to_do: list[Cause]) -> str:
    """What to do next."""
    if not to_do:
        return f"nothing stands in the way; {command('demo')} builds a job to look at"
    first = to_do[0]
    more = f" ({len(to_do) - 1} more above)" if len(to_do) > 1 else ""
    return f"{first.subject}: {first.do}{more}"
