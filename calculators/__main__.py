"""`python -m calculators`: JSON lines in, JSON lines out; `--table` and `--explain` for people."""

import sys

from calculators.commandline import main

sys.exit(main(sys.argv[1:], sys.stdin.buffer, sys.stdout.buffer))
