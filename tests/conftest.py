"""Settings of the law tests."""

from hypothesis import settings

# the first call of a run reads the tables and loads pint and fluids, which no time limit for one case can know
settings.register_profile("xlcalc", deadline=None)
settings.load_profile("xlcalc")
