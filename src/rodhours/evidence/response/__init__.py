"""A number of the recipe (pellet share, attractor dose, size) against the catch rate."""
