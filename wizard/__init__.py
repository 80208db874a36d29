"""Tramwright: a terminal wizard that levels printer beds and sets nozzle heights."""
