"""Why a standing is what it is: message keys with their quantities and the register entries they rest on."""

from collections.abc import Iterator, Mapping
from datetime import date

from training.domain.holding import Holding
from training.domain.messages import Message
from training.domain.outcome import DocumentStanding, Reason, ScopeStanding, Standing, State, StepStanding
from training.domain.register import Entry
from training.domain.steps import StepProgress


def _reason(key: str, entries: tuple[int | None, ...] = (), **values: object) -> Reason:
    return Reason(Message(key, values), tuple(entry for entry in entries if entry is not None))


def whole(found: Standing, holding: Holding) -> Iterator[Reason]:
    """The reasons for the standing as a whole, the weightiest first."""
    if not found.member:
        left = holding.left_on(found.on)
        yield _reason("standing.left", on=left) if left else _reason("standing.not_member", on=found.on)
    yield from _WHOLE[found.state](found, holding)
    if found.in_grace and found.until:
        yield _reason("standing.in_grace", until=found.until)
    if found.state in (State.QUALIFIED, State.RENEWAL_OPEN):
        yield from _parts_suspended(found, holding)
        yield from _parts_lapsed(found)
        yield from _to_read(found)
        yield from _asked(found)


def _withdrawn(found: Standing, holding: Holding) -> Iterator[Reason]:
    if holding.withdrawn:
        yield _reason("standing.withdrawn", (holding.withdrawn.id,), on=holding.withdrawn.happened_on)
    if found.waiting:
        yield from _waiting(found, holding)


def _suspended(found: Standing, holding: Holding) -> Iterator[Reason]:
    entries = _suspensions(found.suspended, holding)
    yield _reason("standing.suspended", entries, since=found.since)


def _lapsed(found: Standing, holding: Holding) -> Iterator[Reason]:
    entry = holding.grant.entry if holding.grant else None
    if not found.decided:
        yield _reason("standing.lapsed", (entry,), until=found.decided_until)
    else:
        steps = [reason for step in found.steps if not step.done for reason in step.reasons]
        yield from steps or _parts_lapsed(found)
    if found.waiting:
        yield from _waiting(found, holding)


def _waiting(found: Standing, holding: Holding) -> Iterator[Reason]:
    yield _reason("standing.waiting", tuple(step.entry for step in found.steps))


def _under_way(found: Standing, holding: Holding) -> Iterator[Reason]:
    yield from (reason for step in found.steps if not step.done for reason in step.reasons)
    lacking = [scope for scope in found.scopes if scope.proved]
    if all(step.done for step in found.steps) and not lacking:
        yield _reason("standing.no_scope_complete")


def _not_started(found: Standing, holding: Holding) -> Iterator[Reason]:
    yield _reason("standing.not_started")


def _qualified(found: Standing, holding: Holding) -> Iterator[Reason]:
    entries = (holding.grant.entry,) if holding.grant else ()
    if found.until:
        yield _reason("standing.qualified", entries, since=found.since, until=found.until)
    else:
        yield _reason("standing.qualified_no_end", entries, since=found.since)


def _renewal_open(found: Standing, holding: Holding) -> Iterator[Reason]:
    entries = (holding.grant.entry,) if holding.grant else ()
    yield _reason("standing.renewal_open", entries, until=found.until)
    if found.waiting:
        yield from _waiting(found, holding)


_WHOLE = {
    State.WITHDRAWN: _withdrawn,
    State.SUSPENDED: _suspended,
    State.LAPSED: _lapsed,
    State.WAITING_FOR_DECISION: _waiting,
    State.UNDER_WAY: _under_way,
    State.NOT_STARTED: _not_started,
    State.QUALIFIED: _qualified,
    State.RENEWAL_OPEN: _renewal_open,
}


def _parts_suspended(found: Standing, holding: Holding) -> Iterator[Reason]:
    if found.suspended:
        names = tuple(scope.title for scope in found.scopes if scope.suspended)
        yield _reason("standing.scopes_suspended", _suspensions(found.suspended, holding), scopes=names)


def _suspensions(scopes: frozenset[str], holding: Holding) -> tuple[int, ...]:
    book = holding.qualification.scopes
    entries = {entry.id for key, entry in holding.suspended.items() if book.including({key}) & scopes}
    return tuple(sorted(entries))


def _parts_lapsed(found: Standing) -> Iterator[Reason]:
    lapsed = [scope for scope in found.scopes if scope.granted and not scope.shown and not scope.suspended]
    if lapsed:
        entries = tuple(sorted({scope.entry for scope in lapsed if scope.entry}))
        yield _reason("standing.scopes_lapsed", entries, scopes=tuple(scope.title for scope in lapsed))


