"""What a person or another program reads: one writer per file."""
