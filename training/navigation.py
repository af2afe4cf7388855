"""Which pages the header offers to whom. A page whose route does not exist is left out, never an error."""

from dataclasses import dataclass

from django.urls import NoReverseMatch, reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

# (route, label): the first tuple of a role stays in sight, the second goes under "More".
OFFICER_FIRST = (
    ("training:board", _("Board")),
    ("training:people", _("People")),
    ("certificates:cards", _("Cards")),
    ("training:register", _("Register")),
)
OFFICER_MORE = (
    ("training:crews", _("Crews")),
    ("training:imports", _("Crew lists")),
    ("training:authorities", _("Evaluators")),
    ("training:officers", _("Officers")),
    ("training:qualification", _("Qualification")),
    ("training:quiz_plan", _("Quiz plan")),
    ("training:documents", _("Documents")),
    ("training:rule_book", _("Rule book")),
)
EVALUATOR = (("training:evaluate", _("Sign-offs")),)
OWN = (("training:path", _("My path")), ("training:pocket", _("Pocket sheet")), ("certificates:my_card", _("My card")))
EVERYONE = (("certificates:check", _("Check a card")),)


@dataclass(frozen=True)
class NavItem:
    """One link of the header; `current` when the reader is on that page or below it."""

    url: str
    label: str | Promise
    current: bool


@dataclass(frozen=True)
class Navigation:
    """The links in sight and the links under "More"."""

    first: list[NavItem]
    more: list[NavItem]

    def __bool__(self) -> bool:
        return bool(self.first or self.more)


def safe_reverse(route: str, *args: object) -> str:
    """The address of a route, or an empty string when this installation has no such route."""
    try:
        return reverse(route, args=args)
    except NoReverseMatch:
        return ""


def _items(pages: tuple, path: str) -> list[NavItem]:
    found = [(safe_reverse(route), label) for route, label in pages]
    return [NavItem(url, label, _is_current(url, path)) for url, label in found if url]


def _is_current(url: str, path: str) -> bool:
    return path == url or (url != "/" and path.startswith(url))


def navigation(actor: object, path: str) -> Navigation:
    """Links for this actor (None when nobody is signed in) on the page at `path`."""
    officer = getattr(actor, "is_officer", False)
    first = list(OFFICER_FIRST) if officer else []
    if getattr(actor, "is_evaluator", False):
        first += EVALUATOR
    if getattr(actor, "person", None) is not None and not officer:
        first += OWN
    first += EVERYONE
    return Navigation(_items(tuple(first), path), _items(OFFICER_MORE if officer else (), path))
