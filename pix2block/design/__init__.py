"""Choosing the yarns of a picture."""
