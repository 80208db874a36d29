"""The check print of a first layer: what is laid down where, and the blocks that do it. Pure planning."""
