"""Stripe plans: their file, their stripes, how far the yarn goes, the piece."""
