"""`python -m pix2block`."""

import sys

from pix2block.command.cli import main

sys.exit(main())
