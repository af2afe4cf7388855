"""Laws of standing on random histories: order, voids, late entries and strangers' entries cannot bend it."""

from datetime import UTC, date, datetime, time, timedelta
from time import perf_counter

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.domain.story import HIGH, LOW, METAL, PERSON, QUALIFICATION, Story, proved, qualified
from training.domain.decision import DECISIONS
from training.domain.outcome import IN_DATE
from training.domain.register import Entry, EntryKind
from training.domain.standing import standing

FIRST = date(2024, 1, 1)
SCOPES = st.lists(st.sampled_from([LOW, METAL, HIGH, "slope:s2", "slope:s4"]), max_size=3, unique=True)
DOCUMENTS = st.sampled_from(["product-sheet", "safe-work"])
days = st.integers(0, 2300).map(lambda number: FIRST + timedelta(days=number))


def _decision(scopes, until):
    return {"qualification": QUALIFICATION.key, "scopes": scopes, "until": until and until.isoformat()}


def _demands(revision, what, rules, documents, due):
    asked = {"what": what, "rules": rules, "documents": documents, "due_on": due.isoformat()}
    return {"book": "q", "revision": revision, "demands": [asked]}


BOOK = {"rule_book": st.sampled_from(["q", "q", "other"]), "revision": st.integers(0, 3)}
RULES = st.lists(st.sampled_from(["headlap", "open-time", "cure"]), min_size=1, max_size=2, unique=True)
decisions = st.builds(_decision, SCOPES, st.none() | days)
DATA = {
    EntryKind.READING_COMPLETED: st.fixed_dictionaries({"document": DOCUMENTS, "revision": st.integers(1, 3)}),
    EntryKind.QUIZ_MARKED: st.fixed_dictionaries(
        {"sitting": st.integers(1, 9), "passed": st.booleans()}, optional=BOOK
    ),
    EntryKind.DELTA_QUIZ_MARKED: st.fixed_dictionaries({"passed": st.booleans(), "rules": RULES, **BOOK}),
    EntryKind.REVISION_REQUIRED: st.builds(
        _demands,
        st.integers(1, 3),
        st.sampled_from(["reread", "quiz", "full"]),
        RULES,
        st.lists(DOCUMENTS, max_size=2),
        days,
    ),
    EntryKind.SIGN_OFF_SIGNED: st.fixed_dictionaries(
        {
            "result": st.sampled_from(["passed", "passed", "failed", "stopped"]),
            "scopes": SCOPES,
            "evaluator": st.just(40),
        },
        optional=BOOK,
    ),
    EntryKind.DOCUMENT_ISSUED: st.builds(
        lambda document, revision, effective, due: {
            "document": document,
            "revision": revision,
            "effective_on": effective.isoformat(),
            "due_on": due and (effective + timedelta(days=due)).isoformat(),
        },
        DOCUMENTS,
        st.integers(1, 3),
        days,
        st.none() | st.integers(0, 60),
    ),
    EntryKind.MEMBERSHIP_STARTED: st.just({}),
    EntryKind.MEMBERSHIP_ENDED: st.just({}),
    EntryKind.SECTION_ACKNOWLEDGED: st.fixed_dictionaries({"document": DOCUMENTS}),
    EntryKind.QUIZ_STARTED: st.fixed_dictionaries({"sitting": st.integers(1, 9)}),
    **dict.fromkeys(DECISIONS, decisions),
}
LIKELY = [EntryKind.READING_COMPLETED] * 4 + [EntryKind.QUIZ_MARKED, EntryKind.SIGN_OFF_SIGNED, EntryKind.GRANTED] * 3


@st.composite
def events(draw):
    kind = draw(st.sampled_from([*LIKELY, *DATA]))
    return kind, draw(days), draw(st.integers(0, 40)), draw(DATA[kind])


def renewed():
    story = qualified().read("2027-11-01").quiz("2027-11-02").hands_on("2027-11-03")
    return story.decide(EntryKind.RENEWED, "2027-11-05", LOW, METAL)


def entries_of(told):
    """Entries as the register would hold them: recorded some days after they happened, ids in order of recording."""
    noon = [datetime.combine(on + timedelta(days=late), time(12), UTC) for _, on, late, _ in told]
    order = sorted(range(len(told)), key=lambda index: (noon[index], index))
    return [
        Entry(number, told[index][0], PERSON, told[index][1], noon[index] + timedelta(seconds=number), told[index][3])
        for number, index in enumerate(order, start=100)
    ]


