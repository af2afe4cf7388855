"""Plays the invented scenario through the actions, act by act in the order of time, relative to today."""

from __future__ import annotations

import datetime
import zoneinfo
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from functools import partial
from typing import Any, Protocol

from training import content, facts
from training.actions import access, authority, decisions, people, rules
from training.demo import acts
from training.domain.phones import parse_phone
from training.domain.register import EntryKind
from training.models import Company, Crew, DocumentRevision, Person, User
from training.models.register import last_recorded_at
from training.models.rules import qualification_in_force
from training.permissions import Actor
from training.unguessable import seeded

SEED = "tolvane"
PASSWORD = "harbor-ridge-pine-2417"
PIN = "407193"
MINUTE = datetime.timedelta(minutes=1)


class CardActs(Protocol):
    """What the package of cards does for the scenario; training itself knows nothing of cards."""

    def issue(self, by: Actor, person: Person) -> None: ...

    def replace(self, by: Actor, person: Person, reason: str) -> None: ...


@dataclass(order=True)
class Event:
    """One act: the day it falls on, the hour of that day, and what is done at the moment it gets."""

    day: int
    hour: int
    place: int
    company: str = field(compare=False)
    act: Callable[[datetime.datetime], object] = field(compare=False)


class Player:
    """The scenario with its people as they come into being."""

    def __init__(self, today: datetime.date, cards: CardActs) -> None:
        self.today, self.cards = today, cards
        self.data = content.demo_people()
        self.zone = zoneinfo.ZoneInfo(self.data["place"]["timezone"])
        self.companies: dict[str, Company] = {}
        self.officers: dict[str, User] = {}
        self.crews: dict[str, Crew] = {}
        self.people: dict[str, Person] = {}

    def play(self) -> None:
        """Everything, oldest first."""
        with seeded(SEED):
            for event in sorted(self._numbered(self._events())):
                event.act(self._moment(event))

    @staticmethod
    def _numbered(events: Iterable[Event]) -> Iterator[Event]:
        for place, event in enumerate(events):
            event.place = place
            yield event

    def _moment(self, event: Event) -> datetime.datetime:
        """The event's own hour, or just after what its company's register says last."""
        day = self.today + datetime.timedelta(days=event.day)
        wanted = datetime.datetime.combine(day, datetime.time(event.hour), self.zone)
        company = self.companies.get(event.company)
        last = last_recorded_at(company) if company else None
        return max(wanted, last + MINUTE) if last else wanted

    def officer(self, company: str, now: datetime.datetime) -> Actor:
        """The company's officer acting at a moment."""
        user = self.officers[company]
        return acts.as_of(user, now, user.language)

    # --- what happens ---------------------------------------------------------------------------------------------

    def _events(self) -> Iterator[Event]:
        for company in self.data["companies"]:
            yield from self._company_events(company)
        for one in self.data["authorities"]:
            company = self._of(one["person"])["company"]
            yield Event(one["starts"], 10, 0, company, partial(self._authorise, one))
        for person in self.data["people"]:
            yield from self._person_events(person)

    def _company_events(self, data: dict[str, Any]) -> Iterator[Event]:
        key, issues = data["key"], self.data["issues"]
        yield Event(data["founded"], 6, 0, key, lambda now: self._found(data, now))
        yield Event(issues["qualification"]["effective"], 8, 0, key, lambda now: self._issue_rules(key, now))
        for document in issues["documents"]:
            yield Event(document["effective"], 9, 0, key, partial(self._issue_document, key, document))

    def _person_events(self, person: dict[str, Any]) -> Iterator[Event]:
        company, path = person["company"], person["path"]
        yield Event(person["hired"], 7, 0, company, lambda now: self._hire(person, now))
        if "reading" in path:
            yield from self._reading_events(person, path["reading"])
        for quiz in path.get("quiz", []):
            yield Event(quiz["on"], 13, 0, company, partial(self._quiz, person, quiz))
        for hands_on in path.get("hands_on", []):
            yield Event(hands_on["on"], 14, 0, company, partial(self._hands_on, person, hands_on))
        if "decision" in path:
            yield Event(path["decision"]["on"], 16, 0, company, lambda now: self._grant(person, now))
        for later in person["later"]:
            yield from self._later_events(person, later)

    def _reading_events(self, person: dict[str, Any], reading: dict[str, Any]) -> Iterator[Event]:
        language, company = reading["language"], person["company"]
        if "on" not in reading:
            part = reading["sections_read"]
            yield Event(reading["from"], 8, 0, company, lambda now: self._read(person, language, now, 0, part))
            return
        yield Event(reading["from"], 8, 0, company, lambda now: self._read(person, language, now, 0))
        yield Event(reading["on"], 9, 0, company, lambda now: self._read(person, language, now, 1))

    def _later_events(self, person: dict[str, Any], later: dict[str, Any]) -> Iterator[Event]:
        company, kind = person["company"], later["kind"]
        if kind == "reread":  # the first document in force, by its slug, is the one with a second revision
            yield Event(later["on"], 15, 0, company, lambda now: self._read(person, person["language"], now, 0))
            return
        if "hands_on" in later:
            shown = dict(later["hands_on"], scopes=later["scopes"])
            yield Event(shown["on"], 14, 0, company, lambda now: self._hands_on(person, shown, now))
        if kind == "reread":
            language = later["language"]
            yield Event(later["on"], 10, 0, company, lambda now: self._read(person, language, now, 0))
        elif kind == "card_replaced":
            yield Event(later["on"], 15, 0, company, lambda now: self._replace(person, later["reason"], now))
        else:
            yield Event(later["on"], 15, 0, company, lambda now: self._decide(person, later, now))

    # --- how it happens -------------------------------------------------------------------------------------------

    def _of(self, key: str) -> dict[str, Any]:
        return next(person for person in self.data["people"] if person["key"] == key)

    def _found(self, data: dict[str, Any], now: datetime.datetime) -> None:
        operator = Actor(now=now)
        company = people.create_company(
            by=operator,
            name=data["name"],
            place=data["place"],
            phone=parse_phone(data["phone"]),
            timezone=self.data["place"]["timezone"],
            language=data["language"],
        )
        officer = data["officer"]
        sign_in = access.create_staff_user(
            by=operator,
            company=company,
            login=officer["login"],
            name=officer["name"],
            email=officer["email"],
            language=officer["language"],
            secret=PASSWORD,
        )
        people.appoint_officer(by=operator, company=company, user=sign_in.user, starts=operator_day(now, self.zone))
        self.companies[data["key"]], self.officers[data["key"]] = company, sign_in.user
        for crew in data["crews"]:
            self.crews[crew["key"]] = people.create_crew(by=self.officer(data["key"], now), name=crew["name"])

    def _issue_rules(self, company: str, now: datetime.datetime) -> None:
        by = self.officer(company, now)
        rules.issue_qualification(by=by, content=content.starter_qualification(), effective_on=by.today)
        slug = self.data["issues"]["rule_book"]["slug"]
        rules.issue_rule_book(by=by, slug=slug, content=content.demo_rule_book(), effective_on=by.today)

    def _issue_document(self, company: str, data: dict[str, Any], now: datetime.datetime) -> None:
        by = self.officer(company, now)
        folder, document = next(it for it in content.demo_documents() if it[1]["slug"] == data["slug"])
        due = None if data["due"] is None else self.today + datetime.timedelta(days=data["due"])
        acts.issue_document(
            by=by, folder=folder, content=document, number=data["revision"], effective_on=by.today, due_on=due
        )

    def _hire(self, data: dict[str, Any], now: datetime.datetime) -> None:
        by = self.officer(data["company"], now)
        names = ("given_names", "family_names", "language", "employee_number")
        details = {name: data[name] for name in names}
        details |= {"phone": parse_phone(data["phone"]), "born": datetime.date.fromisoformat(data["born"])}
        crew = self.crews[data["crew"]]
        person = people.add_person_to_crew(by=by, starts=by.today, details=details, crew=crew)
        access.give_access(by=by, person=person, pin=PIN)
        self.people[data["key"]] = Person.objects.get(pk=person.pk)

    def _authorise(self, data: dict[str, Any], now: datetime.datetime) -> None:
        by = self.officer(self._of(data["person"])["company"], now)
        scopes = list(facts.qualification(qualification_in_force(by.employer, by.today)).scopes.scopes)
        ends = None if data["ends"] is None else self.today + datetime.timedelta(days=data["ends"])
        person = self.people[data["person"]]
        authority.grant_authority(by=by, person=person, scopes=scopes, starts=by.today, ends=ends, basis=data["basis"])

    def _read(
        self, data: dict[str, Any], language: str, now: datetime.datetime, place: int, part: int | None = None
    ) -> None:
        person = self.people[data["key"]]
        in_force = DocumentRevision.objects.in_force(person.company, now.astimezone(self.zone).date())
        acts.read_revision(person, in_force[place], now, language, stop_after=part)

    def _quiz(self, data: dict[str, Any], quiz: dict[str, Any], now: datetime.datetime) -> None:
        critical = len(quiz.get("missed_critical", []))
        ordinary = range(20 - quiz["right"] - critical)
        person = self.people[data["key"]]
        sitting = acts.sit_quiz(person, now, wrong=ordinary, wrong_critical=critical, language=quiz["language"])
        _expect(facts.result_of(sitting).passed, quiz["result"] == "passed", data["key"])

    def _hands_on(self, data: dict[str, Any], shown: dict[str, Any], now: datetime.datetime) -> None:
        signed = acts.do_hands_on(
            self.people[shown["evaluator"]],
            self.people[data["key"]],
            shown.get("scopes") or self.data["scope_sets"][data["scopes"]],
            now,
            bad=shown.get("fails", ()),
            setting={
                "place": shown["place"],
                "weather": shown["weather"][shown["language"]],
                "instrument": shown["instrument"],
                "lot": shown["lot"],
            },
            language=shown["language"],
        )
        _expect(signed.result, shown["result"], data["key"])

    def _grant(self, data: dict[str, Any], now: datetime.datetime) -> None:
        by, person = self.officer(data["company"], now), self.people[data["key"]]
        row = qualification_in_force(by.employer, by.today)
        ready = facts.standing_of(person, row, by.today).ready
        decisions.decide(by=by, person=person, kind=EntryKind(data["path"]["decision"]["kind"]), scopes=ready)
        self.cards.issue(by, person)

    def _decide(self, data: dict[str, Any], later: dict[str, Any], now: datetime.datetime) -> None:
        by, person = self.officer(data["company"], now), self.people[data["key"]]
        kind, reason = EntryKind(later["kind"]), later.get("reason", "")
        decisions.decide(by=by, person=person, kind=kind, scopes=later.get("scopes", ()), reason=reason)
        if kind is EntryKind.WIDENED:
            self.cards.issue(by, person)

    def _replace(self, data: dict[str, Any], reason: str, now: datetime.datetime) -> None:
        self.cards.replace(self.officer(data["company"], now), self.people[data["key"]], reason)


def operator_day(now: datetime.datetime, zone: zoneinfo.ZoneInfo) -> datetime.date:
    return now.astimezone(zone).date()


def _expect(found: object, wanted: object, who: str) -> None:
    if found != wanted:
        raise RuntimeError(f"the scenario says {wanted} of {who}, the actions say {found}")
