"""Written material: documents are drafted, issued and then fixed; people open sections and acknowledge them.

A draft is a working copy and leaves no entry; issuing it does. Files once stored are never removed, because an
older revision may show the same one.
"""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from math import ceil
from pathlib import PurePosixPath
from typing import Any

from django.core.files.base import ContentFile
from django.db import transaction
from django.db.models import Max
from django.utils.text import slugify

from training import facts
from training.actions.base import hold_company, record
from training.domain.errors import BadInput, NotFound, Refused
from training.domain.material import Progress
from training.domain.register import EntryKind, canonical
from training.domain.text import LANGUAGES
from training.models import Acknowledgement, Document, DocumentRevision, Entry, Person, Section, SectionOpening
from training.permissions import Actor, check_officer, check_person, check_same_company
from training.uploads import Pdf

TEXTS = ("title_en", "title_es", "body_en", "body_es", "alt_en", "alt_es")
FILES = ("picture", "file_en", "file_es")
PICTURES = frozenset({".jpg", ".png", ".svg"})
COPIED = ("position", "key", *TEXTS, *FILES, "pages_en", "pages_es")
RESERVED = frozenset({"again", "draft", "file", "issue", "new", "readers"})  # words of the addresses


@dataclass(frozen=True)
class Files:
    """New files of a section, already checked (see `training.uploads`); `dropped` names those to take away."""

    picture: ContentFile[bytes] | None = None
    file_en: Pdf | None = None
    file_es: Pdf | None = None
    dropped: Collection[str] = ()


NO_FILES = Files()


@transaction.atomic
def create_document(*, by: Actor, slug: str, title_en: str, title_es: str) -> Document:
    """A document without any revision yet; the qualification's reading step names it by its slug."""
    check_officer(by)
    hold_company(by.employer)
    if slug in RESERVED or Document.objects.of(by.employer).filter(slug=slug).exists():
        raise BadInput("material.slug_taken", field="slug", slug=slug)
    return Document.objects.create(company=by.employer, slug=slug, title_en=title_en, title_es=title_es)


@transaction.atomic
def draft_revision(*, by: Actor, document: Document) -> DocumentRevision:
    """The next revision as a draft, with the sections of the last one copied into it."""
    check_officer(by)
    check_same_company(by, document.company_id)
    row = Document.objects.select_for_update().get(pk=document.pk)
    last = row.revisions.order_by("-number").first()
    if last is not None and last.issued_at is None:
        raise Refused("material.draft_open", revision=last.number)
    draft = DocumentRevision.objects.create(document=row, number=last.number + 1 if last else 1)
    if last is not None:
        Section.objects.bulk_create(_copies(last.sections.all(), draft))
    return draft


def _copies(sections: Iterable[Section], draft: DocumentRevision) -> list[Section]:
    return [Section(revision=draft, **{name: getattr(one, name) for name in COPIED}) for one in sections]


@transaction.atomic
def add_section(
    *, by: Actor, revision: DocumentRevision, details: Mapping[str, str], files: Files = NO_FILES, key: str = ""
) -> Section:
    """A new last section of a draft; `details` are its titles, texts and picture descriptions by field name.

    Its short name, for addresses and the register, is made from `key` or from the English title.
    """
    draft = _draft(by, revision)
    last = draft.sections.aggregate(last=Max("position"))["last"] or 0
    section = Section(revision=draft, position=last + 1, key=_free_key(draft, key or details.get("title_en", "")))
    _fill(section, details, files)
    section.save(force_insert=True)
    return section


@transaction.atomic
def change_section(*, by: Actor, section: Section, details: Mapping[str, str], files: Files = NO_FILES) -> Section:
    """Texts and files of a section of a draft; what `details` and `files` leave out stays."""
    _draft(by, section.revision)
    row = Section.objects.get(pk=section.pk)
    _fill(row, details, files)
    row.save()
    return row


@transaction.atomic
def remove_section(*, by: Actor, section: Section) -> None:
    """Take a section out of a draft."""
    _draft(by, section.revision)
    Section.objects.filter(pk=section.pk).delete()


