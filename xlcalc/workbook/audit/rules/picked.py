"""Words picked from a list that the list does not hold, so that a lookup finds nothing or another row."""

from collections.abc import Iterator
from difflib import get_close_matches

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.allowed import folded, lists, typed_in
from xlcalc.workbook.audit.evidence.cited import displaced, is_source, known_tables, plain
from xlcalc.workbook.audit.evidence.peers import SUPPLIER
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.listing import NAME_COLUMN, Listing
from xlcalc.workbook.explained.workings import shown

MOST_COMPARED = 2_000  # words of a list; a longer one takes seconds for every word that is not in it
OWN_WORDS = ";"  # between the parts of a fluid or hose that is said in words


def not_in_list(book: Book) -> Iterator[Finding]:
    """Typed words of a column with a list that are not in it, each word once with all its cells."""
    torn = displaced(book)
    for sheet in book.sheets:
        for each in lists(book, sheet):
            stays = not each.sheet or of_figures(book, each.sheet)
            missing: dict[tuple[int, str], list[Place]] = {}
            typed = list(typed_in(book, sheet, each.areas))
            picked = {column for (_, column), value in typed if shown(value).casefold() in each.words}
            for (row, column), value in typed:
                word = shown(value)
                if column not in picked and added(book, sheet, column):
                    continue  # a column put in takes the list of the one beside it, and none of its words
                if word.casefold() not in each.words and OWN_WORDS not in word and word != "blank":
                    missing.setdefault((column, word), []).append((sheet, row, column))
            for (_, word), cells in missing.items():
                if word.casefold() in torn:
                    continue  # the list is what was torn apart
                if not stays and folded(word) not in each.words:
                    continue  # lines come and go: a row whose line is gone says so in its Check
                yield finding(word, cells, each.called, nearest(word, each.words))


def misspelled_items(book: Book) -> Iterator[Finding]:
    """Items on the list of prices that are written almost as a hose, an end or a fluid of the tables, and not quite."""
    named = [(table, names(book, table)) for table in book.every_table() if of_figures(book, table.sheet)]
    usual = {plain(name).casefold() for rows in known_tables().values() for name in rows}
    for table, rows in named:
        if SUPPLIER in table.columns:
            beside = [(other.sheet, held) for other, held in named if other.sheet != table.sheet]
            others = {name: sheet for sheet, held in beside for name in held.values()}
            exact, close = {name.casefold() for name in others}, {bare(name): name for name in others}
            for row, name in rows.items():
                meant = close.get(bare(name))
                if meant is not None and name.casefold() not in exact | usual:  # the other one was called otherwise
                    yield finding(name, [(table.sheet, row, NAME_COLUMN)], f"the names on {others[meant]}", meant)


def names(book: Book, table: Listing) -> dict[int, str]:
    """The names of the rows of a table."""
    held = ((row, book.value((table.sheet, row, NAME_COLUMN))) for row in table.rows)
    return {row: name for row, name in held if isinstance(name, str) and name.strip()}


def bare(name: str) -> str:
    """The letters and digits of a name, by which two spellings of it are alike."""
    return "".join(letter for letter in name.casefold() if letter.isalnum())


def added(book: Book, sheet: str, column: int) -> bool:
    """True for a column that the shop put into a sheet of the template."""
    match = book.canon.match(sheet)
    return match is not None and column not in match.columns


def of_figures(book: Book, sheet: str) -> bool:
    """True for a sheet with a table of figures or prices, whose names stay while the job changes."""
    heads = (head for table in book.tables(sheet) for head in table.columns)
    return any(is_source(head) or head == SUPPLIER for head in heads)


def nearest(word: str, words: dict[str, str]) -> str:
    """The word of a list that was meant, as far as one can tell."""
    plain = folded(word)
    if plain in words:
        return words[plain]
    close = get_close_matches(plain, words, 1) if len(words) < MOST_COMPARED else []
    return words[close[0]] if close else ""


def finding(word: str, cells: list[Place], called: str, meant: str) -> Finding:
    """A finding about a word."""
    return Finding(
        "not-in-list", tuple(cells),
        f"{word!r}, which is not in {called}",
        f"a word of the list{f', perhaps {meant!r}' if meant else ''}",
        "what is looked up under it is not found, or falls to a default; a space at an end is enough for that",
        "pick the word from the list of the cell, or put the name into its table",
        Sure.LIKELY, Weight.WRONG,
    )  # fmt: skip
