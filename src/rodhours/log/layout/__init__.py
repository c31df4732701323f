"""An angler's own columns and values, matched to ours and kept as a TOML layout file."""
