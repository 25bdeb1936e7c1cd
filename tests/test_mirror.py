"""Tests mirror the modules: those of xlcalc/A/B.py stand in tests/A/test_B.py, and exceptions are listed here.

tests/audit is no mirror: it plants faults and measures what an audit finds, and has a command of its own.
"""

import ast
from pathlib import Path

import pytest

TESTS = Path(__file__).parent
MODULES = TESTS.parent / "xlcalc"
LAYERS = ("core", "functions", "workbook", "hosts")
LARGE = 60  # lines of code

WHOLE = {  # test files that belong to no single module: what each covers as a whole
    "workbook/test_bad_files": "named bad and odd files through everything that opens one",
    "workbook/test_disk_faults": "every call of the system that a run makes is made to fail",
    "workbook/test_engine_facts": "what is relied on in the engine that is a package of others",
    "workbook/test_fuzz": "mutated workbooks through reading, working out, writing and explaining",
    "workbook/test_nothing_runs": "no command executes or opens what a workbook names",
    "workbook/test_others_at_work": "two runs at once, and a file that changes during a run",
    "workbook/test_saved_elsewhere": "workbooks as other programs save them",
    "workbook/test_stops": "what keeps a recalculation from ending: circles, refusals, Ctrl-C, faults of functions",
    "workbook/test_where_files_stand": "folders, owners, full disks, links, names, and what is no file",
    "workbook/sheets/test_all_sheets": "what holds on every sheet of the two shipped workbooks",
    "workbook/sheets/test_cooling_words": "every word of the Checks of Cooling, beside its figures in test_cooling",
    "workbook/sheets/test_pages": "how all sheets open and print",
    "workbook/sheets/test_parts_words": "what rows of Parts and Prices say, beside their figures in test_parts",
    "workbook/audit/rules/test_figures_and_method": "one cell of a job is changed: one rule says so, no other",
    "workbook/audit/rules/test_shops_own_sheets": "rules on small sheets that no template knows",
    "workbook/audit/rules/test_whole_book": "rules on settings, names, lists and the stamp of a job",
    "hosts/test_program": "the program as a process of its own",
    "hosts/calc/test_beside": "real Calc with a worker beside it",
}

ELSEWHERE = {  # test file: the large modules, with their parts, that have no test file of their name; it tries them
    "test_docstrings": ["core/help_text"],
    "test_generated": ["hosts/handbook", "workbook/audit/known/template"],
    "core/test_kinds": ["core/quantities"],
    "functions/test_breathers": ["functions/air_line"],
    "functions/test_flow": ["functions/fittings", "functions/line"],
    "functions/test_hoses": ["functions/hose"],
    "functions/test_properties": ["functions/fluid", "functions/laws"],
    "functions/test_routing": ["functions/supports"],
    "workbook/audit/rules/test_figures_and_method": [
        "workbook/audit/book", "workbook/audit/evidence/cited", "workbook/audit/evidence/peers",
        "workbook/audit/rules/belongs", "workbook/audit/rules/figures", "workbook/audit/rules/lookups",
        "workbook/audit/rules/swallowed",
    ],
    "workbook/audit/rules/test_columns": ["workbook/audit/differences", "workbook/audit/reading/patterns"],
    "workbook/audit/rules/test_known_formulas": [
        "workbook/audit/known/canonical", "workbook/audit/known/matching", "workbook/audit/rules/table_rows",
    ],
    "workbook/audit/rules/test_ranges": ["workbook/audit/rules/pasted"],
    "workbook/audit/rules/test_shops_own_sheets": ["workbook/audit/rules/misplaced", "workbook/audit/rules/picked"],
    "workbook/audit/rules/test_whole_book": [
        "workbook/audit/evidence/allowed", "workbook/audit/rules/__init__", "workbook/audit/rules/names",
        "workbook/audit/rules/settings", "workbook/audit/rules/validation",
    ],
    "workbook/audit/since/test_since": [
        "workbook/audit/since/book_changes", "workbook/audit/since/formula_changes",
        "workbook/audit/since/pairing", "workbook/audit/since/same_formula", "workbook/audit/since/typed_changes",
    ],
    "workbook/sheets/test_all_sheets": ["workbook/building/charts"],  # as they stand in the shipped workbooks
    "workbook/sheets/test_fluids": ["workbook/sheets/hoses"],
    "workbook/sheets/test_lines": ["workbook/building/checks", "workbook/demo", "workbook/sheets/start"],
    "workbook/sheets/test_pages": ["workbook/building/style"],
    "workbook/sheets/test_parts": ["workbook/sheets/order"],
    "workbook/sheets/test_parts_words": ["workbook/sheets/prices"],
    "workbook/sheets/test_printed": ["workbook/sheets/selfcheck"],
    "workbook/sheets/test_routes": ["workbook/sheets/fittings"],
    "workbook/test_bad_files": ["workbook/file/archive", "workbook/calculation/legible", "workbook/file/parts"],
    "workbook/file/test_atomic": ["workbook/file/repacked"],
    "workbook/explained/test_explain": ["workbook/explained/workings"],
    "workbook/test_formulas": ["workbook/calculation/facts"],
    "workbook/explained/test_labels": ["workbook/explained/headers"],
    "workbook/calculation/test_links": ["workbook/calculation/written"],
    "workbook/calculation/test_recalc": [
        "workbook/calculation/engine", "workbook/calculation/exchange", "workbook/calculation/prepare",
        "workbook/file/cell_index", "workbook/file/cells", "workbook/file/values",
    ],
    "workbook/test_stops": ["workbook/calculation/settle", "workbook/calculation/stuck"],
    "workbook/test_template": ["workbook/building/blocks", "workbook/building/rows", "workbook/building/saving"],
    "hosts/test_cli": ["hosts/arguments"],
    "hosts/calc/test_office": ["hosts/calc/component/addin"],
    "hosts/commands/test_compare": ["workbook/copies/compare"],
    "hosts/commands/test_doctor": ["hosts/diagnosis"],
    "hosts/commands/test_evaluate": ["hosts/commands/formula_slips"],
    "hosts/commands/test_revise": ["workbook/copies/revise"],
    "hosts/commands/test_setup_calc": ["hosts/calc/diagnosis", "hosts/calc/install"],
    "hosts/commands/test_setup_excel": ["hosts/excel/place"],
}  # fmt: skip
MOST_ELSEWHERE = 74


