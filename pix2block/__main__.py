"""`python -m pix2block`."""

import sys

from pix2block.cli import run

sys.exit(run())
