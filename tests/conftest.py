"""Stands here so that every test can import `reference` and `simulated_seasons` from tests/."""
