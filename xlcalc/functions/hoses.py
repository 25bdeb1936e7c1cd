"""Hoses: what the table says of one, what it bears, which size to take, how to cut it from the roll."""

from collections.abc import Sequence
from dataclasses import replace

from xlcalc.core.declare import Answer, Arg, example, worksheet_function
from xlcalc.core.errors import NoAnswer, OutOfRange, WrongKind
from xlcalc.core.evaluate import BLANK
from xlcalc.core.kinds import ListOf, Text, Word
from xlcalc.core.quantities import Count, Quantity
from xlcalc.core.units import Unit
from xlcalc.core.words import shown
from xlcalc.functions.arguments import FLUID, HOSE, PRESSURE, TEMPERATURE
from xlcalc.functions.fluid import Fluid
from xlcalc.functions.hose_check import verdict
from xlcalc.functions.hose_limits import BY_LINER, Derating, liner_match, pressure_limit
from xlcalc.functions.hose_sizes import next_size, sizes_listed, sizes_of_the_table
from xlcalc.functions.hose_value import Hose
from xlcalc.functions.packing import pack, tell
from xlcalc.functions.wording import refuse_swapped, said

TABLE = ("AC43-9-3", "J189", "CFR49-571-106", "MEM", "PRACTICE")
HOSE_CAUTION = (
    "The maker's figures for the hose at hand go first. Steering, fuel and brake assistance can kill; "
    "hydraulic brake lines are out of scope."
)
FUEL_CAUTION = "Petrol, E10 and E85 in PTFE want the conductive liner: HOSE_CHECK looks at that, this answer does not."
UNDER_VACUUM = "give 0 for a line under vacuum, and vacuum or suction as its use"
ENDS = Arg("Ends", Word("crimped", "clamps", "reusable"), default="crimped")
USE = Arg("Use", Word("pressure", "suction", "return", "vent", "vacuum", "coolant"))
FAMILY = Text("a hose family", "PTFE braid")
SIZE = Text("a hose size", "-6")
COLUMN = Arg("Column", ListOf(SIZE), default="", help="of the workbook's own hoses, all three of one height")
LENGTHS = Arg("Cut lengths", ListOf(Quantity("mm", 1, 500_000)), help="one cell a piece")
ROLL_LENGTH = Arg("Roll length", "m", 0.1, 500)
LOSS_PER_CUT = Arg("Loss per cut", "mm", 0, 50, default=3)
CUT_OFF = Arg("Cut-off", "mm", 0, 500, help="how far the end reaches beyond the hose, from its maker")


class HighestPressure(Quantity):
    """The highest pressure of a line above the atmosphere; a line under vacuum has 0."""

    def check_unit(self, said: Unit, text: str) -> None:
        if said.flavour == "vacuum" and said.dimension == self.unit.dimension:
            raise WrongKind(f"{shown(text)} is a vacuum: {UNDER_VACUUM}")
        super().check_unit(said, text)

    def outside(self, given: float, said: str) -> str:
        sentence = super().outside(given, said)
        return f"{sentence}: {UNDER_VACUUM}" if given < 0 else sentence


HIGHEST = Arg("Highest pressure", HighestPressure("kPa", PRESSURE.low, PRESSURE.high), help="above the atmosphere")


@worksheet_function(
    "HOSE_BORE",
    args={"hose": HOSE},
    answer=Answer("Bore of the hose", "mm"),
    sources=TABLE,
    example=example("wire braid rubber -6", shows="7.94", source="AC43-9-3"),
)
def hose_bore(hose: Hose) -> float:
    """Inside diameter of a hose.

    Method: the hoses table, or the words that say the hose.
    Not for: the bore of the ends, which may be smaller.
    """
    return hose.figure("bore")


@worksheet_function(
    "HOSE_OUTSIDE",
    args={"hose": HOSE},
    answer=Answer("Outside diameter of the hose", "mm"),
    sources=TABLE,
    example=example("wire braid rubber -6", shows="17.0", source="AC43-9-3"),
)
def hose_outside(hose: Hose) -> float:
    """Outside diameter of a hose, for clips, grommets and holes.

    Method: the hoses table, or the words that say the hose.
    Not for: a hose in a sleeve: add the sleeve twice.
    """
    return hose.figure("outside")


