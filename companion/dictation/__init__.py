"""Writing it down: a pattern taken down by voice while it is made."""
