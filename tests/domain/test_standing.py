"""Standing on any date: the three proofs, the decision, and what ends or holds up what a person may do."""

import pytest

from tests.domain.story import HIGH, LOW, METAL, Story, day, proved, qualified, raw_qualification
from training.domain.qualification import Qualification
from training.domain.register import EntryKind
from training.domain.standing import State


def keys(standing):
    return [reason.message.key for reason in standing.reasons]


def shorter_quiz():
    data = raw_qualification()
    data["steps"][1]["validity"] = {"period": "P12M", "convention": "to_the_day", "early": {"rule": "none"}}
    return Qualification.parse(data)


@pytest.mark.parametrize(
    ("on", "state"),
    [
        ("2026-01-04", State.NOT_STARTED),
        ("2026-01-05", State.UNDER_WAY),
        ("2026-01-19", State.UNDER_WAY),
        ("2026-01-20", State.WAITING_FOR_DECISION),
        ("2026-01-22", State.QUALIFIED),
        ("2027-10-21", State.QUALIFIED),
        ("2027-10-22", State.RENEWAL_OPEN),
        ("2028-01-20", State.RENEWAL_OPEN),
        ("2028-01-21", State.LAPSED),
    ],
)
def test_a_person_goes_from_nothing_to_qualified_to_lapsed(on, state):
    found = qualified().on(on)
    assert found.state is state
    assert found.may_work == (state in (State.QUALIFIED, State.RENEWAL_OPEN))
    assert found.reasons


def test_three_proofs_without_a_decision_do_not_let_anybody_work():
    found = proved().on("2026-01-25")
    assert (found.may_work, found.waiting, keys(found)) == (False, True, ["standing.waiting"])
    assert found.reasons[0].entries


def test_the_period_runs_from_the_last_of_the_three_proofs():
    # Demo policy: 24 months from the last proof; common practice, no source.
    found = qualified().on("2026-02-01")
    assert (found.since, found.until) == (day("2026-01-22"), day("2028-01-20"))
    late_quiz = Story().read("2026-01-05").quiz("2026-01-12").hands_on("2026-01-20").quiz("2026-01-25")
    assert late_quiz.grant("2026-01-26").on("2026-02-01").until == day("2028-01-25")


def test_a_decision_never_gives_more_than_the_rule_and_may_give_less():
    assert proved().grant("2026-01-22", until="2035-01-01").on("2026-02-01").until == day("2028-01-20")
    assert proved().grant("2026-01-22", until="2026-06-30").on("2026-02-01").until == day("2026-06-30")


def test_a_proof_with_a_shorter_period_ends_the_whole_and_doing_it_again_mends_it():
    story = proved(qualification=shorter_quiz()).grant("2026-01-22")
    assert story.on("2026-02-01").until == day("2027-01-12")
    lapsed = story.on("2027-01-13")
    assert (lapsed.state, keys(lapsed)) == (State.LAPSED, ["step.lapsed"])
    mended = story.quiz("2027-02-01").on("2027-02-01")
    assert (mended.may_work, mended.since, mended.until) == (True, day("2027-02-01"), day("2028-01-20"))


def test_a_renewal_in_the_window_keeps_the_anniversary():
    story = qualified().read("2027-11-01").quiz("2027-11-02").hands_on("2027-11-03")
    waiting = story.on("2027-11-04")
    assert (waiting.state, waiting.waiting) == (State.RENEWAL_OPEN, True)
    story.decide(EntryKind.RENEWED, "2027-11-05", LOW, METAL)
    found = story.on("2028-01-21")
    assert (found.state, found.since, found.until) == (State.QUALIFIED, day("2026-01-22"), day("2030-01-20"))


def test_a_renewal_after_the_end_starts_a_new_period_and_a_new_holding():
    story = qualified().read("2028-03-01").quiz("2028-03-02").hands_on("2028-03-03")
    lapsed = story.on("2028-03-04")
    assert (lapsed.state, lapsed.waiting) == (State.LAPSED, True)
    found = story.decide(EntryKind.RENEWED, "2028-03-06", LOW, METAL).on("2028-03-06")
    assert (found.since, found.until, found.granted_on) == (day("2028-03-06"), day("2030-03-03"), day("2028-03-06"))


