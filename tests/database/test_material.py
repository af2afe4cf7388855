"""Documents from draft to issue, and reading them: what is refused, what is kept, what the register says."""

import datetime
import json
from pathlib import Path

import pytest
from django.core.files.base import ContentFile

import training
from tests import factories as make
from training import facts
from training.actions import material as actions
from training.actions.rules import issue_qualification
from training.domain.errors import BadInput, NotAllowed, NotFound, Refused
from training.domain.register import EntryKind
from training.models import Acknowledgement, Document, DocumentRevision, Entry, Section
from training.uploads import Pdf

pytestmark = pytest.mark.django_db

QUALIFICATION = Path(training.__file__).parent / "content/qualifications/tile_adhesive.json"
SECOND = datetime.timedelta(seconds=1)
DAY = datetime.timedelta(days=1)


@pytest.fixture
def officer():
    return make.officer_of(make.CompanyFactory())


@pytest.fixture
def reader(officer):
    return make.applicator(make.PersonFactory(company=officer.company))


@pytest.fixture
def revision(officer):
    """Two sections of 50 words: 4 seconds each at the usual rate of 8 seconds for 100 words."""
    return make.issued_document(officer)


def draft_of(officer):
    return actions.draft_revision(by=officer, document=make.document(officer))


def last_entry(company):
    return Entry.objects.of(company).order_by("number").last()


def refused(key, act, **values):
    with pytest.raises((Refused, BadInput, NotFound)) as caught:
        act(**values)
    assert caught.value.message.key == key
    return caught.value.message.values


# drafting


def test_a_draft_leaves_no_entry_and_issuing_leaves_one(officer):
    draft = draft_of(officer)
    actions.add_section(by=officer, revision=draft, details=make.section_texts(1))
    assert not Entry.objects.of(officer.company).exists()
    actions.issue_revision(by=officer, revision=draft, effective_on=officer.today)
    entry = Entry.objects.of(officer.company).get()
    assert (entry.kind, entry.data["document"], entry.data["revision"], entry.data["sections"]) == (
        EntryKind.DOCUMENT_ISSUED,
        "safe-work",
        1,
        1,
    )
    assert entry.data["title"] == {"en": "Sheet safe-work", "es": "Hoja safe-work"}


def test_the_next_draft_starts_as_a_copy_of_the_last_revision(officer, revision):
    draft = actions.draft_revision(by=officer, document=revision.document)
    assert draft.number == 2
    assert [(one.key, one.body_es) for one in draft.sections.all()] == [
        (one.key, one.body_es) for one in revision.sections.all()
    ]


def test_one_draft_at_a_time(officer):
    draft = draft_of(officer)
    refused("material.draft_open", actions.draft_revision, by=officer, document=draft.document)


@pytest.mark.parametrize("slug", ["safe-work", "new"])
def test_a_short_name_is_taken_once(officer, slug):
    make.document(officer)
    refused("material.slug_taken", actions.create_document, by=officer, slug=slug, title_en="A", title_es="B")


def test_two_companies_may_use_the_same_short_name(officer):
    make.document(officer)
    make.document(make.officer_of(make.CompanyFactory()))
    assert Document.objects.filter(slug="safe-work").count() == 2


def test_sections_move_and_the_ends_of_the_list_hold(officer):
    draft = draft_of(officer)
    one, two, three = (
        actions.add_section(by=officer, revision=draft, details=make.section_texts(n)) for n in (1, 2, 3)
    )
    actions.move_section(by=officer, section=three, up=True)
    actions.move_section(by=officer, section=one, up=True)
    assert [section.pk for section in draft.sections.all()] == [one.pk, three.pk, two.pk]
    actions.move_section(by=officer, section=one, up=False)
    assert [section.pk for section in draft.sections.all()] == [three.pk, one.pk, two.pk]


