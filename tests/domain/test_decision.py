"""Decisions: no proof missing, no part in the proofs for the decider, and every refusal says what is missing.

ISO/IEC 17024:2012 clause 4.2 names the seven decisions; 9.4 (from memory) keeps examiner and decider apart.
"""

import pytest

from tests.domain.story import (
    EVALUATOR,
    EVALUATOR_USER,
    HIGH,
    LOW,
    MEDIUM,
    METAL,
    OFFICER,
    PERSON,
    QUALIFICATION,
    Story,
    day,
    proved,
    qualified,
    raw_qualification,
)
from training.domain.decision import DECISIONS, Decider, allowed_decisions, check_decision
from training.domain.errors import BadInput, Refused
from training.domain.qualification import Qualification
from training.domain.register import EntryKind

NOBODY = Decider(OFFICER)


def check(kind, story, on, *scopes, decider=NOBODY, **more):
    return check_decision(
        kind, story.qualification, story.on(on), person=PERSON, decider=decider, on=day(on), scopes=scopes, **more
    )


def refusal(kind, story, on, *scopes, **more):
    with pytest.raises((Refused, BadInput)) as no:
        check(kind, story, on, *scopes, **more)
    return no.value.message.key


def test_three_proofs_in_date_can_be_granted():
    ruling = check(EntryKind.GRANTED, proved(), "2026-01-22", LOW, METAL)
    assert (ruling.scopes, ruling.until, len(ruling.proofs)) == ((LOW, METAL), day("2028-01-20"), 4)
    assert ruling.data(QUALIFICATION, NOBODY)["until"] == "2028-01-20"


@pytest.mark.parametrize("left_out", ["reading", "quiz", "hands_on"])
def test_with_one_proof_missing_nothing_can_be_granted(left_out):
    story = Story()
    if left_out != "reading":
        story.read("2026-01-05")
    if left_out != "quiz":
        story.quiz("2026-01-12")
    if left_out != "hands_on":
        story.hands_on("2026-01-20")
    assert refusal(EntryKind.GRANTED, story, "2026-01-22", LOW) == "decision.steps_missing"


def test_a_refusal_names_the_missing_steps():
    with pytest.raises(Refused) as no:
        check(EntryKind.GRANTED, Story().read("2026-01-05"), "2026-01-22", LOW)
    assert [step["en"] for step in no.value.message.values["steps"]] == ["Quiz", "Hands-on"]


def test_with_one_proof_out_of_date_nothing_can_be_granted():
    data = raw_qualification()
    data["steps"][1]["validity"] = {"period": "P1M", "convention": "to_the_day", "early": {"rule": "none"}}
    story = proved(qualification=Qualification.parse(data))
    assert check(EntryKind.GRANTED, story, "2026-02-12", LOW).kind is EntryKind.GRANTED
    assert refusal(EntryKind.GRANTED, story, "2026-02-13", LOW) == "decision.step_out_of_date"


def test_an_unread_revision_past_its_day_stops_the_grant():
    story = proved().issue("product-sheet", 2, "2026-01-21", "2026-01-31")
    assert check(EntryKind.GRANTED, story, "2026-01-31", LOW)
    assert refusal(EntryKind.GRANTED, story, "2026-02-01", LOW) == "decision.step_out_of_date"


def test_a_scope_that_was_not_shown_hands_on_cannot_be_granted():
    assert refusal(EntryKind.GRANTED, proved(), "2026-01-22", LOW, HIGH) == "decision.scopes_not_shown"
    assert refusal(EntryKind.GRANTED, proved(), "2026-01-22", MEDIUM) == "decision.scopes_not_shown"


@pytest.mark.parametrize(
    "decider", [Decider(OFFICER, EVALUATOR), Decider(EVALUATOR_USER), Decider(EVALUATOR_USER, EVALUATOR)]
)
def test_who_signed_the_hands_on_does_not_decide_on_it(decider):
    assert refusal(EntryKind.GRANTED, proved(), "2026-01-22", LOW, decider=decider) == "decision.evaluator_decides"


