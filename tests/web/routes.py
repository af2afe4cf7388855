"""Every address of Headlap: who may open it, and what each role is answered. A new address needs a line here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from django.urls import reverse

from tests.web.cast import Side
from training.models import RegisterHead
from training.models.people import appointments_of

Arguments = Callable[[Side], list[Any]]

ROLES = ("nobody", "person", "colleague", "evaluator", "officer", "stranger")
"""`person` is whose row it is, `colleague` another of the same company, `stranger` the same role elsewhere."""


def _none(_side: Side) -> list[Any]:
    return []


def _draft_part(side: Side) -> list[Any]:
    assert side.draft is not None
    return [side.slug, side.draft.number, side.draft.sections.all()[0].key]


ARGUMENTS: dict[str, Arguments] = {
    "": _none,
    "person": lambda side: [side.holder.pk],
    "left": lambda side: [side.people["gone"].pk],
    "waiting": lambda side: [side.people["waiting"].pk],
    "decision": lambda side: [side.people["waiting"].pk, "granted"],
    "shown": lambda side: [side.people["waiting"].pk],
    "sitting": lambda side: [side.sitting.pk],
    "open sitting": lambda side: [side.open_sitting.pk],
    "question": lambda side: [side.open_sitting.pk, 1],
    "signed": lambda side: [side.sign_off.pk],
    "open": lambda side: [side.open_sign_off.pk],
    "part": lambda side: [side.open_sign_off.pk, 1],
    "appointment": lambda side: [appointments_of(side.company)[0].pk],
    "authority": lambda side: [side.authority.pk],
    "book": lambda side: [side.book.pk],
    "book rule": lambda side: [side.book.pk, side.book.content["rules"][0]["key"]],
    "book draft": lambda side: [side.book_draft.pk],
    "draft rule": lambda side: [side.book_draft.pk, "headlap"],
    "slug": lambda side: [side.slug],
    "no draft": lambda _side: ["safe-work"],
    "issued": lambda side: [side.slug, 1],
    "draft": lambda side: [side.slug, side.draft.number],
    "draft part": _draft_part,
    "read part": lambda side: [side.slug, 1, "part-1"],
    "file": lambda side: [side.draft.document.revisions.get(number=1).sections.all()[0].pk, "picture"],
    "entry": lambda side: [RegisterHead.objects.get(company=side.company).number],
    "open import": lambda side: [side.open_import.pk],
    "done import": lambda side: [side.done_import.pk],
    "card": lambda side: [side.card.pk],
    "secret": lambda side: [side.card.secret],
}


@dataclass(frozen=True)
class Route:
    """One address: its access rule, what those whom the rule admits are answered, and where one role differs."""

    name: str
    arguments: str
    access: str
    get: int
    post: int
    own: str = "holder"
    gets: dict[str, int] = field(default_factory=dict)
    posts: dict[str, int] = field(default_factory=dict)

    def path(self, side: Side) -> str:
        return reverse(self.name, args=ARGUMENTS[self.arguments](side))

    def expected(self, method: str) -> dict[str, int]:
        """The status for every role."""
        answer, differs = (self.get, self.gets) if method == "get" else (self.post, self.posts)
        found = {role: self._status(role, answer) for role in ROLES}
        return found | differs

    def _status(self, role: str, answer: int) -> int:
        if self.access == "public":
            return answer
        if role == "nobody":
            return 302
        if role == "stranger":  # the wrong method is told before anybody looks for the row
            return 404 if self.arguments and answer != 405 else answer
        admitted = role in ADMITTED[self.access]
        if self.access == "person" and self.arguments in OWN_ROWS and role != "person" and answer != 405:
            admitted = False
        return answer if admitted else 403


ADMITTED = {
    "officer": {"officer"},
    "evaluator": {"evaluator"},
    "staff": {"officer", "evaluator"},
    "person": {"person", "colleague", "evaluator"},
    "signed_in": {"person", "colleague", "evaluator", "officer"},
}
OWN_ROWS = {"open sitting", "question"}
SEES = {"colleague": 403}
"""Evaluators and officers see a person's rows, the person sees their own, a colleague does not."""

REFUSED_QUIZ = ("colleague", "evaluator", "stranger")  # they have not read, or have passed

