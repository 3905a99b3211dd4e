"""Where the maker is: moves, questions, the state of the conversation, the journal."""
