"""Authority to sign off: dated, for named scopes, never for oneself; and when a step may be tried again."""

import pytest

from tests.domain.story import EVALUATOR, LOW, MEDIUM, METAL, PERSON, QUALIFICATION, Story, day, proved, qualified
from training.domain.authority import Authority, authorities, may_sign_off
from training.domain.register import EntryKind
from training.domain.tries import next_try, quiz_next_try

BOOK = QUALIFICATION.scopes
HELD = [
    Authority(1, EVALUATOR, frozenset({"slope:s3"}), day("2025-01-01"), day("2026-12-31")),
    Authority(2, EVALUATOR, frozenset({MEDIUM}), day("2026-06-01")),
    Authority(3, 41, frozenset({METAL}), day("2025-01-01"), day("2025-12-31")),
]


def answer(on, *scopes, evaluator=EVALUATOR, candidate=PERSON):
    permit = may_sign_off(HELD, BOOK, evaluator=evaluator, candidate=candidate, scopes=scopes, on=day(on))
    return [reason.key for reason in permit.reasons]


def test_authority_covers_its_scopes_and_those_they_include_from_first_to_last_day():
    assert answer("2025-01-01", "slope:s1") == answer("2026-12-31", "slope:s3") == []
    assert answer("2026-07-01", "slope:s2", LOW) == []


@pytest.mark.parametrize(
    ("on", "scopes", "evaluator", "reasons"),
    [
        ("2026-03-01", ["slope:s4"], EVALUATOR, ["authority.scopes"]),
        ("2026-03-01", [LOW], EVALUATOR, ["authority.scopes"]),
        ("2024-12-31", ["slope:s1"], EVALUATOR, ["authority.not_yet"]),
        ("2026-01-01", [METAL], 41, ["authority.lapsed"]),
        ("2026-01-01", [METAL], 42, ["authority.none"]),
        ("2026-03-01", ["slope:s1"], PERSON, ["authority.self", "authority.none"]),
    ],
)
def test_without_authority_for_the_day_and_scope_nobody_signs(on, scopes, evaluator, reasons):
    assert answer(on, *scopes, evaluator=evaluator) == reasons


def test_nobody_signs_for_themselves_even_with_authority():
    assert answer("2026-03-01", "slope:s1", candidate=EVALUATOR) == ["authority.self"]


def test_the_register_tells_who_had_authority_and_since_when_that_was_known():
    story = Story().tell(
        EntryKind.AUTHORITY_GRANTED,
        "2026-01-01",
        person=EVALUATOR,
        authority=5,
        scopes=[LOW],
        starts="2026-01-01",
        ends=None,
    )
    story.tell(EntryKind.AUTHORITY_ENDED, "2026-05-01", person=EVALUATOR, authority=5, ends="2026-04-30", reason="left")
    assert authorities(story.entries)[0].ends == day("2026-04-30")
    assert authorities(story.entries, story.entries[-2].recorded_at)[0].ends is None


def tried(story, on, step="quiz"):
    found = next_try(QUALIFICATION, story.on(on), step)
    return found.allowed, found.reason.key if found.reason else None, found.from_on


def test_a_quiz_waits_for_the_reading():
    assert tried(Story(), "2026-01-05") == (False, "tries.first", None)
    assert tried(Story().read("2026-01-05"), "2026-01-05") == (True, None, day("2026-01-05"))


def test_after_a_failed_quiz_the_next_try_is_a_day_later():
    story = Story().read("2026-01-05").quiz("2026-01-12", passed=False)
    assert tried(story, "2026-01-12") == (False, "tries.wait", day("2026-01-13"))
    assert tried(story, "2026-01-13") == (True, None, day("2026-01-13"))


def test_after_the_last_try_the_material_is_read_again_first():
    story = Story().read("2026-01-05")
    for on in ("2026-01-12", "2026-01-13", "2026-01-14"):
        story.quiz(on, passed=False)
    assert tried(story, "2026-03-01") == (False, "tries.none_left", None)
    assert quiz_next_try(QUALIFICATION, story.read("2026-03-01").on("2026-03-01")).left == 3


def test_a_passed_quiz_is_not_taken_again_until_renewal_opens():
    assert tried(qualified(), "2026-03-01")[1] == "tries.done"
    assert tried(qualified(), "2027-10-22")[0]


def test_hands_on_can_be_shown_again_for_one_scope_more():
    assert tried(qualified(), "2026-03-01", "hands_on")[0]


def test_two_failed_hands_on_send_the_person_back_to_the_quiz():
    story = Story().read("2026-01-05").quiz("2026-01-12")
    story.hands_on("2026-01-20", result="failed").hands_on("2026-01-21", result="stopped")
    assert tried(story, "2026-02-01", "hands_on") == (False, "tries.none_left", None)
    assert tried(story.quiz("2026-02-02"), "2026-02-03", "hands_on")[0]


def test_who_does_not_belong_to_the_company_tries_nothing():
    assert tried(proved().tell(EntryKind.MEMBERSHIP_ENDED, "2026-01-21"), "2026-01-22")[1] == "tries.not_member"
