"""What `survey --json` prints at its end: `tramwright-survey/1`."""

from __future__ import annotations

import msgspec

from wizard.formats.finding_json import finding_object
from wizard.instructions.surveying import survey_sentences
from wizard.journal.lines import Header
from wizard.requests import Outcome

FORMAT = "tramwright-survey/1"


def as_json(profile: str, header: Header, outcome: Outcome) -> str:
    """Return the result as one JSON object; a run that came to no finding has null there."""
    machine, finding = header.profile, outcome.finding
    told = {
        "format": FORMAT,
        "profile": profile,
        "verdict": finding.verdict if finding else "undecided",
        "proven": outcome.proven,
        "worst_deviation_mm": finding.worst_deviation_mm if finding else None,
        "wanted_gap_mm": machine.wanted_gap_mm,
        "closing_mm": machine.closing_mm,
        "finding": finding_object(finding, survey_sentences(finding, machine)) if finding else None,
    }
    return msgspec.json.format(msgspec.json.encode(told)).decode()
