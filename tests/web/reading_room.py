"""What the tests of documents share: a browser of one's own, files asked for, drafts saved."""

import datetime

from django.test import Client
from django.urls import reverse

from tests import factories as make
from training.models import SectionOpening


def browser(actor, language="en"):
    client = Client(headers={"accept-language": language})
    client.force_login(actor.user)
    return client


def fetch(actor, section, which):
    """The answer to asking for a file, read to its end (which closes it), its bytes in `body`."""
    answer = browser(actor).get(reverse("training:section_file", args=[section.pk, which]))
    answer.body = b"".join(answer.streaming_content) if answer.streaming else answer.content
    return answer


def page(revision, number=1):
    section = revision.sections.get(position=number)
    return reverse("training:read_section", args=[revision.document.slug, revision.number, section.key])


def opened_long_ago(revision):
    """As if every section had been on the screen since yesterday."""
    SectionOpening.objects.filter(section__revision=revision).update(
        opened_at=datetime.datetime.now(datetime.UTC) - datetime.timedelta(days=1)
    )


def save(officer, draft, **fields):
    address = reverse("training:section_new", args=[draft.document.slug, draft.number])
    return browser(officer).post(address, make.section_texts(1) | fields)
