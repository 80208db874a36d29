"""What holds for the page of every request, on every machine."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import get_args

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from profiles.load import load, shipped
from profiles.machine import Machine, Point
from wizard import requests as ask
from wizard.actions import actions_at
from wizard.facts import Facts
from wizard.instructions import RESERVED_KEYS, Page, fault_page, page, working
from wizard.instructions.cautions import SIMULATED
from wizard.instructions.fitting import (
    LABEL_WIDTH,
    MOST_LINES,
    TITLE_WIDTH,
    WIDEST_BODY,
    cells,
    fit,
    fits,
    headline,
    sentences,
    short,
    wrapped,
)
from wizard.readings.lengths import UNIT_MM
from wizard.readings.typed import SIDES
from wizard.running.answers import check

MakeRequests = Callable[[Machine], tuple[ask.AnyRequest, ...]]
NAMES = st.text(st.characters(codec="utf-8"), min_size=1, max_size=80).filter(
    lambda name: name.isprintable() and name == name.strip()
)


def check_limits(shown: Page) -> None:
    """Assert that a page fits where it is promised to fit."""
    assert 0 < cells(shown.title) <= TITLE_WIDTH
    assert shown.title[-1] in ".?"
    assert len(shown.body) <= MOST_LINES
    lines = (shown.title, *shown.body, shown.caution, *shown.table, shown.hint)
    assert all(cells(line) <= WIDEST_BODY for line in lines)
    labels = tuple(choice.label for choice in (*shown.choices, *shown.skip_reasons))
    assert all(0 < cells(label) <= LABEL_WIDTH for label in labels)
    assert all(text.isprintable() for text in (*lines, *labels))


def check_keys(shown: Page) -> None:
    """Assert that each key does one thing, and is one that any keyboard has."""
    keys = [choice.key for choice in shown.choices] + ([shown.entry_key] if shown.entry_key else [])
    assert len(keys) == len(set(keys))
    assert not set(keys) & RESERVED_KEYS
    assert all(re.fullmatch(r"[a-z0-9]|enter", key) for key in keys)
    skips = [choice.key for choice in shown.skip_reasons]
    assert len(skips) == len(set(skips))
    assert all(re.fullmatch(r"[1-9]", key) for key in skips)


def test_every_request_kind_is_among_those_tried(make_requests: MakeRequests, machine: Machine) -> None:
    """A new kind of request without wording fails here first."""
    assert {type(request) for request in make_requests(machine)} == set(get_args(ask.AnyRequest))


def test_every_page_fits_and_has_its_own_keys(facts: Facts, make_requests: MakeRequests) -> None:
    """Titles, lines, labels and keys keep to their limits on every machine."""
    for request in make_requests(facts.machine):
        shown = page(request, facts)
        check_limits(shown)
        check_keys(shown)


@pytest.mark.parametrize("name", sorted(shipped()))
def test_every_shipped_machine_has_all_its_pages(name: str, make_requests: MakeRequests) -> None:
    """The limits hold for the machines that come with the program."""
    facts = Facts(load(name), bed_c=60.0)
    for request in make_requests(facts.machine):
        check_limits(page(request, facts))
        check_keys(page(request, facts))


def test_every_key_sends_an_answer_that_the_session_takes(facts: Facts, make_requests: MakeRequests) -> None:
    """What a key or a skip reason sends is accepted for its request."""
    for request in make_requests(facts.machine):
        shown = page(request, facts)
        turnable = isinstance(request, ask.Turn)
        for choice in (*shown.choices, *shown.skip_reasons):
            if turnable and "still" in request.turns:
                continue  # no solver turns a fixed support; the wording has to survive it all the same
            check(request, choice.answer, facts.machine)


def test_what_a_person_answers_can_be_answered(facts: Facts, make_requests: MakeRequests) -> None:
    """A page for a person has a key or an entry; the machine's own work has none, but for the soak."""
    for request in make_requests(facts.machine):
        shown = page(request, facts)
        if isinstance(request, ask.ByPerson):
            assert shown.choices or shown.entry
        elif not isinstance(request, ask.Soak):
            assert not shown.choices
            assert shown == working(request, facts)


