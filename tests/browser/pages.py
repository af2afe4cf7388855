"""Every page by its address: what it needs, and who looks at it in these tests."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.urls import reverse

from tests.browser import cast
from tests.browser.cast import Stage
from training.models import Appointment, Authority, RegisterHead, RuleBookRevision, SignOff, Sitting, User

Path = Callable[[Stage], str]


def at(name: str, *args: Any, query: str = "") -> Path:
    """The address of a route; arguments that can be called are asked for their value when the stage is set."""
    return lambda stage: reverse(name, args=[arg(stage) if callable(arg) else arg for arg in args]) + query


def person(family: str) -> Callable[[Stage], int]:
    return lambda _stage: cast.named(family).pk


def secret(family: str, replaced: bool = False) -> Callable[[Stage], str]:
    return lambda _stage: cast.card_of(family, replaced=replaced).secret


def _failed(_stage: Stage) -> int:
    return Sitting.objects.by_person(cast.named("Ocampo Tzul")).submitted().earliest("submitted_at").pk


def _signed(_stage: Stage) -> int:
    return SignOff.objects.filter(person=cast.named("Ocampo Tzul"), signed_at__isnull=False).latest("pk").pk


def _book(_stage: Stage) -> int:
    return RuleBookRevision.objects.of(cast.company()).get(number=1, book__slug="quendril-one").pk


def _slug(stage: Stage) -> str:
    return stage.document.slug


def _draft(stage: Stage) -> int:
    return stage.draft.number


def _part(stage: Stage) -> str:
    return stage.draft.sections.all()[0].key


def _sign_off(stage: Stage) -> int:
    return stage.open_sign_off.pk


OCAMPO, WAITING, SUSPENDED = "Ocampo Tzul", "Wickstrom", "Błażejczak"

OFFICER: dict[str, Path] = {
    "board": at("training:board"),
    "board, nobody": at("training:board", query="?on=2020-01-01"),
    "people": at("training:people"),
    "people, found none": at("training:people", query="?q=zzz"),
    "person": at("training:person", person("Dorcéus")),
    "person_new": at("training:person_new"),
    "person_edit": at("training:person_edit", person("Dorcéus")),
    "crews": at("training:crews"),
    "standing, waiting": at("training:standing", person(WAITING)),
    "standing, suspended": at("training:standing", person(SUSPENDED)),
    "decide, grant": at("training:decide", person(WAITING), "granted"),
    "decide, restore": at("training:decide", person(SUSPENDED), "restored"),
    "decide, not possible": at("training:decide", person("Huamaní Ccori"), "granted"),
    "imports": at("training:imports"),
    "import": at("training:import", lambda stage: stage.brought_in.pk),
    "import_columns": at("training:import_columns", lambda stage: stage.messy.pk),
    "import_rows": at("training:import_rows", lambda stage: stage.messy.pk),
    "import_confirm": at("training:import_confirm", lambda stage: stage.clean.pk),
    "officers": at("training:officers"),
    "officer_end": at("training:officer_end", lambda _stage: Appointment.objects.get(company=cast.company()).pk),
    "authorities": at("training:authorities"),
    "authority_end": at(
        "training:authority_end", lambda _stage: Authority.objects.of(cast.company()).order_by("pk")[0].pk
    ),
    "rule_book": at("training:rule_book"),
    "rule_book_revision": at("training:rule_book_revision", _book),
    "rule_book_revision, draft": at("training:rule_book_revision", lambda stage: stage.new_book.pk),
    "rule_questions": at("training:rule_questions", _book, "product-temperature"),
    "rule_draft_new": at("training:rule_draft_new"),
    "rule_fill": at("training:rule_fill", lambda stage: stage.new_book.pk, "product-temperature"),
    "rule_draft_review": at("training:rule_draft_review", lambda stage: stage.new_book.pk),
    "rule_draft_issue": at("training:rule_draft_issue", lambda stage: stage.new_book.pk),
    "rule_book_changes": at("training:rule_book_changes", lambda stage: stage.next_book.pk),
    "rule_book_impact": at("training:rule_book_impact", _book),
    "mark_again": at("training:mark_again", _book),
    "quiz_plan": at("training:quiz_plan"),
    "cut_score": at("training:cut_score"),
    "qualification": at("training:qualification"),
    "documents": at("training:documents"),
    "document_new": at("training:document_new"),
    "document": at("training:document", _slug),
    "revision, draft": at("training:revision", _slug, _draft),
    "revision, issued": at("training:revision", _slug, 1),
    "revision_issue": at("training:revision_issue", _slug, _draft),
    "readers": at("training:readers", _slug, 1),
    "section_new": at("training:section_new", _slug, _draft),
    "section_edit": at("training:section_edit", _slug, _draft, _part),
    "register": at("training:register"),
    "entry": at("training:entry", lambda _stage: RegisterHead.objects.get(company=cast.company()).number),
    "cards": at("certificates:cards"),
    "card": at("certificates:card", lambda _stage: cast.card_of("Dorcéus").pk),
    "card, replaced": at("certificates:card", lambda _stage: cast.card_of("Dorcéus", replaced=True).pk),
    "card_replace": at("certificates:card_replace", lambda _stage: cast.card_of("Dorcéus").pk),
    "card_issue": at("certificates:card_issue", person("Dorcéus")),
    "card_issue, not possible": at("certificates:card_issue", person(WAITING)),
    "quiz_result": at("training:quiz_result", _failed),
    "sign_off, signed": at("training:sign_off", _signed),
    "change_secret": at("training:change_secret"),
    "forbidden": at("training:path"),
}
EVALUATOR: dict[str, Path] = {
    "evaluate": at("training:evaluate"),
    "sign_off_new": at("training:sign_off_new", person("Młyńczyk-Żurawska")),
    "sign_off": at("training:sign_off", _sign_off),
    "sign_off_part": at("training:sign_off_part", _sign_off, 1),
    "sign_off_part, measured": at("training:sign_off_part", _sign_off, 3),
    "path": at("training:path"),
    "my_card": at("certificates:my_card"),
    "rule_book_revision": OFFICER["rule_book_revision"],
    "qualification": OFFICER["qualification"],
}
LEARNER: dict[str, Path] = {
    "path": at("training:path"),
    "quiz": at("training:quiz"),
    **{f"question {n}": at("training:question", lambda stage: stage.sitting.pk, n) for n in (1, 9, 20)},
    "quiz_review": at("training:quiz_review", lambda stage: stage.sitting.pk),
    "read": at("training:read", _slug),
    "read_section, read": at("training:read_section", _slug, 1, _part),
    "pocket": at("training:pocket"),
    "my_card": at("certificates:my_card"),
    "change_secret": at("training:change_secret"),
}
READER: dict[str, Path] = {
    "path": at("training:path"),
    "read": at("training:read", _slug),
    "read_section": at("training:read_section", _slug, 1, _part),
    "quiz, not yet": at("training:quiz"),
}
HOLDER: dict[str, Path] = {
    "path": at("training:path"),
    "practice": at("training:practice"),
    "my_card": at("certificates:my_card"),
}
FAILED: dict[str, Path] = {
    "path": at("training:path"),
    "quiz_result": at("training:quiz_result", _failed),
    "sign_off": at("training:sign_off", _signed),
}
NOBODY: dict[str, Path] = {
    "home": at("training:home"),
    "sign_in": at("training:sign_in"),
    "check": at("certificates:check"),
    "check, mistyped": at("certificates:check", query="?number=ABC"),
    "check_card, yes": at("certificates:check_card", secret("Dorcéus")),
    "check_card, replaced": at("certificates:check_card", secret("Dorcéus", True)),
    "check_card, lapsed": at("certificates:check_card", secret("Zúñiga Patzán")),
    "check_card, suspended": at("certificates:check_card", secret(SUSPENDED)),
    "check_card, unknown": at("certificates:check_card", "nobody-has-this-secret-at-all"),
    "style": at("training:style"),
    "not found": lambda _stage: "/no-such-page/",
}

VISITS: dict[str, tuple[str | None, dict[str, Path]]] = {
    "officer": ("officer", OFFICER),
    "evaluator": (cast.EVALUATOR, EVALUATOR),
    "learner": ("Ixcot Barrera", LEARNER),
    "reader": ("Osterhagen", READER),
    "holder": ("Dorcéus", HOLDER),
    "failed": (OCAMPO, FAILED),
    "nobody": (None, NOBODY),
}

NOT_PAGES = {"board_export", "rule_book_export", "person_photo", "section_file", "card_pdf", "my_card_pdf"}
"""What answers with a file."""


BIG_TEXT = [
    ("officer", "board"),
    ("officer", "standing, suspended"),
    ("officer", "import_rows"),
    ("evaluator", "sign_off_part, measured"),
    ("learner", "question 1"),
    ("learner", "quiz_review"),
    ("reader", "read_section"),
    ("failed", "quiz_result"),
    ("nobody", "check_card, suspended"),
    ("nobody", "check_card, yes"),
]


def user_of(role: str) -> User | None:
    """Who looks at the pages of a role."""
    who = VISITS[role][0]
    return None if who is None else cast.officer() if who == "officer" else cast.user_of(who)