def test_proofs_from_before_the_window_do_not_count_for_a_renewal():
    story = qualified().hands_on("2027-10-01")
    found = story.on("2027-11-01")
    assert found.fresh_from == day("2027-10-22")
    assert not found.step("hands_on").fresh and not found.waiting


def test_a_quiz_before_the_reading_was_complete_does_not_count():
    story = Story().read("2026-01-05", "product-sheet").quiz("2026-01-06").read("2026-01-07", "safe-work")
    found = story.on("2026-01-08").step("quiz")
    assert found.state is State.UNDER_WAY
    assert found.reasons[0].message.key == "step.too_early"
    assert story.quiz("2026-01-08").on("2026-01-08").step("quiz").done


def test_a_hands_on_before_the_quiz_does_not_count():
    story = Story().read("2026-01-05").hands_on("2026-01-06").quiz("2026-01-07")
    assert story.on("2026-01-08").state is State.UNDER_WAY
    assert not story.on("2026-01-08").step("hands_on").done


def test_on_one_day_the_time_of_recording_gives_the_order():
    assert Story().read("2026-01-05").quiz("2026-01-05").hands_on("2026-01-05").on("2026-01-05").waiting
    assert not Story().quiz("2026-01-05").read("2026-01-05").hands_on("2026-01-05").on("2026-01-05").waiting


@pytest.mark.parametrize("result", ["failed", "stopped"])
def test_a_failed_or_stopped_hands_on_proves_nothing(result):
    found = Story().read("2026-01-05").quiz("2026-01-12").hands_on("2026-01-20", result=result).on("2026-01-21")
    assert found.state is State.UNDER_WAY
    assert found.step("hands_on").tries_left == 1
    assert [reason.message.key for reason in found.step("hands_on").reasons] == ["step.not_passed", "step.tries_left"]


def test_a_stopped_hands_on_at_renewal_does_not_end_what_is_held():
    assert qualified().hands_on("2027-11-03", result="stopped").on("2027-11-04").may_work


def test_opening_one_section_is_under_way_and_not_done():
    story = Story().tell(EntryKind.SECTION_ACKNOWLEDGED, "2026-01-05", document="safe-work", revision=1, section=2)
    found = story.on("2026-01-06")
    assert (found.state, found.step("reading").state) == (State.UNDER_WAY, State.UNDER_WAY)


def test_tries_at_the_quiz_are_counted_with_a_day_between_them():
    story = Story().read("2026-01-05").quiz("2026-01-12", passed=False)
    same_day, next_day = story.on("2026-01-12").step("quiz"), story.on("2026-01-13").step("quiz")
    assert (same_day.tries_used, same_day.tries_left, same_day.next_try_on) == (1, 2, day("2026-01-13"))
    assert next_day.next_try_on == day("2026-01-13")
    story.quiz("2026-01-13", passed=False).quiz("2026-01-14", passed=False)
    spent = story.on("2026-02-01").step("quiz")
    assert (spent.tries_left, spent.next_try_on) == (0, None)


def test_reading_all_of_the_material_again_gives_new_tries():
    story = Story().read("2026-01-05")
    for on in ("2026-01-12", "2026-01-13", "2026-01-14"):
        story.quiz(on, passed=False)
    assert story.read("2026-01-15", "safe-work").on("2026-01-15").step("quiz").tries_left == 0
    assert story.read("2026-01-15", "product-sheet").on("2026-01-15").step("quiz").tries_left == 3


def test_a_new_revision_leaves_the_old_reading_enough_until_its_day():
    story = qualified().issue("product-sheet", 2, "2026-06-01", due_on="2026-06-30")
    assert story.on("2026-05-31").step("reading").state is State.QUALIFIED
    due = story.on("2026-06-30")
    assert (due.may_work, due.state, due.until) == (True, State.QUALIFIED, day("2026-06-30"))
    assert due.step("reading").state is State.RENEWAL_OPEN
    assert "standing.revision_due" in keys(due)
    late = story.on("2026-07-01")
    assert (late.state, keys(late)) == (State.LAPSED, ["step.revision_overdue"])
    read = story.read("2026-07-02", "product-sheet", revision=2).on("2026-07-02")
    assert (read.may_work, read.since, read.until) == (True, day("2026-07-02"), day("2028-01-20"))


