"""The rules of the audit, in the order in which they are asked."""

from collections.abc import Callable, Iterable, Sequence

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding
from xlcalc.workbook.audit.rules.arithmetic import stale_values
from xlcalc.workbook.audit.rules.belongs import wrong_fluids
from xlcalc.workbook.audit.rules.figures import cited_figures
from xlcalc.workbook.audit.rules.gallons import odd_gallons, odd_gallons_of_the_job
from xlcalc.workbook.audit.rules.lookups import double_rows, next_best
from xlcalc.workbook.audit.rules.method import close_to_the_end, fluids_in_formulas, outside_its_method
from xlcalc.workbook.audit.rules.names import moved_names, uneven_names
from xlcalc.workbook.audit.rules.outliers import lengths_apart, money_by_itself, other_units, unusual_job
from xlcalc.workbook.audit.rules.picked import not_in_list
from xlcalc.workbook.audit.rules.settings import (
    external_links,
    hidden_sheets,
    iteration,
    manual_calculation,
    shown_precision,
)
from xlcalc.workbook.audit.rules.spelling import addin_paths
from xlcalc.workbook.audit.rules.stamps import stamps
from xlcalc.workbook.audit.rules.swallowed import lone_errors, swallowed_errors, typed_checks
from xlcalc.workbook.audit.rules.validation import lost_validation

Rule = Callable[[Book], Iterable[Finding]]
"""Looks at a book and gives what it found."""

RULES: Sequence[Rule] = (
    stale_values,
    moved_names,
    uneven_names,
    manual_calculation,
    shown_precision,
    iteration,
    external_links,
    hidden_sheets,
    addin_paths,
    lost_validation,
    stamps,
    cited_figures,
    not_in_list,
    next_best,
    double_rows,
    odd_gallons,
    odd_gallons_of_the_job,
    other_units,
    unusual_job,
    money_by_itself,
    lengths_apart,
    outside_its_method,
    fluids_in_formulas,
    close_to_the_end,
    swallowed_errors,
    typed_checks,
    lone_errors,
    wrong_fluids,
)
