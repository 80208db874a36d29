"""One run as a file for a workshop: HTML with pictures, text, JSON, CSV. Holds no host's or user's name."""