def test_a_new_revision_without_a_day_asks_nothing_of_those_who_read_the_old_one():
    assert qualified().issue("product-sheet", 2, "2026-06-01").on("2027-06-01").until == day("2028-01-20")


def test_a_newcomer_reads_the_revision_that_is_in_force():
    story = Story().issue("safe-work", 2, "2026-02-01", due_on="2026-02-01").read("2026-03-01")
    document = story.on("2026-03-02").step("reading").documents[1]
    assert (document.in_force, document.read, document.state) == (2, 1, State.LAPSED)


@pytest.mark.parametrize("on", ["2019-12-31", "2026-07-01"])
def test_outside_their_membership_nobody_works(on):
    story = qualified().tell(EntryKind.MEMBERSHIP_ENDED, "2026-06-30")
    assert story.on("2026-06-30").may_work
    found = story.on(on)
    assert not found.member and not found.may_work
    assert keys(found)[0] in ("standing.left", "standing.not_member")


def test_a_membership_that_starts_later_is_told_ahead():
    story = Story(member=None).tell(EntryKind.MEMBERSHIP_STARTED, "2026-01-01", starts="2026-03-01")
    story.read("2026-03-01").quiz("2026-03-02").hands_on("2026-03-03").grant("2026-03-04")
    assert not story.on("2026-02-28").member
    assert story.on("2026-03-04").may_work


def test_who_comes_back_keeps_what_was_proved_here():
    story = qualified().tell(EntryKind.MEMBERSHIP_ENDED, "2026-06-30")
    story.tell(EntryKind.MEMBERSHIP_STARTED, "2026-09-01")
    assert [story.on(on).may_work for on in ("2026-06-30", "2026-07-01", "2026-08-31", "2026-09-01")] == [1, 0, 0, 1]


def test_a_suspension_holds_up_all_until_it_is_lifted():
    story = qualified().decide(EntryKind.SUSPENDED, "2026-03-02")
    found = story.on("2026-03-02")
    assert (found.state, found.may_work, found.since) == (State.SUSPENDED, False, day("2026-03-02"))
    assert found.until == day("2028-01-20")
    restored = story.decide(EntryKind.RESTORED, "2026-03-09").on("2026-03-09")
    assert (restored.may_work, restored.since) == (True, day("2026-03-09"))


def test_one_scope_can_be_suspended_alone():
    found = qualified().decide(EntryKind.SUSPENDED, "2026-03-02", METAL).on("2026-03-03")
    assert (found.state, found.held, found.suspended) == (State.QUALIFIED, {LOW}, {METAL})
    assert "standing.scopes_suspended" in keys(found)
    assert found.missing([LOW, METAL]) == (METAL,)


def test_a_suspended_scope_holds_up_the_scopes_that_include_it():
    story = Story().read("2026-01-05").quiz("2026-01-12").hands_on("2026-01-20", "slope:s3", LOW)
    story.grant("2026-01-22", "slope:s3", LOW).decide(EntryKind.SUSPENDED, "2026-03-02", "slope:s2")
    assert story.on("2026-03-02").held == {"slope:s1", LOW}


def test_a_suspension_seen_after_the_end_is_still_a_suspension():
    assert qualified().decide(EntryKind.SUSPENDED, "2027-12-01").on("2028-06-01").state is State.SUSPENDED


def test_after_a_withdrawal_everything_is_done_again():
    story = qualified().decide(EntryKind.WITHDRAWN, "2026-05-04")
    found = story.on("2026-05-05")
    assert (found.state, found.may_work, found.until) == (State.WITHDRAWN, False, None)
    assert [step.state for step in found.steps] == [State.NOT_STARTED] * 3
    story.read("2026-06-01").quiz("2026-06-02").hands_on("2026-06-03")
    assert (story.on("2026-06-04").state, story.on("2026-06-04").waiting) == (State.WITHDRAWN, True)
    assert story.grant("2026-06-05").on("2026-06-05").until == day("2028-06-03")