def _to_read(found: Standing) -> Iterator[Reason]:
    for document in (document for step in found.steps for document in step.documents):
        if document.due_on and (document.in_force != document.read or document.must_read):
            yield _revision_reason("standing.revision_due", document)


def _asked(found: Standing) -> Iterator[Reason]:
    """What a rule change asks for and is still to do in time."""
    for step in found.steps:
        if step.asked_by and step.done:
            yield _asked_reason("standing", step)


def _asked_reason(part: str, step: StepStanding, late: str = "due") -> Reason:
    what = "short_quiz" if step.short_quiz else "again"
    return _reason(f"{part}.{what}_{late}", step.asked, step=step.title, due=step.asked_by)


def _revision_reason(key: str, document: DocumentStanding) -> Reason:
    if document.rules_changed:
        key = key.replace("revision", "reread")
    return _reason(key, (document.entry,), document=document.title, due=document.due_on)


def step(found: StepStanding, progress: StepProgress, fresh_from: date | None, on: date) -> Iterator[Reason]:
    """The reasons for the state of one step."""
    early = progress.too_early if not found.done else None
    if early is not None:
        yield _reason("step.too_early", (early.id,), step=found.title, on=early.happened_on)
    failed = progress.failed[-1] if found.state is State.UNDER_WAY and progress.failed else None
    if failed is not None and not found.open_sitting:
        yield _reason("step.not_passed", (failed.id,), step=found.title, on=failed.happened_on)
    elif early is None or found.state is State.LAPSED:
        yield from _STEP[found.state](found, fresh_from)
    if found.tries_used and not found.done:
        yield _tries(found, progress, on)


def _tries(found: StepStanding, progress: StepProgress, on: date) -> Reason:
    entries = tuple(entry.id for entry in progress.failed)
    if not found.tries_left:
        return _reason("step.no_tries_left", entries, step=found.title, used=found.tries_used)
    if found.next_try_on and found.next_try_on > on:
        return _reason("step.try_from", entries, left=found.tries_left, on=found.next_try_on)
    return _reason("step.tries_left", entries, left=found.tries_left)


def _step_not_started(found: StepStanding, fresh_from: date | None) -> Iterator[Reason]:
    yield _reason("step.not_started", step=found.title)


def _step_under_way(found: StepStanding, fresh_from: date | None) -> Iterator[Reason]:
    unread = tuple(document.title for document in found.documents if document.done_on is None)
    if unread:
        yield _reason("step.unread", (found.entry,), documents=unread)
    else:
        yield _reason("step.under_way", (found.entry,), step=found.title)


def _step_lapsed(found: StepStanding, fresh_from: date | None) -> Iterator[Reason]:
    overdue = [it for it in found.documents if it.state is State.LAPSED and it.due_on and it.due_on == it.until]
    for document in overdue:
        yield _revision_reason("step.revision_overdue", document)
    if found.asked_by and found.asked_by == found.until:
        yield _asked_reason("step", found, "overdue")
    elif not overdue and fresh_from and found.done_on and found.done_on < fresh_from:
        yield _reason("step.too_old", (found.entry,), step=found.title, done=found.done_on, since=fresh_from)
    elif not overdue:
        yield _reason("step.lapsed", (found.entry,), step=found.title, until=found.until)


def _step_renewal(found: StepStanding, fresh_from: date | None) -> Iterator[Reason]:
    newer = [document for document in found.documents if document.state is State.RENEWAL_OPEN and document.due_on]
    for document in newer:
        yield _revision_reason("step.revision_due", document)
    if found.asked_by and found.fresh:
        yield _asked_reason("step", found)
    elif not newer:
        yield _reason("step.renew", (found.entry,), step=found.title, until=found.until)


def _step_done(found: StepStanding, fresh_from: date | None) -> Iterator[Reason]:
    key = "step.done" if found.until else "step.done_no_end"
    yield _reason(key, (found.entry,), step=found.title, done=found.done_on, until=found.until)


_STEP = {
    State.NOT_STARTED: _step_not_started,
    State.UNDER_WAY: _step_under_way,
    State.LAPSED: _step_lapsed,
    State.RENEWAL_OPEN: _step_renewal,
    State.QUALIFIED: _step_done,
}


def scope(found: ScopeStanding, suspended: Mapping[str, Entry]) -> Iterator[Reason]:
    """Why one scope is not held; nothing for a scope that is, or that nobody asked for."""
    if found.suspended:
        entry = suspended.get(found.key)
        yield _reason("scope.suspended", (entry.id if entry else None,), scope=found.title)
    elif found.granted and not found.held and found.until:
        yield _reason("scope.lapsed", (found.entry,), scope=found.title, until=found.until)
    elif found.proved and not found.granted:
        yield _reason("scope.waiting", (found.entry,), scope=found.title)
