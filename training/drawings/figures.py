"""Drawings of questions, to the scale of their own numbers: slopes, laps, pads on a tape, tiles seen from their end.

Lines take the colour of the words around them; presentation attributes only. A drawing says its label and no more.
"""

from collections.abc import Callable

from training.domain.figures import Figure
from training.domain.units import Measure, show
from training.drawings.svg import drawing, number, tag, text

WIDTH, HEIGHT = 200.0, 140.0
LEFT, RIGHT, FLOOR = 16.0, 184.0, 112.0
ROOM = RIGHT - LEFT
TILE, FOAM = "#b5592f", "#f2c94c"
DEEP = 78.0  # the tallest upright thing

Draw = Callable[[Figure, str], list[str]]


def figure(asked: Figure, language: str) -> str:
    """The drawing, spoken in this language."""
    return drawing(WIDTH, HEIGHT, _DRAW[asked.kind](asked, language), label=asked.spoken[language], class_="figure")


# --- parts --------------------------------------------------------------------------------------------------------


def _path(d: str, *, fill: str = "none", stroke: str = "currentColor", width: float = 2.0) -> str:
    return tag("path", d=d, fill=fill, stroke=stroke, stroke_width=width, stroke_linejoin="round")


def _box(x: float, y: float, width: float, height: float, fill: str, round_: float = 0.0) -> str:
    corner = round_ or None
    return tag("rect", x=x, y=y, width=width, height=height, rx=corner, fill=fill, stroke="currentColor")


def _word(words: str, x: float, y: float, anchor: str = "middle") -> str:
    x = min(max(x, 4.0 + 4.0 * len(words)), WIDTH - 4.0 - 4.0 * len(words)) if anchor == "middle" else x
    return text(words, x=x, y=y, text_anchor=anchor, font_size="14", font_weight="700", fill="currentColor")


def _level(start: float, end: float, y: float, words: str) -> list[str]:
    """A measure from left to right, its number above."""
    n = number
    line = _path(f"M{n(start)} {n(y - 5)}v10M{n(start)} {n(y)}H{n(end)}M{n(end)} {n(y - 5)}v10")
    return [line, _word(words, (start + end) / 2, y - 8)]


def _upright(start: float, end: float, x: float, words: str) -> list[str]:
    """A measure from the ground up, its number beside it."""
    n = number
    line = _path(f"M{n(x - 5)} {n(start)}h10M{n(x)} {n(start)}V{n(end)}M{n(x - 5)} {n(end)}h10")
    return [line, _word(words, x + 9, (start + end) / 2 + 5, "start")]


def _size(asked: Figure, place: int = 0) -> float:
    return float(asked.sizes[place].value)


def _scale(asked: Figure, room: float) -> float:
    """Drawing units for one unit of measure; the largest drawing of the question fills the room."""
    span = asked.span or max(asked.sizes)
    return room / max(float(span.to(asked.sizes[0].unit).value), 0.001)


def _name(size: Measure, language: str) -> str:
    return show(size, language)


def _ticks(start: float, y: float, step: float) -> str:
    """A tape below what is measured: one tick for each unit, as long as they can be told apart."""
    while step < 5:
        step *= 10
    marks = [
        f"M{number(start + step * each)} {number(y)}v{6 if each % 5 else 10}" for each in range(int(ROOM / step) + 1)
    ]
    return _path("".join([f"M{number(start)} {number(y)}h{number(ROOM)}", *marks]), width=1.0)


# --- kinds --------------------------------------------------------------------------------------------------------


def _slope(asked: Figure, language: str) -> list[str]:
    """A roof over a run of twelve."""
    rise = _size(asked)
    unit = min(11.0, 96.0 / max(rise, float((asked.span or asked.sizes[0]).value)))
    left, floor, n = 16.0, 118.0, number
    run, top = left + 12 * unit, floor - rise * unit
    roof = f"M{n(left)} {n(floor)}L{n(run)} {n(top)}V{n(floor)}Z"
    return [
        _path(roof, fill=TILE),
        _word("12", (left + run) / 2, floor + 16),
        _word(_name(asked.sizes[0], language).partition(":")[0], run + 8, (floor + top) / 2 + 5, "start"),
    ]


def _ladder(asked: Figure, language: str) -> list[str]:
    """A ladder against a wall, its foot one out."""
    up, n, wall, floor = _size(asked), number, 120.0, 118.0
    unit = 90.0 / max(up, 1.0)
    foot, top = wall - unit, floor - unit * up
    rungs = "".join(
        f"M{n(foot + unit * share - 5)} {n(floor - unit * up * share)}h10"
        for share in (0.15, 0.3, 0.45, 0.6, 0.75, 0.9)
    )
    return [
        _path(f"M{n(wall)} 14V{n(floor)}M14 {n(floor)}H186"),
        _path(f"M{n(foot)} {n(floor)}L{n(wall)} {n(top)}", width=4.0),
        _path(rungs),
        _word("1", (foot + wall) / 2, floor + 16),
        _word(_name(asked.sizes[0], language).partition(":")[2], wall + 10, (floor + top) / 2 + 5, "start"),
    ]


