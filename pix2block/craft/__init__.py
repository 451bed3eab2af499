"""The craft in whole numbers: diagonal rows, stitches, runs, strands. No yarn, no picture."""
