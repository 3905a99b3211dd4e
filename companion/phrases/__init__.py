"""What may be said, as data: templates to commands and slots, and the grammar a recogniser listens with."""