@worksheet_function(
    "HOSE_BEND_RADIUS",
    args={"hose": HOSE},
    answer=Answer("Least bend radius of the hose", "mm"),
    sources=TABLE,
    example=example("wire braid rubber -6", shows="101.6", source="AC43-9-3"),
)
def hose_bend_radius(hose: Hose) -> float:
    """Least radius to which a hose may be bent.

    Method: the hoses table, or the words that say the hose.
    Not for: a hose that moves: give it more.
    """
    return hose.figure("bend_radius")


@worksheet_function(
    "HOSE_PRESSURE_LIMIT",
    args={"hose": HOSE, "temperature": replace(TEMPERATURE, help="hottest of the fluid"), "ends": ENDS},
    answer=Answer("Highest pressure", "kPa"),
    sources=(*TABLE, "CFR14-25-1435"),
    example=example("wire braid rubber -6", 100, shows="13790", source="AC43-9-3"),
    cautions=(HOSE_CAUTION,),
)
def hose_pressure_limit(hose: Hose, temperature: float, ends: str, *, derating: Derating = BY_LINER) -> float:
    """Highest pressure above the atmosphere that a hose with its ends may carry at a temperature.

    Method: the smallest of the pressure limit, burst / 4 and proof / 2 where printed, times the share that
    its liner keeps when hot (straight between the points); with clamps at most the limit of the clamps.
    No answer: #NUM! above the temperature that the hose is rated to; #N/A with clamps where it takes none.
    Not for: pressure peaks over the limit, or highest pressure and highest temperature together for long.
    """
    return pressure_limit(hose, temperature, ends, derating)


@worksheet_function(
    "HOSE_FLUID_MATCH",
    args={"hose": HOSE, "fluid": FLUID},
    answer=Answer("Liner suits the fluid"),
    sources=("MEM",),
    example=example("EPDM 19", "engine oil 10W-40", shows="no"),
    cautions=(HOSE_CAUTION, FUEL_CAUTION),
)
def hose_fluid_match(hose: Hose, fluid: Fluid) -> str:
    """Whether the liner of a hose bears a fluid: yes, limited or no.

    Method: the liner table, by the liner of the hose and the kind of the fluid.
    No answer: #N/A where the liner table has no such liner, or does not say how it bears that kind of fluid.
    Not for: additives, or fluids hotter than the hose is rated for.
    """
    return liner_match(hose, fluid)


@worksheet_function(
    "HOSE_CHECK",
    args={"hose": HOSE, "pressure": HIGHEST, "fluid": FLUID,
          "hottest": replace(TEMPERATURE, label="Hottest"), "coldest": replace(TEMPERATURE, label="Coldest"),
          "use": USE, "ends": ENDS},
    answer=Answer("What the hose bears"),
    sources=(*TABLE, "CFR14-25-1435"),
    example=example("return hose 9.5", 800, "power steering mineral", 95, -22, "return", "clamps",
                    shows="Change: 800 kPa, clamps allow 690", source="J189"),
    cautions=(HOSE_CAUTION,),
)  # fmt: skip
def hose_check(hose: Hose, pressure: float, fluid: Fluid, hottest: float, coldest: float, use: str, ends: str) -> str:
    """Whether a hose bears its line: Within limits, Change with the first reason and both numbers, or Near limit.

    Method: liner against fluid (petrol, E10 and E85 in PTFE need it conductive; no fuel in a hose for oil), use in
    suction, hottest, coldest, then ends and pressure at the hottest; Near limit where the liner is only limited.
    No answer: #NUM! where hottest and coldest are swapped; #N/A where what decides is not known and nothing else fails.
    Not for: bore, velocity and drop, which have checks of their own.
    """
    refuse_swapped("hottest", hottest, "coldest", coldest, "degC")
    return verdict(hose, pressure, fluid, hottest, coldest, use, ends)


