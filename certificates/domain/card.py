"""The face of a wallet card: every word with its place and size in millimetres, fitted by real font widths.

One value serves the PDF, the card on screen and the tests. The card is ID-1 of ISO/IEC 7810:2019: 85.60 x 53.98 mm.
"""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from certificates.domain.metrics import Face, Fitted, face, fit, wrapped, written
from certificates.domain.number import shown

WIDTH, HEIGHT = 85.60, 53.98
CORNER = 3.18
QUIET_MODULES = 4  # ISO/IEC 18004:2015, the light border on each side of a QR code
SMALLEST_MODULE = 0.38  # mm; a little above the 0.3386 mm (4 dots at 300 dpi) of ICAO Doc 9303-13
LEADING = 1.16
# Ways to set the scopes, best first: size in mm and columns for lists, size alone for running lines.
TITLE_LISTS = ((4.0, 1), (3.3, 1), (3.3, 2), (2.9, 1), (2.9, 2), (2.6, 1), (2.6, 2))
SHORT_LISTS = ((3.3, 2), (2.9, 2), (2.9, 3), (2.6, 3), (2.4, 3))
RUNNING = (2.9, 2.6, 2.3)
INDENT = 1.15  # room for the tile drawn before a listed scope, in font sizes

MONTHS = {
    # Unicode CLDR, abbreviated months in format context, English and Spanish.
    "en": ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"],
    "es": ["ene", "feb", "mar", "abr", "may", "jun", "jul", "ago", "sept", "oct", "nov", "dic"],
}


@dataclass(frozen=True)
class Box:
    """A rectangle in mm from the card's top left corner."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        return self.x + self.width

    @property
    def bottom(self) -> float:
        return self.y + self.height

    def holds(self, other: "Box") -> bool:
        return (
            self.x <= other.x + 1e-6
            and self.y <= other.y + 1e-6
            and other.right <= self.right + 1e-6
            and other.bottom <= self.bottom + 1e-6
        )

    def meets(self, other: "Box") -> bool:
        return self.x < other.right and other.x < self.right and self.y < other.bottom and other.y < self.bottom


CARD = Box(0, 0, WIDTH, HEIGHT)
NAME = Box(4.6, 13.3, 76.4, 11.3)
PHOTO = Box(4.6, 25.6, 20.4, 25.5)
FACTS = Box(27.4, 25.6, 25.8, 25.5)
QR = Box(55.3, 25.4, 25.8, 25.8)
COVERS = Box(4.6, 14.2, 76.4, 21.8)


@dataclass(frozen=True)
class Text:
    """One line of print: `x` and `y` are the start (or middle) of its base line, `size` the font size, all in mm."""

    part: str
    text: str
    x: float
    y: float
    size: float
    face: Face
    ink: str
    middle: bool = False

    @property
    def box(self) -> Box:
        """Where its ink may fall, from the face's own ascent and descent."""
        width = self.face.width(self.text, self.size)
        left = self.x - width / 2 if self.middle else self.x
        top = self.y - self.face.ascent * self.size
        return Box(left, top, width, (self.face.ascent + self.face.descent) * self.size)


@dataclass(frozen=True)
class ScopeWords:
    """A scope in the card's language: its title, and the short form for a full card."""

    title: str
    short: str


@dataclass(frozen=True)
class Labels:
    """The card's fixed words in its language; `{n}` and `{place}` are filled in."""

    valid_to: str
    no_end: str
    issued: str
    number: str
    covers: str
    more: str
    record: str
    check: str
    keeper: str


@dataclass(frozen=True)
class CardContent:
    """What the card says. `keeper` is who to call; `check_place` where a number can be typed."""

    name: str
    initials: str
    company: str
    qualification: str
    scopes: tuple[ScopeWords, ...]
    issued_on: datetime.date
    expires_on: datetime.date | None
    number: str
    language: str
    labels: Labels
    check_place: str = ""
    phone: str = ""


