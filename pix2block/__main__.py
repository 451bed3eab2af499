"""`python -m pix2block`."""

import sys

from pix2block.command.cli import run

sys.exit(run())
