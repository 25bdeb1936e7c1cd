"""Names and texts that VBA or a worksheet would refuse: looked at before an add-in is built."""

import re
from collections.abc import Iterator

from xlcalc.core.declaration import Declaration
from xlcalc.core.errors import LONGEST_SENTENCE
from xlcalc.workbook.formulas import LAST_COLUMN, LAST_ROW, column_number

# Words that VBA keeps for itself: statements, markers, operators, special forms, types and literals of the
# language's own specification (MS-VBAL 3.3.5.2). They cannot name a function or an argument.
RESERVED = frozenset(
    """
    call case close const declare defbool defbyte defcur defdate defdbl defdec defint deflng deflnglng deflngptr
    defobj defsng defstr defvar dim do else elseif end endif enum erase event exit for friend function get global
    gosub goto if implements input let lock loop lset next on open option print private public put raiseevent redim
    resume return rset seek select set static stop sub type unlock wend while with write rem any as byref byval each
    in new shared until withevents optional paramarray preserve spc tab then to addressof and eqv imp is like mod not
    or typeof xor abs cbool cbyte ccur cdate cdbl cdec cint clng clnglng clngptr csng cstr cvar cverr date debug
    doevents fix int len lenb me pset scale sgn string array circle inputb lbound ubound boolean byte currency double
    integer long longlong longptr single variant true false nothing empty null attribute lineinput cdecl decimal
    """.split()  # noqa: SIM905 (a list of words reads better as text)
)
LONGEST_NAME = 255
MOST_ARGUMENTS = 20  # each stands on a line of its own in the help, and VBA joins at most 25 lines
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_]*")
_A1 = re.compile(r"([A-Z]{1,3})([0-9]+)", re.IGNORECASE)
_R1C1 = re.compile(r"R[0-9]*(C[0-9]*)?|C[0-9]*", re.IGNORECASE)


def is_cell(name: str) -> bool:
    """True where a worksheet reads a name as the address of a cell, a row or a column."""
    if _R1C1.fullmatch(name):
        return True
    found = _A1.fullmatch(name)
    return found is not None and column_number(found[1].upper()) <= LAST_COLUMN and 1 <= int(found[2]) <= LAST_ROW


def faults(made: Declaration, taken: frozenset[str]) -> Iterator[str]:
    """What VBA or Excel would refuse of a declaration, one sentence each.

    `taken` are the names, in lower case, that the fixed part of the add-in uses itself.
    """
    names = [arg.name for arg in made.args]
    for name in (made.name, *names):
        if not _NAME.fullmatch(name) or len(name) > LONGEST_NAME:
            yield f"{name}: a name in VBA is a letter, then letters, digits and _"
        if name.lower() in RESERVED:
            yield f"{name}: VBA keeps this word for itself"
        if name.lower() in taken:
            yield f"{name}: the add-in uses this name itself"
    if is_cell(made.name):
        yield f"{made.name}: a worksheet reads it as a cell"
    if len({name.lower() for name in (made.name, *names)}) <= len(names):
        yield f"{made.name}: two names differ only by capitals, which VBA does not tell apart"
    if len(names) > MOST_ARGUMENTS:
        yield f"{made.name}: {len(names)} arguments are more than {MOST_ARGUMENTS}"
    if len(", ".join(names)) >= LONGEST_SENTENCE:
        yield f"{made.name}: the argument names together are too long for Excel"
    for text in (made.summary, *(arg.description for arg in made.args)):
        if not 0 < len(text) <= LONGEST_SENTENCE:
            yield f"{made.name}: a help text of {len(text)} characters, Excel takes {LONGEST_SENTENCE}: {text[:40]}"
