"""Mutated workbooks and cells, always the same for a seed: `python -m tests.workbook.fuzz 100000 --seed 1`.

Each is read, worked out, written in memory and worked out again; some go over the disk, and through explain and
compare as well. Anything but an answer or an error of the one error tree is a fault: another exception, more than
two seconds of work, a file left behind, a second run that changes a byte.
"""

import argparse
import functools
import random
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from xlcalc.core.errors import CalcError, FileError
from xlcalc.core.evaluate import evaluate
from xlcalc.core.registry import functions
from xlcalc.workbook.calculation.recalc import compute, recalc
from xlcalc.workbook.copies.compare import compare
from xlcalc.workbook.explained.explain import explain, explanation
from xlcalc.workbook.explained.place import NoSuchPlace
from xlcalc.workbook.explained.workings import Workings
from xlcalc.workbook.file.package import Package

from .books import MAIN, OFFICE, SHEET, contents, formula, number, packed, parts, row, text
from .odd import NUMBERS, PIECES, SCRAPS, TEXTS

LONGEST = 2.0  # seconds of work
KINDS = ("bytes of the file", "XML of a part", "cells", "inputs of a function")
OVER_THE_DISK, EXPLAINED = 25, 5  # one in so many workbooks
CASES_OF_A_SEED = 2**32



def source() -> dict[str, bytes]:
    """A small workbook with a formula of every kind that a file can spell."""
    shared, array = ' t="shared" ref="D1:D2" si="0"', ' t="array" ref="E1:E2"'
    rows = row(1, number("A1", 3), formula("B1", "A1*2", "6"), formula("C1", 'QUANTITY_IN(A1,"mm")', "3"),
               formula("D1", "A1+1", "4", attributes=shared), formula("E1", "A1:A2*2", "6", attributes=array))
    rows += row(2, '<c r="A2" t="s"><v>0</v></c>', formula("B2", "LINE_VELOCITY(A1,,)", "#VALUE!", "e"),
                formula("C2", "[1]S!A1", "4"), formula("D2", "", "5", attributes=' t="shared" si="0"'), number("E2", 1))
    rows += row(3, text("A3", "6 L/min"), formula("B3", "Rate&amp;A3", "x", "str"), formula("C3", "SUM(A1:A3,T!A1)"))
    made = parts(
        {"S": rows, "T": row(1, number("A1", 7))},
        names='<definedName name="Rate">S!$A$1</definedName><definedName name="Own" localSheetId="1">A1</definedName>',
        links=f'<Relationship Id="t" Type="{OFFICE}/sharedStrings" Target="sharedStrings.xml"/>',
    )
    made["xl/sharedStrings.xml"] = f'<sst xmlns="{MAIN}"><si><t>hose</t></si><si><r><t>a</t></r></si></sst>'.encode()
    made["xl/tables/t.xml"] = f'<table xmlns="{MAIN}" displayName="Own2" ref="A1:B2"/>'.encode()
    links = made["_rels/.rels"].replace(b'officeDocument" ', b'table" ')
    made["xl/worksheets/_rels/sheet2.xml.rels"] = links.replace(b'"xl/workbook.xml"', b'"../tables/t.xml"')
    made["xl/vbaProject.bin"] = bytes(range(64))
    return made


PARTS = source()
WHOLE = packed(PARTS)


def with_other_bytes(chance: random.Random) -> bytes:
    """The file with some of its bytes changed, left out, doubled or cut off."""
    data = bytearray(WHOLE)
    for _ in range(chance.choice([1, 1, 1, 2, 4])):
        place, length = chance.randrange(len(data) + 1), chance.choice([0, 1, 1, 2, 4, 40])
        new = chance.choice([chance.randbytes(length), b"", bytes(data[place : place + length]) * 2, b"\0" * length])
        data[place : place + chance.choice([0, length, length])] = new
    return bytes(data[: chance.randrange(len(data))] if chance.random() < 0.05 else data)


