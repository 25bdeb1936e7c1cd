"""Settings of the law tests of the functions."""

from hypothesis import settings

# the first call of a run reads the tables and loads pint and fluids, which no time limit for one case can know
settings.register_profile("functions", deadline=None)
settings.load_profile("functions")