def test_sections_with_one_title_get_different_addresses(officer):
    draft = draft_of(officer)
    keys = [
        actions.add_section(by=officer, revision=draft, details=make.section_texts(1) | {"title_en": title}).key
        for title in ("Eave", "Eave", "New", "屋根")
    ]
    assert keys == ["eave", "eave-2", "new-2", "part"]


def test_what_a_change_leaves_out_stays(officer):
    draft = draft_of(officer)
    section = actions.add_section(by=officer, revision=draft, details=make.section_texts(1))
    actions.change_section(by=officer, section=section, details={"title_en": "Eave"})
    section.refresh_from_db()
    assert (section.title_en, section.title_es, section.key) == ("Eave", "Parte 1", "part-1")


def test_files_are_stored_under_names_of_our_own_and_taken_away_from_the_draft_only(officer):
    draft = draft_of(officer)
    files = actions.Files(
        picture=ContentFile(b"png", name="x.png"), file_en=Pdf(ContentFile(b"%PDF-", name="y.pdf"), 3)
    )
    section = actions.add_section(by=officer, revision=draft, details=make.section_texts(1), files=files)
    assert section.pages_en == 3 and section.file_en.name.startswith("material/")
    name = section.file_en.name
    changed = actions.change_section(by=officer, section=section, details={}, files=actions.Files(dropped=["file_en"]))
    assert (changed.pages_en, changed.file_en.name) == (0, "")
    assert changed.picture.name and section.file_en.storage.exists(name)


@pytest.mark.parametrize("name", ["x.html", "x", "x.svg.js"])
def test_a_picture_of_another_kind_is_never_stored(officer, name):
    draft, files = draft_of(officer), actions.Files(picture=ContentFile(b"x", name=name))
    refused(
        "upload.not_a_picture",
        actions.add_section,
        by=officer,
        revision=draft,
        details=make.section_texts(1),
        files=files,
    )


# issuing


def test_an_empty_draft_cannot_be_issued(officer):
    draft = draft_of(officer)
    refused("material.empty", actions.issue_revision, by=officer, revision=draft, effective_on=officer.today)


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_section_without_one_of_its_languages_cannot_be_issued(officer, language):
    draft = draft_of(officer)
    details = make.section_texts(1) | {f"body_{language}": "  "}
    section = actions.add_section(by=officer, revision=draft, details=details)
    values = refused(
        f"material.no_text_{language}",
        actions.issue_revision,
        by=officer,
        revision=draft,
        effective_on=officer.today,
    )
    assert values["section"] == section.title
    files = actions.Files(**{f"file_{language}": Pdf(ContentFile(b"%PDF-", name="y.pdf"), 1)})
    actions.change_section(by=officer, section=section, details={}, files=files)
    assert actions.issue_revision(by=officer, revision=draft, effective_on=officer.today).issued_at


def test_a_picture_needs_words_in_both_languages(officer):
    draft = draft_of(officer)
    details = make.section_texts(1) | {"alt_en": "A tile"}
    files = actions.Files(picture=ContentFile(b"png", name="x.png"))
    actions.add_section(by=officer, revision=draft, details=details, files=files)
    refused("material.no_alt_es", actions.issue_revision, by=officer, revision=draft, effective_on=officer.today)


def test_an_issued_revision_never_changes(officer, revision):
    section = revision.sections.first()
    before = list(Section.objects.filter(revision=revision).values())
    for act, values in (
        (actions.add_section, {"revision": revision, "details": make.section_texts(3)}),
        (actions.change_section, {"section": section, "details": {"title_en": "Other"}}),
        (actions.remove_section, {"section": section}),
        (actions.move_section, {"section": section, "up": False}),
        (actions.issue_revision, {"revision": revision, "effective_on": officer.today}),
    ):
        refused("material.issued", act, by=officer, **values)
    assert list(Section.objects.filter(revision=revision).values()) == before


