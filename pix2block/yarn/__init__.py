"""What a maker brings to the table: weight classes, yarns, shelves."""
