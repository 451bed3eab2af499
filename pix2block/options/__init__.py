"""What a maker asks for: rules, the table of options, her own defaults."""
