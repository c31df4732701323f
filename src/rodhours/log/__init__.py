"""The logbook: trip logs read, checked and kept, and handed on as one tidy frame of stints."""
