"""A reader of the command line that says what was meant when a word of it is misspelt."""

import argparse
import re
from typing import NoReturn

from xlcalc.hosts.output import Slip, command

REQUIRED = "the following arguments are required: "  # as argparse says it
SHARED = ("help", "json", "debug", "version")


class Parser(argparse.ArgumentParser):
    """A parser of a command, or of what stands after one. A slip is a Slip and ends nothing."""

    def __init__(self, **settings: object) -> None:
        super().__init__(allow_abbrev=False, formatter_class=argparse.RawDescriptionHelpFormatter, **settings)  # type: ignore[arg-type]

    def error(self, message: str) -> NoReturn:
        """Raise Slip with what was wrong and what was meant."""
        from xlcalc.core.words import joined, nearest  # noqa: PLC0415  (only after a slip)

        slip = message.partition("'")[2].partition("'")[0] or message.rpartition(": ")[2]
        words, known = re.sub(r"^argument [^ ]+: ", "", message), list(self._option_string_actions)
        if choice := re.match("argument ([^ ]+): invalid choice", message):
            known = self._choices(choice[1])
            taker = choice[1] if choice[1].startswith("-") else self.prog.split()[-1]
            allowed = f"{taker} takes {joined(known)}, not {slip!r}"
            words = f"there is no command {slip!r}" if choice[1] == "command" else allowed
        elif message.startswith(REQUIRED):
            words, slip = f"{message.removeprefix(REQUIRED)} must be given: {self.line()}", ""
        elif alone := re.match("argument ([^ ]+): expected one argument", message):
            words, slip = f"after {alone[1].partition('/')[0]} stands what it is to be: {self.line()}", ""
        meant = "" if not slip or slip in known else nearest(slip, known)
        raise Slip(f"{words}{meant}\n{command(*self.prog.split()[1:], '--help')} says what there is.")

    def line(self) -> str:
        """What a person types, e.g. `xlcalc recalc FILE.xlsx [--to COPY.xlsx]`, without what all commands take."""
        words = [self.prog]
        for action in self._actions:
            if action.dest not in SHARED:
                value = action.metavar or "|".join(action.choices or ())
                word = " ".join(filter(None, (*action.option_strings[:1], "" if action.nargs == 0 else str(value))))
                words.append(word if action.required else f"[{word}]")
        return " ".join(words)

    def _choices(self, name: str) -> list[str]:
        """The words that an argument takes, found by the name that messages give it."""
        named = (each for each in self._actions if name in (*each.option_strings, each.metavar))
        return list(next(named).choices or ())

    def innermost(self, given: argparse.Namespace) -> "Parser":
        """The parser of the command that was given: of `setup calc` that of `calc`."""
        for action in self._actions:
            chosen = getattr(given, action.dest, None)
            if isinstance(action, argparse._SubParsersAction) and chosen in action.choices:
                return action.choices[chosen].innermost(given)  # type: ignore[no-any-return]
        return self
