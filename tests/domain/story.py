"""A person's history told in a few words, for tests of standing and decisions."""

import json
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

from training.domain.qualification import Qualification
from training.domain.register import Entry, EntryKind
from training.domain.standing import Standing, standing

CONTENT = Path(__file__).parents[2] / "training" / "content" / "qualifications" / "tile_adhesive.json"
PERSON, EVALUATOR, EVALUATOR_USER, OFFICER = 7, 40, 140, 900


def raw_qualification() -> dict:
    return json.loads(CONTENT.read_text(encoding="utf-8"))


QUALIFICATION = Qualification.parse(raw_qualification())
LOW, MEDIUM, HIGH, METAL = "profile:low", "profile:medium", "profile:high", "eave:metal"


def day(text: str) -> date:
    return date.fromisoformat(text)


class Story:
    """Entries in the order told; each is recorded at noon of its day unless said otherwise."""

    def __init__(self, qualification: Qualification = QUALIFICATION, *, member: str | None = "2020-01-01") -> None:
        self.qualification = qualification
        self.entries: list[Entry] = []
        self.issue("product-sheet", 1, "2020-01-01").issue("safe-work", 1, "2020-01-01")
        if member:
            self.tell(EntryKind.MEMBERSHIP_STARTED, member)

    def tell(self, kind, on, *, person=PERSON, recorded=None, voids=None, **data):
        happened = day(on) if isinstance(on, str) else on
        noon = datetime.combine(happened, time(12), UTC) + timedelta(seconds=len(self.entries))
        moment = datetime.combine(day(recorded), time(12), UTC) if recorded else noon
        self.entries.append(Entry(len(self.entries) + 1, kind, person, happened, moment, data, voids))
        return self

    @property
    def last(self) -> int:
        return self.entries[-1].id

    def issue(self, document, revision, effective_on, due_on=None):
        data = {"document": document, "revision": revision, "effective_on": effective_on, "due_on": due_on}
        return self.tell(EntryKind.DOCUMENT_ISSUED, effective_on, person=None, **data)

    def read(self, on, *documents, revision=1, **more):
        for document in documents or ("product-sheet", "safe-work"):
            self.tell(EntryKind.READING_COMPLETED, on, document=document, revision=revision, language="es", **more)
        return self

    def quiz(self, on, passed=True, **more):
        return self.tell(EntryKind.QUIZ_MARKED, on, sitting=1, passed=passed, right=18, of=20, **more)

    def hands_on(self, on, *scopes, result="passed", evaluator=EVALUATOR, **more):
        data = {"result": result, "scopes": list(scopes or (LOW, METAL)), "evaluator": evaluator}
        return self.tell(EntryKind.SIGN_OFF_SIGNED, on, **data, evaluator_user=evaluator + 100, **more)

    def ask(self, on, what, due_on, *rules, revision=2, documents=(), effective_on=None):
        """The company asks for something after revision 2 of its rule book."""
        asked = {"what": what, "rules": list(rules), "documents": list(documents), "due_on": due_on}
        data = {"book": "q", "revision": revision, "effective_on": effective_on, "demands": [asked]}
        return self.tell(EntryKind.REVISION_REQUIRED, on, person=None, **data)

    def short_quiz(self, on, *rules, passed=True, revision=2):
        data = {"rules": list(rules), "rule_book": "q", "revision": revision}
        return self.tell(EntryKind.DELTA_QUIZ_MARKED, on, passed=passed, sitting=9, **data)

    def decide(self, kind, on, *scopes, until=None, **more):
        data = {"qualification": self.qualification.key, "scopes": list(scopes), "until": until}
        return self.tell(kind, on, **data, **more)

    def grant(self, on, *scopes, until=None, **more):
        return self.decide(EntryKind.GRANTED, on, *(scopes or (LOW, METAL)), until=until, **more)

    def void(self, entry, on):
        return self.tell(EntryKind.ENTRY_VOIDED, on, voids=entry, reason="written for the wrong person")

    def on(self, on, known_at=None) -> Standing:
        moment = datetime.combine(day(known_at), time(23, 59), UTC) if known_at else None
        return standing(self.qualification, self.entries, day(on), moment)


def proved(**more) -> Story:
    """Reading on 5 January 2026, quiz on the 12th, hands-on on the 20th."""
    return Story(**more).read("2026-01-05").quiz("2026-01-12").hands_on("2026-01-20")


def qualified(**more) -> Story:
    """The same, granted on 22 January 2026: good to 20 January 2028."""
    return proved(**more).grant("2026-01-22")
