"""`python -m coach` is the command `coach`."""

import sys

from coach.cli import main

sys.exit(main())
