"""A simulated printer: firmware, plate physics and a virtual operator. Always labelled as simulated."""
