"""Find the cells at which an error begins that no file can hold, among all the cells that it reached.

An error such as `Circ` runs on into every cell that depends on it. The cells at fault are those that
depend on no other such cell, or only on one another: the circles.
"""

from collections.abc import Hashable, Iterable, Mapping, Sequence

from xlcalc.workbook.calculation.engine import Engine
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.formulas import Reference, references

MOST_STEPS = 2_000_000  # beyond this the search costs more than it tells

Node = Hashable


def origins(engine: Engine, stuck: Sequence[Place]) -> list[Place] | None:
    """The cells at fault among `stuck`; None when the engine cannot say what depends on what."""
    graph = dependencies(engine, stuck)
    if graph is None:
        return None
    found: list[Place] = []
    for group in groups(graph):
        inside = set(group)
        if all(inside.issuperset(graph[member]) for member in group):
            found += [node for node in group if isinstance(node, tuple)]
    return found


def dependencies(engine: Engine, stuck: Sequence[Place]) -> dict[Node, list[Node]] | None:
    """What each stuck cell depends on among the stuck cells. An area of several cells is a node of its own."""
    by_row: dict[tuple[str, int], list[int]] = {}
    for sheet, row, column in stuck:
        by_row.setdefault((sheet, row), []).append(column)
    rows_of: dict[str, list[int]] = {}
    for sheet, row in by_row:
        rows_of.setdefault(sheet, []).append(row)
    graph: dict[Node, list[Node]] = {where: [] for where in stuck}
    areas: dict[Node, list[Node]] = {}
    steps = 0
    for where in stuck:
        looked_at = engine.looks_at(*where)
        if looked_at is None or steps > MOST_STEPS:
            return None
        for area in (area for text in looked_at for area in references(text)):
            sheet = area.sheet or where[0]
            node: Node = (sheet, area.top, area.left)
            if (area.top, area.left) == (area.bottom, area.right):
                feeds = [node] if node in graph else []
            else:
                node = f"{sheet}!{area.text}"
                if node not in areas:
                    areas[node] = list(cells_in(area, sheet, by_row, rows_of.get(sheet, ())))
                    steps += len(areas[node]) + len(rows_of.get(sheet, ()))
                feeds = [node] if areas[node] else []
            graph[where] += feeds
    return graph | {node: feeds for node, feeds in areas.items() if feeds}


def cells_in(
    area: Reference, sheet: str, by_row: Mapping[tuple[str, int], Sequence[int]], rows: Iterable[int]
) -> Iterable[Place]:
    """The stuck cells in an area."""
    for row in rows:
        if area.top <= row <= area.bottom:
            yield from ((sheet, row, column) for column in by_row[sheet, row] if area.left <= column <= area.right)


def groups(graph: Mapping[Node, Sequence[Node]]) -> list[list[Node]]:
    """The nodes of a graph in groups that reach one another (Tarjan's strongly connected components)."""
    order: dict[Node, int] = {}
    lowest: dict[Node, int] = {}
    pending: list[Node] = []
    on_stack: set[Node] = set()
    found: list[list[Node]] = []
    for root in graph:
        if root in order:
            continue
        path = [(root, iter(graph[root]))]
        order[root] = lowest[root] = len(order)
        pending.append(root)
        on_stack.add(root)
        while path:
            node, following = path[-1]
            for after in following:
                if after not in order:
                    order[after] = lowest[after] = len(order)
                    pending.append(after)
                    on_stack.add(after)
                    path.append((after, iter(graph[after])))
                    break
                if after in on_stack:
                    lowest[node] = min(lowest[node], order[after])
            else:
                path.pop()
                if path:
                    lowest[path[-1][0]] = min(lowest[path[-1][0]], lowest[node])
                if lowest[node] == order[node]:
                    group: list[Node] = []
                    while not group or group[-1] != node:
                        group.append(pending.pop())
                        on_stack.discard(group[-1])
                    found.append(group)
    return found
