"""Records of runs: journals filed into one SQLite file, which can always be built anew from them."""
