"""A piece as it is studied: its chart, and all that follows from it, worked out when asked for."""
