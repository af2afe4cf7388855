"""After a rule change: what rests on it is counted, what is asked reaches people, a short quiz lifts it."""

import copy
import datetime

import pytest

from tests.web.cast import Builder
from training import content, facts
from training.actions import rule_impact as actions
from training.actions.quizzes import start_sitting
from training.actions.rules import issue_rule_book
from training.demo import acts
from training.domain.demands import What
from training.domain.errors import BadInput, NotAllowed, NotFound, Refused
from training.domain.impact import impact
from training.domain.papers import Paper
from training.domain.register import EntryKind
from training.impact_facts import impact_facts
from training.models import Entry, RuleBookRevision
from training.models.rules import qualification_in_force
from training.verification import faults_of

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)
START = datetime.datetime(2026, 6, 1, 15, tzinfo=datetime.UTC)


def changed_book():
    book = copy.deepcopy(content.demo_rule_book())
    rules = {rule["key"]: rule for rule in book["rules"]}
    rules["headlap"]["value"] = "3 1/2"
    rules["opened-cylinder"]["value"] = "21"
    rules["frost"]["why"]["en"] = "Foam holds to the ice, and the ice melts later."
    return book


@pytest.fixture
def builder():
    """A company with one holder of a card, and since day 20 a second revision that counts from day 25."""
    made = Builder("Tested Roofing", "yard-rules", START)
    made.made = made.side()
    by = made.boss(20)
    made.new = issue_rule_book(by=by, slug="quendril-one", content=changed_book(), effective_on=by.today + 5 * DAY)
    made.old = RuleBookRevision.objects.select_related("book").get(book=made.new.book, number=1)
    return made


def ask(builder, day=21, due=30, **choices):
    by = builder.boss(day)
    named = {name.replace("__", ":").replace("_", "-"): what for name, what in choices.items()}
    return actions.ask_after_change(
        by=by, revision=builder.new, before=builder.old, choices=named, due_on=START.date() + due * DAY
    )


def standing(builder, day):
    on = START.date() + day * DAY
    return facts.standing_of(builder.made.holder, qualification_in_force(builder.company, on), on)


def lines(builder):
    found = impact_facts(builder.new, builder.boss(21).today)
    return {it.name: it for it in impact(facts.rule_book(builder.old), facts.rule_book(builder.new), found)}, found


def test_what_rests_on_each_change_is_found_in_the_rows(builder):
    found, whole = lines(builder)
    holder = builder.made.holder.pk
    assert set(found) == {"rule:headlap", "rule:opened-cylinder", "rule:frost"}
    assert (whole.holders, whole.carded) == ({holder}, {holder})
    asked = {item.rule for item in Paper.from_json(builder.made.sitting.paper).items}
    assert found["rule:headlap"].rests.sittings == int("headlap" in asked)
    judged = {item.rule for item in facts.checklist_of(builder.made.sign_off).items}
    assert found["rule:headlap"].rests.sign_offs == int("headlap" in judged)


def test_what_is_asked_is_one_entry_and_the_other_changes_ask_nothing(builder):
    entry = ask(builder, rule__headlap=What.QUIZ, rule__opened_cylinder=What.QUIZ, rule__frost=None)
    assert (entry.kind, entry.person) == (EntryKind.REVISION_REQUIRED, None)
    (demand,) = entry.data["demands"]
    assert (demand["what"], demand["rules"]) == ("quiz", ["opened-cylinder", "headlap"])
    assert entry.data["left"] == ["frost"] and entry.data["revision"] == 2 and entry.data["before"] == 1


def test_after_the_day_the_holder_may_not_work_until_the_short_quiz_is_passed(builder):
    ask(builder, rule__headlap=What.QUIZ)
    assert standing(builder, 30).may_work and not standing(builder, 31).may_work
    sitting = acts.sit_quiz(builder.made.holder, builder.on(32))
    assert sitting.rules == ["headlap"] and sitting.rule_book == builder.new
    assert {item.rule for item in Paper.from_json(sitting.paper).items} == {"headlap"}
    assert standing(builder, 32).may_work and standing(builder, 32).repair == ()
    assert faults_of(builder.company).faults == []
    marked = Entry.objects.filter(kind=EntryKind.DELTA_QUIZ_MARKED).get()
    assert marked.data["passed"] and marked.data["rules"] == ["headlap"] and marked.data["revision"] == 2


def test_a_short_quiz_with_one_wrong_answer_does_not_count_and_can_be_done_again(builder):
    ask(builder, rule__opened_cylinder=What.QUIZ)
    sitting = acts.sit_quiz(builder.made.holder, builder.on(26), wrong={0})
    assert not facts.result_of(sitting).passed
    found = standing(builder, 31)
    assert not found.may_work and found.step("quiz").tries_used == 0
    again = acts.sit_quiz(builder.made.holder, builder.on(31))
    assert facts.result_of(again).passed and standing(builder, 31).may_work


def test_before_the_revision_counts_there_is_no_short_quiz_on_it(builder):
    ask(builder, rule__headlap=What.QUIZ)
    assert standing(builder, 24).step("quiz").short_quiz == ()
    reader = acts.as_of(builder.made.user("holder"), builder.on(24))
    refused("tries.done", start_sitting, by=reader, person=builder.made.holder)
    assert standing(builder, 25).step("quiz").short_quiz == ("headlap",)


def test_reading_again_is_asked_of_the_named_documents(builder):
    by = builder.boss(21)
    actions.ask_after_change(
        by=by, revision=builder.new, before=builder.old, choices={"rule:frost": What.REREAD},
        due_on=START.date() + 30 * DAY, documents=["safe-work"],
    )  # fmt: skip
    assert standing(builder, 22).repair[0].documents == ("safe-work",)
    acts.read_all(builder.made.holder, builder.on(26))
    assert standing(builder, 31).may_work


def refused(fault, act, /, *args, **values):
    with pytest.raises((Refused, BadInput)) as caught:
        act(*args, **values)
    assert caught.value.message.key == fault


def test_it_is_decided_once(builder):
    ask(builder)
    refused("impact.already_asked", ask, builder, rule__headlap=What.QUIZ)


def test_what_cannot_be_asked_is_refused(builder):
    refused("impact.no_choice", ask, builder, rule__nothing=What.QUIZ)
    refused("impact.due_too_early", ask, builder, due=24, rule__headlap=What.QUIZ)
    refused("impact.due_too_early", ask, builder, day=28, due=27, rule__headlap=What.QUIZ)


def test_only_an_officer_of_the_company_decides(builder):
    values = {"revision": builder.new, "before": builder.old, "choices": {}, "due_on": START.date() + 40 * DAY}
    stranger = Builder("Other Tile", "other-rules", START).boss(21)
    with pytest.raises(NotFound):
        actions.ask_after_change(by=stranger, **values)
    with pytest.raises(NotAllowed):
        actions.ask_after_change(by=acts.as_of(builder.made.user("evaluator"), builder.on(21)), **values)
