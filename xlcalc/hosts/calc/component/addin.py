"""The UNO component of the Calc add-in: one method for each worksheet function, all of them the same few lines.

Run by the office's own Python, which may be as old as 3.8: standard library and `uno` only. What differs from one
machine to another stands in `xlcalc.json` beside it.
"""

import functools
import json
import os
import struct
import sys
import threading

import uno
import unohelper
from com.sun.star.beans import PropertyValue
from com.sun.star.lang import Locale, XServiceInfo
from org.xlcalc.calc import XFunctions
from xlcalc_bridge import Reader, Silent, Worker, one, rows

REMEMBERED = 50_000  # calls; functions are pure, so a hard recalculation asks again only what is new
LARGEST_REMEMBERED = 256  # cells of a call: a long list is worked out anew rather than kept


def beside(name):
    """A file of the extension."""
    here = uno.fileUrlToSystemPath(__file__) if __file__.startswith("file:") else os.path.abspath(__file__)
    return os.path.join(os.path.dirname(here), name)


with open(beside("xlcalc.json"), encoding="utf-8") as file:
    SETTINGS = json.load(file)
SHAPES = {name: one if name in SETTINGS["words"] else rows for name in SETTINGS["functions"]}
SERVICES = (SETTINGS["service"], "com.sun.star.sheet.AddIn")


def decimal_sign():
    """The sign that Calc puts into a number when it hands it over as text, by the locale of the office."""
    context = uno.getComponentContext()
    create = context.ServiceManager.createInstanceWithContext
    configuration = create("com.sun.star.configuration.ConfigurationProvider", context)
    where = PropertyValue("nodepath", 0, "/org.openoffice.Setup/L10N", 0)
    chosen = configuration.createInstanceWithArguments("com.sun.star.configuration.ConfigurationAccess", (where,))
    name = chosen.ooSetupSystemLocale or system_locale(configuration)
    language, _, country = name.partition("-")
    return create("com.sun.star.i18n.LocaleData", context).getLocaleItem(Locale(language, country, "")).decimalSeparator


def system_locale(configuration):
    """The locale of the machine, as the office found it when it started."""
    where = PropertyValue("nodepath", 0, "/org.openoffice.System/L10N", 0)
    found = configuration.createInstanceWithArguments("com.sun.star.configuration.ConfigurationAccess", (where,))
    return found.SystemLocale or found.Locale or "en-US"


def own_python():
    """The function that answers in this very process, or None: same Python as was tried at setup, and it loads."""
    tried = SETTINGS["own_python"]
    if not tried or tried["version"] != list(sys.version_info[:2]) or tried["bits"] != struct.calcsize("P") * 8:
        return None
    added = [path for path in tried["paths"] if path not in sys.path]
    sys.path.extend(added)  # behind what the office brings along
    try:
        from xlcalc import __version__
        from xlcalc.hosts.calc.answering import answer, ready

        if __version__ == SETTINGS["version"]:
            ready()
            return answer
    except Exception:  # whatever keeps it from loading here does not keep it from working in a process of its own
        pass
    for path in added:
        sys.path.remove(path)
    return None


def size(given):
    """How many cells an argument, or a whole call, holds."""
    return sum(map(size, given)) if isinstance(given, tuple) else 1


class Calls:
    """Answers calls, and remembers what it answered. How it does so is settled at the first call."""

    def __init__(self):
        self._lock = threading.Lock()
        self._ask = None
        self._reader = None
        self._remembered = functools.lru_cache(maxsize=REMEMBERED)(self._answer)

    def answer(self, name, given):
        """Rows of cell values, or one where a function answers words, for arguments as Calc hands them over."""
        if self._reader is None:
            self._begin()
        try:
            return (self._remembered if size(given) <= LARGEST_REMEMBERED else self._answer)(name, given)
        except Silent:
            return SHAPES[name]({"error": "#VALUE!"})

    def _begin(self):
        with self._lock:
            if self._reader is None:
                here = own_python()
                worker = Worker(SETTINGS["command"], SETTINGS["patience"], SETTINGS["first_patience"])
                self._ask = here or worker.ask
                self._reader = Reader(decimal_sign())

    def _answer(self, name, given):
        return SHAPES[name](self._ask(name, self._reader.cells(SETTINGS["functions"][name], given)))


CALLS = Calls()


def method(name):
    """The method of a worksheet function."""

    def asked(_, *given):
        return CALLS.answer(name, given)

    return asked


Functions = type("Functions", (unohelper.Base, XFunctions, XServiceInfo), {
    "__init__": lambda self, context: None,
    "getImplementationName": lambda self: SETTINGS["service"],
    "supportsService": lambda self, name: name in SERVICES,
    "getSupportedServiceNames": lambda self: SERVICES,
    **{name: method(name) for name in SETTINGS["functions"]},
})  # fmt: skip

g_ImplementationHelper = unohelper.ImplementationHelper()
g_ImplementationHelper.addImplementation(Functions, SETTINGS["service"], SERVICES)
