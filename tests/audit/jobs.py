"""Jobs as a shop would type them: plausible lines of every kind, seeded, in as many vehicles as are asked for.

Every vehicle is the demo's with other figures; figures come as numbers and as text with a unit, as people type them.
"""

from collections.abc import Mapping
from random import Random

from xlcalc.workbook.building.job import Job
from xlcalc.workbook.demo import demo_job

Row = dict[str, object]
HOSES = {
    "PS-1": ("wire braid rubber -6", "wire braid rubber -8"),
    "PS-2": ("NBR fuel 12.7", "textile -8"),
    "PS-3": ("return hose 9.5", "return hose 12.7", "return hose 16"),
    "GB-1": ("PTFE braid -8", "PTFE braid -10", "textile -8"),
    "GB-2": ("textile -6", "textile -8", "PTFE braid -12"),
    "FU-1": ("NBR fuel 9.5", "NBR fuel 12.7"),
    "FU-2": ("PTFE conductive -6", "PTFE conductive -5"),
    "FU-3": ("PTFE conductive -5", "PTFE conductive -6"),
    "FU-4": ("NBR fuel 9.5", "NBR fuel 12.7"),
    "VA-1": ("vacuum brake hose 7.9", "vacuum brake hose 9.5"),
    "VA-2": ("vacuum brake hose 7.9", "vacuum brake hose 9.5"),
    "VA-3": ("vacuum brake hose 11.1", "vacuum brake hose 9.5"),
    "BR-1": ("PTFE braid -6", "PTFE braid -8"),
    "BR-2": ("PTFE braid -6", "PTFE braid -8"),
    "BR-3": ("PTFE braid -12", "PTFE braid -10"),
    "CO-1": ("EPDM 19", "EPDM 16"),
    "CO-2": ("EPDM 19", "EPDM 16"),
}
TEXTS = {  # how a figure may be typed with another unit, and what the header's unit is worth in it
    "flow": (("US gpm", 0.264172), ("imp gpm", 0.219969), ("L/min", 1.0)),
    "highest": (("psi", 0.145038), ("bar", 0.01), ("kPa", 1.0)),
    "length": (("ft", 3.28084), ("mm", 1000.0), ("in", 39.3701)),
    "gap": (("in", 0.0393701), ("mm", 1.0)),
}
TYPED_AS_TEXT = 0.12


def filled_job(lines: int, others: int, room: int, seed: int = 1) -> Job:
    """A job with so many lines, and with Routes, Options and Testing for the first `others` of them."""
    demo, random = demo_job(), Random(seed)
    rows = [line(random, demo.lines, place) for place in range(lines)]
    names = [str(row["line"]) for row in rows]
    tables = {name: [dict(row) for row in table] for name, table in demo.tables.items()}
    by_name = {table: {str(row["line"]): row for row in tables[table]} for table in ("routes", "tests")}
    routed, tested = by_name["routes"], by_name["tests"]
    tables["routes"] = [
        route(random, name, routed[kind]) for name in names[:others] if (kind := kind_of(name)) in routed
    ]
    tables["tests"] = [tested[kind_of(name)] | {"line": name} for name in names[:others]]
    tables["options"] = [
        row | {"line": name}
        for name in names[: others // 2]
        for row in tables["options"]
        if row["line"] == kind_of(name)
    ]
    first = {kind_of(name): name for name in reversed(names)}
    for table in ("airlines", "servos", "tees", "circuits", "readings", "variations", "service", "tanks"):
        tables[table] = [renamed(row, first) for row in tables[table]]
    return Job(demo.start, rows, demo.fluids, demo.hoses, invented=True, room=room, tables=tables)


def kind_of(name: str) -> str:
    """`PS-1` for `PS-1` and `PS-1.7`: a line of the seventh vehicle is named after it."""
    return name.partition(".")[0]


def line(random: Random, archetypes: object, place: int) -> Row:
    """A line: the demo's line of its kind with figures of its own."""
    kinds = list(archetypes)  # type: ignore[call-overload]
    vehicle, which = divmod(place, len(kinds))
    row = dict(kinds[which])
    kind = str(row["line"])
    if vehicle:
        row["line"], row["circuit"] = f"{kind}.{vehicle}", f"{row['circuit']}.{vehicle}"
    row["hose"] = random.choice(HOSES[kind])
    for key, spread in (("flow", 0.25), ("length", 0.35), ("highest", 0.15), ("hottest", 0.04)):
        row[key] = figure(random, float(row[key]), spread)  # type: ignore[arg-type]
    row["ends"] = "clamps" if "hose" in str(row["hose"]) or "EPDM" in str(row["hose"]) else row["ends"]
    if isinstance(row.get("gap"), float):
        row["gap"] = float(random.choice((60, 80, 110, 130, 150, 180, 220)))
        row["shield"] = "sleeve" if row["gap"] < 100 else "none"  # type: ignore[operator]
    for key, units in TEXTS.items():
        value = row.get(key)
        if isinstance(value, float) and value and random.random() < TYPED_AS_TEXT:
            unit, worth = random.choice(units)
            row[key] = f"{value * worth:.3g} {unit}" if value * worth < 1000 else f"{value * worth:.0f} {unit}"
    return row


def figure(random: Random, value: float, spread: float) -> float:
    """A figure near another, rounded as people round."""
    drawn = value * random.uniform(1 - spread, 1 + spread)
    return round(drawn, 2) if abs(drawn) < 10 else round(drawn, 1) if abs(drawn) < 100 else float(round(drawn, -1))


def route(random: Random, name: str, row: Mapping[str, object]) -> Row:
    """A route of a line after the demo's."""
    return {**row, "line": name, "centres": float(round(float(row["centres"]) * random.uniform(0.8, 1.2), -1))}  # type: ignore[arg-type]


def renamed(row: Mapping[str, object], names: Mapping[str, str]) -> Row:
    """A row with the lines of the demo called as in this job."""
    return {key: names.get(value, value) if isinstance(value, str) else value for key, value in row.items()}
