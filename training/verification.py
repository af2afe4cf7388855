"""Reads a whole register and compares it with the working tables: what a tamperer would have to bend twice."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from django.db import connection

from training.domain.register import Head, Link, verify_chain
from training.facts import body_of
from training.models import Company, Entry, RegisterHead, triggers
from training.sealing import is_sealed
from training.texts import say
from training.verified_proofs import ROW_CHECKS, unwritten
from training.verified_ties import Ties


@dataclass
class Report:
    """How many pages were read, the last hash, and every fault in a sentence that names the page."""

    pages: int = 0
    head: str = ""
    faults: list[str] = field(default_factory=list)


# Rows of a company that no page of its register speaks of. Other packages add their own check, and to ROW_CHECKS.
UNWRITTEN: list[Callable[[Company], Iterator[str]]] = [unwritten]


def guards_gone() -> list[str]:
    """A sentence for every guard of the register that this database no longer has."""
    return [f"the guard {name} is gone; put it back with manage.py install" for name in triggers.missing(connection)]


def faults_of(company: Company, *, expect: str | None = None) -> Report:
    """Every fault of one company's register. `expect` is a last hash noted earlier, on paper for instance."""
    report = Report()
    hashes: set[str] = set()
    ties = Ties(company)

    def links() -> Iterator[Link]:
        for row in Entry.objects.of(company).in_order().iterator(chunk_size=2000):
            report.pages, report.head = report.pages + 1, row.hash
            hashes.add(row.hash)
            report.faults += [f"page {row.number}: {text}" for text in _row_faults(row, ties)]
            yield Link(row.number, body_of(row), row.recorded_at, row.previous, row.hash)

    head = RegisterHead.objects.filter(company=company).first()
    chain = verify_chain(links(), Head(head.number, head.hash) if head else Head(0, ""))
    report.faults = [f"page {fault.number}: {say(fault.message)}" for fault in chain] + report.faults
    report.faults += ties.faults()
    for check in UNWRITTEN if ties.from_the_start else ():
        report.faults += [f"no page: {text}" for text in check(company)]
    if expect and expect not in hashes:
        report.faults.append(f"no page has the hash {expect} that was noted earlier")
    return report


def _row_faults(row: Entry, ties: Ties) -> Iterator[str]:
    try:
        if not is_sealed(row.hash, row.seal):
            yield "this installation has not sealed it: it was written past Headlap, or with a secret key since lost"
        ties.take(row)
        yield from ROW_CHECKS.get(row.kind, _nothing)(row)
    except (KeyError, TypeError, ValueError) as error:
        yield f"the page cannot be read: {error!r}"


def _nothing(row: Entry) -> Iterator[str]:
    """Most pages speak of no row that they alone could vouch for."""
    return iter(())
