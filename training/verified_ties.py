"""What all pages add up to: people, employment, officers and evaluators; compared with the working tables."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

from training.actions.material import file_hash
from training.domain.register import EntryKind, plain
from training.models import Appointment, Authority, Company, Entry, Membership, Person

DETAILS = ("given_names", "family_names", "phone", "email", "language", "born", "employee_number", "code")
BLANK = {**dict.fromkeys(DETAILS, ""), "language": "en", "born": None}


@dataclass
class Span:
    """A dated tie as the pages tell it, and the page that spoke of it last."""

    page: int
    starts: str
    ends: str | None = None
    said: dict[str, Any] = field(default_factory=dict)

    def is_open_after(self, day: str) -> bool:
        return self.ends is None or self.ends > day


@dataclass
class Known:
    """A person as the pages tell of them."""

    page: int
    details: dict[str, Any]
    login: str | None = None
    photo: dict[str, Any] = field(default_factory=dict)
    employed: list[Span] = field(default_factory=list)


class Ties:
    """Takes the pages of one register in order, then names what the tables say differently."""

    def __init__(self, company: Company) -> None:
        self.company = company
        self.people: dict[int, Known] = {}
        self.officers: dict[int, list[Span]] = {}
        self.authorities: dict[int, Span] = {}
        self.from_the_start = False
        """A register that does not begin with its company has no pages for what was there before."""

    def take(self, page: Entry) -> None:
        if take := _TAKERS.get(page.kind):
            take(self, page)

    def _company(self, page: Entry) -> None:
        self.from_the_start = page.number == 1

    def _added(self, page: Entry) -> None:
        details = BLANK | {name: page.data[name] for name in DETAILS if name in page.data}
        self.people[page.person_id or 0] = Known(page.number, details)

    def _corrected(self, page: Entry) -> None:
        if known := self.people.get(page.person_id or 0):
            known.details |= page.data.get("after", {})
            known.page = page.number

    def _photo(self, page: Entry) -> None:
        if known := self.people.get(page.person_id or 0):
            known.photo, known.page = dict(page.data), page.number

    def _access(self, page: Entry) -> None:
        if known := self.people.get(page.person_id or 0):
            known.login = page.data.get("login")

    def _employed(self, page: Entry) -> None:
        if known := self.people.get(page.person_id or 0):
            known.employed.append(Span(page.number, page.data["starts"]))

    def _left(self, page: Entry) -> None:
        if known := self.people.get(page.person_id or 0):
            _close(known.employed, page)

    def _appointed(self, page: Entry) -> None:
        self.officers.setdefault(page.data["user"], []).append(Span(page.number, page.data["starts"]))

    def _dismissed(self, page: Entry) -> None:
        _close(self.officers.get(page.data["user"], []), page)

    def _authorised(self, page: Entry) -> None:
        said = {"person": page.person_id, "scopes": page.data["scopes"], "basis": page.data.get("basis")}
        self.authorities[page.data["authority"]] = Span(page.number, page.data["starts"], page.data.get("ends"), said)

    def _authority_ended(self, page: Entry) -> None:
        if found := self.authorities.get(page.data["authority"]):
            _close([found], page)

    # Comparing

    def faults(self) -> list[str]:
        """Every difference, with the page that says otherwise."""
        return [*self._people_faults(), *self._officer_faults(), *self._authority_faults()]

    def _people_faults(self) -> Iterator[str]:
        rows = {row.pk: row for row in Person.objects.filter(company=self.company).select_related("user")}
        spans: dict[int, list[Membership]] = {}
        for tie in Membership.objects.filter(person__company=self.company).order_by("starts", "pk"):
            spans.setdefault(tie.person_id, []).append(tie)
        for pk, known in self.people.items():
            if pk not in rows:
                yield f"page {known.page}: the person {pk} is gone from the working table"
                continue
            yield from _person_faults(rows[pk], known)
            yield from _span_faults(f"employment of person {pk}", known.page, known.employed, spans.get(pk, []))
        for pk in rows.keys() - self.people.keys() if self.from_the_start else ():
            yield f"no page: the working table has the person {pk}"

    def _officer_faults(self) -> Iterator[str]:
        rows: dict[int, list[Appointment]] = {}
        for row in Appointment.objects.filter(company=self.company).order_by("starts", "pk"):
            rows.setdefault(row.user_id, []).append(row)
        for user, spans in self.officers.items():
            yield from _span_faults(f"officer {user}", spans[-1].page, spans, rows.get(user, []))
        for user in rows.keys() - self.officers.keys() if self.from_the_start else ():
            yield f"no page: the working table has the officer {user}"

    def _authority_faults(self) -> Iterator[str]:
        rows = {row.pk: row for row in Authority.objects.filter(company=self.company)}
        for pk, span in self.authorities.items():
            row = rows.get(pk)
            if row is None:
                yield f"page {span.page}: the authority {pk} is gone from the working table"
                continue
            found = {"person": row.person_id, "scopes": row.scopes, "basis": row.basis}
            yield from _differences(span.page, f"authority {pk}", span.said, found)
            yield from _span_faults(f"authority {pk}", span.page, [span], [row])
        for pk in rows.keys() - self.authorities.keys() if self.from_the_start else ():
            yield f"no page: the working table has the authority {pk}"


_TAKERS: dict[str, Callable[[Ties, Entry], None]] = {
    EntryKind.COMPANY_CREATED: Ties._company,
    EntryKind.PERSON_ADDED: Ties._added,
    EntryKind.PERSON_CORRECTED: Ties._corrected,
    EntryKind.PHOTO_CHANGED: Ties._photo,
    EntryKind.ACCESS_GIVEN: Ties._access,
    EntryKind.MEMBERSHIP_STARTED: Ties._employed,
    EntryKind.MEMBERSHIP_ENDED: Ties._left,
    EntryKind.OFFICER_APPOINTED: Ties._appointed,
    EntryKind.OFFICER_ENDED: Ties._dismissed,
    EntryKind.AUTHORITY_GRANTED: Ties._authorised,
    EntryKind.AUTHORITY_ENDED: Ties._authority_ended,
}


def _close(spans: list[Span], page: Entry) -> None:
    """The latest tie that goes on past the day ends there."""
    ends = str(page.data["ends"])
    for span in reversed(spans):
        if span.is_open_after(ends):
            span.ends, span.page = ends, page.number
            return


def _person_faults(row: Person, known: Known) -> Iterator[str]:
    found = {name: plain(getattr(row, name)) for name in DETAILS}
    yield from _differences(known.page, f"person {row.pk}", known.details, found)
    login = row.user.login if row.user else None
    yield from _differences(known.page, f"person {row.pk}", {"sign-in": known.login}, {"sign-in": login})
    yield from _differences(
        known.page, f"person {row.pk}", {"photo": known.photo.get("file", "")}, {"photo": row.photo.name or ""}
    )
    if known.photo.get("content") and row.photo.name == known.photo["file"]:
        content = _content_of(row)
        yield from _differences(known.page, f"person {row.pk}", {"photo": known.photo["content"]}, {"photo": content})


def _content_of(row: Person) -> str:
    try:
        return file_hash(row.photo)
    except FileNotFoundError:
        return "gone"


def _differences(page: int, whose: str, said: dict[str, Any], found: dict[str, Any]) -> Iterator[str]:
    for name, value in said.items():
        if value != found.get(name):
            yield f"page {page}: the register says {name} of {whose} is {value}, the table says {found.get(name)}"


def _span_faults(whose: str, page: int, said: list[Span], rows: list[Any]) -> Iterator[str]:
    wanted = sorted((span.starts, span.ends or "") for span in said)
    found = sorted((_day(row.starts), _day(row.ends)) for row in rows)
    if wanted != found:
        pages = max([page, *(span.page for span in said)])
        yield f"page {pages}: the register says {whose} runs {wanted}, the working table says {found}"


def _day(value: datetime.date | None) -> str:
    return value.isoformat() if value else ""
