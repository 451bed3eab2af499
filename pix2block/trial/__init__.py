"""Palettes on trial: one picture in several, compared."""
