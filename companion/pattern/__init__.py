"""Written text to pieces, rounds and stitches with totals, and problems with line and column."""
