"""The written pattern."""
