"""Sound to a phrase with a score: microphone, end of speech, recognisers, and the decision to act on it."""