ROUTES = [
    Route("set_language", "", "public", 302, 302),
    # signing in
    Route("training:home", "", "public", 302, 405, gets={"nobody": 200}),
    Route("training:sign_in", "", "public", 302, 200, gets={"nobody": 200}),
    Route("training:sign_out", "", "public", 405, 302),
    Route("training:change_secret", "", "signed_in", 200, 200),
    # board
    Route("training:board", "", "officer", 200, 405),
    Route("training:board_export", "", "officer", 200, 405),
    # quiz
    Route("training:quiz", "", "person", 200, 405),
    Route("training:practice", "", "person", 302, 302),
    Route("training:quiz_start", "", "person", 405, 302, own="learner", posts=dict.fromkeys(REFUSED_QUIZ, 409)),
    Route("training:question", "question", "person", 200, 302, own="learner"),
    Route("training:quiz_review", "open sitting", "person", 200, 405, own="learner"),
    Route("training:quiz_hand_in", "open sitting", "person", 405, 302, own="learner"),
    Route("training:quiz_result", "sitting", "signed_in", 200, 405, gets=SEES),
    # hands-on
    Route("training:evaluate", "", "evaluator", 200, 405),
    Route("training:sign_off_new", "shown", "evaluator", 200, 200),
    Route("training:sign_off", "signed", "signed_in", 200, 405, gets=SEES),
    Route("training:sign_off_part", "part", "evaluator", 200, 200),
    Route("training:sign_off_sign", "open", "evaluator", 405, 400),
    Route("training:sign_off_discard", "open", "evaluator", 405, 302),
    # standing and decisions
    Route("training:standing", "person", "officer", 200, 405),
    Route("training:decide", "decision", "officer", 200, 409),
    # people and crews
    Route("training:people", "", "officer", 200, 405),
    Route("training:person_new", "", "officer", 200, 200),
    Route("training:person", "person", "officer", 200, 405),
    Route("training:person_edit", "person", "officer", 200, 200),
    Route("training:person_crew", "person", "officer", 405, 400),
    Route("training:person_leave", "person", "officer", 405, 400),
    Route("training:person_return", "person", "officer", 405, 400),
    Route("training:person_access", "person", "officer", 405, 200),
    Route("training:person_photo", "person", "signed_in", 200, 405, gets=SEES),
    Route("training:person_photo_set", "person", "officer", 405, 400),
    Route("training:crews", "", "officer", 200, 200),
    # crew lists
    Route("training:imports", "", "officer", 200, 200),
    Route("training:import", "done import", "officer", 200, 405),
    Route("training:import_columns", "open import", "officer", 200, 200),
    Route("training:import_rows", "open import", "officer", 200, 302),
    Route("training:import_confirm", "open import", "officer", 200, 302),
    Route("training:import_undo", "done import", "officer", 405, 302),
    Route("training:import_discard", "open import", "officer", 405, 302),
    # evaluators, rules, qualification
    Route("training:rule_questions", "book rule", "officer", 200, 405),
    Route("training:mark_again", "book", "officer", 200, 200),
    Route("training:quiz_plan", "", "officer", 200, 200),
    Route("training:cut_score", "", "officer", 200, 200),
    Route("training:pocket", "", "signed_in", 200, 405),
    Route("training:officers", "", "officer", 200, 200),
    Route("training:officer_end", "appointment", "officer", 200, 200),
    Route("training:authorities", "", "officer", 200, 200),
    Route("training:authority_end", "authority", "officer", 200, 200),
    Route("training:rule_book", "", "officer", 200, 200),
    Route("training:rule_book_revision", "book", "staff", 200, 405),
    Route("training:rule_draft_new", "", "officer", 200, 200),
    Route("training:rule_draft_next", "book", "officer", 405, 302),
    Route("training:rule_fill", "draft rule", "officer", 200, 200),
    Route("training:rule_leave_out", "draft rule", "officer", 405, 302),
    Route("training:rule_draft_review", "book draft", "staff", 200, 302),
    Route("training:rule_draft_issue", "book draft", "officer", 200, 200),
    Route("training:rule_draft_discard", "book draft", "officer", 405, 302),
    Route("training:rule_book_export", "book", "staff", 200, 405),
    Route("training:rule_book_changes", "book", "staff", 200, 405),
    Route("training:rule_book_impact", "book", "officer", 200, 200),
    Route("training:qualification", "", "staff", 200, 405),
    # documents and reading
    Route("training:path", "", "person", 200, 405),
    Route("training:documents", "", "officer", 200, 405),
    Route("training:document_new", "", "officer", 200, 200),
    Route("training:document", "slug", "officer", 200, 405),
    Route("training:revision_draft", "slug", "officer", 405, 302),
    Route("training:revision", "issued", "officer", 200, 405),
    Route("training:revision_issue", "draft", "officer", 200, 200),
    Route("training:readers", "issued", "officer", 200, 405),
    Route("training:section_new", "draft", "officer", 200, 200),
    Route("training:section_edit", "draft part", "officer", 200, 200),
    Route("training:section_move", "draft part", "officer", 405, 302),
    Route("training:section_remove", "draft part", "officer", 405, 302),
    Route("training:read", "slug", "person", 200, 405),
    Route("training:read_again", "slug", "person", 405, 302),
    Route("training:read_section", "read part", "person", 200, 409),
    Route("training:section_file", "file", "signed_in", 200, 405),
    # register
    Route("training:register", "", "officer", 200, 405),
    Route("training:entry", "entry", "officer", 200, 405),
    # how it looks
    Route("training:style", "", "public", 200, 405),
    # cards
    Route("certificates:cards", "", "officer", 200, 405),
    Route("certificates:cards_sheet", "", "officer", 400, 405),
    Route("certificates:card", "card", "officer", 200, 405),
    Route("certificates:card_pdf", "card", "officer", 200, 405),
    Route("certificates:card_replace", "card", "officer", 200, 200),
    Route("certificates:card_issue", "person", "officer", 200, 302),
    Route("certificates:my_card", "", "person", 200, 405),
    Route("certificates:my_card_pdf", "", "person", 200, 405, gets={"colleague": 404, "evaluator": 404}),
    Route("certificates:check", "", "public", 200, 405),
    Route("certificates:check_card", "secret", "public", 200, 405),
]
