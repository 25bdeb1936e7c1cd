"""How many planted faults an audit finds, and how much of what it reports is one: `python -m tests.audit.measure`.

How is counted, strictly: a fault is found when a finding names one of its cells (or, for a finding without cells, says
the name, sheet or book in `where`), and at least half of the cells that the finding names belong to what was planted or
depend on it: a finding that names a whole column for one cell in it is no find. A finding that was there before
planting does not count. One that names only cells depending on a planted fault is a consequence, neither found nor
false. Every other finding is false. Rules are never looked at by name.

Several faults may stand in one copy of a book, at places of their own, at most one of them a fault of the whole book:
`--together`. Each is still counted by itself.
"""

import argparse
import importlib
import multiprocessing
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.formulas import address

from . import books
from .followers import Followers
from .plants import FAULTS, Bench, Planted, sow

AUDITOR = "xlcalc.workbook.audit.audit:audit"
TOGETHER = {"template": 5, "filled": 12, "shop": 6}
Audit = Callable[[Package], Any]
Task = tuple[int, int]
BAR = 98
BARS = {"units": 90, "method": 80}  # per cent, where it is another
OWN_BARS = {23: 60}  # a plausible number pasted in another unit


@dataclass
class Score:
    """What came of one copy of a book. A finding is held as its rule, its first cell or place, and its words."""

    found: list[Task] = field(default_factory=list)
    missed: list[tuple[Task, str]] = field(default_factory=list)
    left: list[Task] = field(default_factory=list)
    hits: int = 0
    consequences: list[str] = field(default_factory=list)
    false: list[str] = field(default_factory=list)
    seconds: float = 0.0


class Clean(NamedTuple):
    """A clean book with what the audit says of it."""

    name: str
    bench: Bench
    before: list[Any]
    followers: Followers


def auditor(spelled: str) -> Audit:
    """The function `module:name`."""
    module, _, name = spelled.partition(":")
    found: Audit = getattr(importlib.import_module(module), name)
    return found


def findings(audit: Audit, data: bytes, name: str) -> list[Any]:
    """What the audit says of a book."""
    found = audit(Package.from_bytes(data, f"{name}.xlsx")).findings
    return list(found.values() if isinstance(found, Mapping) else found)


def prepared(name: str, audit: Audit) -> Clean:
    """A book ready to plant in."""
    bench = Bench(books.book(name))
    _ = bench.worked, bench.groups, bench.typed
    return Clean(name, bench, findings(audit, bench.data, name), Followers(bench.data))


def known(finding: Any, before: Iterable[Any]) -> bool:
    """True for a finding that was there before."""
    cells = set(finding.cells)
    return any(
        each.rule == finding.rule and each.where == finding.where and cells <= set(each.cells) for each in before
    )


def said(finding: Any) -> str:
    """A finding in a line."""
    cells = ", ".join(address(*place) for place in finding.cells[:3]) or finding.where
    return f"{finding.rule}: {cells} ({len(finding.cells)}): {finding.there} | {finding.expected}"[:300]


def said_in(where: str, words: Iterable[str]) -> bool:
    """True where one of the words stands in a place."""
    return any(word.casefold() in where.casefold() for word in words)


def judged(new: Sequence[Any], planted: Sequence[Planted], tasks: Sequence[Task], behind: set[Place]) -> Score:
    """Hold findings against what was planted."""
    score, seen = Score(), set()
    own = {cell for each in planted for cell in each.cells | each.touched}
    for finding in new:
        named = set(finding.cells)
        concerned = 2 * len(named & (own | behind)) >= len(named)
        if named:
            hits = [place for place, each in enumerate(planted) if named & each.cells and concerned]
        else:
            hits = [place for place, each in enumerate(planted) if said_in(finding.where, each.wheres)]
        if hits:
            score.hits += 1
            seen.update(hits)
        elif named and concerned:
            score.consequences.append(said(finding))
        else:
            score.false.append(said(finding))
    score.found = [tasks[place] for place in sorted(seen)]
    score.missed = [(tasks[place], each.words) for place, each in enumerate(planted) if place not in seen]
    return score


