"""After a rule change: to do until the set day, in the way after it, gone once done; nobody else is touched."""

import pytest

from tests.domain.story import HIGH, LOW, METAL, Story, proved, qualified
from training.domain.outcome import RepairKind, State
from training.domain.register import EntryKind
from training.domain.tries import next_try

OLD, NEW = {"rule_book": "q", "revision": 1}, {"rule_book": "q", "revision": 2}


def holder() -> Story:
    """Qualified on revision 1 of the rule book, from 22 January 2026."""
    story = Story().read("2026-01-05").quiz("2026-01-12", **OLD).hands_on("2026-01-20", **OLD)
    return story.grant("2026-01-22")


def asked(what: str, **more) -> Story:
    """Asked on 1 March 2026, by the last day of March."""
    return holder().ask("2026-03-01", what, "2026-03-31", "open-time", "headlap", **more)


def keys(found) -> list[str]:
    return [reason.message.key for reason in found.reasons]


def repair(found) -> list[str]:
    return [str(step.kind) for step in found.repair]


# --- until the day, on it, after it --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("what", "steps", "told", "late"),
    [
        ("reread", ["reading"], ["standing.reread_due"] * 2, ["step.reread_overdue"] * 2),
        ("quiz", ["short_quiz"], ["standing.short_quiz_due"], ["step.short_quiz_overdue"]),
        ("full", ["reading", "quiz", "hands_on"],
         ["standing.reread_due"] * 2 + ["standing.again_due"] * 2,
         ["step.reread_overdue"] * 2 + ["step.again_overdue"] * 2),
    ],
)  # fmt: skip
def test_it_is_to_do_before_the_day_and_in_the_way_after_it(what, steps, told, late) -> None:
    story = asked(what)
    before = story.on("2026-03-31")
    assert (before.state, before.may_work, str(before.until)) == (State.QUALIFIED, True, "2026-03-31")
    assert repair(before) == steps
    assert keys(before) == ["standing.qualified", *told]
    after = story.on("2026-04-01")
    assert (after.state, after.may_work, str(after.since)) == (State.LAPSED, False, "2026-04-01")
    assert keys(after) == late
    assert repair(after) == steps
    assert all(reason.entries for reason in after.reasons)


def test_before_it_was_asked_nothing_is_to_do_although_the_last_day_is_known() -> None:
    assert repair(asked("quiz").on("2026-02-20")) == []
    assert keys(asked("full").on("2026-02-20")) == ["standing.qualified"]


def test_a_quiz_waits_until_the_revision_counts_and_reading_does_not() -> None:
    story = holder().ask("2026-03-01", "full", "2026-03-31", "headlap", effective_on="2026-03-15")
    assert repair(story.on("2026-03-14")) == ["reading"]
    assert story.on("2026-03-14").step("quiz").asked_by is None
    assert repair(story.on("2026-03-15")) == ["reading", "quiz", "hands_on"]


def test_a_past_day_asks_for_nothing_before_the_day_on_which_it_was_said() -> None:
    story = holder().ask("2026-03-10", "quiz", "2026-01-01", "headlap")
    assert story.on("2026-03-10").may_work and not story.on("2026-03-11").may_work


# --- doing it -------------------------------------------------------------------------------------------------------


def test_the_short_quiz_is_enough_before_and_after_the_day() -> None:
    for on, check in (("2026-03-15", "2026-06-01"), ("2026-05-04", "2026-05-04")):
        found = asked("quiz").short_quiz(on, "open-time", "headlap").on(check)
        assert (found.state, found.may_work, str(found.until)) == (State.QUALIFIED, True, "2028-01-20")
        assert repair(found) == [] and keys(found) == ["standing.qualified"]
    assert str(found.since) == "2026-05-04"


@pytest.mark.parametrize(
    "done",
    [
        {"rules": ["open-time"]},
        {"rules": ["open-time", "headlap"], "passed": False},
        {"rules": ["open-time", "headlap"], "revision": 1},
    ],
)
def test_part_of_it_a_failure_or_an_older_revision_is_not_enough(done) -> None:
    story = asked("quiz").short_quiz("2026-03-15", *done.pop("rules"), **done)
    assert not story.on("2026-04-01").may_work


def test_two_short_quizzes_together_are_enough() -> None:
    story = asked("quiz").short_quiz("2026-03-15", "open-time").short_quiz("2026-03-16", "headlap")
    assert story.on("2026-04-01").may_work


def test_the_whole_quiz_on_the_new_revision_is_enough_too() -> None:
    assert asked("quiz").quiz("2026-03-15", **NEW).on("2026-04-01").may_work
    assert not asked("quiz").quiz("2026-03-15", **OLD).on("2026-04-01").may_work


