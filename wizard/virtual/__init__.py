"""A simulated printer's own person: what feels, measures and turns where nobody is asked to."""