@transaction.atomic
def move_section(*, by: Actor, section: Section, up: bool) -> None:
    """Change places with the section before or after; at the end of the list nothing happens."""
    draft = _draft(by, section.revision)
    order = list(draft.sections.all())
    here = next(n for n, one in enumerate(order) if one.pk == section.pk)
    there = here - 1 if up else here + 1
    if not 0 <= there < len(order):
        return
    one, other = order[here], order[there]
    places = (other.position, one.position)
    # A third place first: two sections never share one, not even for a moment.
    Section.objects.filter(pk=one.pk).update(position=order[-1].position + 1)
    Section.objects.filter(pk=other.pk).update(position=places[1])
    Section.objects.filter(pk=one.pk).update(position=places[0])


@transaction.atomic
def issue_revision(
    *, by: Actor, revision: DocumentRevision, effective_on: datetime.date, due_on: datetime.date | None = None
) -> DocumentRevision:
    """Fix a draft for good. It counts from `effective_on`; who read an older one reads this one by `due_on`."""
    draft = _draft(by, revision)
    sections = list(draft.sections.all())
    _check_whole(sections)
    _check_dates(draft, effective_on, due_on)
    draft.effective_on, draft.due_on = effective_on, due_on
    draft.issued_at, draft.issued_by = by.now, by.user
    draft.save()
    data = {
        "document": draft.document.slug,
        "title": draft.document.title,
        "revision": draft.number,
        "effective_on": effective_on.isoformat(),
        "due_on": due_on.isoformat() if due_on else None,
        "sections": len(sections),
        "content": content_hash(sections),
    }
    record(by=by, kind=EntryKind.DOCUMENT_ISSUED, data=data)
    return draft


@transaction.atomic
def open_section(*, by: Actor, section: Section, language: str) -> SectionOpening:
    """Note when a person first had a section before them, for each language. A log, not an entry."""
    person = _reader(by, section, language)
    progress = facts.reading_progress(person, section.revision, by.today)
    opening, _ = SectionOpening.objects.get_or_create(
        person=person,
        section=section,
        language=language,
        round=progress.round,
        defaults={"opened_at": by.now},
    )
    return opening


@transaction.atomic
def begin_again(*, by: Actor, revision: DocumentRevision) -> Section:
    """Start another round of a revision read to its end; gives the section to read first. A log, not an entry."""
    section = revision.sections.first()
    if section is None:
        raise NotFound("access.not_found")
    person = _locked(_reader(by, section, by.language))
    progress = facts.reading_progress(person, revision, by.today)
    if progress.complete:
        SectionOpening.objects.create(
            person=person, section=section, language=by.language, round=progress.round + 1, opened_at=by.now
        )
    return section


@transaction.atomic
def acknowledge_section(*, by: Actor, section: Section, language: str) -> Acknowledgement:
    """A person has read and understood one section. The last one of a revision completes the reading.

    Refused before the section was opened in that language and before the least reading time has passed.
    Doing it twice changes nothing.
    """
    person = _locked(_reader(by, section, language))
    progress = facts.reading_progress(person, section.revision, by.today)
    if section.pk in progress.acknowledged:
        return Acknowledgement.objects.get(person=person, section=section, round=progress.round)
    _check_time(progress, section, language, by.now)
    row = Acknowledgement.objects.create(
        person=person, section=section, language=language, round=progress.round, acknowledged_at=by.now
    )
    _record_reading(by, person, section, language, progress)
    return row


def _locked(person: Person) -> Person:
    """Held until commit, so that two clicks at once wait for each other."""
    return Person.objects.select_for_update().get(pk=person.pk)


def _record_reading(by: Actor, person: Person, section: Section, language: str, progress: Progress) -> Entry:
    last = progress.is_last(section.pk)
    data: dict[str, Any] = {
        "document": section.revision.document.slug,
        "revision": section.revision.number,
        "section": section.key,
        "language": language,
    }
    if last:
        data["sections"] = len(progress.parts)
    kind = EntryKind.READING_COMPLETED if last else EntryKind.SECTION_ACKNOWLEDGED
    return record(by=by, kind=kind, person=person, data=data, language=language)


