"""The worksheet functions by name, in the order of their families."""

from collections.abc import Mapping
from functools import lru_cache
from importlib import import_module
from types import MappingProxyType
from typing import NamedTuple

from xlcalc.core.declaration import Declaration
from xlcalc.core.errors import DeclarationError
from xlcalc.core.words import nearest


class Family(NamedTuple):
    """A family of functions: what a person calls it, and its modules in xlcalc/functions."""

    words: str
    modules: tuple[str, ...]


FAMILIES: Mapping[str, Family] = {
    "flow": Family("Flow and bore", ("flow", "line", "suction", "conversion")),
    "properties": Family("Fluids and air", ("properties",)),
    "hoses": Family("Hoses", ("hoses",)),
    "routing": Family("Routing and supports", ("routing",)),
    "breathers": Family("Breathers and tanks", ("breathers",)),
    "vacuum": Family("Vacuum", ("vacuum",)),
    "cooling": Family("Cooling and heat", ("cooling",)),
    "testing": Family("Test, torque, price", ("testing",)),
    "about": Family("About an answer", ("about",)),
}
"""By the names of the families, in the order in which a person reads them."""

_FAMILY_OF = {module: name for name, family in FAMILIES.items() for module in family.modules}
_declared: dict[str, Declaration] = {}


def family_of(module: str) -> str:
    """Family of a module of xlcalc/functions; a module outside the list is a family of its own."""
    return _FAMILY_OF.get(module, module)


def add(made: Declaration) -> None:
    """Take a declaration in. Raises DeclarationError where another function has the name already."""
    earlier = _declared.get(made.name)
    if earlier is not None and _written(earlier) != _written(made):
        raise DeclarationError(f"{made.name} is declared twice, as {_written(earlier)} and as {_written(made)}")
    _declared[made.name] = made


def _written(made: Declaration) -> str:
    """Where a function stands: the same place again is a module loaded anew."""
    return f"{made.function.__module__}.{made.function.__qualname__}"


@lru_cache(1)
def functions() -> Mapping[str, Declaration]:
    """Worksheet name -> declaration, in the order of the families; a mapping that cannot be changed.

    >>> functions()["LINE_VELOCITY"].signature
    'LINE_VELOCITY(flow, bore, [unit])'
    >>> [(arg.name, arg.unit, arg.required) for arg in functions()["LINE_VELOCITY"].workshop_args]
    [('flow', 'L/min', True), ('bore', 'mm', True)]
    """
    for module in _FAMILY_OF:
        import_module(f"xlcalc.functions.{module}")
    families = list(FAMILIES)
    order = sorted(
        (made for made in _declared.values() if made.family in FAMILIES), key=lambda made: families.index(made.family)
    )
    return MappingProxyType({made.name: made for made in order})


def find(name: str) -> Declaration | str:
    """The declaration of a worksheet name in any case, or the sentence that says what was meant.

    >>> find("line_velocity").name, find("LINE_VELOCITI")
    ('LINE_VELOCITY', "'LINE_VELOCITI' is not a function of xlcalc: did you mean LINE_VELOCITY?")
    """
    known = functions()
    if (made := known.get(name.strip().upper())) is not None:
        return made
    return f"{name.strip()[:60]!r} is not a function of xlcalc{nearest(name.strip(), known)}"
