"""The one error tree.

CalcError                 an error value in a cell: `.code` and a sentence
  InputError  #VALUE!     the cells given cannot be used
    MissingInput          a required cell is blank
    WrongKind             not a number, wrong unit, wrong word
    OutOfRange  #NUM!     outside the allowed span
  NotInTable  #N/A        no row, or the row has no such figure
  NoAnswer    #NUM!       the relation has no solution here
  UpstreamError           an error that came in with a cell, passed on unchanged
FileError                 a file cannot be read or written; the original is untouched
  FileRefused             not a workbook this program reads
  FileBusy                open elsewhere, or changed while it was being worked on
DeclarationError          a worksheet function is declared wrongly; stops the import, never reaches a cell
"""

CODES = ("#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A")
LONGEST_SENTENCE = 255


class CalcError(Exception):
    """An error value of a cell.

    `code` is the spelling a spreadsheet shows, one of `CODES`; `str(error)` is a sentence of at most
    255 characters that says what to do. One given to `xlcalc.call` is an error that stood in that cell.

    >>> error = OutOfRange("Flow: 2500 L/min is above 2000 L/min")
    >>> error.code, str(error), isinstance(error, CalcError)
    ('#NUM!', 'Flow: 2500 L/min is above 2000 L/min', True)
    """

    code = "#VALUE!"

    def __init__(self, message: str = "", code: str | None = None) -> None:
        super().__init__(shorten(message))
        if code is not None:
            self.code = code


class InputError(CalcError):
    """The cells given cannot be used."""


class MissingInput(InputError):
    """A required cell is blank."""


class WrongKind(InputError):
    """Not a number, the wrong unit, or a word that is not in the list."""


class OutOfRange(InputError):
    """A value outside its allowed span."""

    code = "#NUM!"


class NotInTable(CalcError):
    """No such row in a table, or the row does not hold the figure that is needed."""

    code = "#N/A"


class NoAnswer(CalcError):
    """The relation has no solution for these inputs."""

    code = "#NUM!"


class UpstreamError(CalcError):
    """An error that stood in an input cell; `code` is that cell's own."""


class FileError(Exception):
    """A file cannot be read or written. The original is untouched."""


class FileRefused(FileError):
    """The file is not a workbook that this program reads."""


class FileBusy(FileError):
    """The file is open elsewhere, or changed while it was being worked on."""


class DeclarationError(Exception):
    """A worksheet function is declared wrongly."""


def shorten(message: str) -> str:
    """Cut a sentence to the 255 characters that a spreadsheet passes on, at a word.

    >>> len(shorten("word " * 99)), shorten("word " * 99)[-6:]
    (251, 'word …')
    """
    if len(message) <= LONGEST_SENTENCE:
        return message
    return message[: LONGEST_SENTENCE - 2].rsplit(" ", 1)[0] + " …"