def tried(clean: Clean, audit: Audit, tasks: Sequence[Task]) -> Score:
    """Plant, audit, judge."""
    sown = sow(clean.bench, tasks)
    started = time.perf_counter()
    now = findings(audit, sown.data, clean.name)
    seconds = time.perf_counter() - started
    behind = clean.followers.of(cell for each in sown.planted for cell in each.cells | each.touched)
    new = [finding for finding in now if not known(finding, clean.before)]
    score = judged(new, sown.planted, [task for task in tasks if task not in sown.left], behind)
    score.left, score.seconds = sown.left, seconds
    return score


def batches(classes: Sequence[int], each: int, seed: int, together: int) -> list[list[Task]]:
    """Tasks side by side: different classes in one copy, at most one of the whole book, those that cost a whole
    calculation by themselves."""
    tasks = [(number, seed + turn) for turn in range(each) for number in classes]
    Random(seed).shuffle(tasks)
    made: list[list[Task]] = []
    for whole in (False, True):
        made.append([])
        waiting = [task for task in tasks if FAULTS[task[0]].whole == whole]
        while waiting:
            batch: list[Task] = []
            for task in list(waiting):
                alone = FAULTS[task[0]].alone and any(FAULTS[number].alone for number, _ in batch)
                if len(batch) < together and not alone and (whole or task[0] not in {number for number, _ in batch}):
                    batch.append(task)
                    waiting.remove(task)
            made.append(batch)
    return [batch for batch in made if batch]


_AT_WORK: dict[str, Any] = {}


def _work(tasks: list[Task]) -> Score:
    return tried(_AT_WORK["clean"], _AT_WORK["audit"], tasks)


def measured(
    name: str, audit: Audit, classes: Sequence[int], each: int, seed: int, together: int, jobs: int
) -> list[Score]:
    """Plant all classes in a book and audit every copy."""
    started = time.perf_counter()
    clean = prepared(name, audit)
    _AT_WORK.update(clean=clean, audit=audit)
    say(f"{name}: ready after {time.perf_counter() - started:.0f} s; the clean book gives {len(clean.before)} findings")
    todo = batches(classes, each, seed, together)
    scores = []
    if jobs == 1:
        for tasks in todo:
            scores.append(_work(tasks))
            say(f"{name}: {len(scores)} of {len(todo)}")
        return scores
    with multiprocessing.get_context("fork").Pool(jobs) as pool:
        for score in pool.imap_unordered(_work, todo):
            scores.append(score)
            say(f"{name}: {len(scores)} of {len(todo)}")
    return scores


def say(words: str) -> None:
    """Talk while it works."""
    sys.stderr.write(words + "\n")
    sys.stderr.flush()


def tally(scores: Iterable[Score]) -> tuple[Counter[int], Counter[int]]:
    """Found and planted by class."""
    found: Counter[int] = Counter()
    planted: Counter[int] = Counter()
    for score in scores:
        found.update(number for number, _ in score.found)
        planted.update([number for number, _ in score.found] + [number for (number, _), _ in score.missed])
    return found, planted


def share(part: int, whole: int) -> str:
    """A share in per cent."""
    return f"{100 * part / whole:.0f} %" if whole else "none"


def table(scores: Sequence[Score]) -> list[str]:
    """Found by class, as a table of Markdown."""
    found, planted = tally(scores)
    rows = ["| class | fault | planted | found | share | bar |", "|---|---|---|---|---|---|"]
    for number in sorted(planted):
        bar = OWN_BARS.get(number, BARS.get(FAULTS[number].family, BAR))
        rows.append(
            f"| {number} | {FAULTS[number].name} | {planted[number]} | {found[number]} "
            f"| {share(found[number], planted[number])} | {bar} % |"
        )
    return rows


