"""How the sample pictures are drawn: a file a picture."""
