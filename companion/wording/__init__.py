"""What is said, in whole sentences: brief or full, in US or UK terms."""