def named(file: Path, root: Path) -> str:
    return file.relative_to(root).with_suffix("").as_posix()


def lines_of_code(file: Path) -> int:
    """Lines that are no docstring, no comment and not blank."""
    text = file.read_text(encoding="utf-8")
    told: set[int] = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str):
            told |= set(range(node.lineno, (node.end_lineno or node.lineno) + 1))
    lines = [line.strip() for place, line in enumerate(text.splitlines(), start=1) if place not in told]
    return sum(bool(line) and not line.startswith("#") for line in lines)


FILES = {named(file, MODULES): file for layer in LAYERS for file in (MODULES / layer).rglob("*.py")}
HELD = {named(file, TESTS): file for file in TESTS.rglob("test_*.py")}


def itself_and_wholes(module: str) -> list[str]:
    """A module, and the modules that it is a part of by its name: quote_money is a part of the sheet quote."""
    place, _, name = module.rpartition("/")
    words = name.split("_")
    longest_first = [f"{place}/{'_'.join(words[:count])}" for count in range(len(words), 0, -1)]
    return [each for each in longest_first if each in FILES]


def file_for(module: str) -> str:
    place, _, name = module.rpartition("/")
    return f"{place}/test_{name}"


LISTED = {module for modules in ELSEWHERE.values() for module in modules}


@pytest.mark.parametrize("name", [name for name in HELD if name.partition("/")[0] in LAYERS])
def test_a_test_file_is_named_after_its_module_or_covers_a_whole(name: str) -> None:
    place, _, last = name.rpartition("/")
    mirrored = f"{place}/{last.removeprefix('test_')}" in FILES
    assert mirrored or name in WHOLE, f"no module for {name}: name it after one, or say in WHOLE what it covers"
    assert not (mirrored and name in WHOLE), f"{name} has a module: take it out of WHOLE"


def test_every_large_module_has_its_tests() -> None:
    without = {
        module
        for module, file in FILES.items()
        if not any(file_for(each) in HELD for each in itself_and_wholes(module)) and lines_of_code(file) > LARGE
    }
    new = sorted(module for module in without if LISTED.isdisjoint(itself_and_wholes(module)))
    wanted = [f"tests/{file_for(module)}.py" for module in new]
    assert new == [], f"write {wanted}, or move the entries in ELSEWHERE along with their modules"
    assert sorted(LISTED - without) == [], "these have tests of their own, or are small or gone: take them out"
    assert len(LISTED) <= MOST_ELSEWHERE, "the list ELSEWHERE only shrinks: give the module tests under its name"


def test_what_the_lists_name_is_there() -> None:
    assert sorted({*WHOLE, *ELSEWHERE} - HELD.keys()) == [], "there are no such test files"


@pytest.mark.parametrize("name", HELD)
def test_a_test_file_begins_with_a_sentence_on_what_it_holds(name: str) -> None:
    said = ast.get_docstring(ast.parse(HELD[name].read_text(encoding="utf-8")))
    assert said, f"tests/{name}.py does not say what it holds"
