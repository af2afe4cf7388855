"""The register: kinds of entry, what an entry says, and the chain of hashes that shows any later change."""

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

import rfc8785

from training.domain.messages import Message

FIRST_HASH = ""  # the first entry of a company follows on nothing


class EntryKind(StrEnum):
    """Everything that can happen. A kind is never renamed: old entries keep its word."""

    COMPANY_CREATED = "company_created"
    COMPANY_CORRECTED = "company_corrected"
    OFFICER_APPOINTED = "officer_appointed"
    OFFICER_ENDED = "officer_ended"
    PERSON_ADDED = "person_added"
    PERSON_CORRECTED = "person_corrected"
    PHOTO_CHANGED = "photo_changed"
    MEMBERSHIP_STARTED = "membership_started"
    MEMBERSHIP_ENDED = "membership_ended"
    CREW_CREATED = "crew_created"
    CREW_CORRECTED = "crew_corrected"
    CREW_JOINED = "crew_joined"
    CREW_LEFT = "crew_left"
    IMPORT_CONFIRMED = "import_confirmed"
    IMPORT_UNDONE = "import_undone"
    ACCESS_GIVEN = "access_given"
    ACCESS_ENDED = "access_ended"
    SECRET_CHANGED = "secret_changed"
    DOCUMENT_ISSUED = "document_issued"
    RULE_BOOK_ISSUED = "rule_book_issued"
    REVISION_REQUIRED = "revision_required"
    QUALIFICATION_ISSUED = "qualification_issued"
    SECTION_ACKNOWLEDGED = "section_acknowledged"
    READING_COMPLETED = "reading_completed"
    QUIZ_STARTED = "quiz_started"
    QUIZ_MARKED = "quiz_marked"
    DELTA_QUIZ_MARKED = "delta_quiz_marked"
    SIGN_OFF_SIGNED = "sign_off_signed"
    AUTHORITY_GRANTED = "authority_granted"
    AUTHORITY_ENDED = "authority_ended"
    GRANTED = "granted"
    RENEWED = "renewed"
    WIDENED = "widened"
    NARROWED = "narrowed"
    SUSPENDED = "suspended"
    RESTORED = "restored"
    WITHDRAWN = "withdrawn"
    CARD_ISSUED = "card_issued"
    CARD_REPLACED = "card_replaced"
    ENTRY_VOIDED = "entry_voided"


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the register.

    `person` is None for what concerns the whole company. `happened_on` is the day in the world,
    `recorded_at` (aware) the moment it was written down: a late or backdated entry shows by the two.
    `voids` is the id of the older entry that this one declares void.
    """

    id: int
    kind: EntryKind
    person: int | None
    happened_on: date
    recorded_at: datetime
    data: Mapping[str, object]
    voids: int | None = None


def as_known(entries: Iterable[Entry], known_at: datetime | None = None) -> list[Entry]:
    """The entries that counted at `known_at` (None: all), in the order in which they happened.

    Entries recorded later are left out, and so are voided ones together with the entries that void
    them. A void that was itself voided has no effect. Ties of one day are put in order of recording.
    """
    known = [entry for entry in entries if known_at is None or entry.recorded_at <= known_at]
    dead = _voided(entry for entry in known if entry.voids is not None)
    alive = (entry for entry in known if entry.voids is None and entry.id not in dead)
    return sorted(alive, key=lambda entry: (entry.happened_on, entry.recorded_at, entry.id))


def _voided(voids: Iterable[Entry]) -> set[int]:
    # Newest first: a void can only name an older entry, so whether it stands is settled before it is used.
    dead: set[int] = set()
    for void in sorted(voids, key=lambda entry: entry.id, reverse=True):
        if void.id not in dead and void.voids is not None:
            dead.add(void.voids)
    return dead


def plain(value: object) -> object:
    """`value` as JSON that has one canonical form: dates and exact numbers as text.

    Raises TypeError for anything else, floats included: they have no exact text of their own.
    """
    if value is None or isinstance(value, bool | int | str):
        return str(value) if isinstance(value, StrEnum) else value
    if isinstance(value, datetime):
        return _moment(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Fraction | Decimal):
        return str(value)
    if isinstance(value, Mapping):
        return {str(name): plain(item) for name, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    if isinstance(value, set | frozenset):
        return sorted((plain(item) for item in value), key=str)
    raise TypeError(f"{type(value).__name__} cannot stand in a register entry")


def _moment(value: datetime) -> str:
    if value.tzinfo is None:
        raise TypeError("a moment in the register needs its time zone")
    return value.astimezone(UTC).isoformat(timespec="microseconds")


def canonical_body(
    *,
    company: int,
    number: int,
    kind: str,
    person: int | None,
    by: int | None,
    by_name: str,
    happened_on: date,
    recorded_at: datetime,
    language: str,
    data: Mapping[str, object],
    voids: int | None = None,
) -> dict[str, object]:
    """All that an entry claims, ready to hash; `number` counts the company's entries from 1 without gaps.

    Build it from the stored columns when verifying too, so that no column can change unseen.
    """
    return {
        "company": company,
        "number": number,
        "kind": str(kind),
        "person": person,
        "by": by,
        "by_name": by_name,
        "happened_on": plain(happened_on),
        "recorded_at": plain(recorded_at),
        "language": language,
        "data": plain(data),
        "voids": voids,
    }


def canonical(body: Mapping[str, object]) -> bytes:
    """The bytes of `body` in the JSON Canonicalization Scheme (RFC 8785)."""
    return rfc8785.dumps(plain(body))  # type: ignore[arg-type]  # plain() returns JSON values only


def entry_hash(previous_hash: str, body: Mapping[str, object]) -> str:
    """SHA-256, in hex, over the previous entry's hash followed by the canonical body."""
    return hashlib.sha256(previous_hash.encode("ascii") + canonical(body)).hexdigest()