def test_the_entry_shows_any_later_change_of_what_was_issued(officer, revision):
    said = last_entry(officer.company).data["content"]
    assert actions.content_hash(revision.sections.all()) == said
    Section.objects.filter(revision=revision, position=1).update(body_es="otra cosa")
    assert actions.content_hash(revision.sections.all()) != said


def test_a_revision_counts_from_no_earlier_than_the_one_before(officer, revision):
    draft = actions.draft_revision(by=officer, document=revision.document)
    refused(
        "material.effective_before_last",
        actions.issue_revision,
        by=officer,
        revision=draft,
        effective_on=officer.today - DAY,
    )


def test_nobody_has_to_be_done_before_a_revision_counts(officer):
    draft = draft_of(officer)
    actions.add_section(by=officer, revision=draft, details=make.section_texts(1))
    refused(
        "material.due_before_effective",
        actions.issue_revision,
        by=officer,
        revision=draft,
        effective_on=officer.today,
        due_on=officer.today - DAY,
    )


def test_only_officers_of_the_company_write_documents(officer, reader):
    document, stranger = make.document(officer), make.officer_of(make.CompanyFactory())
    with pytest.raises(NotAllowed):
        actions.draft_revision(by=reader, document=document)
    with pytest.raises(NotFound):
        actions.draft_revision(by=stranger, document=document)


# reading


def test_a_section_is_acknowledged_after_it_was_opened_and_read(officer, reader, revision):
    section = revision.sections.first()
    refused("material.not_opened", actions.acknowledge_section, by=reader, section=section, language="en")
    actions.open_section(by=reader, section=section, language="en")
    values = refused("material.too_soon", actions.acknowledge_section, by=reader, section=section, language="en")
    assert values == {"seconds": 4}
    later = make.at(reader, reader.now + 4 * SECOND)
    actions.acknowledge_section(by=later, section=section, language="en")
    entry = last_entry(officer.company)
    assert (entry.kind, entry.person, entry.language) == (EntryKind.SECTION_ACKNOWLEDGED, reader.person, "en")
    assert entry.data == {"document": "safe-work", "revision": 1, "section": "part-1", "language": "en"}


def test_opening_in_one_language_is_not_opening_in_the_other(reader, revision):
    section = revision.sections.first()
    actions.open_section(by=reader, section=section, language="es")
    later = make.at(reader, reader.now + DAY)
    refused("material.not_opened", actions.acknowledge_section, by=later, section=section, language="en")
    assert actions.acknowledge_section(by=later, section=section, language="es").language == "es"


def test_opening_again_keeps_the_first_time_and_leaves_no_entry(officer, reader, revision):
    section, pages = revision.sections.first(), Entry.objects.of(officer.company).count()
    first = actions.open_section(by=reader, section=section, language="en")
    later = make.at(reader, reader.now + DAY)
    assert actions.open_section(by=later, section=section, language="en").opened_at == first.opened_at
    assert Entry.objects.of(officer.company).count() == pages


def test_opening_everything_at_once_does_not_shorten_the_reading(reader, revision):
    one, two = revision.sections.all()
    for section in (one, two):
        actions.open_section(by=reader, section=section, language="en")
    later = make.at(reader, reader.now + 4 * SECOND)
    actions.acknowledge_section(by=later, section=one, language="en")
    values = refused("material.too_soon", actions.acknowledge_section, by=later, section=two, language="en")
    assert values == {"seconds": 4}


def test_the_qualification_sets_the_least_time(officer, reader):
    content = json.loads(QUALIFICATION.read_text(encoding="utf-8"))
    content["steps"] = [step | {"seconds_per_100_words": 20} for step in content["steps"]]
    issue_qualification(by=officer, content=content, effective_on=officer.today)
    section = make.issued_document(officer, "safe-work").sections.first()
    actions.open_section(by=reader, section=section, language="en")
    values = refused("material.too_soon", actions.acknowledge_section, by=reader, section=section, language="en")
    assert values == {"seconds": 10}


