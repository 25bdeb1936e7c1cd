"""The rules of the audit, in the order in which they are asked."""

from collections.abc import Callable, Iterable, Sequence

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding
from xlcalc.workbook.audit.rules.across import figures_apart
from xlcalc.workbook.audit.rules.arithmetic import circles, stale_values
from xlcalc.workbook.audit.rules.belongs import wrong_fluids
from xlcalc.workbook.audit.rules.bores import bores_apart
from xlcalc.workbook.audit.rules.close import close_to_the_hose
from xlcalc.workbook.audit.rules.columns import column_patterns
from xlcalc.workbook.audit.rules.contradictions import contradictions
from xlcalc.workbook.audit.rules.figures import cited_figures, sources_gone
from xlcalc.workbook.audit.rules.gallons import odd_gallons, odd_gallons_of_the_job
from xlcalc.workbook.audit.rules.headings import changed_units, changed_units_of_forms
from xlcalc.workbook.audit.rules.idle import open_guards, twice_in_a_sum
from xlcalc.workbook.audit.rules.invisible import errors_out_of_sight, invisible_values, scaled_values
from xlcalc.workbook.audit.rules.known_formulas import known_formulas
from xlcalc.workbook.audit.rules.labels import labels_apart, said_again_apart, shares_apart
from xlcalc.workbook.audit.rules.lookups import double_keys, double_rows, next_best
from xlcalc.workbook.audit.rules.method import close_to_the_end, fluids_in_formulas, outside_its_method
from xlcalc.workbook.audit.rules.misplaced import misplaced_figures
from xlcalc.workbook.audit.rules.names import lost_names, moved_names, shifted_names, uneven_names
from xlcalc.workbook.audit.rules.outliers import lengths_apart, limits_apart, money_by_itself, other_units, unusual_job
from xlcalc.workbook.audit.rules.pasted import nudged, pasted_values
from xlcalc.workbook.audit.rules.picked import misspelled_items, not_in_list
from xlcalc.workbook.audit.rules.ranges import counted_twice, misplaced_areas, rows_left_out, text_numbers
from xlcalc.workbook.audit.rules.references import nothing_there
from xlcalc.workbook.audit.rules.settings import (
    external_links,
    hidden_sheets,
    iteration,
    manual_calculation,
    other_calendar,
    shown_precision,
)
from xlcalc.workbook.audit.rules.shadows import called_like_functions, names_of_sheets
from xlcalc.workbook.audit.rules.sideways import row_patterns
from xlcalc.workbook.audit.rules.slips import slipped_references
from xlcalc.workbook.audit.rules.sorting import sorted_beside_operations, sorted_in_part
from xlcalc.workbook.audit.rules.spelling import addin_paths
from xlcalc.workbook.audit.rules.stamps import stamps
from xlcalc.workbook.audit.rules.swallowed import lone_errors, swallowed_errors, typed_checks
from xlcalc.workbook.audit.rules.table_rows import counted_out_of_sight, rows_outside
from xlcalc.workbook.audit.rules.together import units_together
from xlcalc.workbook.audit.rules.torn import held_otherwise, torn_prices, torn_sizes, torn_words
from xlcalc.workbook.audit.rules.torn_ties import clamped, double_letters, torn_ties
from xlcalc.workbook.audit.rules.twins import copies_apart
from xlcalc.workbook.audit.rules.typed_units import other_kinds
from xlcalc.workbook.audit.rules.units import units_in_sums, units_into_arguments, units_of_answers
from xlcalc.workbook.audit.rules.unseen import hidden_answers, hidden_checks, hidden_columns, hidden_input_rows
from xlcalc.workbook.audit.rules.validation import lost_validation
from xlcalc.workbook.audit.rules.volatile import changing_inputs

Rule = Callable[[Book], Iterable[Finding]]
"""Looks at a book and gives what it found."""

RULES: Sequence[Rule] = (
    stale_values,
    circles,
    known_formulas,
    column_patterns,
    row_patterns,
    copies_apart,
    slipped_references,
    pasted_values,
    nudged,
    rows_left_out,
    misplaced_areas,
    counted_twice,
    twice_in_a_sum,
    open_guards,
    text_numbers,
    counted_out_of_sight,
    hidden_input_rows,
    hidden_columns,
    hidden_checks,
    hidden_answers,
    invisible_values,
    errors_out_of_sight,
    scaled_values,
    rows_outside,
    nothing_there,
    sorted_in_part,
    sorted_beside_operations,
    torn_words,
    torn_prices,
    torn_sizes,
    torn_ties,
    double_letters,
    clamped,
    held_otherwise,
    contradictions,
    misplaced_figures,
    moved_names,
    lost_names,
    shifted_names,
    uneven_names,
    called_like_functions,
    names_of_sheets,
    manual_calculation,
    other_calendar,
    shown_precision,
    iteration,
    external_links,
    hidden_sheets,
    addin_paths,
    changing_inputs,
    lost_validation,
    stamps,
    changed_units,
    changed_units_of_forms,
    units_into_arguments,
    units_of_answers,
    units_in_sums,
    other_kinds,
    cited_figures,
    sources_gone,
    not_in_list,
    misspelled_items,
    next_best,
    double_rows,
    double_keys,
    odd_gallons,
    odd_gallons_of_the_job,
    other_units,
    unusual_job,
    money_by_itself,
    lengths_apart,
    limits_apart,
    labels_apart,
    shares_apart,
    said_again_apart,
    units_together,
    figures_apart,
    bores_apart,
    outside_its_method,
    fluids_in_formulas,
    close_to_the_end,
    close_to_the_hose,
    swallowed_errors,
    typed_checks,
    lone_errors,
    wrong_fluids,
)
