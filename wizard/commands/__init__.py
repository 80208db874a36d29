"""One module a subcommand; each imports what it needs when it is called."""
