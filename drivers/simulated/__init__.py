"""A simulated printer: firmware, plate physics and a virtual operator. Always labelled as simulated."""

from drivers.simulated.printer import BareNozzle, SimulatedPrinter

__all__ = ["BareNozzle", "SimulatedPrinter"]