def test_enter_never_leads_to_motion_or_heat(facts: Facts, make_requests: MakeRequests) -> None:
    """Enter answers only what is read, noted or tidied up while nothing moves or heats, and ends the job."""
    harmless = {"cautions", "clean-tip", "nozzle-swap", "bed-clear", "snug-adjusters", "restart-machine"}
    harmless |= {"print-cautions", "pads-cool", "tolerance-too-fine"}
    for request in make_requests(facts.machine):
        if any(choice.key == "enter" for choice in page(request, facts).choices):
            noted = isinstance(request, ask.ShowResult | ask.ShowChange | ask.AskFilament)
            assert noted or request.topic in harmless


def test_keys_beside_an_open_entry_are_no_part_of_what_is_typed(facts: Facts) -> None:
    """Where typing starts at once, no key is a character that a reading can hold."""
    typed = set("0123456789.,-<>= ").union(*UNIT_MM, *SIDES, "to")
    shown = page(ask.TakeReading(facts.machine.point[0].name, 0.2, 1, 1, 1, "first"), facts)
    assert shown.entry == "reading"
    assert not shown.entry_key
    assert not {choice.key for choice in shown.choices} & typed


def test_the_keys_with_one_meaning_everywhere_are_kept() -> None:
    """Back, pause, stop, skip, log, leave and help are never keys of a page."""
    assert {"escape", "b", "p", "x", "k", "l", "q", "?", "f1"} == RESERVED_KEYS


def test_no_key_of_a_page_is_taken_by_the_screens(facts: Facts, make_requests: MakeRequests) -> None:
    """Keys that the screens have for themselves while a job runs are left to them; Enter is shared."""
    taken = {key for action in actions_at("job") for key in action.keys}
    for request in make_requests(facts.machine):
        assert not {choice.key for choice in page(request, facts).choices} & taken


def test_a_simulated_printer_is_called_simulated_where_a_hand_would_go(
    machine: Machine, make_requests: MakeRequests
) -> None:
    """Every page that has a person touch the machine says that there is none."""
    facts = Facts(machine, simulated=True, bed_c=60.0)
    for request in make_requests(machine):
        assert page(request, facts).caution == SIMULATED


def test_a_real_machine_has_a_caution_wherever_it_moves_or_heats(
    machine: Machine, make_requests: MakeRequests
) -> None:
    """Pages that lead to motion or stand beside heat carry one line of caution."""
    quiet = (ask.Connect, ask.Reconnect, ask.SetHeight, ask.Store, ask.ReadHeight, ask.SetGrid, ask.LeaveGrid)
    shows = (ask.ShowResult, ask.ShowChange)
    for request in make_requests(machine):
        shown = page(request, Facts(machine))
        deliberate = any(choice.key != "enter" for choice in shown.choices)
        if deliberate or not isinstance(request, (*quiet, *shows, ask.Confirm)):
            assert shown.caution
            assert "imulated" not in shown.caution


FIGURES = st.fixed_dictionaries(
    {"mm": st.floats(-4.9, 4.9), "turns": st.floats(-20, 20), "leaf": st.floats(0.01, 5)}
)


def with_figures(request: ask.AnyRequest, figures: dict[str, float]) -> ask.AnyRequest:
    """Return the request with other figures in it, where it has any."""
    changed: dict = {}
    if isinstance(request, ask.Turn):
        changed = {"turns": dict.fromkeys(request.turns, figures["turns"])}
    elif isinstance(request, ask.TakeReading):
        changed = {"z_mm": figures["mm"], "start_leaf_mm": figures["leaf"]}
    elif isinstance(request, ask.Feel | ask.LookForDaylight):
        changed = {"z_mm": figures["mm"]}
    elif isinstance(request, ask.ChangeHeightByMenu | ask.SetHeight | ask.TurnEndstop):
        changed = {"change_mm": figures["mm"]}
    return msgspec.structs.replace(request, **changed)


