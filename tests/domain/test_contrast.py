"""The stylesheet's colours against WCAG 2.2: text 7:1 (success criterion 1.4.6), marks and borders 3:1 (1.4.11)."""

import re
from pathlib import Path

import pytest

CSS = (Path(__file__).parents[2] / "training/static/training/headlap.css").read_text(encoding="utf-8")
ENOUGH_FOR_TEXT = 7.0  # WCAG 2.2, 1.4.6 Contrast (Enhanced); the law's usual 1.4.3 asks 4.5
ENOUGH_FOR_MARKS = 3.0  # WCAG 2.2, 1.4.11 Non-text Contrast

TEXT_COLOURS = ["ink", "soft", "clay", "yes", "no", "wait", "due"]
GROUNDS = ["ground", "surface", "sunk"]
TEXT_PAIRS = [
    *((text, ground) for text in TEXT_COLOURS for ground in GROUNDS),
    *(("ink", f"{tint}-tint") for tint in ("yes", "no", "wait", "due")),
    *(("on-panel", f"panel-{panel}") for panel in ("yes", "no", "wait", "due")),
    ("on-clay", "clay"),
    ("on-clay", "clay-deep"),
    ("ground", "ink"),
    ("on-sky", "sky"),
    ("sky-soft", "sky"),
    ("sky-accent", "sky"),
    ("on-signal-dark", "signal-danger"),
    ("on-signal-light", "signal-warning"),
    ("on-signal-light", "signal-caution"),
    ("on-signal-dark", "signal-notice"),
]
MARK_PAIRS = [
    *((mark, ground) for mark in ("edge", "focus", "clay") for ground in GROUNDS),
    *((tile, "ground") for tile in ("tile-1", "tile-2", "tile-3")),
    *((mark, f"{mark}-tint") for mark in ("yes", "no", "wait", "due")),
    ("on-sky", "tile-1"),
    ("on-sky", "tile-2"),
    ("on-sky", "tile-3"),
    ("sky-focus", "sky"),
]


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it, with the sRGB threshold 0.04045."""
    channels = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio as WCAG 2.2 defines it: 1 to 21."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def _declared(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6})\b", block))


def _theme(name: str) -> dict[str, str]:
    light = _declared(CSS.split(":root {", 1)[1].split("}", 1)[0])
    if name == "light":
        return light
    start = "@media (prefers-color-scheme: dark)" if name == "dark" else "@media print"
    return light | _declared(CSS.split(start, 1)[1].split(":root {", 1)[1].split("}", 1)[0])


THEMES = {name: _theme(name) for name in ("light", "dark", "print")}


def test_the_formula_gives_the_ends_of_the_scale() -> None:
    # WCAG 2.2, definition of contrast ratio: from 1 (no contrast) to 21 (black on white).
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#ffffff", "#ffffff") == pytest.approx(1)


def test_the_formula_agrees_on_the_lightest_grey_that_passes_on_white() -> None:
    # Known pair, from memory: on white #767676 is the lightest grey that reaches 4.5 and #777777 just fails.
    assert contrast("#767676", "#ffffff") >= 4.5 > contrast("#777777", "#ffffff")


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize(("text", "ground"), TEXT_PAIRS)
def test_text_can_be_read_in_sunlight(theme: str, text: str, ground: str) -> None:
    colours = THEMES[theme]
    assert contrast(colours[text], colours[ground]) >= ENOUGH_FOR_TEXT


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize(("mark", "ground"), MARK_PAIRS)
def test_marks_borders_and_focus_stand_out(theme: str, mark: str, ground: str) -> None:
    colours = THEMES[theme]
    assert contrast(colours[mark], colours[ground]) >= ENOUGH_FOR_MARKS


def test_every_colour_is_named_once_so_that_this_test_sees_all_of_them() -> None:
    rules_only = re.sub(r"--[\w-]+:\s*[^;]+;", "", re.sub(r"/\*.*?\*/", "", CSS, flags=re.S))
    assert re.findall(r"#[0-9a-fA-F]{3,8}\b(?=[^{}]*[;}])|rgba?\(|hsla?\(", rules_only) == []


def test_dark_theme_follows_the_device_and_nothing_else() -> None:
    assert "data-bs-theme" not in CSS
    assert CSS.count("prefers-color-scheme") == CSS.count("@media (prefers-color-scheme: dark)") > 0


def test_motion_stops_for_those_who_ask() -> None:
    # WCAG 2.2, 2.3.3 Animation from Interactions.
    assert "prefers-reduced-motion: reduce" in CSS


def test_touch_targets_are_48_px() -> None:
    # WCAG 2.2, 2.5.8 asks 24 px; 48 px is the house rule for a gloved hand (common practice, no source).
    assert "--touch: 3rem;" in CSS
