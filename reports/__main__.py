"""`python -m reports` runs the command line."""

import sys

from reports.command_line import run

sys.exit(run())
