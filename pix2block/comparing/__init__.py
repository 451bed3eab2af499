"""Two charts, one after the other: what changed."""
