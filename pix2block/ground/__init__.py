"""What everything stands on: errors, units, files, settings."""
