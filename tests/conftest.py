"""The laws that hypothesis tries are tried on the same cases every time, so that a red run can be run again.

`HYPOTHESIS_PROFILE=wandering python -m pytest` tries fresh cases.
"""

import gc
import os
import signal

from hypothesis import settings

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:  # as a script leaves it to what it starts in the background
    signal.signal(signal.SIGINT, signal.default_int_handler)

gc.set_threshold(100_000, 20, 100)  # a book makes objects by the hundred thousand, and few of them stand in circles

settings.register_profile("steady", derandomize=True, deadline=None, database=None)
settings.register_profile("wandering", deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "steady"))


def pytest_collection_finish() -> None:
    """What the collected tests are made of stays to the end: nothing looks through it again."""
    gc.freeze()
