"""A person's path as a small roof slope: one course of tiles for each step, laid from the eave up, closed by the ridge.

A course is read like the work: tiles laid, part laid, a bare batten, one tile lifted, a plank held across, broken.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from training.drawings.marks import SHAPES, shape
from training.drawings.svg import drawing, number, tag

TILES = 3  # whole tiles in a course; every second course starts and ends with half a tile
WIDTH, COURSE, LAP, NOSE = 36.0, 56.0, 10.0, 6.0  # one tile; height of a course; how far it laps the one below
CAP, CAPS = 16.0, 4  # height and number of the ridge caps
SLANT = 0.16  # sideways lean of the slope per unit of height
SKEW_DEGREES = math.degrees(math.atan(SLANT))
EDGE = 6.0  # free space round the slope
SPAN = TILES * WIDTH


@dataclass(frozen=True)
class Course:
    """One step as drawn: its name, its state, the state's word in the reader's language, how much is laid (0 to 1)."""

    title: str
    state: str
    word: str = ""
    share: float = 0.5

    @property
    def spoken(self) -> str:
        return f"{self.title}: {self.word or self.state}"


def course_of(step: Mapping[str, object] | object, word: str = "") -> Course:
    """A course from a step given as an object or a mapping with title, state and perhaps share."""
    read: Callable[[str, object], object] = (
        step.get if isinstance(step, Mapping) else lambda name, other: getattr(step, name, other)
    )
    state = str(read("state", "not_started"))
    share = float(str(read("share", 0.5) or 0.0))
    return Course(str(read("title", "")), state if state in SHAPES else "not_started", word, min(max(share, 0.0), 1.0))


def slope(courses: Sequence[Course], *, ridge: Course | None = None, label: str = "") -> str:
    """The whole roof slope. The first course lies at the eave; `ridge` is the decision that closes the path.

    Every step takes the same height, the ridge too, so that the page can stretch the picture to the words beside it.
    """
    top = COURSE if ridge else EDGE
    height = top + len(courses) * COURSE + LAP + EDGE
    rows = [_course(course, row, top + (len(courses) - 1 - row) * COURSE) for row, course in enumerate(courses)]
    deck = tag("path", class_="deck", d=f"M0 {number(top)}h{number(SPAN)}v{number(len(courses) * COURSE)}H0Z")
    # skewX pulls a point to the left by SLANT for each unit it lies lower: move the eave back into the picture.
    leaning = f"translate({number(EDGE + height * SLANT)} 0) skewX({number(-SKEW_DEGREES)})"
    inside = tag("g", [deck, *rows, _ridge(ridge, top) if ridge else ""], transform=leaning)
    spoken = label or ". ".join(course.spoken for course in [*courses, *([ridge] if ridge else [])])
    width = SPAN + (height - top) * SLANT + 2 * EDGE + 4
    return drawing(width, height, inside, label=spoken, class_="slope-drawing", fit="none")


def row(courses: Sequence[Course], *, label: str = "") -> str:
    """The same path in one line for a list: one mark a step on one batten."""
    step = 26
    marks = [
        tag("g", shape(course.state), class_=f"is-{course.state}", transform=f"translate({place * step} 0)")
        for place, course in enumerate(courses)
    ]
    batten = tag("path", class_="batten", d=f"M0 1.5h{max(len(courses), 1) * step - 2}")
    spoken = label or ", ".join(course.spoken for course in courses)
    return drawing(max(len(courses), 1) * step, 24, [batten, *marks], label=spoken, class_="hl-mark course-row")


def bare() -> str:
    """Two battens and no tile: the picture of an empty list. It only decorates."""
    battens = tag("path", class_="batten", d="M0 14h150M0 46h150")
    tile = _tile(0, 46, WIDTH, "ghost")
    return drawing(150, 116, battens + tile, label="", class_="slope-drawing")


# --- one course ---------------------------------------------------------------------------------


def _course(course: Course, row_number: int, y: float) -> str:
    tiles = _places(row_number)
    laid = DRAW.get(course.state, _draw_bare)
    batten = tag("path", class_="batten", d=f"M0 {number(y + 5)}h{number(SPAN)}")
    return tag("g", batten + laid(course, tiles, row_number, y), class_=f"course course-{course.state}")


def _places(row_number: int) -> list[tuple[float, float]]:
    """Left edge and width of each tile: joints of one course fall on the middle of the tiles of the next."""
    if row_number % 2 == 0:
        return [(place * WIDTH, WIDTH) for place in range(TILES)]
    half = WIDTH / 2
    return [(0.0, half), *((half + place * WIDTH, WIDTH) for place in range(TILES - 1)), (SPAN - half, half)]


def _tile(x: float, y: float, width: float, class_: str, transform: str | None = None) -> str:
    side = COURSE + LAP - NOSE
    n = number
    path = f"M{n(x)} {n(y)}h{n(width)}v{n(side)}q0 {n(NOSE)}-{n(width / 2)} {n(NOSE)}t-{n(width / 2)}-{n(NOSE)}Z"
    return tag("path", class_=class_, d=path, transform=transform)


def _clay(place: int, row_number: int) -> str:
    """Which of three firings a tile shows, so that a course looks like clay and not like a bar."""
    return f"tile tile-{(place * 2 + row_number * 2 + place // 3) % 3 + 1}"


def _draw_laid(_course: Course, tiles: list[tuple[float, float]], row_number: int, y: float) -> str:
    return "".join(_tile(x, y, width, _clay(place, row_number)) for place, (x, width) in enumerate(tiles))


def _draw_part(course: Course, tiles: list[tuple[float, float]], row_number: int, y: float) -> str:
    laid = min(max(round(course.share * len(tiles)), 1), len(tiles) - 1)
    return _draw_laid(course, tiles[:laid], row_number, y)


def _draw_waiting(_course: Course, tiles: list[tuple[float, float]], _row: int, y: float) -> str:
    dots = "".join(
        tag("circle", class_="dot", cx=x + width / 2, cy=y + COURSE * 0.58, r="2.6")
        for x, width in tiles
        if width == WIDTH
    )
    return "".join(_tile(x, y, width, "tile-set") for x, width in tiles) + dots


def _draw_renewal(course: Course, tiles: list[tuple[float, float]], row_number: int, y: float) -> str:
    chalk = tag("path", class_="chalk", d=f"M0 {number(y + COURSE * 0.62)}h{number(SPAN)}")
    return _draw_laid(course, tiles, row_number, y) + chalk


def _draw_lifted(_course: Course, tiles: list[tuple[float, float]], _row: int, y: float) -> str:
    middle = len(tiles) // 2
    x, width = tiles[middle]
    stay = "".join(_tile(*_at(tiles, place, y), "tile-old") for place in range(len(tiles)) if place != middle)
    turn = f"translate(7 -9) rotate(-17 {number(x + width)} {number(y)})"
    return stay + _tile(x, y, width, "gap") + _tile(x, y, width, "tile-lifted", turn)


def _draw_held(course: Course, tiles: list[tuple[float, float]], row_number: int, y: float) -> str:
    middle = y + COURSE * 0.45
    plank = tag("path", class_="plank", d=f"M-4 {number(middle)}h{number(SPAN + 8)}v13h-{number(SPAN + 8)}Z")
    nails = "".join(tag("circle", class_="nail", cx=x, cy=middle + 6.5, r="2") for x in (8.0, SPAN - 8))
    return _draw_laid(course, tiles, row_number, y) + plank + nails


def _draw_broken(_course: Course, tiles: list[tuple[float, float]], _row: int, y: float) -> str:
    return "".join(tag("path", class_="tile-old", d=_shard(x, width, y)) for x, width in tiles[::2])


def _shard(x: float, width: float, y: float) -> str:
    n = number
    return f"M{n(x + 1)} {n(y)}h{n(width * 0.55)}l-5 15 7 8-9 12L{n(x + 1)} {n(y + COURSE - 12)}Z"


def _draw_bare(_course: Course, _tiles: list[tuple[float, float]], _row: int, _y: float) -> str:
    return ""


def _at(tiles: list[tuple[float, float]], place: int, y: float) -> tuple[float, float, float]:
    x, width = tiles[place]
    return x, y, width


DRAW: dict[str, Callable[[Course, list[tuple[float, float]], int, float], str]] = {
    "not_started": _draw_bare,
    "under_way": _draw_part,
    "waiting_for_decision": _draw_waiting,
    "qualified": _draw_laid,
    "renewal_open": _draw_renewal,
    "lapsed": _draw_lifted,
    "suspended": _draw_held,
    "withdrawn": _draw_broken,
}


# --- the ridge ----------------------------------------------------------------------------------


def _ridge(ridge: Course, top: float) -> str:
    """Caps along the top when the decision is made; a bare ridge board before that and when it holds no more."""
    board = tag("path", class_="batten", d=f"M-3 {number(top)}h{number(SPAN + 6)}")
    return tag("g", board + "".join(_caps(ridge.state, top)), class_=f"course course-{ridge.state}")


def _caps(state: str, top: float) -> list[str]:
    look = {"qualified": "", "renewal_open": "", "waiting_for_decision": "tile-set"}
    if state not in look:
        return []
    step = (SPAN + 8) / CAPS
    return [_cap(-4 + place * step, top, step + 4, look[state] or _clay(place, 1)) for place in reversed(range(CAPS))]


def _cap(x: float, top: float, width: float, class_: str) -> str:
    n = number
    rounded = f"q5 0 5 {n(CAP / 2)}t-5 {n(CAP / 2)}"
    path = f"M{n(x)} {n(top - CAP * 0.6)}h{n(width - 5)}{rounded}h-{n(width - 5)}Z"
    return tag("path", class_=class_, d=path)
