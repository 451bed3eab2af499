"""Goals in, the pieces that reach them out: a closed room."""