def test_who_signed_one_scope_can_decide_on_another():
    story = proved().hands_on("2026-01-21", HIGH, evaluator=55)
    decider = Decider(155, 55)
    assert check(EntryKind.GRANTED, story, "2026-01-22", LOW, decider=decider)
    assert refusal(EntryKind.GRANTED, story, "2026-01-22", LOW, HIGH, decider=decider) == "decision.evaluator_decides"


@pytest.mark.parametrize("kind", DECISIONS)
def test_nobody_decides_about_themselves(kind):
    assert refusal(kind, qualified(), "2026-02-01", LOW, decider=Decider(OFFICER, PERSON)) == "decision.own"


@pytest.mark.parametrize("kind", DECISIONS)
def test_an_unknown_scope_is_refused(kind):
    assert refusal(kind, qualified(), "2026-02-01", "profile:wavy") == "scopes.unknown"


SUSPENDED = qualified().decide(EntryKind.SUSPENDED, "2026-03-02")
PARTLY = qualified().decide(EntryKind.SUSPENDED, "2026-03-02", METAL)
WITHDRAWN = qualified().decide(EntryKind.WITHDRAWN, "2026-03-02")
LEFT = proved().tell(EntryKind.MEMBERSHIP_ENDED, "2026-01-21")
REFUSED = [
    (EntryKind.GRANTED, qualified(), "2026-02-01", [LOW], "decision.already_granted"),
    (EntryKind.GRANTED, proved(), "2026-01-22", [], "decision.no_scopes"),
    (EntryKind.GRANTED, LEFT, "2026-01-22", [LOW], "decision.not_member"),
    (EntryKind.GRANTED, WITHDRAWN, "2026-03-03", [LOW], "decision.steps_missing"),
    (EntryKind.RENEWED, proved(), "2026-01-22", [LOW], "decision.nothing_held"),
    (EntryKind.RENEWED, qualified(), "2027-10-21", [LOW], "decision.renewal_not_open"),
    (EntryKind.RENEWED, qualified(), "2027-10-22", [LOW], "decision.step_too_old"),
    (EntryKind.RENEWED, qualified(), "2028-03-01", [LOW], "decision.step_out_of_date"),
    (EntryKind.RENEWED, SUSPENDED, "2027-11-01", [LOW], "decision.suspended"),
    (EntryKind.RENEWED, PARTLY, "2027-11-01", [LOW, METAL], "decision.scopes_suspended"),
    (EntryKind.RENEWED, WITHDRAWN, "2027-11-01", [LOW], "decision.withdrawn"),
    (EntryKind.WIDENED, qualified(), "2026-02-01", [HIGH], "decision.nothing_to_add"),
    (EntryKind.WIDENED, qualified().hands_on("2026-02-01", HIGH), "2026-02-02", [LOW], "decision.already_covered"),
    (EntryKind.WIDENED, qualified().hands_on("2026-02-01", HIGH), "2026-02-02", [MEDIUM], "decision.scopes_not_shown"),
    (EntryKind.WIDENED, qualified(), "2028-02-01", [HIGH], "decision.lapsed"),
    (EntryKind.WIDENED, SUSPENDED, "2026-03-03", [HIGH], "decision.suspended"),
    (EntryKind.NARROWED, qualified(), "2026-02-01", [], "decision.no_scopes"),
    (EntryKind.NARROWED, qualified(), "2026-02-01", [HIGH], "decision.scopes_not_held"),
    (EntryKind.NARROWED, qualified(), "2026-02-01", [LOW, METAL], "decision.narrow_all"),
    (EntryKind.SUSPENDED, proved(), "2026-01-22", [], "decision.nothing_held"),
    (EntryKind.SUSPENDED, SUSPENDED, "2026-03-03", [], "decision.already_suspended"),
    (EntryKind.SUSPENDED, PARTLY, "2026-03-03", [METAL], "decision.already_suspended"),
    (EntryKind.SUSPENDED, qualified(), "2028-02-01", [], "decision.lapsed"),
    (EntryKind.RESTORED, qualified(), "2026-02-01", [], "decision.not_suspended"),
    (EntryKind.RESTORED, PARTLY, "2026-03-03", [LOW], "decision.scopes_not_suspended"),
    (EntryKind.WITHDRAWN, WITHDRAWN, "2026-03-03", [], "decision.withdrawn"),
    (EntryKind.WITHDRAWN, proved(), "2026-01-22", [], "decision.nothing_held"),
]