def fingerprint(value: object) -> str:
    """SHA-256, in hex, over the canonical form (RFC 8785) of any JSON value."""
    return hashlib.sha256(rfc8785.dumps(value)).hexdigest()  # type: ignore[arg-type]  # JSON values only


@dataclass(frozen=True, slots=True)
class Link:
    """One entry as a link of the chain: its body as stored and the two hashes stored beside it."""

    number: int
    body: Mapping[str, object]
    recorded_at: datetime
    previous_hash: str
    hash: str


@dataclass(frozen=True, slots=True)
class Head:
    """The last entry as remembered outside the chain; it shows entries cut off at the end."""

    number: int
    hash: str


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with the chain, and the number of the entry where it shows."""

    number: int
    message: Message


def verify_chain(rows: Iterable[Link], head: Head | None = None) -> list[Fault]:
    """Every fault of a company's chain, `rows` in stored order; an empty list is a sound register."""
    faults: list[Fault] = []
    before: Link | None = None
    for row in rows:
        faults += _faults_of(row, before)
        before = row
    return faults + (list(_head_faults(before, head)) if head else [])


def _faults_of(row: Link, before: Link | None) -> Iterator[Fault]:
    expected = before.number + 1 if before else 1
    if row.number > expected:
        yield _fault(expected, "register.missing", last=row.number - 1)
    elif row.number < expected:
        yield _fault(row.number, "register.reordered", after=expected - 1)
    elif row.previous_hash != (before.hash if before else FIRST_HASH):
        yield _fault(row.number, "register.bad_link", before=expected - 1)
    if before and row.recorded_at < before.recorded_at:
        yield _fault(row.number, "register.time_back", before=before.number)
    if entry_hash(row.previous_hash, row.body) != row.hash:
        yield _fault(row.number, "register.changed")


def _head_faults(last: Link | None, head: Head) -> Iterator[Fault]:
    number = last.number if last else 0
    if number < head.number:
        yield _fault(number + 1, "register.truncated", last=head.number)
    elif number > head.number:
        yield _fault(head.number + 1, "register.beyond_head", last=number)
    elif last and last.hash != head.hash:
        yield _fault(number, "register.head_mismatch")


def _fault(number: int, key: str, **values: object) -> Fault:
    return Fault(number, Message(key, {"number": number, **values}))
