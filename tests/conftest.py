"""The laws that hypothesis tries are tried on the same cases every time, so that a red run can be run again.

`HYPOTHESIS_PROFILE=wandering python -m pytest` tries fresh cases.
"""

import gc
import os

from hypothesis import settings

gc.set_threshold(100_000, 20, 100)  # a book makes objects by the hundred thousand, and few of them stand in circles

settings.register_profile("steady", derandomize=True, deadline=None, database=None)
settings.register_profile("wandering", deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "steady"))