def with_other_xml(chance: random.Random) -> bytes:
    """The file with scraps in one or two of its parts, or a part left out, swapped or called otherwise."""
    made = dict(PARTS)
    for _ in range(chance.choice([1, 1, 2])):
        name = chance.choice(list(made) if chance.random() < 0.4 else [SHEET])
        content = bytearray(made[name])
        for _ in range(chance.choice([1, 1, 1, 2, 3])):
            start = chance.randrange(len(content) + 1)
            end = min(len(content), start + chance.choice([0, 0, 0, 1, 2, 5, 30]))
            content[start:end] = chance.choice(SCRAPS) * chance.choice([1, 1, 1, 1, 2, 50])
        made[name] = bytes(content)
    if chance.random() < 0.05:
        one, other = chance.sample(list(made), 2)
        made[one], made[other] = made[other], made[one]
    if chance.random() < 0.05:
        del made[chance.choice(list(made))]
    return packed(made)


def with_other_cells(chance: random.Random) -> bytes:
    """A workbook of formulas put together by chance from pieces of formulas, and of odd values."""
    def escaped(words: str) -> str:
        signs = words.encode("utf-8", "replace").decode().replace("&", "&amp;").replace("<", "&lt;")
        return "".join(sign for sign in signs if sign in "\t\n" or sign >= " ")

    cells = []
    for letter in "ABCD":
        ref = f"{letter}{1 if letter < 'C' else 2}"
        if chance.random() < 0.7:
            written = escaped("".join(chance.choices(PIECES, k=chance.choice([1, 2, 3, 5, 8, 13]))))
            kind = chance.choice(["", "", ' t="array" ref="B1:B3"', ' t="shared" ref="A1:B2" si="1"', ' ca="1"'])
            cells.append((ref, formula(ref, written, *chance.choice(HELD), kind)))
        elif chance.random() < 0.5:
            cells.append((ref, text(ref, escaped(chance.choice(TEXTS)))))
        else:
            cells.append((ref, number(ref, chance.choice(NUMBERS))))
    rows = row(1, *(cell for ref, cell in cells if ref.endswith("1")))
    rows += row(2, *(cell for ref, cell in cells if ref.endswith("2")))
    return packed(parts({"S": rows, "T": row(1, number("A1", 7))},
                        names='<definedName name="Rate">S!$A$1</definedName>'))  # fmt: skip


HELD = [("", ""), ("1", ""), ("1", "n"), ("x", "str"), ("#N/A", "e"), ("1", "b"), ("x", "n"), ("#SPILL!", "e")]
MUTATIONS: dict[str, Callable[[random.Random], bytes]] = dict(
    zip(KINDS, (with_other_bytes, with_other_xml, with_other_cells), strict=False)
)


def worked_over(data: bytes, *, explained: bool = False) -> str:
    """Read, work out, write and work out again in memory: `read`, or `refused`."""
    try:
        package = Package.from_bytes(data, "book.xlsx")
        report = compute(package)
        edits = report.edits
        if explained and "S" in report.values:
            list(explanation(Workings(package, report), ("S", 1, 2)))
    except FileError:
        return "refused"
    if edits:
        after = package.edited(edits)
        again = compute(Package.from_bytes(after, "book.xlsx"))
        assert again.edits == {}, f"a second run changes {[*again.changes][:3]}"
        kept, now = contents(data), contents(after)
        assert all(now[name] == kept[name] for name in kept if name not in edits), "another part changed"
    return "read"


@functools.cache
def other_book() -> Workings:
    """What a mutated workbook is compared with."""
    return Workings(Package.from_bytes(WHOLE, "book.xlsx"))


def over_the_disk(data: bytes, folder: Path, chance: random.Random) -> str:
    """The same as a person does it: recalc, explain and compare a file."""
    path = folder / "book.xlsx"
    path.write_bytes(data)
    said = "read"
    try:
        recalc(path)
        after = path.read_bytes()
        assert recalc(path).written is False, "a second run writes"
        assert path.read_bytes() == after, "a second run changes the file"
    except FileError:
        said = "refused"
        assert path.read_bytes() == data, "the file is refused and changed"
    for cell in (chance.choice(["S!B1", "S!C1", "Rate", "T!A1", "S!E2", "S!A9"]), "B2"):
        with suppress(FileError, NoSuchPlace):
            explain(path, cell)
    with suppress(FileError):
        compare(Workings(Package.from_bytes(data, "book.xlsx")), other_book())
    assert [file.name for file in folder.iterdir()] == ["book.xlsx"], "a file is left behind"
    return said


