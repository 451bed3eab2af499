"""Mending: a chart changed by hand, each change kept in its journal."""
