"""The trade's usual cautions, one line each. Pure."""

from __future__ import annotations

from wizard.facts import Facts

SIMULATED = "Simulated printer: nothing real is hot or moves."
MANUAL_FIRST = "The maker's manual and local rules come first."
MOVES_NEXT = "The machine moves on your answer: card out, hands off first."
HOT_AND_MOVES = "Hot plate or nozzle. It moves on your answer: hands off first."
HOT = "Hot plate or nozzle: do not touch them."
STILL_HOT = "Plate and nozzle stay hot for many minutes: touch neither."
MOVING = "Moving: keep hands, hair and leads clear."
HEATING = "Plate and nozzle are getting hot."
BY_HAND_HOT = "Hot plate or nozzle: move the head by its body only."
CRUSH = "If the tip touches the plate, stop and lift at once."


def is_hot(facts: Facts) -> bool:
    """Whether something was heated by this job and not cooled since."""
    return facts.bed_c > 0 or facts.nozzle_c > 0


def at_the_nozzle(facts: Facts) -> str:
    """Return the caution for measuring under the nozzle, which moves as soon as the answer is in."""
    if facts.simulated:
        return SIMULATED
    return HOT_AND_MOVES if is_hot(facts) else MOVES_NEXT


def at_the_adjusters(facts: Facts) -> str:
    """Return the caution for turning adjusters under a plate."""
    if facts.simulated:
        return SIMULATED
    return HOT_AND_MOVES if is_hot(facts) else "The machine moves on your answer: hands off first."


def while_moving(facts: Facts) -> str:
    """Return the caution for while the machine moves."""
    return SIMULATED if facts.simulated else MOVING


def unless_simulated(facts: Facts, caution: str) -> str:
    """Return `caution`, or the label of a simulated printer."""
    return SIMULATED if facts.simulated else caution


def simulated_label(facts: Facts) -> str:
    """Return the label of a simulated printer; no caution where a person works at a real one."""
    return unless_simulated(facts, "")


def moves_on_this_key(facts: Facts) -> str:
    """Return the caution for a key that has the machine move."""
    return unless_simulated(facts, "The machine moves on this key.")
