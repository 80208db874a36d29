"""Parts that screens are built from."""
