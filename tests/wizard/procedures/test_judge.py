"""What follows a pass, for every status that a finding can have."""

from __future__ import annotations

from collections.abc import Iterable

import msgspec
import pytest

from profiles.machine import Height, Machine
from wizard import requests as ask
from wizard.facts import Facts
from wizard.procedures import judge
from wizard.procedures.job import Job
from wizard.procedures.judge import MOST_REPEATS, Next, Pass
from wizard.rounds import Reading, Round
from wizard.solver.finding import Finding, PointFinding, Suspicion

LEVEL = Finding("within", "level")
TURN = Finding("outside", "turn", {"front left": 0.5})
COARSE = Finding("outside", "turn", {"front left": 2.0}, coarse=True)
BOWED = Finding("outside", "not-by-adjusters", best_possible_mm=0.2)
BOWED_BETTER = Finding("outside", "not-by-adjusters", {"front left": 0.0625}, best_possible_mm=0.2)
EDGE = PointFinding(gap_mm=0.19, u_mm=0.015, deviation_mm=0.04, predicted_mm=0.19)
UNSURE = Finding("undecided", "measure-again", points={"centre": EDGE})
WIDE = Reading(0.15, 0.20, "leaf")


class Judged:
    """A pass judged with findings that a test gives in order (the last one stays)."""

    def __init__(
        self,
        machine: Machine,
        findings: Iterable[Finding],
        answers: Iterable[ask.AnyAnswer] = (),
        phase: str = "verify",
        *,
        whole: bool = True,
        turned: dict[str, float] | None = None,
    ) -> None:
        left = list(findings)
        judge.solve = lambda *_: left.pop(0) if len(left) > 1 else left[0]  # type: ignore[assignment]
        before = [Round({"centre": WIDE}, turned)] if turned else []
        facts = Facts(machine, gauge="leaf", rounds=(*before, Round({"centre": WIDE})))
        self.job = Job(msgspec.structs.replace(facts, readings={"centre": WIDE}))
        self.asked: list[ask.AnyRequest] = []
        given = list(answers)
        this = Pass(self.job, len(facts.rounds), phase, whole=whole)  # type: ignore[arg-type]
        course = this.judge()
        try:
            request = next(course)
            while True:
                self.asked.append(request)
                by_person = isinstance(request, ask.ByPerson) and given
                request = course.send(given.pop(0) if by_person else ask.Done())
        except StopIteration as end:
            self.next: Next = end.value

    @property
    def by_person(self) -> list[ask.AnyRequest]:
        return [request for request in self.asked if isinstance(request, ask.ByPerson)]


@pytest.fixture(autouse=True)
def solver_restored() -> Iterable[None]:
    """Give the real solver back after a test has put its own findings in its place."""
    real = judge.solve
    yield
    judge.solve = real  # type: ignore[assignment]


def test_a_whole_verification_within_tolerance_is_the_proof(four_corners: Machine) -> None:
    judged = Judged(four_corners, [LEVEL])
    assert (judged.next, judged.asked) == (Next.PROVEN, [])


@pytest.mark.parametrize("phase", ["first", "adjust"])
def test_level_before_the_verification_only_leads_to_it(four_corners: Machine, phase: str) -> None:
    judged = Judged(four_corners, [LEVEL], [ask.Confirmed()], phase)
    assert judged.next is Next.VERIFY
    assert judged.by_person == [ask.Confirm("verify-next", LEVEL)]


def test_a_verification_with_a_point_left_out_proves_nothing(four_corners: Machine) -> None:
    judged = Judged(four_corners, [LEVEL], [ask.Chosen(ask.STOP_HERE)], whole=False)
    assert judged.next is Next.END
    again = Judged(four_corners, [LEVEL], [ask.Chosen(ask.REPEAT_READINGS)], whole=False)
    assert again.next is Next.VERIFY


