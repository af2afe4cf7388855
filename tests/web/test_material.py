"""Documents and reading in the browser: who sees what, uploads, and that nothing typed or read is lost."""

import datetime

import pytest
from django.test import Client
from django.urls import reverse

from tests import factories as make
from tests.web.reading_room import browser, opened_long_ago, page, save
from training.actions import material as actions
from training.models import Acknowledgement, Document, Entry, Membership, Person, Section, SectionOpening
from training.templatetags.material import markdown

pytestmark = pytest.mark.django_db


@pytest.fixture
def officer():
    return make.officer_of(make.CompanyFactory())


@pytest.fixture
def reader(officer):
    return make.applicator(make.PersonFactory(company=officer.company))


@pytest.fixture
def revision(officer):
    return make.issued_document(officer, parts=3)


# the reader


def test_a_document_is_read_from_the_list_to_the_last_button(reader, revision):
    client = browser(reader)
    start = client.get(reverse("training:read", args=["safe-work"]))
    assert "You have read 0 of 3 parts." in start.text and page(revision) in start.text
    for number in (1, 2, 3):
        shown = client.get(page(revision, number))
        assert f"part {number} of 3" in shown.text
        opened_long_ago(revision)
        answer = client.post(page(revision, number), {"language": "en"})
        wanted = page(revision, number + 1) if number < 3 else reverse("training:read", args=["safe-work"])
        assert answer.url == wanted
    assert "You have read all of it." in client.get(answer.url).text


def test_too_soon_keeps_the_page_and_says_how_long(reader, revision):
    client = browser(reader)
    client.get(page(revision))
    answer = client.post(page(revision), {"language": "en"})
    assert answer.status_code == 409
    assert "s more" in answer.text and "tile tile" in answer.text
    assert not Acknowledgement.objects.exists()


def test_two_clicks_on_the_button_are_one_entry(officer, reader, revision):
    client = browser(reader)
    client.get(page(revision))
    opened_long_ago(revision)
    before = Entry.objects.of(officer.company).count()
    for _ in range(2):
        assert client.post(page(revision), {"language": "en"}).url == page(revision, 2)
    assert Entry.objects.of(officer.company).count() == before + 1


def test_coming_back_goes_on_where_the_reader_left(reader, revision):
    make.read_through(reader, revision)
    Acknowledgement.objects.filter(section__position__gt=1).delete()
    start = browser(reader).get(reverse("training:read", args=["safe-work"]))
    assert "You have read 1 of 3 parts." in start.text and "Go on:" in start.text
    assert start.context["next"].position == 2


def test_the_language_switch_keeps_the_place(reader, revision):
    client = browser(reader)
    client.get(page(revision, 2))
    answer = client.post(reverse("set_language"), {"language": "es", "next": page(revision, 2)})
    assert answer.url == page(revision, 2)
    shown = client.get(answer.url)
    assert "teja teja" in shown.text and "Parte 2" in shown.text
    assert set(SectionOpening.objects.values_list("language", flat=True)) == {"en", "es"}


def test_a_page_left_open_over_a_new_revision_leads_to_the_new_text(officer, reader, revision):
    client = browser(reader)
    client.get(page(revision))
    make.issued_document(officer)
    answer = client.post(page(revision), {"language": "en"}, follow=True)
    assert answer.redirect_chain == [(reverse("training:read", args=["safe-work"]), 302)]
    assert "This text has changed since" in answer.text


def test_an_unissued_revision_is_not_there_for_applicators(officer, reader, revision):
    draft = actions.draft_revision(by=officer, document=revision.document)
    client = browser(reader)
    assert client.get(page(draft)).status_code == 404
    assert client.post(page(draft), {"language": "en"}).status_code == 404


def test_a_language_nobody_offers_is_answered_with_a_sentence(reader, revision):
    answer = browser(reader).post(page(revision), {"language": "xx"})
    assert answer.status_code == 409 and "Choose English or Spanish." in answer.text


