"""Written material: documents in revisions and sections; who opened and acknowledged what, and when."""

from __future__ import annotations

import datetime

from django.db import models
from django.db.models import Count, Q
from django.utils.translation import gettext_lazy as _

from training.domain.errors import NotFound
from training.models.people import LANGUAGES, Company, Person, PersonQuerySet, User


class DocumentQuerySet(models.QuerySet["Document"]):
    def of(self, company: Company) -> DocumentQuerySet:
        return self.filter(company=company).order_by("slug")

    def with_revisions(self) -> DocumentQuerySet:
        newest_first = DocumentRevision.objects.order_by("-number").annotate(size=Count("sections"))
        return self.prefetch_related(models.Prefetch("revisions", newest_first))


class Document(models.Model):
    """A text the step `reading` asks for; the qualification names it by its slug."""

    company = models.ForeignKey(Company, models.PROTECT, related_name="documents")
    slug = models.SlugField(_("short name"), max_length=40)
    title_en = models.CharField(_("title in English"), max_length=120)
    title_es = models.CharField(_("title in Spanish"), max_length=120)

    objects = DocumentQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["company", "slug"], name="document_slug_once")]

    def __str__(self) -> str:
        return self.slug

    @property
    def title(self) -> dict[str, str]:
        return {"en": self.title_en, "es": self.title_es}


class DocumentRevisionQuerySet(models.QuerySet["DocumentRevision"]):
    def of(self, company: Company) -> DocumentRevisionQuerySet:
        found = self.filter(document__company=company).select_related("document")
        return found.order_by("document__slug", "-number")

    def issued(self) -> DocumentRevisionQuerySet:
        return self.filter(issued_at__isnull=False)

    def in_force(self, company: Company, day: datetime.date) -> list[DocumentRevision]:
        """One revision per document: the newest issued whose effective date has come."""
        newest: dict[int, DocumentRevision] = {}
        for revision in self.of(company).issued().filter(effective_on__lte=day):
            newest.setdefault(revision.document_id, revision)
        return list(newest.values())

    def with_sections(self) -> DocumentRevisionQuerySet:
        return self.select_related("document__company").prefetch_related("sections")


class DocumentRevision(models.Model):
    """One state of a document; once issued, it and its sections never change."""

    document = models.ForeignKey(Document, models.PROTECT, related_name="revisions")
    number = models.PositiveSmallIntegerField(_("revision"))
    effective_on = models.DateField(_("in force from"), null=True, blank=True)
    due_on = models.DateField(_("to be read by"), null=True, blank=True)
    issued_at = models.DateTimeField(_("issued at"), null=True, blank=True)
    issued_by = models.ForeignKey(User, models.PROTECT, null=True, blank=True, related_name="+")

    objects = DocumentRevisionQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["document", "number"], name="document_revision_once")]

    def __str__(self) -> str:
        return f"{self.document} {self.number}"

    @property
    def is_draft(self) -> bool:
        return self.issued_at is None


class Section(models.Model):
    """One part of a revision in both languages: text with a picture, or an uploaded PDF per language."""

    revision = models.ForeignKey(DocumentRevision, models.CASCADE, related_name="sections")
    position = models.PositiveSmallIntegerField(_("order"))
    key = models.SlugField(max_length=40)
    title_en = models.CharField(_("title in English"), max_length=120)
    title_es = models.CharField(_("title in Spanish"), max_length=120)
    body_en = models.TextField(_("text in English"), blank=True)
    body_es = models.TextField(_("text in Spanish"), blank=True)
    picture = models.FileField(_("picture"), upload_to="material/", blank=True)
    alt_en = models.CharField(_("what the picture shows, in English"), max_length=300, blank=True)
    alt_es = models.CharField(_("what the picture shows, in Spanish"), max_length=300, blank=True)
    file_en = models.FileField(_("PDF in English"), upload_to="material/", blank=True)
    file_es = models.FileField(_("PDF in Spanish"), upload_to="material/", blank=True)
    pages_en = models.PositiveSmallIntegerField(_("pages of the PDF in English"), default=0)
    pages_es = models.PositiveSmallIntegerField(_("pages of the PDF in Spanish"), default=0)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["revision", "position"], name="section_position_once"),
            models.UniqueConstraint(fields=["revision", "key"], name="section_key_once"),
        ]

    def __str__(self) -> str:
        return self.key

    @property
    def title(self) -> dict[str, str]:
        return {"en": self.title_en, "es": self.title_es}

    def text(self, language: str) -> str:
        return self.body_es if language == "es" else self.body_en

    def alt(self, language: str) -> str:
        return self.alt_es if language == "es" else self.alt_en

    def file(self, language: str) -> models.fields.files.FieldFile:
        return self.file_es if language == "es" else self.file_en

    def pages(self, language: str) -> int:
        return self.pages_es if language == "es" else self.pages_en


class OpeningQuerySet(models.QuerySet["SectionOpening"]):
    def by_person(self, person: Person, revision: DocumentRevision) -> OpeningQuerySet:
        return self.filter(person=person, section__revision=revision)


