"""Colour spaces, colour difference, colour names."""