def test_acknowledging_twice_is_one_entry(officer, reader, revision):
    section = revision.sections.first()
    actions.open_section(by=reader, section=section, language="en")
    later = make.at(reader, reader.now + DAY)
    one = actions.acknowledge_section(by=later, section=section, language="en")
    pages = Entry.objects.of(officer.company).count()
    assert actions.acknowledge_section(by=later, section=section, language="en") == one
    assert Entry.objects.of(officer.company).count() == pages


def test_the_last_section_completes_the_reading_in_one_entry(officer, reader, revision):
    pages = Entry.objects.of(officer.company).count()
    make.read_through(reader, revision, language="es")
    entry = last_entry(officer.company)
    assert entry.kind == EntryKind.READING_COMPLETED
    assert entry.data == {
        "document": "safe-work",
        "revision": 1,
        "section": "part-2",
        "language": "es",
        "sections": 2,
    }
    assert Entry.objects.of(officer.company).count() == pages + 2
    assert facts.reading_progress(reader.person, revision, reader.today).complete


def test_a_draft_and_a_revision_not_yet_in_force_cannot_be_read(officer, reader):
    document = make.document(officer)
    draft = actions.draft_revision(by=officer, document=document)
    section = actions.add_section(by=officer, revision=draft, details=make.section_texts(1))
    refused("access.not_found", actions.open_section, by=reader, section=section, language="en")
    actions.issue_revision(by=officer, revision=draft, effective_on=officer.today + DAY)
    section = Section.objects.get(pk=section.pk)
    refused("material.not_in_force", actions.open_section, by=reader, section=section, language="en")


def test_only_the_revision_in_force_may_be_acknowledged(officer, reader, revision):
    section = revision.sections.first()
    actions.open_section(by=reader, section=section, language="en")
    make.issued_document(officer)
    later = make.at(reader, reader.now + DAY)
    refused("material.not_in_force", actions.acknowledge_section, by=later, section=section, language="en")


def test_a_new_revision_is_read_from_the_start(officer, reader, revision):
    make.read_through(reader, revision)
    second = make.issued_document(officer, parts=3)
    progress = facts.reading_progress(reader.person, second, reader.today)
    assert (progress.done, progress.left) == (0, 3)


def test_reading_again_is_a_new_round_and_keeps_the_first(officer, reader, revision):
    make.read_through(reader, revision)
    later = make.at(reader, reader.now + DAY)
    assert actions.begin_again(by=later, revision=revision) == revision.sections.first()
    assert facts.reading_progress(reader.person, revision, later.today).done == 0
    make.read_through(later, revision)
    assert Acknowledgement.objects.by_person(reader.person, revision).count() == 4
    kinds = Entry.objects.about(reader.person).values_list("kind", flat=True)
    assert list(kinds).count(EntryKind.READING_COMPLETED) == 2


def test_reading_again_starts_only_when_all_is_read(reader, revision):
    actions.begin_again(by=reader, revision=revision)
    assert facts.reading_progress(reader.person, revision, reader.today).round == 1


def test_nobody_reads_another_companys_documents(revision):
    stranger = make.applicator(make.PersonFactory())
    section = revision.sections.first()
    refused("access.not_found", actions.open_section, by=stranger, section=section, language="en")
    refused("access.not_found", actions.acknowledge_section, by=stranger, section=section, language="en")


def test_an_unknown_language_is_refused(reader, revision):
    section = revision.sections.first()
    refused("material.language", actions.open_section, by=reader, section=section, language="fr")


def test_in_force_is_the_newest_revision_whose_day_has_come(officer, revision):
    coming = make.issued_document(officer, effective_on=officer.today + DAY)
    today = DocumentRevision.objects.in_force(officer.company, officer.today)
    tomorrow = DocumentRevision.objects.in_force(officer.company, officer.today + DAY)
    assert (today, tomorrow) == ([revision], [coming])
