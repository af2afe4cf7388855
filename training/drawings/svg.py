"""Writing SVG: escaped attributes and text, short numbers."""

from collections.abc import Iterable
from html import escape


def number(value: float) -> str:
    """A coordinate with at most two decimals and no needless zeros."""
    return f"{value:.2f}".rstrip("0").rstrip(".") if value % 1 else f"{value:.0f}"


def tag(name: str, content: str | Iterable[str] = "", **attributes: object) -> str:
    """One element. Attribute names take `_` for `-` (and a closing `_` for Python's words); None is left out."""
    pairs = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{_value(value)}"'
        for key, value in attributes.items()
        if value is not None
    )
    inside = content if isinstance(content, str) else "".join(content)
    return f"<{name}{pairs}>{inside}</{name}>" if inside else f"<{name}{pairs}/>"


def text(content: str, **attributes: object) -> str:
    """A text element; the content is escaped here."""
    return tag("text", escape(content), **attributes)


def drawing(
    width: float, height: float, content: str | Iterable[str], *, label: str, class_: str, fit: str | None = None
) -> str:
    """A whole picture. With a label it is an image that says it; without one it only decorates a word beside it.

    `fit` is SVG's preserveAspectRatio; "none" lets the page stretch the picture to the words beside it.
    """
    inside = content if isinstance(content, str) else "".join(content)
    spoken: dict[str, object] = {"role": "img", "aria_label": label} if label else {"aria_hidden": "true"}
    title = tag("title", escape(label)) if label else ""
    box = f"0 0 {number(width)} {number(height)}"
    frame: dict[str, object] = {"class_": class_, "viewBox": box, "focusable": "false", "preserveAspectRatio": fit}
    return tag("svg", title + inside, **frame, width=number(width), height=number(height), **spoken)


def _value(value: object) -> str:
    return number(value) if isinstance(value, float) else escape(str(value), quote=True)
