"""Picture in, block colours out."""