@pytest.mark.parametrize(("finding", "follows"), [(TURN, Next.VERIFY), (COARSE, Next.ADJUST)])
def test_after_turns_comes_the_verification_but_after_coarse_ones_another_pass(
    four_corners: Machine, finding: Finding, follows: Next
) -> None:
    judged = Judged(four_corners, [finding], [ask.Turned(finding.turns)], "first")
    assert judged.next is follows
    assert judged.asked == [ask.Lift(), ask.Turn(finding.turns, 1, finding.coarse, finding)]
    assert judged.job.facts.rounds[0].turned == finding.turns


def test_a_turn_is_followed_by_the_change_of_height(four_corners: Machine) -> None:
    apart = msgspec.structs.replace(four_corners, height=Height(by="operator"))
    both = msgspec.structs.replace(TURN, height_change_mm=0.1)
    judged = Judged(apart, [both], [ask.Turned({"front left": 0.5}), ask.HeightChanged(0.1)], "first")
    assert judged.asked[-1] == ask.ChangeHeightByMenu(0.1, both)
    assert judged.job.facts.rounds[0].height_change_mm == 0.1


def test_a_lowering_by_guess_is_asked_for_only_as_far_as_is_known_to_be_free(four_corners: Machine) -> None:
    apart = msgspec.structs.replace(four_corners, height=Height(by="operator"))
    guess = Finding(
        "outside",
        "measure-again",
        points={"centre": PointFinding(gap_mm=1.4, u_mm=0.7, deviation_mm=1.25, predicted_mm=0.15)},
        height_change_mm=-1.25,
        coarse=True,
    )
    judged = Judged(apart, [guess], [ask.HeightChanged(-0.13)], "first")
    change = judged.by_person[0]
    assert isinstance(change, ask.ChangeHeightByMenu)
    assert change.change_mm == pytest.approx(-0.13)  # 0.15 mm is known to be free, 0.02 mm is kept
    assert judged.next is Next.ADJUST


def test_a_turn_that_names_nothing_to_turn_is_not_asked_for(four_corners: Machine) -> None:
    empty = Finding("outside", "turn")
    judged = Judged(four_corners, [empty], [ask.Chosen(ask.STOP_HERE)], "first")
    assert judged.by_person == [ask.Choose("stuck", (ask.REPEAT_READINGS, ask.STOP_HERE), empty)]


@pytest.mark.parametrize("status", ["not-by-adjusters", "out-of-travel", "underdetermined", "inconsistent"])
def test_what_turning_cannot_mend_is_shown_with_ways_to_go_on(four_corners: Machine, status: str) -> None:
    finding = Finding("outside", status)  # type: ignore[arg-type]
    judged = Judged(four_corners, [finding], [ask.Chosen(ask.STOP_HERE)])
    assert judged.by_person == [ask.Choose("stuck", (ask.REPEAT_READINGS, ask.STOP_HERE), finding)]
    assert judged.next is Next.END


def test_going_on_anyway_makes_the_turns_that_still_better_it(four_corners: Machine) -> None:
    answers = [ask.Chosen(ask.GO_ON_ANYWAY), ask.Turned(BOWED_BETTER.turns)]
    judged = Judged(four_corners, [BOWED_BETTER], answers)
    assert isinstance(judged.by_person[0], ask.Choose)
    assert judged.by_person[0].options == (ask.GO_ON_ANYWAY, ask.REPEAT_READINGS, ask.STOP_HERE)
    assert judged.next is Next.VERIFY


def test_the_first_pass_is_not_read_twice_when_undecided(four_corners: Machine) -> None:
    judged = Judged(four_corners, [UNSURE], phase="first")
    assert (judged.next, judged.asked) == (Next.VERIFY, [])


def test_points_that_keep_the_verification_undecided_are_read_again_at_a_better_height(
    four_corners: Machine,
) -> None:
    narrower = ask.ReadingTaken(Reading(0.15, 0.20, "leaf"))
    judged = Judged(four_corners, [UNSURE, LEVEL], [narrower])
    assert judged.next is Next.PROVEN
    take = judged.by_person[0]
    assert isinstance(take, ask.TakeReading)
    assert take.point == "centre"
    assert take.z_mm == pytest.approx(0.225)  # a 0.20 leaf in the middle of 0.15 to 0.20
    assert judged.job.facts.rounds[0].readings["centre"] == Reading(0.15, 0.175, "leaf")


