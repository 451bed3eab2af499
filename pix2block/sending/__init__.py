"""A closed room: a folder sent to a phone in the same home."""
