"""Sittings: started when the rules allow a try, saved answer by answer, marked once."""

from __future__ import annotations

import hashlib
from typing import Any

from django.db import transaction

from training import facts
from training.actions.base import record
from training.domain.answers import accept_answer
from training.domain.errors import BadInput, Refused
from training.domain.outcome import StepStanding
from training.domain.papers import Blueprint, Paper, PaperItem, draw
from training.domain.qualification import Qualification, Step, StepKind
from training.domain.register import EntryKind, canonical, fingerprint
from training.domain.scoring import Result
from training.domain.short_paper import draw_short
from training.domain.text import storable
from training.domain.tries import next_try
from training.models import Answer, Person, QualificationRevision, Sitting
from training.models.rules import qualification_in_force, rule_book_in_force
from training.permissions import Actor, check_own
from training.unguessable import token_hex

LONGEST_ANSWER = 200


def quiz_step(qualification: Qualification) -> Step:
    """The quiz among the steps."""
    step = qualification.first_of(StepKind.QUIZ)
    if step is None:
        raise Refused("quiz.none_in_qualification")
    return step


def check_may_start(person: Person, row: QualificationRevision, by: Actor) -> StepStanding:
    """Refuses with the reason when no try is allowed today: steps before it, tries used up, or waiting time."""
    parsed = facts.qualification(row)
    step = quiz_step(parsed)
    found = facts.standing_of(person, row, by.today)
    answer = next_try(parsed, found, step.key)
    if answer.reason is not None:
        raise Refused(answer.reason)
    return found.step(step.key)


@transaction.atomic
def start_sitting(*, by: Actor, person: Person) -> Sitting:
    """A fresh paper for the person, or the sitting that is already open.

    Where a rule change asks for it, the paper is a short one on the changed rules.
    """
    check_own(by, person)
    Person.objects.select_for_update().get(pk=person.pk)
    open_one = Sitting.objects.by_person(person).open().first()
    if open_one is not None:
        return open_one
    row = qualification_in_force(by.employer, by.today)
    changed = check_may_start(person, row, by).short_quiz
    book = rule_book_in_force(by.employer, by.today)
    paper = _draw(person, row, facts.rule_book(book), changed)
    sitting = Sitting.objects.create(
        person=person,
        qualification=row,
        rule_book=book,
        seed=paper.seed,
        paper=paper.to_json(),
        rules=list(changed),
        language=by.language,
        started_at=by.now,
    )
    data = {
        "sitting": sitting.pk,
        "rule_book": book.book.slug,
        "revision": book.number,
        "paper": fingerprint(sitting.paper),  # not its seed, from which the key could be made
    }
    record(by=by, kind=EntryKind.QUIZ_STARTED, person=person, data=data)
    return sitting


def _draw(person: Person, row: QualificationRevision, book: Any, changed: tuple[str, ...]) -> Paper:
    if changed:
        return draw_short(book, changed, token_hex(16), _seen(person))
    blueprint = Blueprint.parse(quiz_step(facts.qualification(row)).blueprint)
    return draw(blueprint, book, token_hex(16), _seen(person))


def _seen(person: Person) -> list[PaperItem]:
    """Every question this person was asked before, so that a new try asks others."""
    papers = Sitting.objects.by_person(person).values_list("paper", flat=True)
    return [item for paper in papers for item in Paper.from_json(paper).items]


@transaction.atomic
def save_answer(*, by: Actor, sitting: Sitting, position: int, sent: str) -> Answer:
    """Keep what was chosen or typed. Something that cannot be read is kept as typed too, and refused.

    Not a register entry: the handing-in is one. The newest answer counts. Raises after saving, so that
    nothing typed is lost; the caller shows the refusal beside the question.
    """
    check_own(by, sitting.person)
    row = Sitting.objects.select_for_update().get(pk=sitting.pk)
    if row.submitted_at is not None:
        raise Refused("quiz.already_handed_in")
    questions = facts.questions_of(sitting)
    if not 0 <= position < len(questions):
        raise BadInput("quiz.no_such_question", n=position + 1)
    kept, typed, problem = "", storable(sent[:LONGEST_ANSWER]), None
    try:
        kept = accept_answer(questions[position], typed, by.language)
    except BadInput as error:
        problem = error
    answer, _ = Answer.objects.update_or_create(
        sitting=row,
        position=position,
        defaults={"value": {"kept": kept, "typed": typed}, "language": by.language, "saved_at": by.now},
    )
    answer.problem = problem
    return answer


@transaction.atomic
def hand_in(*, by: Actor, sitting: Sitting) -> Sitting:
    """Mark the sitting, once: a second call changes nothing and returns the same."""
    check_own(by, sitting.person)
    Person.objects.select_for_update().get(pk=sitting.person_id)
    Sitting.objects.select_for_update().get(pk=sitting.pk)  # an answer being saved is in, or comes too late
    row = Sitting.objects.with_all().get(pk=sitting.pk)
    if row.submitted_at is not None:
        return row
    result = facts.result_of(row)
    row.submitted_at = by.now
    row.save(update_fields=["submitted_at"])
    kind = EntryKind.DELTA_QUIZ_MARKED if row.rules else EntryKind.QUIZ_MARKED
    record(by=by, kind=kind, person=row.person, data=marked_data(row, result))
    return row


def marked_data(row: Sitting, result: Result) -> dict[str, Any]:
    """What the register keeps of a marking."""
    return {
        "sitting": row.pk,
        "qualification": row.qualification.key,
        "passed": result.passed,
        "right": result.right,
        "of": result.of,
        "critical_missed": list(result.critical_missed),
        "rule_book": row.rule_book.book.slug,
        "revision": row.rule_book.number,
        "language": row.language,
        "answers": answers_digest(row),
        **({"rules": row.rules} if row.rules else {}),
    }


def answers_digest(sitting: Sitting) -> str:
    """A fingerprint of paper and answers, so that the register shows when either was changed later."""
    answers = {str(answer.position): answer.value for answer in sitting.answers.all()}
    return hashlib.sha256(canonical({"paper": sitting.paper, "answers": answers})).hexdigest()