def summary(scores: Sequence[Score]) -> list[str]:
    """By family, overall, and what of the findings is real."""
    found, planted = tally(scores)
    lines = []
    families = dict.fromkeys(FAULTS[number].family for number in sorted(planted))
    for family in (*families, "all"):
        some = [number for number in planted if family in ("all", FAULTS[number].family)]
        got, there = sum(found[number] for number in some), sum(planted[number] for number in some)
        lines.append(f"{family}: {got} of {there} found, {share(got, there)}")
    hits, false = sum(score.hits for score in scores), sum(len(score.false) for score in scores)
    rest = sum(len(score.consequences) for score in scores)
    real = share(hits, hits + false)
    lines.append(f"findings: {hits} real, {false} false, {rest} consequences; {real} of what is reported is real")
    if left := Counter(number for score in scores for number, _ in score.left):
        words = ", ".join(f"class {number} x {count}" for number, count in sorted(left.items()))
        lines.append(f"no place found for: {words}")
    lines.append(f"an audit takes {sum(score.seconds for score in scores) / max(1, len(scores)):.1f} s")
    return lines


def details(scores: Sequence[Score]) -> list[str]:
    """What was missed, class by class, and what was false."""
    missed = defaultdict(list)
    for score in scores:
        for task, words in score.missed:
            missed[task[0]].append(f"  {task[1]}: {words}")
    lines = []
    for number in sorted(missed):
        lines += [f"class {number}, {FAULTS[number].name}", *sorted(missed[number])]
    false = [f"  {each}" for score in scores for each in score.false]
    rest = [f"  {each}" for score in scores for each in score.consequences]
    return ["MISSED", *lines, "FALSE", *sorted(false), "CONSEQUENCES", *sorted(rest)]


def numbers(text: str) -> list[int]:
    """`1-18,25` as numbers."""
    found: list[int] = []
    for piece in text.split(","):
        first, _, last = piece.partition("-")
        found += range(int(first), int(last or first) + 1)
    return found


def clean_books(audit: Audit, names: Sequence[str]) -> int:
    """Audit the books that must stay quiet; how many findings there are."""
    count = 0
    for name in names:
        data = books.book(name)
        started = time.perf_counter()
        found = findings(audit, data, name)
        count += len(found)
        sys.stdout.write(f"{name}: {len(found)} findings, {time.perf_counter() - started:.1f} s\n")
        sys.stdout.writelines(f"  {said(each)}\n" for each in found)
    return count


def main(words: Sequence[str] | None = None) -> int:
    """Run the measurement."""
    parser = argparse.ArgumentParser(prog="python -m tests.audit.measure", description=__doc__.partition("\n")[0])
    parser.add_argument("--each", type=int, default=10, help="places a class and book")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--classes", type=numbers, default=sorted(FAULTS), help="1-18,25")
    parser.add_argument("--books", default=",".join(books.PLANTED), help="of: " + ", ".join(books.CLEAN))
    parser.add_argument("--together", type=int, default=0, help="faults in one copy of a book; 1: each by itself")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--auditor", type=auditor, default=AUDITOR)
    parser.add_argument("--clean", action="store_true", help="audit the clean books instead")
    parser.add_argument("--markdown", type=Path, help="write the table here")
    parser.add_argument("--details", type=Path, help="write what was missed and what was false here")
    given = parser.parse_args(words)
    chosen = given.books.split(",")
    if given.clean:
        every = given.books == parser.get_default("books")
        return int(clean_books(given.auditor, list(books.CLEAN) if every else chosen) > 0)
    scores = []
    for name in chosen:
        together = given.together or TOGETHER.get(name, 6)
        scores += measured(name, given.auditor, given.classes, given.each, given.seed, together, given.jobs)
    lines = [*table(scores), "", *summary(scores)]
    sys.stdout.write("\n".join(lines) + "\n")
    if given.markdown:
        given.markdown.write_text("\n".join(lines) + "\n", encoding="utf-8")
    if given.details:
        given.details.write_text("\n".join(details(scores)) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