def odd_cell(chance: random.Random, deep: bool = True) -> Any:
    """What a spreadsheet may hand over, and what it never does."""
    kind = chance.choices(range(7), [40, 30, 10, 5, 5, 5, 5])[0]
    if kind == 0:
        return chance.choice(NUMBERS) * chance.choice([1.0, 1.0, chance.uniform(-2, 2)])
    if kind == 1:
        return chance.choice(TEXTS)
    if kind == 2:
        words = chance.choice(TEXTS)
        place = chance.randrange(len(words) + 1)
        return words[:place] + chance.choice([*TEXTS[:20], ";", "@", " ", "-"]) + words[place:]
    if kind == 3:
        return chance.choice([True, False, 10**30, -(10**400), 7])
    if kind == 4:
        return CalcError("", chance.choice(["#N/A", "#DIV/0!", "#REF!"]))
    width = chance.choice([1, 1, 2, 3])
    return [[odd_cell(chance, False) for _ in range(width)] for _ in range(3)] if kind == 5 and deep else None


def one_call(chance: random.Random) -> str:
    """One of our functions with odd cells: `answered`, or `error`."""
    declaration = chance.choice(list(functions().values()))
    least = sum(arg.required for arg in declaration.args)
    good: Sequence[Any] = list(declaration.example.cells)
    cells = [chance.choice(good) if good and chance.random() < 0.4 else odd_cell(chance)
             for _ in range(chance.choice([least, least, len(declaration.args), chance.randrange(12)]))]  # fmt: skip
    if declaration.about and chance.random() < 0.8:
        cells[:1] = [chance.choice(list(functions()))]
    answer = evaluate(declaration, cells)
    for each in flat(answer):
        assert isinstance(each, float | int | str | CalcError), f"answers {type(each).__name__}"
        assert not isinstance(each, float) or each - each == 0, f"answers {each}"
    return "error" if isinstance(answer, CalcError) else "answered"


def flat(answer: Any) -> Iterator[Any]:
    if isinstance(answer, list):
        for row_ in answer:
            yield from flat(row_)
    else:
        yield answer


@contextmanager
def limited(seconds: float) -> Iterator[None]:
    """Stops what works longer than this, by its own clock, whatever else the machine does."""
    def late(number: int, frame: object) -> None:
        raise TimeoutError(f"works longer than {seconds:g} s")

    before = signal.signal(signal.SIGPROF, late)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def tried(seed: int, case: int, folder: Path) -> tuple[str, str, str]:
    """One case: its kind, what came of it, and the fault, empty where there is none."""
    chance = random.Random(seed * CASES_OF_A_SEED + case)
    kind = KINDS[case % len(KINDS)]
    try:
        with limited(LONGEST):
            if kind == KINDS[-1]:
                return kind, one_call(chance), ""
            data = MUTATIONS[kind](chance)
            if case // len(KINDS) % OVER_THE_DISK == 0:
                return kind, over_the_disk(data, folder, chance), ""
            return kind, worked_over(data, explained=case // len(KINDS) % EXPLAINED == 1), ""
    except KeyboardInterrupt:
        raise
    except BaseException as fault:
        for file in folder.iterdir():
            file.unlink()
        return kind, "fault", f"{type(fault).__name__}: {fault}"


def run(
    cases: Sequence[int], seed: int, tell: Callable[[str], None] = lambda _: None
) -> tuple[Counter[str], list[str]]:
    """Try the cases of a seed; counts by kind and outcome, and every fault with the number of its case."""
    counts: Counter[str] = Counter()
    faults = []
    with tempfile.TemporaryDirectory() as folder:
        for done, case in enumerate(cases, 1):
            kind, outcome, fault = tried(seed, case, Path(folder))
            counts[f"{kind}: {outcome}"] += 1
            if fault:
                faults.append(f"case {case} of seed {seed}, {kind}: {fault}")
                tell(faults[-1])
            if done % 5_000 == 0:
                tell(f"{done} done")
    return counts, faults


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("number", type=int)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--case", type=int, help="only this one")
    given = asked.parse_args()
    started = time.monotonic()
    cases = range(given.number) if given.case is None else [given.case]
    counts, faults = run(cases, given.seed, lambda words: print(words, file=sys.stderr, flush=True))  # noqa: T201
    for name, found in sorted(counts.items()):
        print(f"{found:8} {name}")  # noqa: T201
    print(f"{len(faults)} faults in {sum(counts.values())} cases, {time.monotonic() - started:.0f} s")  # noqa: T201
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
