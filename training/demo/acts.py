"""Acts of people, done through the same actions as in real life: for the demo and for tests."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Iterable
from pathlib import Path
from typing import Any

from django.core.files.base import ContentFile

from training import facts
from training.actions import handson, material, quizzes
from training.domain.checklist import Checklist
from training.domain.questions import Question, stored_measure
from training.domain.rules import CheckItem, Rule
from training.domain.units import Measure, show
from training.models import Document, DocumentRevision, Person, SignOff, Sitting
from training.models.people import User
from training.permissions import Actor, actor_for

READING_PACE = datetime.timedelta(minutes=4)
QUESTION_PACE = datetime.timedelta(seconds=40)
SETTING = {
    "place": "Mock-up roof, yard",
    "weather": "72 °F, dry, light wind",
    "instrument": "Steel tape, pocket scale, infrared thermometer",
    "lot": "QO-2417",
}


def as_of(user: User, now: datetime.datetime, language: str = "en") -> Actor:
    """The user acting at a moment."""
    return actor_for(user, now=now, language=language)


def issue_document(
    *, by: Actor, folder: Path, content: dict[str, Any], number: int, effective_on: datetime.date,
    due_on: datetime.date | None = None,
) -> DocumentRevision:  # fmt: skip
    """Revision `number` of a shipped document, drafted and issued by the officer."""
    found = Document.objects.of(by.employer).filter(slug=content["slug"]).first()
    document = found or material.create_document(
        by=by, slug=content["slug"], title_en=content["title"]["en"], title_es=content["title"]["es"]
    )
    draft = material.draft_revision(by=by, document=document)
    copied = list(draft.sections.all())
    for place, section in enumerate(next(it for it in content["revisions"] if it["number"] == number)["sections"]):
        if "title" not in section:
            continue  # unchanged since the revision before
        details, files = _details(section), _picture(folder, section)
        if place < len(copied):
            material.change_section(by=by, section=copied[place], details=details, files=files)
        else:
            material.add_section(by=by, revision=draft, details=details, files=files)
    return material.issue_revision(by=by, revision=draft, effective_on=effective_on, due_on=due_on)


def _details(section: dict[str, Any]) -> dict[str, str]:
    both = {"title": section["title"], "body": section["body"], "alt": section.get("alt", {"en": "", "es": ""})}
    return {f"{name}_{code}": texts[code] for name, texts in both.items() for code in ("en", "es")}


def _picture(folder: Path, section: dict[str, Any]) -> material.Files:
    if not section.get("picture"):
        return material.NO_FILES
    path = folder / section["picture"]
    return material.Files(picture=ContentFile(path.read_bytes(), name=path.name))


def read_all(person: Person, start: datetime.datetime, language: str | None = None) -> datetime.datetime:
    """The person reads every document in force, section by section; returns when they were done."""
    assert person.user is not None
    language, now = language or person.language, start
    for revision in DocumentRevision.objects.in_force(person.company, as_of(person.user, now).today):
        progress = facts.reading_progress(person, revision, as_of(person.user, now).today)
        if progress.complete:
            material.begin_again(by=as_of(person.user, now, language), revision=revision)
        now = read_revision(person, revision, now, language)
    return now


def read_revision(
    person: Person, revision: DocumentRevision, start: datetime.datetime, language: str, stop_after: int | None = None
) -> datetime.datetime:
    """The person opens and acknowledges the sections of one revision in order, or only the first few."""
    assert person.user is not None
    now = start
    for section in list(revision.sections.all())[:stop_after]:
        material.open_section(by=as_of(person.user, now, language), section=section, language=language)
        now += READING_PACE
        material.acknowledge_section(by=as_of(person.user, now, language), section=section, language=language)
    return now


def sit_quiz(
    person: Person, start: datetime.datetime, wrong: Collection[int] = (), language: str | None = None,
    hand_in: bool = True, answered: int | None = None, wrong_critical: int = 0,
) -> Sitting:  # fmt: skip
    """The person sits the quiz; `wrong` are the places (from 0) answered wrongly, counting those that are not critical,
    `wrong_critical` how many critical ones are.

    With `hand_in` false only the first `answered` questions are done and the sitting stays open.
    """
    assert person.user is not None
    language, now = language or person.language, start
    sitting = quizzes.start_sitting(by=as_of(person.user, now, language), person=person)
    ordinary = critical = -1
    for place, asked in enumerate(facts.questions_of(sitting)[:answered]):
        ordinary, critical = ordinary + (not asked.critical), critical + asked.critical
        now += QUESTION_PACE
        miss = critical < wrong_critical if asked.critical else ordinary in wrong
        sent = wrong_answer(asked) if miss else right_answer(asked, language)
        quizzes.save_answer(by=as_of(person.user, now, language), sitting=sitting, position=place, sent=sent)
    if hand_in:
        now += QUESTION_PACE
        return quizzes.hand_in(by=as_of(person.user, now, language), sitting=sitting)
    return sitting


def right_answer(asked: Question, language: str) -> str:
    """What somebody who knows would send."""
    if asked.answer != "number":
        return asked.right
    known = stored_measure(asked.right)
    assert known is not None
    return show(known, language)


def wrong_answer(asked: Question) -> str:
    """What somebody who does not know might send; nothing for a typed number."""
    if asked.answer in ("one", "many"):
        return next(option.letter for option in asked.options if not option.right)
    return ",".join(reversed(asked.right.split(","))) if asked.answer == "order" else ""


def do_hands_on(
    evaluator: Person, person: Person, scopes: Iterable[str], start: datetime.datetime, *, bad: Collection[str] = (),
    setting: dict[str, str] | None = None, language: str | None = None, sign: bool = True,
) -> SignOff:  # fmt: skip
    """The evaluator watches and measures the whole checklist, and signs. Items in `bad` come out wrong."""
    assert evaluator.user is not None
    now = start
    given = SETTING | (setting or {})
    where = handson.Setting(happened_on=as_of(evaluator.user, now).today, language=language or person.language, **given)
    actor = as_of(evaluator.user, now)
    opened = handson.start_sign_off(by=actor, person=person, scopes=list(scopes), setting=where)
    checklist = facts.checklist_of(opened)
    noted = {item.key: _noted(checklist, item, item.key in bad) for item in checklist.items}
    handson.note(by=as_of(evaluator.user, now + datetime.timedelta(minutes=90)), sign_off=opened, noted=noted)
    if not sign:
        return opened
    return handson.sign(by=as_of(evaluator.user, now + datetime.timedelta(minutes=120)), sign_off=opened)


def _noted(checklist: Checklist, item: CheckItem, bad: bool) -> handson.Noted:
    if item.kind == "yes_no":
        return handson.Noted(["no" if bad else "yes"] * item.repeat)
    if item.kind == "rating":
        return handson.Noted(["0" if bad else "2"] * item.repeat)
    rule = checklist.limit(item)
    assert rule is not None
    return handson.Noted([show(reading(rule, n, bad), "en") for n in range(item.repeat)])


def reading(rule: Rule, n: int, bad: bool = False) -> Measure:
    """A plausible n-th reading: inside the limits, a little different each time; or clearly outside."""
    low, high = rule.limits.low, rule.limits.high
    if low is not None and high is not None:
        if bad:
            return high.plus(max(high.value - low.value, high.value))
        return low.plus((high.value - low.value) * (3 + n % 3) / 8)
    edge = low or high
    assert edge is not None
    share = edge.value / 8
    if low is not None:
        return low.plus(-3 * share) if bad else low.plus(share * (1 + n % 3) / 2)
    return edge.plus(3 * share) if bad else edge.plus(-share * (1 + n % 3))
