"""Tables and words of a piece, as text; nothing here searches or opens a file."""
