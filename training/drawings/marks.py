"""The marks: one tile, seen from the front, whose shape alone tells a state. A word always stands beside it."""

from training.drawings.svg import drawing

TILE = "M5 3h14v14.5q0 3.5-7 3.5t-7-3.5Z"
TICK = "M8.4 11.6 11.1 14.5 16 8.6"
CROSS = "M8 8 16 16M16 8 8 16"


def _f(path: str) -> str:
    """A filled part."""
    return f'<path class="f" d="{path}"/>'


def _s(path: str, more: str = "") -> str:
    """A stroked part."""
    return f'<path class="s{more}" d="{path}"/>'


def _cut(path: str) -> str:
    """A line carved out of what is filled."""
    return f'<path class="cut" d="{path}"/>'


def _dot(x: float) -> str:
    return f'<circle class="f" cx="{x}" cy="11.5" r="1.5"/>'


SHAPES: dict[str, str] = {
    # a bare batten: nothing laid
    "not_started": _s("M2.5 9.5h19v5h-19Z"),
    # the tile is half there
    "under_way": _s(TILE) + _f("M5 12h14v5.5q0 3.5-7 3.5t-7-3.5Z"),
    # set, not yet pressed down
    "waiting_for_decision": _s(TILE) + _dot(8) + _dot(12) + _dot(16),
    # laid
    "qualified": _f(TILE) + _cut(TICK),
    # laid, and a clock runs
    "renewal_open": _f(TILE) + '<circle class="cut-f" cx="12" cy="11.5" r="5"/>' + _s("M12 8.5v3.2l2 1.3"),
    # lifted off its batten
    "lapsed": (
        f'<g transform="translate(-1 3) rotate(24 13 8)">{_f("M8 1h10v10.5q0 3-5 3t-5-3Z")}</g>' + _s("M2.5 22h19")
    ),
    # held by two bars
    "suspended": _s(TILE) + _f("M8.3 7h2.6v9.5H8.3Zm4.8 0h2.6v9.5h-2.6Z"),
    # broken in two
    "withdrawn": _f("M3.5 4H11L8.6 9.5l4 3.2L9.2 20.8Q3.5 20.5 3.5 17.5Z")
    + _f("M13.8 4H20.5v13.5q0 2.7-8 3.3L16 12l-4-3Z"),
    "yes": _f("M4 2h16v16q0 4-8 4t-8-4Z") + _cut(TICK),
    "no": _f("M8 2h8l6 6v8l-6 6H8l-6-6V8Z") + _cut(CROSS),
    # one laid tile beside one still open: works next to somebody
    "trainee": _f("M2 4h9v13.5q0 2.5-4.5 2.5T2 17.5Z") + _s("M14 5h7v12.2q0 1.8-3.5 1.8T14 17.2Z"),
}

STATES = (
    "not_started",
    "under_way",
    "waiting_for_decision",
    "qualified",
    "renewal_open",
    "lapsed",
    "suspended",
    "withdrawn",
)


def shape(state: str) -> str:
    """The inside of a mark; an unknown state draws as a bare batten, never as something held."""
    return SHAPES.get(state, SHAPES["not_started"])


def mark(state: str, *, label: str = "") -> str:
    """The mark of a state in a 24 by 24 box. `label` only where no word stands beside it."""
    known = state if state in SHAPES else "not_started"
    return drawing(24, 24, shape(known), label=label, class_=f"hl-mark is-{known}")
