"""Machine descriptions: what a machine can do, as data."""