BEGINNINGS = [Story().entries, proved().entries, qualified().entries, renewed().entries]
histories = st.builds(
    lambda beginning, told: beginning + entries_of(told), st.sampled_from(BEGINNINGS), st.lists(events(), max_size=12)
)


@settings(max_examples=120, deadline=None)
@given(histories, days, st.randoms(use_true_random=False))
def test_the_order_in_which_entries_are_handed_in_does_not_matter(history, on, random):
    shuffled = random.sample(history, len(history))
    assert standing(QUALIFICATION, shuffled, on) == standing(QUALIFICATION, history, on)


@settings(max_examples=120, deadline=None)
@given(histories, days, st.data())
def test_a_voided_entry_is_as_if_it_had_never_happened(history, on, data):
    lost = data.draw(st.sampled_from(history))
    moment = datetime(2035, 1, 1, tzinfo=UTC)
    void = Entry(9999, EntryKind.ENTRY_VOIDED, PERSON, date(2035, 1, 1), moment, {"reason": "wrong person"}, lost.id)
    without = [entry for entry in history if entry is not lost]
    assert standing(QUALIFICATION, [*history, void], on) == standing(QUALIFICATION, without, on)
    before = moment - timedelta(days=1)
    assert standing(QUALIFICATION, [*history, void], on, before) == standing(QUALIFICATION, history, on, before)


@settings(max_examples=100, deadline=None)
@given(histories, days, st.sampled_from([EntryKind.CARD_ISSUED, EntryKind.CREW_JOINED, EntryKind.SECRET_CHANGED]), days)
def test_an_unrelated_entry_changes_nothing(history, on, kind, happened):
    moment = datetime.combine(happened, time(9), UTC)
    other = [
        Entry(9999, kind, PERSON, happened, moment, {}),
        Entry(9998, EntryKind.WITHDRAWN, PERSON, happened, moment, {"qualification": "another"}),
        Entry(9997, EntryKind.READING_COMPLETED, PERSON, happened, moment, {"document": "cooking", "revision": 1}),
    ]
    assert standing(QUALIFICATION, [*history, *other], on) == standing(QUALIFICATION, history, on)


@settings(max_examples=100, deadline=None)
@given(histories, st.lists(events(), max_size=5), days, days)
def test_what_was_known_then_does_not_change_when_entries_come_in_later(history, later, on, then):
    known_at = datetime.combine(then, time(23), UTC)
    known = [entry for entry in history if entry.recorded_at <= known_at]
    late = [
        Entry(5000 + number, kind, PERSON, happened, known_at + timedelta(days=1 + wait, seconds=number), data)
        for number, (kind, happened, wait, data) in enumerate(later)
    ]
    assert standing(QUALIFICATION, [*known, *late], on, known_at) == standing(QUALIFICATION, history, on, known_at)


@settings(max_examples=150, deadline=None)
@given(histories, days)
def test_who_may_not_work_is_told_why_and_how_to_repair_it(history, on):
    found = standing(QUALIFICATION, history, on)
    assert found.reasons
    assert found.may_work == bool(found.held)
    if found.may_work:
        assert found.member and found.state in IN_DATE
        assert found.until is None or found.until >= on
    else:
        assert found.repair and found.repair_minutes > 0


@settings(max_examples=120, deadline=None)
@given(histories, days)
def test_nobody_works_without_all_proofs_and_a_decision_in_force(history, on):
    found = standing(QUALIFICATION, history, on)
    for scope in found.scopes:
        if scope.held:
            assert scope.granted and scope.proved and not scope.suspended and found.decided
            assert all(step.done for step in found.steps)


@settings(max_examples=120, deadline=None)
@given(histories, days)
def test_the_last_valid_day_is_the_last_on_which_they_may_work(history, on):
    found = standing(QUALIFICATION, [entry for entry in history if entry.happened_on <= on], on)
    ended = any(entry.kind is EntryKind.MEMBERSHIP_ENDED for entry in history)
    if found.may_work and found.until and not ended:
        known = [entry for entry in history if entry.happened_on <= on]
        assert standing(QUALIFICATION, known, found.until).may_work
        assert not standing(QUALIFICATION, known, found.until + timedelta(days=1)).may_work


def test_one_standing_from_sixty_entries_takes_less_than_five_milliseconds():
    story = qualified()
    for week in range(48):
        story.tell(EntryKind.SECTION_ACKNOWLEDGED, date(2026, 2, 2) + timedelta(weeks=week), document="safe-work")
    assert len(story.entries) >= 56
    started = perf_counter()
    for _ in range(50):
        story.on("2027-01-15")
    assert (perf_counter() - started) / 50 < 0.005
