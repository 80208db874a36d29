"""The journal of a run: one file of JSON lines, each on the disk before its answer is used."""
