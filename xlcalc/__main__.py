"""`python -m xlcalc`."""

import sys

from xlcalc.hosts.cli import main

sys.exit(main())
