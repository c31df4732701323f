"""Evidence: a stint frame in, frozen results out. No files, no terminal, no HTML."""
