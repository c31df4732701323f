"""Stands here so that every test can import `reference` and `simulated_seasons` from tests/."""

from hypothesis import settings

# Timings are no tests: a busy machine must not fail one.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