@worksheet_function(
    "HOSE_SIZE_FOR_BORE",
    args={"family": Arg("Family", FAMILY), "smallest_bore": Arg("Smallest bore", "mm", 0, 150),
          "families": replace(COLUMN, label="Families", kind=ListOf(FAMILY)),
          "sizes": replace(COLUMN, label="Sizes", kind=ListOf(SIZE)),
          "bores": replace(COLUMN, label="Bores", kind=ListOf(Quantity("mm", 1, 150)))},
    answer=Answer("Next size"),
    sources=TABLE,
    example=example("wire braid rubber", 8.2, shows="-8", source="AC43-9-3"),
)  # fmt: skip
def hose_size_for_bore(
    family: str,
    smallest_bore: float,
    families: Sequence[str | None] | None,
    sizes: Sequence[str | None] | None,
    bores: Sequence[float | None] | None,
) -> str:
    """Smallest size of a hose family with at least a bore.

    Method: the next bore of the hoses table, or of the three columns where they are given.
    No answer: #N/A where the family is not there or ends at a smaller bore; #VALUE! where one or two of the
    three columns are given, or they differ in height.
    Not for: lines whose ends are narrower than the hose.
    """
    if families is None and sizes is None and bores is None:
        return next_size(family, smallest_bore, sizes_of_the_table())
    return next_size(family, smallest_bore, sizes_listed(families, sizes, bores))


@worksheet_function(
    "HOSE_CUT_LENGTH",
    args={"finished_length": Arg("Finished length", "mm", 0, 100_000, help="seat to seat"),
          "cut_off_a": replace(CUT_OFF, label="Cut-off of end A"),
          "cut_off_b": replace(CUT_OFF, label="Cut-off of end B")},
    answer=Answer("Length to cut", "mm"),
    sources=("GEOMETRY", "TM1500-23-2"),
    example=example(1000, "0.81 in", "0.81 in", shows="958.9", source="TM1500-23-2"),
)  # fmt: skip
def hose_cut_length(finished_length: float, cut_off_a: float, cut_off_b: float) -> float:
    """Length of hose to cut for an assembly with two ends.

    Method: finished length less the cut-off of each end.
    No answer: #NUM! where the cut-offs leave no hose.
    Not for: ends whose cut-off is not from their own maker: they differ by up to 3 mm.
    """
    length = finished_length - cut_off_a - cut_off_b
    if length <= 0.0:
        raise NoAnswer(
            f"the ends take {said(cut_off_a + cut_off_b, 'mm')} of {said(finished_length, 'mm')}: no hose is left"
        )
    return length


@worksheet_function(
    "HOSE_ROLLS_TO_BUY",
    args={"lengths": LENGTHS, "roll_length": ROLL_LENGTH, "loss_per_cut": LOSS_PER_CUT},
    answer=Answer("Rolls to buy"),
    sources=("PACKING",),
    example=example([[2600], [2600], [2600], [2600]], 3, shows="4"),
)
def hose_rolls_to_buy(lengths: tuple[float | None, ...], roll_length: float, loss_per_cut: float) -> int:
    """Fewest rolls from which the pieces can be cut without a joint.

    Method: bin packing, searched until no better packing is left; n pieces in a roll need their sum and
    n - 1 cuts. For long lists the search may end first: the steps then say so.
    No answer: #NUM! where a piece is longer than a roll.
    Not for: rolls already begun, or pieces that may be joined.
    """
    packing = pack(lengths, roll_length, loss_per_cut)
    tell(packing, lengths, roll_length, loss_per_cut)
    return packing.rolls


@worksheet_function(
    "HOSE_CUT_FROM_ROLL",
    args={"lengths": LENGTHS, "roll_length": ROLL_LENGTH,
          "position": Arg("Position", Count(1, ListOf.most), help="of the piece; blank cells count too"),
          "loss_per_cut": LOSS_PER_CUT},
    answer=Answer("Number of the roll"),
    sources=("PACKING",),
    example=example([[2600], [None], [2600], [300]], 3, 4, shows="1"),
)  # fmt: skip
def hose_cut_from_roll(
    lengths: tuple[float | None, ...], roll_length: float, position: int, loss_per_cut: float
) -> int | str:
    """Which roll a piece of the list is cut from; blank where its cell is blank.

    Method: the same packing as HOSE_ROLLS_TO_BUY, rolls counted from 1.
    No answer: #NUM! where a piece is longer than a roll, or the position is beyond the list.
    Not for: rolls already begun.
    """
    if position > len(lengths):
        raise OutOfRange(f"position {position} is beyond the list of {len(lengths)} cells")
    packing = pack(lengths, roll_length, loss_per_cut)
    tell(packing, lengths, roll_length, loss_per_cut)
    roll = packing.roll_of[position - 1]
    return BLANK if roll is None else roll
