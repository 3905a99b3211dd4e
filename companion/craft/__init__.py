"""The sums of the trade: gauge, size, yarn, time, shaping, and the tables of hooks, yarns and eyes."""
