"""Full screens of the terminal program."""
