"""The noun that is kept, and reading and writing it."""
