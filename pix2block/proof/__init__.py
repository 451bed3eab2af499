"""The proof: a pattern's own words, worked stitch by stitch and compared with the chart."""
