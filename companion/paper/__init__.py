"""The pattern laid out: text, page, chart, braille, sound, and a list for testers."""