def test_reading_again_starts_from_the_first_part(reader, revision):
    make.read_through(reader, revision)
    client = browser(reader)
    assert client.post(reverse("training:read_again", args=["safe-work"])).url == page(revision)
    assert "You have read 0 of 3 parts." in client.get(reverse("training:read", args=["safe-work"])).text


# who may


def officer_pages(revision):
    slug, number, key = revision.document.slug, revision.number, revision.sections.first().key
    return [
        reverse("training:document", args=[slug]),
        reverse("training:revision", args=[slug, number]),
        reverse("training:revision_issue", args=[slug, number]),
        reverse("training:readers", args=[slug, number]),
        reverse("training:section_new", args=[slug, number]),
        reverse("training:section_edit", args=[slug, number, key]),
    ]


def test_officer_pages_open_for_the_officer_only(officer, reader, revision):
    actions.draft_revision(by=officer, document=revision.document)
    stranger = make.officer_of(make.CompanyFactory())
    for address in officer_pages(revision):
        assert browser(officer).get(address).status_code == 200, address
        assert browser(stranger).get(address).status_code == 404, address
        assert browser(reader).get(address).status_code == 403, address
        assert Client().get(address).status_code == 302, address


def test_another_companys_reader_and_an_officer_without_a_crew_read_nothing(officer, revision):
    stranger = make.applicator(make.PersonFactory())
    for address in (page(revision), reverse("training:read", args=["safe-work"])):
        assert browser(stranger).get(address).status_code == 404
        assert browser(officer).get(address).status_code == 403
        assert Client().get(address).status_code == 302


@pytest.fixture
def draft(officer):
    return actions.draft_revision(by=officer, document=make.document(officer))


# the officer


def test_an_officer_writes_previews_and_issues_a_document(officer):
    client = browser(officer)
    made = client.post(
        reverse("training:document_new"), {"title_en": "Ladders", "title_es": "Escaleras", "slug": "ladders"}
    )
    drafted = client.post(reverse("training:revision_draft", args=["ladders"]))
    assert made.url == reverse("training:document", args=["ladders"])
    assert drafted.url == reverse("training:revision", args=["ladders", 1])
    address = reverse("training:section_new", args=["ladders", 1])
    texts = make.section_texts(1) | {"body_en": "# Set it up\n\n- **1 in 4**", "body_es": "# Cómo\n\n- **1 en 4**"}
    preview = client.post(address, texts | {"preview": "1"})
    assert "<strong>1 in 4</strong>" in preview.text and not Section.objects.exists()
    client.post(address, texts)
    issued = client.post(reverse("training:revision_issue", args=["ladders", 1]), {"effective_on": officer.today})
    assert issued.url == made.url
    assert Document.objects.get(slug="ladders").revisions.get().issued_at


def test_a_refused_issue_stays_on_the_form_and_says_why(officer, draft):
    address = reverse("training:revision_issue", args=[draft.document.slug, draft.number])
    answer = browser(officer).post(address, {"effective_on": officer.today})
    assert answer.status_code == 200 and "There is no section yet" in answer.text


def test_numbers_that_differ_between_the_languages_are_shown_before_issue(officer, draft):
    save(officer, draft, body_en="Wait 24 hours", body_es="Espere 48 horas")
    address = reverse("training:revision_issue", args=[draft.document.slug, draft.number])
    assert "24, 48" in browser(officer).get(address).text


def test_a_second_draft_leads_to_the_first(officer, draft):
    answer = browser(officer).post(reverse("training:revision_draft", args=["safe-work"]), follow=True)
    assert answer.status_code == 200 and "still a draft" in answer.text


@pytest.mark.parametrize("slug", ["no spaces here", "ñandú", "x" * 41, "new", "safe-work", ""])
def test_a_short_name_that_cannot_be_used_is_named(officer, slug):
    make.document(officer)
    fields = {"title_en": "Ladders", "title_es": "Escaleras", "slug": slug}
    answer = browser(officer).post(reverse("training:document_new"), fields)
    assert answer.status_code == 200 and "slug" in answer.context["form"].errors
    assert 'value="Escaleras"' in answer.text