def test_a_point_that_stays_undecided_is_put_to_the_person_after_a_few_tries(four_corners: Machine) -> None:
    same = ask.ReadingTaken(Reading(0.05, 0.5, "leaf"))
    answers = [*[same] * MOST_REPEATS, ask.Chosen(ask.STOP_HERE)]
    judged = Judged(four_corners, [UNSURE], answers)
    assert [type(r) for r in judged.by_person] == [ask.TakeReading] * MOST_REPEATS + [ask.Choose]
    assert judged.next is Next.END


def test_a_point_left_out_when_read_again_makes_the_pass_incomplete(four_corners: Machine) -> None:
    answers = [ask.Skipped("tired"), ask.Chosen(ask.STOP_HERE)]
    judged = Judged(four_corners, [UNSURE, LEVEL], answers)
    assert judged.next is Next.END


OTHER_WAY = msgspec.structs.replace(TURN, suspicion=Suspicion("turned-other-way", 0.9, "front left"))
SLIPPED = msgspec.structs.replace(TURN, suspicion=Suspicion("reading-slipped", 0.8, point="centre"))
SHIFTED = msgspec.structs.replace(TURN, suspicion=Suspicion("home-shifted", 0.8))


def test_a_suspected_turn_is_corrected_only_by_the_persons_word(four_corners: Machine) -> None:
    answers = [ask.Chosen(ask.AS_SUSPECTED), ask.Turned({"front left": 0.5})]
    judged = Judged(four_corners, [OTHER_WAY, TURN], answers, turned={"front left": 0.25})
    assert judged.by_person[0] == ask.Choose(
        "suspicion", (ask.AS_SUSPECTED, ask.READ_AGAIN, ask.GO_ON), OTHER_WAY
    )
    assert judged.job.facts.rounds[0].turned == {"front left": -0.25}


def test_a_suspicion_is_asked_about_once_and_then_left(four_corners: Machine) -> None:
    answers = [ask.Chosen(ask.GO_ON), ask.Turned({"front left": 0.5})]
    judged = Judged(four_corners, [OTHER_WAY], answers, turned={"front left": 0.25})
    assert [type(r) for r in judged.by_person] == [ask.Choose, ask.Turn]
    assert judged.job.facts.rounds[0].turned == {"front left": 0.25}


def test_a_slipped_reading_is_read_again_alone(four_corners: Machine) -> None:
    answers = [
        ask.Chosen(ask.READ_AGAIN),
        ask.ReadingTaken(Reading(0.3, 0.35, "leaf")),
        ask.Turned({"front left": 0.5}),
    ]
    judged = Judged(four_corners, [SLIPPED, TURN], answers)
    assert judged.by_person[0] == ask.Choose("suspicion", (ask.READ_AGAIN, ask.GO_ON), SLIPPED)
    assert [type(r) for r in judged.by_person] == [ask.Choose, ask.TakeReading, ask.Turn]


def test_a_shifted_home_is_found_anew_before_another_pass(four_corners: Machine) -> None:
    judged = Judged(four_corners, [SHIFTED], [ask.Chosen(ask.READ_AGAIN)])
    assert judged.asked[1:] == [ask.Home()]
    assert judged.next is Next.VERIFY


def test_a_doubtful_turn_is_settled_by_another_pass_if_the_person_is_not_sure(four_corners: Machine) -> None:
    judged = Judged(
        four_corners, [OTHER_WAY], [ask.Chosen(ask.READ_AGAIN)], "adjust", turned={"front left": 0.25}
    )
    assert judged.next is Next.ADJUST
    assert judged.job.facts.rounds[0].turned == {"front left": 0.25}
