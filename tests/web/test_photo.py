"""A person's photo: whatever is sent, a picture drawn anew or a sentence."""

from __future__ import annotations

import io
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageOps

from tests.web.cast import image
from training.forms.people import PHOTO_SIZE, PhotoForm


def sent(content: bytes, name: str = "photo.jpg") -> PhotoForm:
    return PhotoForm({}, {"photo": SimpleUploadedFile(name, content)})


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_is_drawn_anew_in_the_shape_of_the_card_without_metadata(kind: str) -> None:
    out = io.BytesIO()
    exif = Image.Exif()
    exif[0x010F] = "Somebody's camera"
    Image.new("RGB", (300, 100), "#667788").save(out, kind, exif=exif)
    form = sent(out.getvalue())
    assert form.is_valid()
    with Image.open(form.cleaned_data["photo"]) as drawn:
        assert (drawn.format, drawn.size) == ("JPEG", PHOTO_SIZE)
        assert not drawn.getexif() and not drawn.info.get("comment")


@pytest.mark.parametrize("failure", [TypeError, KeyError, MemoryError, RuntimeError, Image.DecompressionBombError])
def test_a_decoder_that_fails_in_any_way_means_a_sentence(failure: type[Exception], monkeypatch: Any) -> None:
    """A real one: a broken EXIF block makes the turning upright end in a TypeError."""

    def fail(_picture: Image.Image) -> None:
        raise failure

    monkeypatch.setattr(ImageOps, "exif_transpose", fail)
    assert list(sent(image("JPEG")).errors) == ["photo"]


@pytest.mark.parametrize("content", [b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"GIF89a", b"%PDF-1.4", b"\0" * 99])
def test_what_is_no_picture_of_the_three_kinds_is_refused(content: bytes) -> None:
    assert list(sent(content).errors) == ["photo"]
