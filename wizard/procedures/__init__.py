"""Procedures: generators that yield requests and are sent answers; no I/O, no clock."""