class SectionOpening(models.Model):
    """When a person first had a section on the screen, per language."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="openings")
    section = models.ForeignKey(Section, models.PROTECT, related_name="openings")
    language = models.CharField(max_length=8, choices=LANGUAGES)
    round = models.PositiveSmallIntegerField(default=1)
    opened_at = models.DateTimeField()

    objects = OpeningQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["person", "section", "language", "round"], name="opening_once")]


class AcknowledgementQuerySet(models.QuerySet["Acknowledgement"]):
    def by_person(self, person: Person, revision: DocumentRevision) -> AcknowledgementQuerySet:
        return self.filter(person=person, section__revision=revision)


class Acknowledgement(models.Model):
    """A person says of one section: read and understood. A renewal reads the same revision in a new round."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="acknowledgements")
    section = models.ForeignKey(Section, models.PROTECT, related_name="acknowledgements")
    language = models.CharField(max_length=8, choices=LANGUAGES)
    round = models.PositiveSmallIntegerField(default=1)
    acknowledged_at = models.DateTimeField()

    objects = AcknowledgementQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["person", "section", "round"], name="acknowledged_once")]


def documents_of(company: Company) -> DocumentQuerySet:
    """The company's documents, newest revision first."""
    return Document.objects.of(company).with_revisions()


def in_force_of(company: Company, day: datetime.date) -> list[DocumentRevision]:
    """What is to be read on a day: at most one revision of each document."""
    return DocumentRevision.objects.with_sections().in_force(company, day)


def in_force_document(company: Company, slug: str, day: datetime.date) -> DocumentRevision:
    """The revision of one document that counts on a day, or NotFound."""
    for revision in in_force_of(company, day):
        if revision.document.slug == slug:
            return revision
    raise NotFound("access.not_found")


def document_of(company: Company | None, slug: str) -> Document:
    """One document of the company with its revisions, or NotFound."""
    found = Document.objects.filter(company=company, slug=slug).with_revisions().first()
    if found is None:
        raise NotFound("access.not_found")
    return found


def revision_of(company: Company | None, slug: str, number: int) -> DocumentRevision:
    """One revision, draft or issued, with its sections, or NotFound."""
    rows = DocumentRevision.objects.filter(document__company=company, document__slug=slug, number=number)
    found = rows.with_sections().first()
    if found is None:
        raise NotFound("access.not_found")
    return found


def issued_revision_of(company: Company | None, slug: str, number: int) -> DocumentRevision:
    """The same for readers, who never see a draft."""
    found = revision_of(company, slug, number)
    if found.is_draft:
        raise NotFound("access.not_found")
    return found


def section_in(revision: DocumentRevision, key: str) -> Section:
    """A section by its short name, or NotFound."""
    for section in revision.sections.all():
        if section.key == key:
            return section
    raise NotFound("access.not_found")


def section_of(company: Company | None, pk: int) -> Section:
    """One section of the company's documents, or NotFound."""
    rows = Section.objects.filter(pk=pk, revision__document__company=company)
    found = rows.select_related("revision__document").first()
    if found is None:
        raise NotFound("access.not_found")
    return found


def readers_of(revision: DocumentRevision, day: datetime.date, show: str = "") -> PersonQuerySet:
    """The company's people of a day by name, each with `parts_read`: how many sections, in any round.

    `show` is "read" or "unread" for those who have, or have not, read all of it.
    """
    size = revision.sections.count()
    read = Count("acknowledgements__section", filter=Q(acknowledgements__section__revision=revision), distinct=True)
    everyone = Person.objects.of(revision.document.company).employed_on(day).annotate(parts_read=read)
    chosen = {"read": everyone.filter(parts_read__gte=size), "unread": everyone.filter(parts_read__lt=size)}
    return chosen.get(show, everyone).by_name()


def last_acknowledgements(revision: DocumentRevision, people: list[Person]) -> dict[int, Acknowledgement]:
    """Each person's latest acknowledgement in a revision, by the person's id; one query for all of them."""
    rows = Acknowledgement.objects.filter(section__revision=revision, person__in=[one.pk for one in people])
    return {row.person_id: row for row in rows.order_by("acknowledged_at", "pk")}


def readers_done(revisions: list[DocumentRevision], day: datetime.date) -> dict[int, int]:
    """How many of the people of a day have read each revision to its end, by the revision's id."""
    if not revisions:
        return {}
    here = Person.objects.of(revisions[0].document.company).employed_on(day)
    rows = Acknowledgement.objects.filter(section__revision__in=revisions, person__in=here)
    read = rows.values("section__revision", "person").annotate(parts=Count("section", distinct=True))
    sizes = dict(Section.objects.filter(revision__in=revisions).values_list("revision").annotate(size=Count("pk")))
    done: dict[int, int] = dict.fromkeys(sizes, 0)
    for row in read:
        done[row["section__revision"]] += row["parts"] == sizes[row["section__revision"]]
    return done