def _lap(asked: Figure, language: str) -> list[str]:
    """Two tiles seen from the side, the upper one lying on the lower."""
    lap = _size(asked) * _scale(asked, 84.0)
    end = LEFT + 126.0
    return [
        _box(LEFT, 84.0, 126.0, 16.0, TILE),
        _box(end - lap, 66.0, RIGHT - end + lap, 16.0, TILE),
        *_level(end - lap, end, 46.0, _name(asked.sizes[0], language)),
    ]


def _overhang(asked: Figure, language: str) -> list[str]:
    """A tile that runs past the fascia."""
    past = _size(asked) * _scale(asked, 70.0)
    edge = LEFT + 84.0
    return [
        _box(edge, 74.0, 14.0, 56.0, "none"),
        _box(edge - past, 56.0, RIGHT - edge + past, 16.0, TILE),
        *_level(edge - past, edge, 38.0, _name(asked.sizes[0], language)),
    ]


def _flat_pad(asked: Figure, language: str, across: float) -> list[str]:
    """A pad seen from above, over a tape."""
    step = _scale(asked, ROOM)
    long = _size(asked) * step
    return [
        _box(LEFT, 108.0 - across, long, across, FOAM, 10.0),
        _ticks(LEFT, 118.0, step),
        *_level(LEFT, LEFT + long, 100.0 - across, _name(asked.sizes[0], language)),
    ]


def _pad_length(asked: Figure, language: str) -> list[str]:
    return _flat_pad(asked, language, 34.0)


def _pad_width(asked: Figure, language: str) -> list[str]:
    return _flat_pad(asked, language, 66.0)


def _pad_height(asked: Figure, language: str) -> list[str]:
    """A pad seen from the side, a tile of its profile held over it."""
    high, n = _size(asked) * _scale(asked, DEEP), number
    top = FLOOR - high
    mound = f"M16 {n(FLOOR)}C20 {n(top)} 36 {n(top)} 54 {n(top)}C72 {n(top)} 88 {n(top)} 92 {n(FLOOR)}Z"
    return [
        _path(_PROFILE[asked.profile], stroke=TILE, width=5.0),
        _path(mound, fill=FOAM),
        _path(f"M{n(LEFT)} {n(FLOOR)}H{n(RIGHT)}"),
        *_upright(FLOOR, top, 100.0, _name(asked.sizes[0], language)),
    ]


def _area(asked: Figure, language: str) -> list[str]:
    """The underside of a lifted tile with the mark of its pad."""
    scale = min(_scale(asked, 72.0), 58.0 / max(_size(asked, 1), 0.001))
    long, wide = _size(asked) * scale, _size(asked, 1) * scale
    left, top = 24.0, 50.0
    return [
        _box(10.0, 8.0, 180.0, 124.0, TILE, 4.0),
        tag("rect", x=14.0, y=26.0, width=172.0, height=102.0, fill="#f4efe4"),
        _box(left, top, long, wide, FOAM),
        tag("g", [*_level(left, left + long, 46.0, _name(asked.sizes[0], language)),
                  *_upright(top + wide, top, left + long + 9.0, _name(asked.sizes[1], language))], color="#1b242d"),
    ]  # fmt: skip


_PROFILE = {
    "low": "M16 22H176V16H188",
    "medium": "M16 26H84C104 26 104 12 124 12C144 12 144 26 164 26H188",
    "high": "M16 28H56C76 28 76 6 116 6C156 6 156 28 176 28H188",
}
"""Tiles held over a pad, seen from their end."""
_TILES = {
    "low": "M18 92V78H172V68H190V78H182V92Z",
    "medium": "M18 92V78H70C92 78 92 44 116 44C140 44 140 78 162 78H190V86H170C148 86 138 58 116 58C96 58 96 92 70 92Z",
    "high": "M18 92V78H46C70 78 66 22 112 22C158 22 154 78 170 78H190V86H170C142 86 146 36 112 36C80 36 84 92 46 92Z",
}
"""Tiles over the deck, seen from their end: the low part at the left, the side lock at the right."""
_PADS = {"pan": (28.0, 40.0, 20.0), "crown": (94.0, 40.0, 20.0), "lock": (168.0, 20.0, 26.0)}
"""Left edge, width and height of a pad at each place."""


def _pad_place(asked: Figure, language: str) -> list[str]:
    """A tile seen from its end with its pad on the deck."""
    parts = [_path(_TILES[asked.profile], fill=TILE), _path(f"M8 {number(FLOOR)}H192", width=3.0)]
    if asked.place in _PADS:
        left, wide, high = _PADS[asked.place]
        parts.append(_box(left, FLOOR - high, wide, high, FOAM, 6.0))
    return parts


_DRAW: dict[str, Draw] = {
    "slope": _slope,
    "ladder": _ladder,
    "lap": _lap,
    "overhang": _overhang,
    "pad_length": _pad_length,
    "pad_width": _pad_width,
    "pad_height": _pad_height,
    "pad_place": _pad_place,
    "area": _area,
}
KINDS = frozenset(_DRAW)
"""What can be drawn."""
