"""Reads a whole register and compares it with the working tables: what a tamperer would have to bend twice."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from training.domain.register import EntryKind, Head, Link, verify_chain
from training.facts import body_of
from training.models import Authority, Company, Entry, RegisterHead, SignOff, Sitting
from training.texts import say


@dataclass
class Report:
    """How many pages were read, the last hash, and every fault in a sentence that names the page."""

    pages: int = 0
    head: str = ""
    faults: list[str] = field(default_factory=list)


# A page's kind -> a check that yields what the working table says differently. Other packages add theirs.
ROW_CHECKS: dict[str, Callable[[Entry], Iterator[str]]] = {}


def faults_of(company: Company, *, expect: str | None = None) -> Report:
    """Every fault of one company's register. `expect` is a last hash noted earlier, on paper for instance."""
    report = Report()
    hashes: set[str] = set()

    def links() -> Iterator[Link]:
        for row in Entry.objects.of(company).in_order().iterator(chunk_size=2000):
            report.pages, report.head = report.pages + 1, row.hash
            hashes.add(row.hash)
            report.faults += [f"page {row.number}: {text}" for text in _row_faults(row)]
            yield Link(row.number, body_of(row), row.recorded_at, row.previous, row.hash)

    head = RegisterHead.objects.filter(company=company).first()
    chain = verify_chain(links(), Head(head.number, head.hash) if head else Head(0, ""))
    report.faults = [f"page {fault.number}: {say(fault.message)}" for fault in chain] + report.faults
    if expect and expect not in hashes:
        report.faults.append(f"no page has the hash {expect} that was noted earlier")
    return report


def _row_faults(row: Entry) -> Iterator[str]:
    check = ROW_CHECKS.get(row.kind)
    if check is not None:
        yield from check(row)


def differs(name: str, register: object, table: object) -> Iterator[str]:
    """A sentence when the working table no longer says what the register says."""
    if register != table:
        yield f"the register says {name} is {register}, the working table says {table}"


def _sitting(row: Entry) -> Iterator[str]:
    sitting = Sitting.objects.with_all().filter(pk=row.data["sitting"], person=row.person_id).first()
    if sitting is None or sitting.submitted_at is None:
        yield f"the sitting {row.data['sitting']} is gone from the working table"
        return
    from training.actions.quizzes import answers_digest

    yield from differs("the answers' fingerprint", row.data.get("answers"), answers_digest(sitting))


def _sign_off(row: Entry) -> Iterator[str]:
    sign_off = SignOff.objects.with_all().filter(pk=row.data["sign_off"], person=row.person_id).first()
    if sign_off is None:
        yield f"the sign-off {row.data['sign_off']} is gone from the working table"
        return
    from training.actions.handson import observations_digest

    yield from differs("the result", row.data["result"], sign_off.result)
    yield from differs("the observations' fingerprint", row.data.get("observations"), observations_digest(sign_off))


def _authority(row: Entry) -> Iterator[str]:
    authority = Authority.objects.filter(pk=row.data["authority"], person=row.person_id).first()
    if authority is None:
        yield f"the authority {row.data['authority']} is gone from the working table"
        return
    yield from differs("the scopes", row.data["scopes"], authority.scopes)
    yield from differs("the first day", row.data["starts"], authority.starts.isoformat())


ROW_CHECKS |= {
    EntryKind.QUIZ_MARKED: _sitting,
    EntryKind.SIGN_OFF_SIGNED: _sign_off,
    EntryKind.AUTHORITY_GRANTED: _authority,
}
