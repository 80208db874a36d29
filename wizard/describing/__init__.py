"""Describing a machine by questions in the terminal: what `profiles new` does."""
