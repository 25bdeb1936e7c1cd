"""Files as they come in: damaged, foreign, made to harm, or merely odd. Each is named, with what is expected of it.

Every file is made by a function without chance or clock, so that a case can be looked at again by its name.
"""

from .carried import CARRIED
from .case import Case
from .cells import CELLS
from .containers import CONTAINERS
from .markup import MARKUP

CASES: dict[str, Case] = {
    f"{group}: {name}": case
    for group, cases in (("package", CONTAINERS), ("xml", MARKUP), ("cells", CELLS), ("carried", CARRIED))
    for name, case in cases.items()
}
