"""A person's photo as data inside a page or a card: 4:5, small, without anything else the file may carry."""

from __future__ import annotations

import base64
import io
from functools import lru_cache

from django.core.files.storage import default_storage
from PIL import Image, ImageOps, UnidentifiedImageError

from training.models import Person

SIZE = (320, 400)


def inline(person: Person) -> str:
    """A `data:` address of the photo, or nothing: the card then shows initials."""
    return _data(person.photo.name) if person.photo else ""


# A new photo is a new file with a random name, so what is kept here never grows stale.
@lru_cache(maxsize=256)
def _data(name: str) -> str:
    try:
        with default_storage.open(name) as file, Image.open(file) as picture:
            small = ImageOps.fit(picture.convert("RGB"), SIZE)
    except (OSError, UnidentifiedImageError, Image.DecompressionBombError):
        return ""
    out = io.BytesIO()
    small.save(out, "JPEG", quality=82)
    return "data:image/jpeg;base64," + base64.b64encode(out.getvalue()).decode("ascii")
