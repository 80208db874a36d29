"""What a job has changed and where it is kept, in sentences that stand beside a result. Pure."""

from __future__ import annotations

from wizard.facts import Facts
from wizard.instructions.figures import counted, listed, signed_mm
from wizard.instructions.turns import turn_words

_HEIGHT_KEPT = {
    "stored offset": "stored in the machine",
    "operator": "set in the machine's own menu",
    "endstop screw": "set by the endstop screw",
    "bed adjusters": "set by the bed's own adjusters",
}
LEAST_MM = 0.0005


def stored_sentences(facts: Facts) -> tuple[str, ...]:
    """Return what was turned in all, how the nozzle height was changed, which numbers are followed."""
    return _changes(facts) or ("Nothing was changed.",)


def is_changed(facts: Facts) -> bool:
    """Whether anything was: else the bed now is the bed as it was found."""
    return bool(_changes(facts))


def _changes(facts: Facts) -> tuple[str, ...]:
    return tuple(filter(None, (_turned(facts), _height(facts), _grid(facts))))


def _turned(facts: Facts) -> str:
    total: dict[str, float] = {}
    for each in facts.rounds:
        for name, turns in each.turned.items():
            total[name] = total.get(name, 0.0) + turns
    known = {adjuster.name: adjuster for adjuster in facts.machine.adjuster}
    told = [
        f"{name} {words.fraction} {words.direction}".strip()
        for name, turns in total.items()
        if name in known and turns
        for words in (turn_words(known[name], turns),)
    ]
    return f"Turned in all: {listed(told)}." if told else ""


def _height(facts: Facts) -> str:
    change_mm = sum(each.height_change_mm for each in facts.rounds)
    kept = _HEIGHT_KEPT[facts.machine.height.by]
    return f"Nozzle height: {signed_mm(change_mm)} mm in all, {kept}." if abs(change_mm) > LEAST_MM else ""


def _grid(facts: Facts) -> str:
    if not facts.following:
        return ""
    numbers = counted(len(facts.grid), "number") if facts.grid else "numbers that it found by itself"
    return f"Software compensation: the machine follows {numbers}."
