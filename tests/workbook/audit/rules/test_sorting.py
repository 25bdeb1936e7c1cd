"""Columns that were sorted without the rest of their rows."""

from xlcalc.workbook.audit.rules.sorting import sorted_beside_operations, sorted_in_part

from ..sheets import book, places

KINDS = ("PS", "GB", "FU", "CO")
FLOWS = (8.0, 7.5, 3.0, 15.0, 9.0, 6.5, 2.6, 14.0, 8.5, 7.0, 3.1, 16.0)
NAMES = tuple(f"{KINDS[place % 4]}-{1 + place // 4}" for place in range(12))


def lines(names: tuple[str, ...], flows: tuple[float, ...]) -> dict[str, object]:
    cells: dict[str, object] = {"A1": "Line", "B1": "Flow", "C1": "Doubled"}
    for row, (name, flow) in enumerate(zip(names, flows, strict=True), start=2):
        cells |= {f"A{row}": name, f"B{row}": flow, f"C{row}": f"=B{row}*2"}
    return cells


def test_figures_in_order_beside_names_in_theirs_are_found() -> None:
    assert len(places(sorted_in_part(book(lines(NAMES, tuple(sorted(FLOWS))))))) == 12


def test_rows_as_typed_and_rows_sorted_whole_are_no_finding() -> None:
    assert list(sorted_in_part(book(lines(NAMES, FLOWS)))) == []
    both = sorted(zip(FLOWS, NAMES, strict=True))
    assert list(sorted_in_part(book(lines(tuple(name for _, name in both), tuple(flow for flow, _ in both))))) == []


def test_figures_in_order_beside_words_that_still_stand_in_groups_are_found() -> None:
    """Names without a number have no order of their own; the groups of the circuits have."""
    names = ("supply", "return", "drain") * 4
    circuits = [circuit for circuit in ("steering", "gearbox", "fuel", "coolant") for _ in range(3)]
    bores = (6.0, 6.0, 8.0, 8.0, 8.0, 10.0, 10.0, 12.0, 12.0, 12.0, 16.0, 16.0)

    def found(rows: list[tuple[str, str, float]]) -> list[str]:
        cells: dict[str, object] = {"A1": "Line", "B1": "Circuit", "C1": "Bore", "D1": "Doubled"}
        for row, (name, circuit, bore) in enumerate(rows, start=2):
            cells |= {f"A{row}": name, f"B{row}": circuit, f"C{row}": bore, f"D{row}": f"=C{row}*2"}
        return places(sorted_in_part(book(cells)))

    assert found(list(zip(names, circuits, bores, strict=True))) == [f"C{row}" for row in range(2, 14)]
    mixed = (12.0, 6.0, 8.0, 16.0, 8.0, 6.0, 10.0, 12.0, 8.0, 12.0, 10.0, 16.0)
    as_typed = list(zip(names, circuits, mixed, strict=True))
    assert found(as_typed) == []
    assert found(sorted(as_typed, key=lambda each: each[2])) == []


def test_names_in_order_beside_circuits_that_still_stand_in_groups_are_found() -> None:
    """Sorted whole, the circuits would have gone with the names: each kind of name crosses from one into the next."""
    names = [f"{kind}-{place}" for kind in ("PS", "GB", "FU", "CO") for place in (1, 2, 3)]
    each = {"steering": 2, "gearbox": 3, "fuel": 2, "coolant": 3, "vent": 2}
    circuits = [circuit for circuit, count in each.items() for _ in range(count)]
    cells: dict[str, object] = {"A1": "Line", "B1": "Circuit", "C1": "Doubled"}
    for row, (name, circuit) in enumerate(zip(sorted(names), circuits, strict=True), start=2):
        cells |= {f"A{row}": name, f"B{row}": circuit, f"C{row}": f'=B{row}&"x"'}
    assert places(sorted_in_part(book(cells))) == [f"A{row}" for row in range(2, 14)]
    along = dict(zip(("PS", "GB", "FU", "CO"), ("steering", "gearbox", "fuel", "coolant"), strict=True))
    whole = cells | {f"B{row}": along[name[:2]] for row, name in enumerate(sorted(names), start=2)}
    assert list(sorted_in_part(book(whole))) == []


LABOUR = {"measure": 1.5, "cut and build": 0.2, "holes and grommets": 0.3, "clips": 0.05, "sleeves": 0.25,
          "adaptors": 0.15, "install": 0.35, "fill and bleed": 0.4, "test": 0.5}  # fmt: skip


def test_hours_in_order_beside_the_operations_of_a_new_quote_are_found() -> None:
    def found(rows: list[tuple[str, float]]) -> list[str]:
        cells: dict[str, object] = {"A1": "Operation", "B1": "Check", "C1": "Hours each"}
        for row, (name, hours) in enumerate(rows, start=2):
            cells |= {f"A{row}": name, f"B{row}": f'=IF(C{row}="","","Within limits")', f"C{row}": hours}
        return places(sorted_beside_operations(book(cells)))

    assert found(list(LABOUR.items())) == []
    assert found(sorted(LABOUR.items(), key=lambda each: each[1])) == []
    assert found([(name, 0.5) for name in LABOUR]) == []
    alone = list(zip(LABOUR, sorted(LABOUR.values()), strict=True))
    assert found(alone) == [f"C{row}" for row in range(2, 11)]
