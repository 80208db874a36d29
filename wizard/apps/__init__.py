"""The Textual applications, and the doors into them."""