def test_issued_sections_are_not_edited_through_the_form(officer, revision):
    section = revision.sections.first()
    address = reverse("training:section_edit", args=["safe-work", 1, section.key])
    answer = browser(officer).post(address, make.section_texts(9))
    assert answer.status_code == 200 and "never changes" in answer.text
    section.refresh_from_db()
    assert section.title_en == "Part 1"


def test_sections_move_and_leave_the_draft(officer, draft):
    one = actions.add_section(by=officer, revision=draft, details=make.section_texts(1))
    two = actions.add_section(by=officer, revision=draft, details=make.section_texts(2))
    client, place = browser(officer), ["safe-work", draft.number]
    client.post(reverse("training:section_move", args=[*place, two.key]), {"up": "1"})
    assert list(draft.sections.all()) == [two, one]
    client.post(reverse("training:section_remove", args=[*place, two.key]))
    assert list(draft.sections.all()) == [one]


# lists


def test_who_has_read_it_names_everybody_and_filters(officer, reader, revision):
    other = make.PersonFactory(company=officer.company, given_names="Ninguna")
    make.read_through(reader, revision, language="es")
    address, client = reverse("training:readers", args=["safe-work", 1]), browser(officer)
    everyone = client.get(address).text
    assert str(reader.person) in everyone and str(other) in everyone and "Español" in everyone
    assert [person for person, _ in client.get(address, {"show": "read"}).context["rows"]] == [reader.person]
    assert [person for person, _ in client.get(address, {"show": "unread"}).context["rows"]] == [other]
    assert client.get(address, {"show": "nonsense", "page": "x"}).status_code == 200


def many_people(company, codes):
    people = Person.objects.bulk_create(
        make.PersonFactory.build(company=company, code=f"M{n:06d}", user=None) for n in codes
    )
    Membership.objects.bulk_create(Membership(person=one, starts=make.START) for one in people)
    return people


@pytest.mark.parametrize("name", ["readers", "documents"])
def test_lists_take_the_same_queries_for_ten_people_and_a_thousand(
    officer, revision, name, django_assert_max_num_queries, django_assert_num_queries
):
    address = reverse("training:readers", args=["safe-work", 1]) if name == "readers" else reverse("training:documents")
    client, sections = browser(officer), list(revision.sections.all())
    people = many_people(officer.company, range(10))
    with django_assert_max_num_queries(16) as ten:
        client.get(address)
    people += many_people(officer.company, range(10, 1000))
    now = datetime.datetime.now(datetime.UTC)
    Acknowledgement.objects.bulk_create(
        Acknowledgement(person=one, section=section, language="en", acknowledged_at=now)
        for one in people[::2]
        for section in sections
    )
    with django_assert_num_queries(len(ten)):
        answer = client.get(address)
    assert len(answer.content) < 300_000


# the text


@pytest.mark.parametrize(
    "text",
    [
        "<script>alert(1)</script>",
        "<img src=x onerror=alert(1)>",
        "[x](javascript:alert(1))",
        "[x](//elsewhere.example/)",
        "[x](data:text/html,hi)",
        "![x](https://elsewhere.example/x.png)",
        '<https://elsewhere.example/" onclick="x>',
        "```\n<b onclick=x>\n```",
    ],
)
def test_no_markup_of_the_writers_own_reaches_the_page(text):
    html = markdown(text)
    assert not any(f"<{tag}" in html for tag in ("script", "img", "b ")) and 'javascript:alert(1)"' not in html
    assert 'href="//' not in html and 'href="data' not in html


def test_headings_stand_below_the_pages_own():
    assert "<h2>" in markdown("# Eave", 1) and "<h4>" in markdown("# Eave", 3) and "<h6>" in markdown("###### Eave", 3)


def test_links_lead_out_without_a_trace():
    assert 'rel="noopener noreferrer"' in markdown("[the sheet](https://example.com/)")