def test_a_failed_short_quiz_costs_no_try() -> None:
    found = asked("quiz").short_quiz("2026-03-15", "headlap", passed=False).on("2026-03-16")
    assert found.step("quiz").tries_used == 0
    assert next_try(holder().qualification, found, "quiz").allowed


def test_only_the_named_documents_are_read_again_and_a_reading_of_the_same_day_counts() -> None:
    story = asked("reread", documents=["safe-work"])
    (step,) = story.on("2026-03-02").repair
    assert (step.kind, step.documents) == (RepairKind.READING, ("safe-work",))
    assert story.read("2026-03-01", "safe-work").on("2026-04-01").may_work


def test_everything_again_means_each_scope_on_the_new_revision() -> None:
    story = asked("full").read("2026-03-02").quiz("2026-03-03", **NEW)
    assert repair(story.on("2026-04-01")) == ["hands_on"]
    story.hands_on("2026-04-02", LOW, **NEW)
    found = story.on("2026-04-02")
    assert found.held == {LOW} and {scope.key for scope in found.scopes if scope.granted} == {LOW, METAL}
    assert story.hands_on("2026-04-03", METAL, **NEW).on("2026-04-03").held == {LOW, METAL}


def test_a_full_demand_leaves_no_short_way() -> None:
    story = asked("quiz").ask("2026-03-02", "full", "2026-04-30", "cure")
    assert story.on("2026-03-05").step("quiz").short_quiz == ()
    assert RepairKind.SHORT_QUIZ not in [step.kind for step in story.on("2026-03-05").repair]


def test_near_the_end_of_its_time_the_whole_quiz_is_asked_for() -> None:
    story = holder().ask("2027-11-01", "quiz", "2027-12-31", "headlap")
    assert repair(story.on("2027-11-02")) == ["reading", "quiz", "hands_on", "decision"]


# --- whom it does not touch ----------------------------------------------------------------------------------------


def test_who_proved_it_on_the_new_revision_is_not_asked() -> None:
    story = Story().read("2026-03-02").quiz("2026-03-03", **NEW).hands_on("2026-03-04", **NEW).grant("2026-03-05")
    found = story.ask("2026-03-01", "full", "2026-03-31", "headlap").on("2026-06-01")
    assert found.may_work and repair(found) == []


def test_another_book_touches_nobody_and_a_proof_without_a_book_is_an_old_one() -> None:
    other = holder()
    other.tell(
        EntryKind.REVISION_REQUIRED, "2026-03-01", person=None, book="another", revision=2,
        demands=[{"what": "quiz", "rules": ["headlap"], "due_on": "2026-03-31"}],
    )  # fmt: skip
    assert other.on("2026-04-01").may_work
    assert not qualified().ask("2026-03-01", "quiz", "2026-03-31", "headlap").on("2026-04-01").may_work


def test_who_has_proved_nothing_yet_is_asked_for_nothing_more() -> None:
    story = Story().ask("2026-03-01", "full", "2026-03-31", "headlap")
    assert repair(story.on("2026-04-01")) == ["reading", "quiz", "hands_on", "decision"]
    assert keys(story.on("2026-04-01")) == ["standing.not_started"]


def test_a_demand_declared_void_is_gone() -> None:
    story = asked("quiz")
    assert story.void(story.last, "2026-03-20").on("2026-04-01").may_work


def test_after_a_withdrawal_an_old_short_quiz_counts_no_more() -> None:
    story = asked("quiz").short_quiz("2026-03-15", "open-time", "headlap").decide(EntryKind.WITHDRAWN, "2026-03-20")
    story.read("2026-03-21").quiz("2026-03-22", **OLD).hands_on("2026-03-23", **OLD).grant("2026-03-24")
    assert not story.on("2026-04-01").may_work


def test_a_scope_shown_later_on_the_old_revision_is_asked_for_too() -> None:
    story = asked("full").read("2026-03-02").quiz("2026-03-03", **NEW).hands_on("2026-03-04", LOW, METAL, **NEW)
    story.hands_on("2026-03-05", HIGH, **OLD).decide(EntryKind.WIDENED, "2026-03-06", HIGH)
    assert HIGH not in story.on("2026-04-01").held
    assert LOW in story.on("2026-04-01").held


def test_nobody_waits_for_a_decision_on_proofs_that_ran_out_by_a_rule_change() -> None:
    story = proved().ask("2026-02-01", "full", "2026-02-28", "headlap")
    assert story.on("2026-02-28").state is State.WAITING_FOR_DECISION
    assert not story.on("2026-03-01").waiting
