"""What could still fool the reader: each check a pure function, numbers in, numbers out."""
