"""Tramwright: a terminal wizard that levels printer beds and sets nozzle heights."""

__version__ = "0.1.0"
