"""From a picture or a file to a chart, and to every file of it."""
