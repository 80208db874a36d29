"""Records in words, tables and files. Pure."""
