"""A call that must be refused, and what is said then."""

from typing import Any

import pytest

from xlcalc import CalcError, call


def refused(name: Any, *cells: object) -> tuple[str, str]:
    """Code and sentence of the error that a call gives; a call that answers fails the test."""
    with pytest.raises(CalcError) as caught:
        call(name, *cells)
    return caught.value.code, str(caught.value)
