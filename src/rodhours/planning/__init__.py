"""Which rod fishes which variant next season, and bags that do not say what is in them."""
