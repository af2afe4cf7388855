"""Files of documents: what is taken, how it is sent, and to whom."""

import io
import zipfile

import pytest
from django.core.files.base import ContentFile
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image
from pypdf import PdfReader, PdfWriter
from pypdf.generic import DictionaryObject, NameObject, TextStringObject

from tests import factories as make
from tests.web.reading_room import browser, fetch, opened_long_ago, page, save
from training import uploads
from training.actions import material as actions

pytestmark = pytest.mark.django_db


@pytest.fixture
def officer():
    return make.officer_of(make.CompanyFactory())


@pytest.fixture
def reader(officer):
    return make.applicator(make.PersonFactory(company=officer.company))


def picture(name="photo.jpg", kind="JPEG", size=(40, 30)):
    out = io.BytesIO()
    image = Image.new("RGB", size, "firebrick")
    exif = Image.Exif()
    exif[0x010F] = "Camera Maker"
    image.save(out, kind, exif=exif)
    return SimpleUploadedFile(name, out.getvalue())


def pdf(change=None, name="sheet.pdf"):
    writer = PdfWriter()
    for _ in range(2):
        writer.add_blank_page(612, 792)
    if change:
        change(writer)
    out = io.BytesIO()
    writer.write(out)
    return SimpleUploadedFile(name, out.getvalue())


def script(writer):
    action = DictionaryObject({NameObject("/S"): NameObject("/JavaScript"), NameObject("/JS"): TextStringObject("1")})
    writer.root_object[NameObject("/OpenAction")] = writer._add_object(action)


def attachment(writer):
    writer.add_attachment("other.txt", b"other")


def launch(writer):
    action = DictionaryObject({NameObject("/S"): NameObject("/Launch"), NameObject("/F"): TextStringObject("run.exe")})
    writer.root_object[NameObject("/OpenAction")] = writer._add_object(action)


def on_page(writer):
    action = DictionaryObject({NameObject("/S"): NameObject("/URI"), NameObject("/URI"): TextStringObject("http:x")})
    writer.pages[0][NameObject("/AA")] = DictionaryObject({NameObject("/O"): action})


def password(writer):
    writer.encrypt("secret")


def zipped(name="sheet.pdf"):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("a.txt", "a")
    return SimpleUploadedFile(name, out.getvalue())


@pytest.fixture
def draft(officer):
    return actions.draft_revision(by=officer, document=make.document(officer))


def test_a_section_is_saved_with_its_picture_and_pdf(officer, draft):
    answer = save(officer, draft, picture=picture(), file_es=pdf(), alt_en="A red tile", alt_es="Una teja roja")
    section = draft.sections.get()
    assert answer.url.endswith("#part-part-1") and section.pages_es == 2
    with section.picture.open() as stored:
        assert not Image.open(stored).getexif(), "metadata is gone"


