"""Imports point one way, heavy packages load when first needed, and each outside world has one door."""

import ast
import subprocess
import sys
from collections.abc import Iterable
from functools import cache
from pathlib import Path

import pytest

import xlcalc

ROOT = Path(xlcalc.__file__).parent
LAYERS = ("core", "functions", "workbook", "hosts")  # each may use itself and those before it
ROOMS = ("file", "calculation", "explained", "copies", "building", "sheets", "audit")
"""Those of the workbook, likewise."""

HEAVY = ("pint", "numpy", "fluids", "openpyxl", "formualizer", "scipy", "pandas", "xlwings",
         "pyopenvba")  # fmt: skip
DOORS = {  # who may import what, anywhere in the module
    "pint": {"core.unit_sizes"},
    "fluids": {"core.solve", "functions.air", "functions.friction"},
    "formualizer": {"workbook.calculation.engine"},
    "csv": {"core.datafiles"},
    "zipfile": {
        "workbook.file.archive",
        "workbook.calculation.engine",
        "workbook.building.saving",
        "workbook.template",
        "hosts.calc.extension",
        "hosts.excel.addin",
    },  # the last five only write or settle our own
    "importlib": {
        "core.datafiles", "core.registry", "__init__", "hosts.diagnosis", "hosts.commands.doctor", "hosts.excel.machine"
    },
    "xlwings": {"hosts.excel.serve"},
    "pyopenvba": {"hosts.excel.addin"},
    "winreg": {"hosts.excel.machine"},
    "ctypes": {"hosts.excel.machine"},
    "numpy": set(),
    "scipy": set(),
    "pandas": set(),
}


FILES = {".".join(file.relative_to(ROOT).with_suffix("").parts): file for file in sorted(ROOT.rglob("*.py"))}


@cache
def nodes() -> dict[str, list[ast.AST]]:
    """Every piece of every module, read when the first test asks for it."""
    return {name: list(ast.walk(ast.parse(file.read_text(encoding="utf-8")))) for name, file in FILES.items()}


def imported(nodes: Iterable[ast.AST]) -> set[str]:
    """Modules, and names of modules of ours, that import statements name."""
    found: set[str] = set()
    for node in nodes:
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            module = f"xlcalc.{node.module or ''}" if node.level else str(node.module)
            found |= {module, *(f"{module}.{alias.name}" for alias in node.names)}
    return found


@cache
def packages() -> dict[str, set[str]]:
    """The packages that each module imports."""
    return {name: {each.split(".")[0] for each in imported(held)} for name, held in nodes().items()}


@cache
def uses() -> dict[str, set[str]]:
    """The modules of ours that each module imports."""
    return {
        name: {each.removeprefix("xlcalc.") for each in imported(held) if each.removeprefix("xlcalc.") in FILES}
        for name, held in nodes().items()
    }


def layer(module: str) -> int | None:
    first = module.partition(".")[0]
    return LAYERS.index(first) if first in LAYERS else None


@pytest.mark.parametrize("name", [name for name in FILES if layer(name) is not None])
def test_imports_point_one_way(name: str) -> None:
    own = layer(name)
    assert own is not None
    for used in uses()[name]:
        other = layer(used)
        assert other is not None, f"{name} uses {used}"
        assert other <= own, f"{name} uses {used}, which stands above it"


def room(module: str) -> int:
    """Where a module of the workbook stands in `ROOMS`; -1 for one that every room may use."""
    parts = module.split(".")
    return ROOMS.index(parts[1]) if len(parts) > 2 and parts[0] == "workbook" and parts[1] in ROOMS else -1


@pytest.mark.parametrize("rooms", ROOMS)
def test_the_rooms_of_the_workbook_use_those_before_them(rooms: str) -> None:
    own = ROOMS.index(rooms)
    above = {name: [used for used in uses()[name] if room(used) > own] for name in FILES if room(name) == own}
    assert above, f"there is no workbook/{rooms}"
    assert not any(above.values()), f"these use rooms that stand above theirs: {above}"


def test_no_module_needs_itself() -> None:
    done: set[str] = set()

    def visit(name: str, path: tuple[str, ...]) -> None:
        assert name not in path, " -> ".join((*path[path.index(name) :], name))
        if name not in done:
            for used in uses()[name] - {name}:
                visit(used, (*path, name))
            done.add(name)

    for name in FILES:
        visit(name, ())


@pytest.mark.parametrize("package", DOORS)
def test_each_outside_world_has_its_door(package: str) -> None:
    users = {name for name, found in packages().items() if package in found}
    assert users - DOORS[package] == set(), f"these import {package}, which is for {DOORS[package] or 'nobody'}"


def test_only_the_workbook_and_its_hosts_know_openpyxl() -> None:
    for name, found in packages().items():
        if "openpyxl" in found:
            assert layer(name) in (LAYERS.index("workbook"), LAYERS.index("hosts")), name


def test_only_one_module_opens_a_workbook_of_a_person() -> None:
    words = {name: {node.attr if isinstance(node, ast.Attribute) else node.id
                    for node in held if isinstance(node, ast.Attribute | ast.Name)}
             for name, held in nodes().items()}  # fmt: skip
    assert [name for name, used in words.items() if "load_workbook" in used] == []
    assert users_of("workbook.file.parts") == ["workbook.file.package"]
    assert users_of("workbook.file.archive") == ["workbook.file.parts", "workbook.file.repacked"]
    assert users_of("workbook.file.repacked") == ["workbook.file.parts"]


def users_of(module: str) -> list[str]:
    return [name for name, used in uses().items() if module in used]


def test_only_one_module_opens_data_files_and_no_function_opens_any() -> None:
    for name, held in nodes().items():
        calls = {ast.unparse(node.func) for node in held if isinstance(node, ast.Call)}
        opens = {call for call in calls if call == "open" or call.endswith((".open", ".read_text", ".read_bytes"))}
        if layer(name) in (LAYERS.index("core"), LAYERS.index("functions")):
            assert not opens or name == "core.datafiles", f"{name}: {opens}"


def loaded_by(code: str) -> set[str]:
    asked = f"import sys; {code}; print(*{{name.split('.')[0] for name in sys.modules}})"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


@pytest.mark.parametrize(
    "code",
    ["import xlcalc", "import xlcalc.hosts.cli", "import xlcalc.workbook.calculation.recalc",
     "import xlcalc.workbook.audit.audit", "import xlcalc.workbook.explained.explain"],
)  # fmt: skip
def test_what_loads_light(code: str) -> None:
    assert loaded_by(code) & set(HEAVY) == set(), f"`{code}` loads what is heavy"


def test_a_function_loads_what_it_needs_and_no_more() -> None:
    heavy = loaded_by("import xlcalc; xlcalc.call('BORE_FOR_FLOW', 8, 3)") & set(HEAVY)
    assert "fluids" in heavy
    assert heavy & {"pint", "openpyxl", "formualizer", "pandas", "xlwings"} == set(), "one function loads these"


def test_no_declaration_and_no_example_needs_more_units_than_the_table_holds() -> None:
    assert "pint" not in loaded_by("from xlcalc.core.registry import functions; functions()")
