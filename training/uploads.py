"""Files that people send: pictures are drawn anew without metadata, PDFs are read through and refused when active."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from django.core.files.base import ContentFile, File
from PIL import Image, ImageOps
from pypdf import PasswordType, PdfReader
from pypdf.generic import ArrayObject, DictionaryObject, IndirectObject

from training.domain.errors import BadInput

MEGABYTE = 1024 * 1024
PICTURE_BYTES = 10 * MEGABYTE
PICTURE_PIXELS = 40_000_000
PICTURE_SIDE = 1600
PICTURE_FORMATS = ("PNG", "JPEG", "WEBP")
PDF_BYTES = 20 * MEGABYTE
PDF_PAGES = 200
PDF_OBJECTS = 50_000

# Whatever runs, leaves the page or carries other files: ISO 32000-2, 7.11.4 (embedded files), 12.6.4 (actions),
# 12.6.3 (trigger events), 12.7.8 (XFA forms), 13 (multimedia).
ACTIVE_KEYS = frozenset(
    ["/JS", "/JavaScript", "/AA", "/EmbeddedFile", "/EmbeddedFiles", "/EF", "/XFA", "/RichMediaContent"]
)
ACTIVE_ACTIONS = frozenset(
    [
        "/JavaScript",
        "/Launch",
        "/ImportData",
        "/SubmitForm",
        "/GoToR",
        "/GoToE",
        "/Rendition",
        "/Movie",
        "/Sound",
        "/RichMediaExecute",
    ]
)
ACTIVE_NOTES = frozenset(["/FileAttachment", "/RichMedia", "/Screen", "/Movie", "/Sound", "/3D"])


@dataclass(frozen=True)
class Pdf:
    """A PDF that was read through: what to store and how many pages it has."""

    content: ContentFile[bytes]
    pages: int


def stored_name(ending: str) -> str:
    """A name nobody can guess; what the sender called the file is never used."""
    return f"{secrets.token_urlsafe(16)}.{ending}"


def redraw_picture(upload: File[bytes], *, side: int = PICTURE_SIDE) -> ContentFile[bytes]:
    """A PNG, JPEG or WebP picture drawn anew, at most `side` pixels each way, upright and without metadata.

    Raises BadInput for anything else, for more than 10 MB and for more than 40 million pixels.
    """
    return _drawn_anew(upload, lambda: _redrawn(upload, side))


def redraw_photo(upload: File[bytes], size: tuple[int, int]) -> ContentFile[bytes]:
    """A photo as JPEG, upright, cut to `size` around its middle and without metadata. Raises BadInput as above."""
    return _drawn_anew(upload, lambda: _photo(upload, size))


def _drawn_anew(upload: File[bytes], draw: Callable[[], ContentFile[bytes]]) -> ContentFile[bytes]:
    if upload.size > PICTURE_BYTES:
        raise BadInput("upload.picture_too_big", megabytes=PICTURE_BYTES // MEGABYTE)
    try:
        return draw()
    except BadInput:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise BadInput("upload.picture_too_many_pixels") from None
    except Exception:  # a hostile file can make a decoder fail in any way; all of them mean the same
        raise BadInput("upload.not_a_picture") from None


@contextmanager
def _opened(upload: File[bytes]) -> Iterator[Image.Image]:
    upload.seek(0)
    with Image.open(upload, formats=PICTURE_FORMATS) as picture:
        if picture.width * picture.height > PICTURE_PIXELS:
            raise BadInput("upload.picture_too_many_pixels")
        yield picture


def _photo(upload: File[bytes], size: tuple[int, int]) -> ContentFile[bytes]:
    with _opened(upload) as picture:
        fitted = ImageOps.fit(ImageOps.exif_transpose(picture).convert("RGB"), size)
    fitted.info.clear()
    out = BytesIO()
    fitted.save(out, "JPEG", quality=85)
    return ContentFile(out.getvalue(), name=stored_name("jpg"))


def _redrawn(upload: File[bytes], side: int) -> ContentFile[bytes]:
    with _opened(upload) as picture:
        is_photo = picture.format == "JPEG"
        upright = ImageOps.exif_transpose(picture)
        upright.thumbnail((side, side))
        fresh = upright.convert("RGB" if is_photo or not upright.has_transparency_data else "RGBA")
    fresh.info.clear()
    out = BytesIO()
    if is_photo:
        fresh.save(out, "JPEG", quality=85, optimize=True)
        return ContentFile(out.getvalue(), name=stored_name("jpg"))
    fresh.save(out, "PNG", optimize=True)
    return ContentFile(out.getvalue(), name=stored_name("png"))


def check_pdf(upload: File[bytes]) -> Pdf:
    """A PDF that only shows pages.

    Raises BadInput for anything else: another type, more than 20 MB or 200 pages, a password, a script, another
    file inside, or an action that starts something.
    """
    if upload.size > PDF_BYTES:
        raise BadInput("upload.pdf_too_big", megabytes=PDF_BYTES // MEGABYTE)
    upload.seek(0)
    data = upload.read()
    if not data.startswith(b"%PDF-"):
        raise BadInput("upload.not_a_pdf")
    try:
        pages = _pages(PdfReader(BytesIO(data)))
    except BadInput:
        raise
    except Exception:  # as above: a broken file fails in many ways
        raise BadInput("upload.not_a_pdf") from None
    return Pdf(ContentFile(data, name=stored_name("pdf")), pages)


def _pages(reader: PdfReader) -> int:
    if reader.is_encrypted and reader.decrypt("") is PasswordType.NOT_DECRYPTED:
        raise BadInput("upload.pdf_locked")
    for part in _dictionaries(reader):
        if _is_active(part):
            raise BadInput("upload.pdf_active")
    pages = len(reader.pages)
    if not pages:
        raise BadInput("upload.not_a_pdf")
    if pages > PDF_PAGES:
        raise BadInput("upload.pdf_too_long", pages=PDF_PAGES)
    return pages


def _dictionaries(reader: PdfReader) -> Iterator[DictionaryObject]:
    """Every dictionary that can be reached from the trailer, each indirect object once."""
    seen: set[tuple[int, int]] = set()
    waiting: list[Any] = [reader.trailer]
    while waiting:
        thing = waiting.pop()
        if isinstance(thing, IndirectObject):
            key = (thing.idnum, thing.generation)
            if key in seen:
                continue
            seen.add(key)
            if len(seen) > PDF_OBJECTS:
                raise BadInput("upload.pdf_too_long", pages=PDF_PAGES)
            thing = thing.get_object()
        if isinstance(thing, DictionaryObject):
            yield thing
            waiting.extend(thing.values())
        elif isinstance(thing, ArrayObject):
            waiting.extend(thing)


def _is_active(part: DictionaryObject) -> bool:
    # Any dictionary may hide one, so none is excused: a harmless file that happens to use such a name is refused too.
    return (
        not ACTIVE_KEYS.isdisjoint(part)
        or str(part.get("/S", "")) in ACTIVE_ACTIONS
        or str(part.get("/Subtype", "")) in ACTIVE_NOTES
    )
