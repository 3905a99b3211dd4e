"""The sums of the trade by voice: size, yarn, another hook, spreading, ruffling, eyes, tables."""
