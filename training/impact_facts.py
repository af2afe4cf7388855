"""Rows to what rests on the older revisions of a rule book; nothing here decides anything."""

from __future__ import annotations

import datetime

from training import facts
from training.domain.impact import DocumentFact, Facts, SignOffFact, SittingFact
from training.domain.papers import Paper
from training.domain.register import EntryKind
from training.domain.text import LANGUAGES
from training.models import DocumentRevision, Entry, Person, RuleBookRevision, SignOff, Sitting
from training.models.rules import qualification_in_force


def impact_facts(new: RuleBookRevision, on: datetime.date) -> Facts:
    """What people, documents and cards of the company rest on, before this revision of the book."""
    company = new.book.company
    sittings = list(Sitting.objects.of(company).on_older(new))
    sign_offs = list(SignOff.objects.of(company).on_older(new))
    older = {row.person_id for row in sittings} | {row.person_id for row in sign_offs}
    people = list(Person.objects.of(company).employed_on(on).filter(pk__in=older))
    held = facts.standings_of(people, company, qualification_in_force(company, on), on) if people else {}
    again = set(Sitting.objects.of(company).on_this_or_newer(new).values_list("person_id", flat=True))
    holders = {pk for pk, standing in held.items() if standing.may_work} - again
    carded = Entry.objects.of(company).filter(kind=EntryKind.CARD_ISSUED, person__in=holders)
    return Facts(
        documents=[_document(revision) for revision in DocumentRevision.objects.with_sections().in_force(company, on)],
        sittings=[SittingFact(row.person_id, _rules(row)) for row in sittings],
        sign_offs=[SignOffFact(row.person_id, _items(row)) for row in sign_offs],
        holders=frozenset(holders),
        carded=frozenset(carded.values_list("person_id", flat=True)),
    )


def _document(revision: DocumentRevision) -> DocumentFact:
    sections = revision.sections.all()
    text = {code: "\n".join(section.text(code) for section in sections) for code in LANGUAGES}
    return DocumentFact(revision.document.slug, revision.document.title, text)


def _rules(row: Sitting) -> frozenset[str]:
    return frozenset(item.rule for item in Paper.from_json(row.paper).items)


def _items(row: SignOff) -> frozenset[str]:
    return frozenset(item.key for item in facts.checklist_of(row).items)