@dataclass(frozen=True)
class CardFace:
    """Both sides of one card, laid out."""

    front: tuple[Text, ...]
    back: tuple[Text, ...]
    language: str
    photo: Box = PHOTO
    qr: Box = QR

    @property
    def marks(self) -> tuple[Box, ...]:
        """A small tile before each scope that has a line of its own."""
        listed = [text for text in self.part("scope") if text.x > COVERS.x]
        return tuple(
            Box(text.x - text.size * INDENT, text.y - text.size * 0.66, text.size * 0.6, text.size * 0.72)
            for text in listed
        )

    def part(self, name: str) -> tuple[Text, ...]:
        """The lines of one part, such as `name` or `scope`."""
        return tuple(text for text in (*self.front, *self.back) if text.part == name)


def short_date(day: datetime.date, language: str) -> str:
    """4 Mar 2027 or 4 mar 2027: a month in letters cannot be read two ways."""
    return f"{day.day} {MONTHS.get(language, MONTHS['en'])[day.month - 1]} {day.year}"


def module_size(modules: int) -> float:
    """Side of one QR module in mm for a symbol of `modules` a side, quiet zone on both sides included."""
    return QR.width / (modules + 2 * QUIET_MODULES)


def lay_out(content: CardContent) -> CardFace:
    """The two sides of a card."""
    front = (*_head(content), *_name(content), *_initials(content), *_facts(content))
    back = (*_covers(content), *_foot(content))
    return CardFace(front, back, content.language)


def _head(content: CardContent) -> Iterable[Text]:
    company = fit(content.company, 76.4, bold=True, largest=(4.0, 2.5), smallest=1.9, keep=2.9)
    title = fit(content.qualification, 76.4, largest=(2.8 if len(company.lines) == 1 else 1.9, 1.6), smallest=1.5)
    first = 4.6 if len(company.lines) == 1 else 3.1
    below = 8.0 if len(title.lines) == 1 else 7.2
    yield from _column("company", company, 4.6, first, "lime", pitch=2.6)
    yield from _column("qualification", title, 4.6, below, "mortar", pitch=1.6)


def _name(content: CardContent) -> Iterable[Text]:
    name = fit(content.name, NAME.width, bold=True, largest=(7.6, 4.7, 3.0), smallest=2.7, keep=4.5)
    height = name.size * (1 + LEADING * (len(name.lines) - 1))
    # Capitals with stacked accents reach past the font size: centre on the box, biased to the base line.
    base = NAME.y + (NAME.height - height) / 2 + 0.86 * name.size
    yield from _column("name", name, NAME.x, base, "night", pitch=name.size * LEADING)


def _initials(content: CardContent) -> Iterable[Text]:
    found = fit(content.initials or "?", PHOTO.width * 0.72, bold=True, largest=(9.5,), smallest=3.0)
    base = PHOTO.y + PHOTO.height / 2 + found.size * 0.34
    yield Text("initials", found.lines[0], PHOTO.x + PHOTO.width / 2, base, found.size, found.face, "lime", True)


def _facts(content: CardContent) -> Iterable[Text]:
    labels = content.labels
    until = short_date(content.expires_on, content.language) if content.expires_on else labels.no_end
    rows = (
        ("expires", labels.valid_to, until, 5.0, 27.9, 33.0),
        ("issued", labels.issued, short_date(content.issued_on, content.language), 3.3, 37.5, 41.1),
        ("number", labels.number, shown(content.number), 4.2, 45.9, 50.2),
    )
    for part, label, value, size, above, base in rows:
        yield _line(f"{part}_label", label, FACTS.x, above, 2.5, "slate", width=FACTS.width)
        yield _line(part, value, FACTS.x, base, size, "night", width=FACTS.width, bold=True)


def _covers(content: CardContent) -> Iterable[Text]:
    yield _line("covers_label", content.labels.covers, 4.6, 6.3, 3.6, "lime", width=76.4, bold=True)
    yield from _scopes(content.scopes, content.labels.more)


