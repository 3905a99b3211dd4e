"""A hands-free companion for working crochet patterns: it reads, listens, keeps the place and answers aloud."""
