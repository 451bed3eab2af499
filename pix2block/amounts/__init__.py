"""What a piece takes: yarn, joins, time."""