def _scopes(scopes: Sequence[ScopeWords], more: str) -> Iterable[Text]:
    """Titles in a list while they fit, else short words: in a list, in running lines, and at last as many as fit."""
    titles, shorts = [scope.title for scope in scopes], [scope.short for scope in scopes]
    for words, size, columns in (*((titles, *way) for way in TITLE_LISTS), *((shorts, *way) for way in SHORT_LISTS)):
        listed = _listed(words, size, columns)
        if listed:
            return listed
    for size in RUNNING:
        lines = _running(shorts, size)
        if lines is not None:
            return _stacked(lines, size)
    return _stacked(_cut(shorts, RUNNING[-1], more), RUNNING[-1])


def _listed(titles: Sequence[str], size: float, columns: int) -> list[Text]:
    """One title to a line in equal columns; nothing when they do not all fit."""
    gap = 3.2
    width = (COVERS.width - gap * (columns - 1)) / columns
    rows = -(-len(titles) // columns)
    pitch = size * 1.34
    texts = []
    for place, title in enumerate(titles):
        column, row = divmod(place, max(rows, 1))
        said, used = written(title, False)
        x = COVERS.x + column * (width + gap) + size * INDENT
        texts.append(Text("scope", said, x, COVERS.y + size + row * pitch, size, used, "night"))
        if used.width(said, size) > width - size * INDENT:
            return []
    return texts if rows * pitch <= COVERS.height + size * 0.2 else []


def _room(size: float) -> int:
    return int((COVERS.height + size * 0.2) / (size * 1.34))


def _running(shorts: Sequence[str], size: float) -> list[str] | None:
    said, used = _one_face(shorts)
    lines = wrapped([f"{word}," for word in said[:-1]] + list(said[-1:]), COVERS.width, size, used)
    fits = len(lines) <= _room(size) and all(used.width(line, size) <= COVERS.width for line in lines)
    return lines if fits else None


def _cut(shorts: Sequence[str], size: float, more: str) -> list[str]:
    for kept in range(len(shorts) - 1, 0, -1):
        rest = more.format(n=len(shorts) - kept)
        lines = _running([*shorts[:kept], rest], size)
        if lines is not None:
            return lines
    return [more.format(n=len(shorts))]


def _stacked(lines: Sequence[str], size: float) -> list[Text]:
    said, used = _one_face(lines)
    return [
        Text("scope", line, COVERS.x, COVERS.y + size + row * size * 1.34, size, used, "night")
        for row, line in enumerate(said)
    ]


def _one_face(texts: Sequence[str]) -> tuple[list[str], Face]:
    plain = face("atkinson", False)
    done = [written(text, False) for text in texts]
    used = plain if all(found is plain for _said, found in done) else face("noto", False)
    return [said for said, _found in done], used


def _foot(content: CardContent) -> Iterable[Text]:
    labels = content.labels
    record = fit(labels.record, 76.4, bold=True, largest=(2.75, 2.6), smallest=1.9)
    yield from _column("record", record, 4.6, 41.6, "night", pitch=3.0)
    check = fit(labels.check.format(place=content.check_place), 76.4, largest=(2.5, 2.3), smallest=1.7)
    yield from _column("check", check, 4.6, 45.4, "slate", pitch=2.7)
    keeper = " · ".join(part for part in (content.company, content.phone) if part)
    fitted = fit(labels.keeper.format(place=keeper), 76.4, largest=(2.5, 1.9), smallest=1.5)
    yield from _column("keeper", fitted, 4.6, 50.6 if len(fitted.lines) == 1 else 49.9, "slate", pitch=1.8)


def _column(part: str, fitted: Fitted, x: float, base: float, ink: str, pitch: float) -> Iterable[Text]:
    for row, line in enumerate(fitted.lines):
        yield Text(part, line, x, base + row * pitch, fitted.size, fitted.face, ink)


def _line(
    part: str, text: str, x: float, base: float, size: float, ink: str, *, width: float, bold: bool = False
) -> Text:
    fitted = fit(text, width, bold=bold, largest=(size,), smallest=0.0)
    return Text(part, fitted.lines[0], x, base, fitted.size, fitted.face, ink)