def content_hash(sections: Iterable[Section]) -> str:
    """SHA-256, in hex, over all texts and files: shows in the register what exactly was issued."""
    plain = [
        {
            "key": one.key,
            **{name: getattr(one, name) for name in TEXTS},
            **{name: file_hash(getattr(one, name)) for name in FILES},
        }
        for one in sections
    ]
    return hashlib.sha256(canonical({"sections": plain})).hexdigest()


def file_hash(file: Any) -> str:
    """SHA-256, in hex, of a stored file; empty where there is none. Raises FileNotFoundError for one that is gone."""
    if not file:
        return ""
    with file.storage.open(file.name) as stored:
        return hashlib.file_digest(stored, "sha256").hexdigest()


def _draft(by: Actor, revision: DocumentRevision) -> DocumentRevision:
    """The revision, held until commit, if the actor may change it."""
    check_officer(by)
    check_same_company(by, revision.document.company_id)
    row = DocumentRevision.objects.select_for_update(of=("self",)).select_related("document").get(pk=revision.pk)
    if row.issued_at is not None:
        raise Refused("material.issued", revision=row.number)
    return row


def _reader(by: Actor, section: Section, language: str) -> Person:
    """The actor as a person who may read this section today."""
    check_person(by)
    revision = section.revision
    check_same_company(by, revision.document.company_id)
    if language not in LANGUAGES:
        raise BadInput("material.language", field="language")
    if revision.issued_at is None:
        raise NotFound("access.not_found")
    current = DocumentRevision.objects.in_force(by.employer, by.today)
    if all(one.pk != revision.pk for one in current):
        raise Refused("material.not_in_force", revision=revision.number)
    assert by.person is not None
    return by.person


def _check_time(progress: Progress, section: Section, language: str, now: datetime.datetime) -> None:
    ready = progress.ready_at(section.pk, language)
    if ready is None:
        raise Refused("material.not_opened")
    if now < ready:
        raise Refused("material.too_soon", seconds=ceil((ready - now).total_seconds()))


def _check_whole(sections: list[Section]) -> None:
    if not sections:
        raise Refused("material.empty")
    for section in sections:
        for language in LANGUAGES:
            if not (section.text(language).strip() or section.file(language)):
                raise Refused(f"material.no_text_{language}", section=section.title)
            if section.picture and not section.alt(language).strip():
                raise Refused(f"material.no_alt_{language}", section=section.title)


def _check_dates(draft: DocumentRevision, effective_on: datetime.date, due_on: datetime.date | None) -> None:
    before = draft.document.revisions.filter(issued_at__isnull=False).order_by("-number").first()
    if before is not None and before.effective_on is not None and effective_on < before.effective_on:
        raise BadInput("material.effective_before_last", field="effective_on", date=before.effective_on)
    if due_on is not None and due_on < effective_on:
        raise BadInput("material.due_before_effective", field="due_on", date=effective_on)


def _free_key(draft: DocumentRevision, title: str) -> str:
    """A short name for the section's address; it stays when the section is copied into later revisions."""
    base = slugify(title)[:34].strip("-") or "part"
    taken = set(draft.sections.values_list("key", flat=True)) | RESERVED
    choices = [base, *(f"{base}-{n}" for n in range(2, len(taken) + 3))]
    return next(key for key in choices if key not in taken)


def _checked_name(picture: ContentFile[bytes]) -> str:
    # Uploads are redrawn as PNG or JPEG; SVG comes only from the files that are shipped.
    name = str(picture.name)
    if PurePosixPath(name).suffix not in PICTURES:
        raise BadInput("upload.not_a_picture", field="picture")
    return name


def _fill(section: Section, details: Mapping[str, str], files: Files) -> None:
    for name in TEXTS:
        if name in details:
            setattr(section, name, details[name])
    for name in files.dropped:
        setattr(section, name, "")
    if files.picture is not None:
        section.picture.save(_checked_name(files.picture), files.picture, save=False)
    for language in LANGUAGES:
        pdf = getattr(files, f"file_{language}")
        if pdf is not None:
            section.file(language).save(pdf.content.name, pdf.content, save=False)
        if pdf is not None or f"file_{language}" in files.dropped:
            setattr(section, f"pages_{language}", pdf.pages if pdf else 0)