@pytest.mark.parametrize(("kind", "story", "on", "scopes", "key"), REFUSED)
def test_each_refusal_says_what_is_missing(kind, story, on, scopes, key):
    assert refusal(kind, story, on, *scopes, reason="seen on the roof") == key


@pytest.mark.parametrize("kind", [EntryKind.NARROWED, EntryKind.SUSPENDED, EntryKind.WITHDRAWN])
def test_taking_something_away_needs_a_reason(kind):
    assert refusal(kind, qualified(), "2026-02-01", *([LOW] if kind is EntryKind.NARROWED else [])) == (
        "decision.reason_needed"
    )


ALLOWED = [
    (EntryKind.NARROWED, qualified(), "2026-02-01", [LOW]),
    (EntryKind.SUSPENDED, qualified(), "2026-02-01", []),
    (EntryKind.SUSPENDED, PARTLY, "2026-03-03", []),
    (EntryKind.RESTORED, SUSPENDED, "2026-03-03", []),
    (EntryKind.RESTORED, PARTLY, "2026-03-03", [METAL]),
    (EntryKind.WITHDRAWN, SUSPENDED, "2026-03-03", []),
    (EntryKind.WITHDRAWN, qualified(), "2028-02-01", []),
    (EntryKind.WIDENED, qualified().hands_on("2026-02-01", HIGH), "2026-02-02", [HIGH]),
]


@pytest.mark.parametrize(("kind", "story", "on", "scopes"), ALLOWED)
def test_what_nothing_stands_against_is_allowed(kind, story, on, scopes):
    assert check(kind, story, on, *scopes, reason="seen on the roof").kind is kind


def test_a_renewal_in_the_window_is_given_to_the_kept_anniversary():
    story = qualified().read("2027-11-01").quiz("2027-11-02").hands_on("2027-11-03")
    ruling = check(EntryKind.RENEWED, story, "2027-11-05", LOW)
    assert ruling.until == day("2030-01-20")
    story.decide(EntryKind.RENEWED, "2027-11-05", *ruling.scopes, until=ruling.until.isoformat())
    assert story.on("2027-11-05").until == ruling.until


def test_after_a_lapse_the_renewal_runs_from_the_last_proof():
    story = qualified().read("2028-03-01").quiz("2028-03-02").hands_on("2028-03-03")
    assert check(EntryKind.RENEWED, story, "2028-03-06", LOW).until == day("2030-03-03")


@pytest.mark.parametrize(
    ("until", "fine"), [("2028-01-20", True), ("2026-01-22", True), ("2028-01-21", False), ("2026-01-21", False)]
)
def test_the_officer_may_give_less_time_and_never_more(until, fine):
    if fine:
        assert check(EntryKind.GRANTED, proved(), "2026-01-22", LOW, until=day(until)).until == day(until)
    else:
        assert refusal(EntryKind.GRANTED, proved(), "2026-01-22", LOW, until=day(until)) == "decision.until"


def test_a_decision_looks_at_the_standing_of_its_own_day():
    with pytest.raises(ValueError):
        check_decision(
            EntryKind.GRANTED,
            QUALIFICATION,
            proved().on("2026-01-22"),
            person=PERSON,
            decider=NOBODY,
            on=day("2026-01-23"),
        )


def test_the_options_say_for_every_decision_whether_and_why_not():
    options = allowed_decisions(QUALIFICATION, proved().on("2026-01-22"), person=PERSON, decider=NOBODY)
    assert [option.kind for option in options if option.allowed] == [EntryKind.GRANTED]
    assert all(option.why_not for option in options if not option.allowed)
    assert options[0].scopes == (LOW, METAL)


def test_the_options_leave_out_the_scopes_that_the_decider_signed():
    found = proved().hands_on("2026-01-21", HIGH, evaluator=55).on("2026-01-22")
    option = allowed_decisions(QUALIFICATION, found, person=PERSON, decider=Decider(155, 55))[0]
    assert (option.allowed, option.scopes) == (True, (LOW, METAL))
