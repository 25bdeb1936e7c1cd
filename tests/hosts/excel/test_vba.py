"""The add-in's text: what VBA and Excel take, and what xlwings' own generator would have written."""

import io
import re
from types import ModuleType, SimpleNamespace
from typing import Any

import pytest

from xlcalc.core.declaration import Answer, Arg, Declaration, example
from xlcalc.core.errors import DeclarationError
from xlcalc.core.registry import functions
from xlcalc.hosts.excel import vba
from xlcalc.hosts.excel.launcher import ANSWERS, HELP
from xlcalc.hosts.excel.names import RESERVED, faults, is_cell

from . import com
from .made import START, text

SIGNATURE = re.compile(r"^Public (Function \w+\(.*\))$", re.M)


def declared(
    name: str = "GAP_SIZE", args: tuple[tuple[str, bool], ...] = (("gap", True),), words: str = ""
) -> Declaration:
    """A declaration that nothing has checked; `args` are names, and whether each is required."""
    made = tuple(
        Arg("Gap", "mm", 0, 5, default=None if required else 1, help=words, name=argument)
        for argument, required in args
    )

    def gap() -> float:
        """Size of a gap."""
        return 1.0

    return Declaration(name, "flow", gap, made, Answer("Gap"), ("PRACTICE",), example(shows="1"), (), False)


def written_by_xlwings() -> set[str]:
    """The first line of each function as xlwings' generator writes it from a Python function of the same arguments."""
    com.install()
    from xlwings import udfs  # type: ignore[attr-defined]  # noqa: PLC0415  (the stand-ins come first)

    module: Any = ModuleType("functions")
    for made in functions().values():
        names = [arg.name if arg.required else f"{arg.name}=None" for arg in made.args]
        names += ["*inputs"] if made.about and made.args else []
        scope: dict[str, Any] = {}
        exec(f"def {made.name}({', '.join(names)}): ''", scope)
        setattr(module, made.name, udfs.xlfunc(scope[made.name]))
    out = io.StringIO()
    udfs.generate_vba_wrapper("functions", module, out, SimpleNamespace(Name="xlcalc.xlam"))
    return {line.strip() for line in out.getvalue().splitlines() if line.strip().startswith("Function ")}


def signatures(of: str) -> set[str]:
    return set(SIGNATURE.findall(of))


def test_signatures_are_those_that_xlwings_would_have_written() -> None:
    assert len(signatures(text())) == len(functions()) == 78
    assert signatures(text()) == written_by_xlwings()


def test_each_function_hands_over_its_own_name_and_arguments() -> None:
    for made in functions().values():
        body = text().partition(f"Public Function {made.name}(")[2].partition("End Function")[0]
        if made.args and not made.about:
            given = ", ".join([f'"{made.name}"', *(arg.name for arg in made.args)])
            assert body.endswith(f"\n    {made.name} = XlcAnswer(Array({given}))\n")


def test_every_procedure_line_and_join_is_within_what_vba_takes() -> None:
    lines = text().split("\n")
    assert text().isascii()
    assert len(lines) < 65_534
    assert max(map(len, lines)) <= 1023
    joined = 0
    for line in lines:
        joined = joined + 1 if line.endswith(" _") else 0
        assert joined <= 24
    procedures = re.findall(r"^(?:Public |Private )?(?:Sub|Function) .*?^End ", text(), re.M | re.S)
    assert max(map(len, procedures)) < 65_536
    assert len(procedures) == text().count("\nEnd Sub") + text().count("\nEnd Function")


def test_blocks_are_closed_and_every_procedure_is_declared_once() -> None:
    kinds = {
        r"(?:Public |Private )(Function|Sub) ": "End {}",
        r"(If) .* Then$": "End {}",
        r"(For) ": "Next",
        r"#(If) ": "#End {}",
    }
    open_ones: list[str] = []
    for line in (line.strip() for line in text().split("\n")):
        if open_ones and re.match(rf"{open_ones[-1]}\b", line):
            open_ones.pop()
        for begins, ends in kinds.items():
            if found := re.match(begins, line):
                open_ones.append(ends.format(found[1]))
    assert open_ones == []
    names = [name.lower() for name in re.findall(r"^(?:Public|Private) (?:Sub|Function) (\w+)", text(), re.M)]
    assert len(names) == len(set(names))