def test_widening_adds_a_scope_and_never_time():
    story = qualified().hands_on("2026-08-03", HIGH)
    assert story.on("2026-08-03").scope(HIGH).proved
    assert HIGH not in story.on("2026-08-03").held
    found = story.decide(EntryKind.WIDENED, "2026-08-05", HIGH).on("2026-08-05")
    assert (found.held, found.until) == ({LOW, METAL, HIGH}, day("2028-01-20"))


def test_narrowing_takes_a_scope_away_and_leaves_what_it_included():
    story = Story().read("2026-01-05").quiz("2026-01-12").hands_on("2026-01-20", "slope:s3")
    story.grant("2026-01-22", "slope:s3").decide(EntryKind.NARROWED, "2026-02-02", "slope:s3")
    assert story.on("2026-02-02").held == {"slope:s1", "slope:s2"}


def test_a_voided_proof_takes_the_standing_with_it_and_says_which():
    story = proved()
    quiz = story.entries[-2].id
    story.grant("2026-01-22").void(quiz, "2026-04-01")
    found = story.on("2026-04-02")
    # The hands-on that rested on it came, as is now known, before any quiz.
    assert (found.state, keys(found)) == (State.LAPSED, ["step.not_started", "step.too_early"])
    assert story.on("2026-04-02", known_at="2026-03-31").may_work


def test_when_only_the_sign_off_of_the_granted_scope_is_void_the_scope_is_named():
    story = proved().hands_on("2026-01-21", HIGH).grant("2026-01-22", HIGH)
    story.void(story.entries[-2].id, "2026-03-02")
    found = story.on("2026-03-03")
    assert (found.state, keys(found)) == (State.LAPSED, ["standing.scopes_lapsed"])
    assert [step.kind.value for step in found.repair] == ["hands_on"]


def test_what_was_known_that_morning_can_still_be_asked():
    story = qualified().decide(EntryKind.SUSPENDED, "2026-03-02", recorded="2026-03-05")
    assert story.on("2026-03-03", known_at="2026-03-03").may_work
    assert not story.on("2026-03-03").may_work


def test_decisions_about_another_qualification_are_passed_over():
    other = {"qualification": "fall-protection", "scopes": []}
    assert qualified().tell(EntryKind.WITHDRAWN, "2026-03-02", **other).on("2026-03-03").may_work


def test_a_grace_month_lets_a_person_work_on_and_says_so():
    # 14 CFR 61.58(i) and the Chief Counsel interpretation of May 2015: in the grace month one may still act.
    data = raw_qualification()
    early = {"rule": "grace_month", "before": 1, "after": 1}
    data["validity"] = {"period": "P12M", "convention": "end_of_month", "early": early}
    story = proved(qualification=Qualification.parse(data)).grant("2026-01-22")
    grace = story.on("2027-02-28")
    assert (grace.until, grace.in_grace, grace.may_work) == (day("2027-01-31"), True, True)
    assert "standing.in_grace" in keys(grace)
    assert story.on("2027-03-01").state is State.LAPSED


def test_a_qualification_that_no_date_ends_goes_on_until_an_event():
    # 29 CFR 1926.503(c), 1994: retraining on events, no interval.
    data = raw_qualification()
    data["validity"] = {"convention": "none"}
    for step in data["steps"]:
        step["validity"] = {"convention": "none"}
    story = proved(qualification=Qualification.parse(data)).grant("2026-01-22")
    found = story.on("2046-01-01")
    assert (found.may_work, found.until, keys(found)) == (True, None, ["standing.qualified_no_end"])


@pytest.mark.parametrize(
    ("done", "last"),
    [
        ("2024-02-29", "2026-02-28"),
        ("2026-08-31", "2028-08-31"),
        ("2023-12-31", "2025-12-31"),
        ("2022-02-28", "2024-02-28"),
    ],
)
def test_month_ends_and_leap_days(done, last):
    story = Story().read(done).quiz(done).hands_on(done).grant(done)
    assert story.on(done).until == day(last)
    assert story.on(last).may_work
