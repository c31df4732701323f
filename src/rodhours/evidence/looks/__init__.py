"""Evidence that may be looked at after every trip."""
