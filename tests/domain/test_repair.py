"""The shortest repair: only what is missing, in an order that works, and it does let the person work."""

from datetime import UTC, datetime, time, timedelta

import pytest
from hypothesis import given, settings

from tests.domain.story import HIGH, LOW, METAL, OFFICER, PERSON, QUALIFICATION, Story, day, proved, qualified
from tests.domain.test_standing_histories import days, histories
from training.domain.decision import Decider, allowed_decisions
from training.domain.register import Entry, EntryKind
from training.domain.repair import repair
from training.domain.standing import RepairKind, standing


def kinds(standing_, wanted=()):
    return [step.kind.value for step in repair(QUALIFICATION, standing_, wanted)]


@pytest.mark.parametrize(
    ("story", "on", "expected"),
    [
        (Story(), "2026-01-01", ["reading", "quiz", "hands_on", "decision"]),
        (Story().read("2026-01-05"), "2026-01-06", ["quiz", "hands_on", "decision"]),
        (proved(), "2026-01-21", ["decision"]),
        (qualified(), "2026-02-01", []),
        (qualified(), "2027-11-01", ["reading", "quiz", "hands_on", "decision"]),
        (qualified(), "2028-02-01", ["reading", "quiz", "hands_on", "decision"]),
        (qualified().decide(EntryKind.SUSPENDED, "2026-03-02"), "2026-03-03", ["restore"]),
        (
            qualified().decide(EntryKind.WITHDRAWN, "2026-03-02"),
            "2026-03-03",
            ["reading", "quiz", "hands_on", "decision"],
        ),
        (qualified().tell(EntryKind.MEMBERSHIP_ENDED, "2026-03-02"), "2026-03-03", ["membership"]),
        (qualified().issue("safe-work", 2, "2026-03-01", "2026-03-31"), "2026-04-01", ["reading"]),
        (Story(member=None).read("2026-01-05"), "2026-01-06", ["membership", "quiz", "hands_on", "decision"]),
    ],
)
def test_the_repair_lists_only_what_is_missing(story, on, expected):
    assert [step.kind.value for step in story.on(on).repair] == expected


def test_only_the_unread_document_is_to_be_read_and_its_share_of_the_minutes_counted():
    step = Story().read("2026-01-05", "product-sheet").on("2026-01-06").repair[0]
    assert (step.documents, step.minutes) == (("safe-work",), 20)


def test_a_new_revision_that_is_not_due_yet_is_next_for_who_works_and_not_in_the_way_of_who_does_not():
    new = ("safe-work", 2, "2026-03-01", "2026-04-30")
    assert kinds(qualified().issue(*new).on("2026-03-05")) == ["reading"]
    assert kinds(proved().issue(*new).on("2026-03-05")) == ["decision"]


def test_a_document_that_was_never_issued_is_named():
    story = Story()
    story.entries = story.entries[1:]
    assert kinds(story.on("2026-01-01")) == ["document", "reading", "quiz", "hands_on", "decision"]


def test_a_scope_more_needs_one_hands_on_and_one_decision():
    found = repair(QUALIFICATION, qualified().on("2026-03-02"), [HIGH])
    assert [step.kind for step in found] == [RepairKind.HANDS_ON, RepairKind.DECISION]
    assert found[0].scopes == (HIGH,)
    assert (found[1].message.key, sum(step.minutes for step in found)) == ("repair.widen", 125)


def test_without_tries_left_the_reading_comes_first_again():
    story = Story().read("2026-01-05")
    for on in ("2026-01-12", "2026-01-13", "2026-01-14"):
        story.quiz(on, passed=False)
    assert kinds(story.on("2026-02-01")) == ["reading", "quiz", "hands_on", "decision"]


def test_a_waiting_time_is_told_with_its_day():
    step = Story().read("2026-01-05").quiz("2026-01-12", passed=False).on("2026-01-12").repair[0]
    assert (step.message.key, step.from_on) == ("repair.quiz_from", day("2026-01-13"))


def test_only_the_suspended_scope_is_restored():
    found = qualified().decide(EntryKind.SUSPENDED, "2026-03-02", METAL).on("2026-03-03")
    assert found.repair == ()
    assert [step.scopes for step in repair(QUALIFICATION, found, [LOW, METAL])] == [(METAL,)]


def carry_out(step, entries, on, granted):
    """The entries that a repair step leads to."""

    def entry(kind, **data):
        number = max(it.id for it in entries) + 1
        moment = datetime.combine(on, time(12), UTC) + timedelta(days=4000)
        person = None if kind is EntryKind.DOCUMENT_ISSUED else PERSON
        entries.append(Entry(number, kind, person, on, moment + timedelta(seconds=number), data))

    match step.kind:
        case RepairKind.MEMBERSHIP:
            entry(EntryKind.MEMBERSHIP_STARTED)
        case RepairKind.DOCUMENT:
            entry(EntryKind.DOCUMENT_ISSUED, document=step.documents[0], revision=9, effective_on=on.isoformat())
        case RepairKind.READING:
            for document in step.documents:
                entry(EntryKind.READING_COMPLETED, document=document, revision=9)
        case RepairKind.QUIZ:
            entry(EntryKind.QUIZ_MARKED, passed=True, sitting=1, rule_book="q", revision=9)
        case RepairKind.SHORT_QUIZ:
            rules = standing(QUALIFICATION, entries, on).step("quiz").short_quiz
            entry(EntryKind.DELTA_QUIZ_MARKED, passed=True, rules=list(rules), rule_book="q", revision=9)
        case RepairKind.HANDS_ON:
            shown = {"scopes": list(step.scopes or granted), "rule_book": "q", "revision": 9}
            entry(EntryKind.SIGN_OFF_SIGNED, result="passed", evaluator=41, **shown)
        case RepairKind.RESTORE:
            entry(EntryKind.RESTORED, qualification=QUALIFICATION.key, scopes=[])
        case RepairKind.DECISION:
            decide(entry, entries, on)


def decide(entry, entries, on):
    found = standing(QUALIFICATION, entries, on)
    options = allowed_decisions(QUALIFICATION, found, person=PERSON, decider=Decider(OFFICER))
    kind = EntryKind.RENEWED if found.granted_on else EntryKind.GRANTED
    option = next(option for option in options if option.kind is kind)
    assert option.allowed, option.why_not
    entry(kind, qualification=QUALIFICATION.key, scopes=list(option.scopes), until=None)


@settings(max_examples=150, deadline=None)
@given(histories, days)
def test_carrying_out_the_repair_does_let_the_person_work(history, on):
    entries = [entry for entry in history if entry.happened_on <= on]
    found = standing(QUALIFICATION, entries, on)
    if found.may_work:
        return
    for step in found.repair:
        on = max(on, step.from_on or on)
        carry_out(step, entries, on, [LOW])
    assert standing(QUALIFICATION, entries, on).may_work
