"""Arguments that many functions share, declared once: label, workshop unit, allowed span."""

from xlcalc.core.declare import Arg
from xlcalc.functions.fittings import FittingsKind
from xlcalc.functions.fluid_words import FluidKind
from xlcalc.functions.hose import BoreKind, HoseKind

FLOW = Arg("Flow", "L/min", 0, 2000)
VELOCITY = Arg("Mean velocity", "m/s", 0.01, 60)
BORE = Arg("Bore", BoreKind(), help="inside diameter, or the hose")
HOSE = Arg("Hose", HoseKind())
LENGTH = Arg("Length", "m", 0, 100)
VOLUME = Arg("Volume", "L", 0, 2000)
FLUID = Arg("Fluid", FluidKind())
TEMPERATURE = Arg("Temperature", "degC", -60, 250, help="of the fluid")
ALLOWED_DROP = Arg("Drop allowed", "kPa", 0, 50000)
FITTINGS = Arg("Fittings", FittingsKind(), default=0)
RISE = Arg("Rise", "m", -10, 10, default=0, help="plus where the line ends higher than it starts")
ALTITUDE = Arg("Altitude", "m", -400, 5000, default=0, help="above sea level")
PRESSURE = Arg("Pressure", "kPa", 0, 100000, help="above the atmosphere")
HEAT = Arg("Heat", "kW", 0, 500)

STEERING_CAUTION = "Steering, fuel and brake assistance can kill: the maker's figures and licensed practice decide."

NOT_GAS = {"air": "the method is for liquids: a gas fills its tank at any temperature"}
NOT_FAST_GAS = {"air": "the method is for liquids; fast gas changes its density along the line"}
"""What `not_with` of several functions says."""
