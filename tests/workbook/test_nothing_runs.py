"""Nothing in a workbook is ever executed, opened or looked up: every event of the interpreter is listened to."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

import xlcalc
from tests.workbook.bad.carried import CARRIED, DECORATED, MACRO, carrying, xml
from xlcalc.hosts.cli import main

from .books import LINKS, OFFICE, formula, number, row, text

HARMFUL = [
    "cmd|'/C calc'!A0", 'WEBSERVICE("http://127.0.0.1:9/x")', 'HYPERLINK("file:///etc/passwd")', "[1]S!A1",
    "'file:///etc/[passwd]S'!A1", "'\\\\127.0.0.1\\share\\[b.xlsx]S'!A1", 'INDIRECT("[b.xlsx]S!A1")', 'CALL("k","x")',
    'REGISTER.ID("kernel32","WinExec")', "EXEC(\"calc\")", 'IMPORTXML("http://127.0.0.1:9","/")', 'INFO("directory")',
    'ANSWER_WHY("__import__")', 'QUANTITY_IN("__import__(\'os\').system(\'true\')","mm")', 'CELL("filename")',
    'RTD("x",,"y")', 'SQL.REQUEST("x")', 'EVALUATE("1+1")', '[1]!LINE_VELOCITY(8,12)', "'C:\\x.xlam'!RUN(1)",
]  # fmt: skip


def harmful() -> bytes:
    rows = [row(i, number(f"A{i}", i), formula(f"B{i}", each.replace("&", "&amp;").replace('"', "&quot;"), "1"))
            for i, each in enumerate(HARMFUL, 1)]  # fmt: skip
    rows.append(row(90, text("A90", "=cmd|'/C calc'!A0"), DECORATED.replace("B1", "B90").replace("A1", "A90")))
    outside = "".join(
        f'<Relationship Id="o{i}" Type="{OFFICE}/{kind}" Target="{target}" TargetMode="External"/>'
        for i, (kind, target) in enumerate([
            ("externalLinkPath", "file:///etc/passwd"), ("image", "http://127.0.0.1:9/a.png"),
            ("attachedTemplate", "\\\\127.0.0.1\\t.dotm"), ("oleObject", "file:///bin/sh"),
        ])
    )  # fmt: skip
    return carrying(
        {
            "xl/vbaProject.bin": b"Sub Auto_Open()\r\nShell \"calc\"\r\nEnd Sub",
            "xl/externalLinks/externalLink1.xml": xml("externalLink"),
            "xl/externalLinks/_rels/externalLink1.xml.rels": xml("Relationships", outside, LINKS),
            "xl/macrosheets/sheet1.xml": xml("macrosheet", "<f>EXEC(\"calc\")</f>"),
            "xl/connections.xml": xml("connections", '<connection odcFile="http://127.0.0.1:9/x.odc"/>'),
        },
        rows="".join(rows),
        content_type=MACRO,
        names='<definedName name="_xlnm.Auto_Open" hidden="1">S!$B$1</definedName>'
        '<definedName name="Rate">\'file:///etc/[passwd]S\'!$A$1</definedName>',
    )


LISTENING = """
import json, sys, warnings
from pathlib import Path
book, good, page = sys.argv[1:]
from xlcalc.hosts.cli import main
def everything(path):
    for words in (["recalc", path], ["explain", path, "S!B1"], ["compare", path, good, "--to", page, "--force"]):
        main([*words, "--json"])
everything(good)  # so that all modules and data are loaded
heard = []
HARMLESS = "object", "builtins", "sys", "array", "signal", "time", "gc", "cpython"
def listen(event, given):
    if event.partition(".")[0] not in HARMLESS:
        heard.append([event, *[str(each) for each in given]])
sys.addaudithook(listen)
everything(book)
print("heard", json.dumps(heard))
"""


def test_a_harmful_workbook_opens_and_runs_nothing(tmp_path: Path) -> None:
    path, good = tmp_path / "harmful.xlsm", tmp_path / "good.xlsx"
    path.write_bytes(harmful())
    good.write_bytes(CARRIED["charts"].make())
    page = tmp_path / "page.txt"
    done = subprocess.run(
        [sys.executable, "-c", LISTENING, str(path), str(good), str(page)], capture_output=True, text=True, check=True
    )
    heard = json.loads(done.stdout.partition("heard ")[2])
    files = {"open", "os.rename", "os.remove", "os.scandir", "os.chmod", "os.chown"}
    assert {each[0] for each in heard} <= files, heard
    ours = {str(path), str(good), str(page), str(tmp_path)}
    locks = {f"{tmp_path}/{lock}" for name in ("harmful.xlsm", "page.txt") for lock in (f"~${name}", f".~lock.{name}#")}
    for event, *given in heard:
        for touched in given[:2] if event == "os.rename" else given[:1]:
            if Path(touched).is_relative_to(Path(xlcalc.__file__).parent / "data"):
                continue  # the program's own figures
            assert touched in ours | locks or Path(touched).name.startswith(".xlcalc-"), (event, given)
    assert '"exit_code": 0' in done.stdout
    assert path.read_bytes() != harmful()  # it was worked out
    assert {file.name for file in tmp_path.iterdir()} == {"harmful.xlsm", "good.xlsx", "page.txt"}


def test_what_stands_in_cells_is_printed_and_never_obeyed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Every command that prints what a workbook holds or what was typed, in text and in JSON."""
    signs, obeyed = "a\x9b2Jb\u202ec\u2028d\x85e", "\x9b\u202e\u2028\x85\x1b"
    path, other, page = tmp_path / "book.xlsx", tmp_path / "other.xlsx", tmp_path / "page.txt"
    rows = row(1, text("A1", signs), formula("B1", f'A1&amp;"{signs}"'), formula("C1", "NO_SUCH(A1)", signs, "str"))
    for place in (path, other):
        place.write_bytes(carrying({}, rows=rows))
    for words in (
        ["recalc", path], ["explain", path, "S!B1"], ["explain", path, f"S!{signs}"], ["explain", path, "S!C1"],
        ["compare", path, other], ["compare", path, other, "--to", page, "--force"], ["functions", signs],
        ["recalc", tmp_path / f"{signs}.xlsx"], ["eval", f'"{signs}"'], [signs], ["--" + signs],
    ):  # fmt: skip
        for more in ([], ["--json"], ["--debug"]):
            assert main([*map(str, words), *more]) in (0, 1, 2, 3)
            said = "".join(capsys.readouterr())
            assert said, f"{words} says nothing"
            assert [sign for sign in obeyed if sign in said] == [], words
    assert [sign for sign in obeyed if sign in page.read_text(encoding="utf-8")] == []