@pytest.fixture(scope="session")
def named(
    make_machine: Callable[..., Machine], corners: Callable[..., tuple]
) -> Callable[[str, str], Machine]:
    """Return the maker of a machine with these names for its adjusters and points."""

    def machine(name: str, other: str) -> Machine:
        adjusters = tuple(
            msgspec.structs.replace(a, name=f"{n}{name}"[:80], head="hex") for n, a in enumerate(corners())
        )
        points = (Point(name=other, at_mm=(1.0, 1.0)), Point(name=f"{name}2"[-80:], at_mm=(9.0, 9.0)))
        return make_machine(adjusters, points)

    return machine


@settings(max_examples=60)
@given(names=st.tuples(NAMES, NAMES), figures=FIGURES)
def test_any_name_and_figure_fits(
    names: tuple[str, str],
    figures: dict[str, float],
    named: Callable[[str, str], Machine],
    make_requests: MakeRequests,
) -> None:
    """Names of 80 characters in any script and figures of any size leave no page too wide or too long."""
    facts = Facts(named(*names), bed_c=60.0)
    for request in make_requests(facts.machine):
        check_limits(page(with_figures(request, figures), facts))


@given(
    kind=st.text(max_size=40), text=st.text(max_size=400), lines=st.lists(st.text(max_size=200), max_size=9)
)
def test_any_fault_is_told_harmlessly(kind: str, text: str, lines: list[str]) -> None:
    """Whatever a machine sends, no control character of it reaches a terminal."""
    check_limits(fault_page(kind, text, tuple(lines)))


@pytest.mark.parametrize("kind", ["MoveRefused", "PrinterFault", "LinkLost", "NoReply"])
def test_each_fault_says_whose_it_was_and_what_to_do(kind: str) -> None:
    """Each kind of driver error has its own title, keeps the text, and shows the last lines."""
    shown = fault_page(kind, "The heater does not warm up.", ("> N1 G28*18", "< error"))
    assert shown.title != fault_page("Other", "").title
    assert shown.body[0] == "The heater does not warm up."
    assert shown.table == ("> N1 G28*18", "< error")
    assert (kind == "MoveRefused") == (not shown.caution)


def test_what_is_no_request_has_no_page(facts: Facts) -> None:
    """Asking for the page of something else is a mistake of the program."""
    with pytest.raises(TypeError, match="no wording for int"):
        page(3, facts)


@given(st.lists(st.text(max_size=90), max_size=8))
def test_fitted_lines_keep_their_words_or_say_that_some_are_left_out(sentences: list[str]) -> None:
    """Nothing is lost unless the last line ends in dots."""
    lines = fit(*sentences)
    assert len(lines) <= MOST_LINES
    assert all(cells(line) <= WIDEST_BODY for line in lines)
    assert fits(*sentences) or lines[-1].endswith(" ...")


@given(st.text(max_size=90), st.integers(4, 60))
def test_a_shortened_text_is_short(text: str, most: int) -> None:
    """Short keeps to its limit and leaves nothing that a terminal could act on."""
    assert cells(short(text, most)) <= most
    assert short(text, most).isprintable()


@given(st.text(st.characters(codec="utf-8", categories=["L", "N", "M"]), max_size=60))
def test_cells_are_counted_as_a_terminal_library_counts_them(text: str) -> None:
    """Never fewer cells than the drawing library counts, so that nothing is wider than promised."""
    assert cells(text) >= cell_len(text)


@given(st.lists(st.text("ab ,.", max_size=90).filter(str.strip), max_size=3))
def test_fitted_sentences_can_be_made_whole_again(made: list[str]) -> None:
    """For a wide or a spoken line, the breaks are taken out."""
    plain = tuple(" ".join(sentence.split()) for sentence in made)
    assert sentences(wrapped(plain, 72)) == plain or any(len(w) > 70 for s in plain for w in s.split())


def test_a_long_name_gives_way_in_a_headline() -> None:
    """The end of a title, which says what to do, is kept whole."""
    assert headline("Turn ", "a" * 99, ": 1/4 turn clockwise.").endswith("...: 1/4 turn clockwise.")


@pytest.mark.parametrize("width", [0, 1, 2, 5])
def test_words_are_broken_even_where_there_is_no_room_at_all(width: int) -> None:
    """A window that has no size yet holds nothing up, and no letter is lost."""
    assert "".join("".join(wrapped(["two 漢字"], width)).split()) == "two漢字"