@pytest.mark.parametrize(
    "upload",
    [
        SimpleUploadedFile("x.png", b"not a picture"),
        SimpleUploadedFile("x.svg", b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>"),
        picture("x.gif", "GIF"),
        picture("x.jpg", "TIFF"),
        zipped("x.png"),
        SimpleUploadedFile("x.jpg", picture().read()[:200]),
    ],
    ids=["text", "svg", "gif", "tiff named jpg", "zip named png", "cut off"],
)
def test_only_pictures_of_the_three_kinds_are_taken(officer, draft, upload):
    upload.seek(0)
    answer = save(officer, draft, picture=upload)
    assert answer.status_code == 200 and "PNG, JPEG or WebP" in answer.context["form"].errors["picture"][0]
    assert "tile tile" in answer.text, "nothing typed is lost"
    assert not draft.sections.exists()


def test_a_picture_of_too_many_pixels_is_refused_before_it_is_drawn(officer, draft):
    out = io.BytesIO()
    Image.new("1", (9000, 9000)).save(out, "PNG")
    answer = save(officer, draft, picture=SimpleUploadedFile("x.png", out.getvalue()))
    assert "too many pixels" in answer.context["form"].errors["picture"][0]


@pytest.mark.parametrize(
    ("upload", "words"),
    [
        (zipped(), "not a PDF"),
        (SimpleUploadedFile("x.pdf", b"%PDF-1.7\nnothing"), "not a PDF"),
        (picture("x.pdf"), "not a PDF"),
        (pdf(script), "script"),
        (pdf(attachment), "another file"),
        (pdf(launch), "action"),
        (pdf(on_page), "action"),
        (pdf(password), "password"),
    ],
    ids=["zip", "broken", "picture", "script", "attachment", "launch", "page action", "password"],
)
def test_only_pdfs_that_just_show_pages_are_taken(officer, draft, upload, words):
    upload.seek(0)
    answer = save(officer, draft, file_en=upload)
    assert answer.status_code == 200 and words in answer.context["form"].errors["file_en"][0]
    assert not draft.sections.exists()


@pytest.mark.parametrize("field", ["picture", "file_en"])
def test_fifty_megabytes_are_refused_with_a_sentence(officer, draft, field):
    answer = save(officer, draft, **{field: SimpleUploadedFile("big.pdf", b"%PDF-" + bytes(50 * 1024 * 1024))})
    assert answer.status_code == 200 and "too large" in answer.context["form"].errors[field][0]


def test_a_pdf_of_too_many_pages_is_refused(officer, draft, monkeypatch):
    monkeypatch.setattr(uploads, "PDF_PAGES", 1)
    answer = save(officer, draft, file_en=pdf())
    assert "Send 1 pages or fewer" in answer.context["form"].errors["file_en"][0]


@pytest.fixture
def with_pdf(officer, draft):
    """An issued section that is a PDF in both languages and has a picture."""
    save(
        officer, draft, body_en="", body_es="", file_en=pdf(), file_es=pdf(), picture=picture(), alt_en="a", alt_es="b"
    )
    return actions.issue_revision(by=officer, revision=draft, effective_on=officer.today)


def test_files_are_sent_as_what_they_are_and_can_start_nothing(reader, with_pdf):
    section = with_pdf.sections.get()
    for which, kind in (("picture", "image/jpeg"), ("en", "application/pdf")):
        sent = fetch(reader, section, which)
        assert sent.status_code == 200 and sent.headers["Content-Type"] == kind
        assert sent.headers["X-Content-Type-Options"] == "nosniff"
        assert "sandbox" in sent.headers["Content-Security-Policy"]
        assert "private" in sent.headers["Cache-Control"]
        assert f"safe-work-1-part-1-{which}" in sent.headers["Content-Disposition"]
    assert len(PdfReader(io.BytesIO(sent.body)).pages) == 2


def test_a_shipped_drawing_is_a_picture_and_never_a_page(officer, reader, draft):
    files = actions.Files(picture=ContentFile(b"<svg xmlns='http://www.w3.org/2000/svg'/>", name="eave.svg"))
    details = make.section_texts(1) | {"alt_en": "An eave", "alt_es": "Un alero"}
    actions.add_section(by=officer, revision=draft, details=details, files=files)
    issued = actions.issue_revision(by=officer, revision=draft, effective_on=officer.today)
    sent = fetch(reader, issued.sections.get(), "picture")
    assert sent.headers["Content-Type"] == "image/svg+xml"
    assert sent.headers["Content-Security-Policy"] == "default-src 'none'; sandbox"


def test_files_are_for_the_companys_own_people(reader, with_pdf):
    section = with_pdf.sections.get()
    for stranger in (make.applicator(make.PersonFactory()), make.officer_of(make.CompanyFactory())):
        assert fetch(stranger, section, "en").status_code == 404
    assert Client().get(reverse("training:section_file", args=[section.pk, "en"])).status_code == 302
    assert fetch(reader, section, "en").status_code == 200
    assert fetch(reader, section, "xx").status_code == 404


def test_a_drafts_files_are_for_officers_only(officer, reader, draft):
    save(officer, draft, file_en=pdf())
    section = draft.sections.get()
    assert fetch(officer, section, "en").status_code == 200
    assert fetch(reader, section, "en").status_code == 404


def test_a_pdf_counts_as_opened_when_the_pdf_is_opened(reader, with_pdf):
    client = browser(reader)
    client.get(page(with_pdf))
    answer = client.post(page(with_pdf), {"language": "en"})
    assert answer.status_code == 409 and "Open this part first" in answer.text
    fetch(reader, with_pdf.sections.get(), "en")
    opened_long_ago(with_pdf)
    assert client.post(page(with_pdf), {"language": "en"}).status_code == 302


def test_a_file_lost_from_the_disk_is_not_there(reader, with_pdf):
    section = with_pdf.sections.get()
    section.picture.storage.delete(section.picture.name)
    assert fetch(reader, section, "picture").status_code == 404
