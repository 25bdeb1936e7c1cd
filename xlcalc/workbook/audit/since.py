"""What changed in the audit of a book since an older copy of it: findings that are new, and those that are gone."""

from typing import NamedTuple

from xlcalc.workbook.audit.audit import Audit
from xlcalc.workbook.audit.finding import Finding


class Since(NamedTuple):
    """Findings that are new, those that are gone, and those that were there before."""

    new: dict[str, Finding]
    gone: dict[str, Finding]
    still: dict[str, Finding]


def since(old: Audit, new: Audit) -> Since:
    """Compare two audits of the same book; what was accepted in the meantime is gone."""
    fresh = {code: each for code, each in new.findings.items() if code not in old.findings}
    still = {code: each for code, each in new.findings.items() if code in old.findings}
    gone = {code: each for code, each in old.findings.items() if code not in new.findings}
    return Since(fresh, gone, still)