def test_nothing_is_read_from_a_workbook_and_nothing_is_computed_in_the_arguments_window() -> None:
    for word in ("ActiveWorkbook", "Caller", "Environ", "Open ", "Shell", "GetObject", "Evaluate", "Sheets(", ".Path"):
        assert word not in ANSWERS + HELP, word
    asked = ANSWERS.index("XlcAnswer = WithErrors(Asked(given))")
    assert ANSWERS.rindex("If InWizard() Then Exit Function", 0, asked) > ANSWERS.index("Function XlcAnswer")


def test_texts_come_back_as_they_were() -> None:
    for words in ("", 'say "no"', "90 °C, 2 m³", "Ω and 𝛀", "a\tb", '"', "°" * 3):
        written = vba.quoted(words)
        assert written.isascii()
        assert vba.unquoted(written) == words
    assert vba.quoted("20 °C") == '"20 " & ChrW$(176) & "C"'


def test_the_stamp_changes_with_the_text_and_not_with_the_place() -> None:
    def stamp(of: str) -> str:
        return of.partition("STAMP As String = ")[2].partition("\n")[0]

    few = list(functions().values())[:5]
    elsewhere = START._replace(command="x")
    assert stamp(vba.module(few, START, "1")) == stamp(vba.module(few, elsewhere, "1"))
    assert stamp(vba.module(few, START, "1")) != stamp(vba.module(few[:4], START, "1"))
    assert stamp(vba.module(few, START, "1")) != stamp(vba.module(few, START, "2"))


@pytest.mark.parametrize("name", ["A1", "ABC12", "xfd1048576", "R1C1", "RC", "r", "C5", "R12"])
def test_names_that_a_worksheet_reads_as_a_cell(name: str) -> None:
    assert is_cell(name)


@pytest.mark.parametrize("name", ["XFE1", "A1048577", "ABCD1", "A0", "BORE_FOR_FLOW", "R1X", "ABC"])
def test_names_that_are_no_cell(name: str) -> None:
    assert not is_cell(name)


@pytest.mark.parametrize(
    ("name", "args", "words"),
    [
        ("ABC12", (("gap", True),), "cell"),
        ("GAP_SIZE", (("next", True),), "keeps this word"),
        ("GAP_SIZE", (("Len", True),), "keeps this word"),
        ("Loop", (("gap", True),), "keeps this word"),
        ("GAP_SIZE", (("gap", True), ("GAP", True)), "capitals"),
        ("GAP_SIZE", (("gap_size", True),), "capitals"),
        ("GAP_SIZE", (("größe", True),), "a name in VBA"),
        ("_GAP", (("gap", True),), "a name in VBA"),
        ("GAP_SIZE", (("python", True),), "uses this name itself"),
        ("GAP_SIZE", (("XlcAnswer", True),), "uses this name itself"),
        ("Server", (("gap", True),), "uses this name itself"),
        ("GAP_SIZE", (("given", True),), "uses this name itself"),
        ("GAP_SIZE", tuple((f"gap_{place}", True) for place in range(21)), "more than 20"),
        ("GAP_SIZE", tuple((f"gap_{'x' * 20}{place}", True) for place in range(10)), "too long"),
    ],
)
def test_names_that_vba_or_excel_refuse(name: str, args: tuple[tuple[str, bool], ...], words: str) -> None:
    made = declared(name, args)
    assert words in "\n".join(faults(made, vba.TAKEN))
    with pytest.raises(DeclarationError, match="cannot be written"):
        vba.module([made], START, "1")


def test_help_that_excel_refuses() -> None:
    assert "255" in "\n".join(faults(declared(words="x" * 250), vba.TAKEN))
    assert list(faults(declared(words="x" * 150), vba.TAKEN)) == []


def test_limits_of_a_text() -> None:
    assert list(vba.limits("x" * 1023)) == []
    assert "line 2 has 1024" in "\n".join(vba.limits("\n" + "x" * 1024))
    long = "Sub Long_One()\n" + "    x = 1\n" * 7000 + "End Sub"
    assert "Long_One" in "\n".join(vba.limits(long))
    assert "lines" in "\n".join(vba.limits("\n" * 65_600))
    assert "code page" in "\n".join(vba.limits("x = °"))


def test_reserved_words_are_the_ones_of_the_language() -> None:
    assert {"abs", "next", "true", "longptr", "paramarray", "circle", "withevents", "rem", "me"} <= RESERVED
    assert not RESERVED & {"name", "length", "flow", "unit", "left", "time"}  # VBA takes these as names


def test_no_declared_name_is_refused() -> None:
    assert [fault for made in functions().values() for fault in faults(made, vba.TAKEN)] == []
