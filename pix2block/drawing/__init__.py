"""The engine: shapes, style, marks, views, SVG and PNG."""
