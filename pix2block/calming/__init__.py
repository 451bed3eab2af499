"""Calming: a little colour error for many tails."""
