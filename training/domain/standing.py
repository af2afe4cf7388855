"""What a person holds on a day, computed from the register and the rules: one function that answers for any date."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cached_property, lru_cache

from training.domain import explain
from training.domain.demands import Demand, Demands, What
from training.domain.entry_data import FOREVER, NEVER
from training.domain.holding import Holding
from training.domain.library import Library, Revision
from training.domain.outcome import (
    DocumentStanding,
    Reason,
    RepairKind,
    RepairStep,
    ScopeStanding,
    Standing,
    State,
    StepStanding,
)
from training.domain.qualification import Qualification, StepKind
from training.domain.register import Entry, as_known
from training.domain.repair import repair
from training.domain.steps import Progress, Proof, StepProgress, next_try_on
from training.domain.text import Text
from training.domain.validity import ONE_DAY

__all__ = [
    "DocumentStanding",
    "Reason",
    "RepairKind",
    "RepairStep",
    "ScopeStanding",
    "Standing",
    "State",
    "StepStanding",
    "standing",
]


def standing(
    qualification: Qualification, entries: Iterable[Entry], on: date, known_at: datetime | None = None
) -> Standing:
    """What one person holds on the day `on`, and why.

    `entries` are the person's own and the company-wide ones, in any order. With `known_at` only what was
    recorded by then counts: "what did we know that morning?". Nothing is read from a clock.
    """
    known = as_known(entries, known_at)
    progress = Progress(qualification, Library(known), Demands(known))
    holding = Holding(qualification, progress)
    for entry in known:
        if entry.happened_on <= on and entry.data.get("qualification", qualification.key) == qualification.key:
            progress.take(entry)
            holding.take(entry)
    found = _View(qualification, progress, holding, on).standing(known_at)
    return replace(found, repair=repair(qualification, found))


@dataclass
class _View:
    """The replayed register seen from one day."""

    qualification: Qualification
    progress: Progress
    holding: Holding
    on: date

    def standing(self, known_at: datetime | None) -> Standing:
        grant = self.holding.grant
        found = Standing(
            qualification=self.qualification.key,
            on=self.on,
            known_at=known_at,
            state=self.state,
            may_work=bool(self.held),
            member=self.member,
            since=_shown(self.since),
            until=_shown(self.until),
            granted_on=grant.since if grant else None,
            decided_until=_shown(grant.until) if grant else None,
            term=grant.term if grant else None,
            fresh_from=self.fresh_from,
            waiting=self.waiting,
            in_grace=self.in_grace,
            held=self.held,
            suspended=self.suspended,
            steps=self.steps,
            scopes=self.scopes,
            reasons=(),
        )
        return replace(found, reasons=tuple(explain.whole(found, self.holding)))

    @cached_property
    def member(self) -> bool:
        return self.holding.member_on(self.on)

    @cached_property
    def fresh_from(self) -> date | None:
        return self.holding.fresh_from(self.on)

    @cached_property
    def steps_end(self) -> date:
        """The last day of the steps that are the same for every scope."""
        common = [it for it in self.progress.steps.values() if it.step.kind is not StepKind.HANDS_ON]
        return min((self.progress.end(it) for it in common), default=FOREVER)

    @cached_property
    def suspended(self) -> frozenset[str]:
        grant = self.holding.grant
        return grant.scopes - self.holding.usable() if grant else frozenset()

    @cached_property
    def scope_ends(self) -> dict[str, date]:
        """The last day of each granted scope: of the decision, the common steps and the scope's own hands-on."""
        grant = self.holding.grant
        if grant is None:
            return {}
        end = min(grant.until, self.steps_end)
        return {key: min(end, self.progress.scope_proof(key)[1]) for key in grant.scopes}

    @cached_property
    def until(self) -> date:
        """The last valid day of the scope that lasts longest; NEVER without a decision or without its proofs."""
        return max(self.scope_ends.values(), default=NEVER)

    @cached_property
    def in_grace(self) -> bool:
        return self.until < self.on <= self._grace(self.until)

    def _grace(self, day: date) -> date:
        return day if day in (NEVER, FOREVER) else self.qualification.validity.grace_until(day)

    @cached_property
    def held(self) -> frozenset[str]:
        return frozenset(scope.key for scope in self.scopes if scope.held)

    @cached_property
    def opens(self) -> date:
        """The day on which renewal opens, looking at dates only: a new revision to read does not open it."""
        grant = self.holding.grant
        if grant is None:
            return FOREVER
        ends = [self.progress.end(it, by_time_only=True) for it in self.progress.steps.values()]
        end = min([grant.until, *ends])
        return end if end in (NEVER, FOREVER) else self.qualification.renewal_opens.before(end)

    @cached_property
    def state(self) -> State:
        if self.holding.withdrawn:
            return State.WITHDRAWN
        if self.holding.grant:
            return self._granted_state()
        if self.waiting:
            return State.WAITING_FOR_DECISION
        touched = any(it.started_by is not None for it in self.progress.steps.values())
        return State.UNDER_WAY if touched else State.NOT_STARTED

    def _granted_state(self) -> State:
        if self.suspended and not self.holding.usable():
            return State.SUSPENDED
        if self._grace(self.until) < self.on:
            return State.LAPSED
        return State.RENEWAL_OPEN if self.on >= self.opens or self.in_grace else State.QUALIFIED

    @cached_property
    def since(self) -> date | None:
        """The first day of the present state without a break."""
        grant, steps = self.holding.grant, self.progress.steps.values()
        match self.state:
            case State.QUALIFIED | State.RENEWAL_OPEN if grant:
                start = max(grant.since, self.progress.mended_on, self.holding.restored_on or NEVER)
                return max(start, self.opens) if self.state is State.RENEWAL_OPEN else start
            case State.LAPSED:
                return None if self.until == NEVER else self._grace(self.until) + ONE_DAY
            case State.SUSPENDED:
                return max(entry.happened_on for entry in self.holding.suspended.values())
            case State.WITHDRAWN if self.holding.withdrawn:
                return self.holding.withdrawn.happened_on
            case State.WAITING_FOR_DECISION:
                return max(it.done_on for it in steps)
        return min((it.started_on for it in steps if it.started_on), default=None)

    @cached_property
    def proofs_fresh(self) -> bool:
        """Whether the steps that are the same for every scope are new enough for the next decision."""
        common = (it for it in self.progress.steps.values() if it.step.kind is not StepKind.HANDS_ON)
        return all(self.progress.fresh(it, self.fresh_from) for it in common)

    @cached_property
    def waiting(self) -> bool:
        """Whether every proof for the next grant or renewal is there."""
        due = self.holding.grant is None or self.fresh_from is not None
        return due and any(scope.ready for scope in self.scopes)

    @cached_property
    def scopes(self) -> tuple[ScopeStanding, ...]:
        return tuple(self._scope(key) for key in self.qualification.scopes.scopes)

    def _scope(self, key: str) -> ScopeStanding:
        proof, proof_end = self.progress.scope_proof(key)
        if proof.term is None and key not in self.scope_ends:
            return _untouched(key, self.qualification.scopes.scopes[key].title)
        end = self.scope_ends.get(key, NEVER)
        granted, suspended = key in self.scope_ends, key in self.suspended
        shown = proof_end >= self.on
        shown_fresh = shown and self.progress.scope_fresh(proof, self.fresh_from)
        proved = shown and self.steps_end >= self.on
        found = ScopeStanding(
            key=key,
            title=self.qualification.scopes.scopes[key].title,
            granted=granted,
            held=granted and not suspended and self.member and self._grace(end) >= self.on,
            shown=shown,
            shown_fresh=shown_fresh,
            proved=proved,
            ready=proved and shown_fresh and self.proofs_fresh,
            suspended=suspended,
            done_on=_shown(proof.done_on),
            until=_shown(end),
            entry=proof.entry,
            evaluator=proof.evaluator,
            evaluator_user=proof.evaluator_user,
        )
        reasons = tuple(explain.scope(found, self.holding.suspended))
        return replace(found, reasons=reasons) if reasons else found

    @cached_property
    def steps(self) -> tuple[StepStanding, ...]:
        return tuple(self._step(it) for it in self.progress.steps.values())

    def _step(self, progress: StepProgress) -> StepStanding:
        step, latest = progress.step, progress.latest
        end = self.progress.end(progress)
        counted = step.kind is not StepKind.READING
        next_on = next_try_on(progress) if counted else None
        asked = self._asked(progress) if counted else []
        found = StepStanding(
            key=step.key,
            kind=step.kind,
            title=step.title,
            state=self._step_state(progress, end),
            done_on=_shown(progress.done_on),
            until=_shown(end),
            entry=latest.entry if latest else progress.started_by,
            minutes=step.minutes,
            fresh=end >= self.on and self.progress.fresh(progress, self.fresh_from),
            documents=tuple(self._document(progress, name) for name in step.documents),
            tries_used=len(progress.failed),
            tries_left=max(0, step.tries - len(progress.failed)) if counted else None,
            next_try_on=None if next_on is None else max(next_on, self.on),
            open_sitting=progress.open_sitting,
            asked_by=asked[0].due_on if asked else None,
            asked=tuple(dict.fromkeys(demand.entry for demand in asked)),
            short_quiz=self._short_quiz(progress, asked),
        )
        return replace(found, reasons=tuple(explain.step(found, progress, self.fresh_from, self.on)))

    def _step_state(self, progress: StepProgress, end: date) -> State:
        if end == NEVER:
            return State.NOT_STARTED if progress.started_by is None else State.UNDER_WAY
        if end < self.on:
            return State.LAPSED
        if not self.progress.fresh(progress, self.fresh_from):
            return State.LAPSED if self._over() else State.RENEWAL_OPEN
        own = progress.step.own_clock and end != FOREVER
        if own and self.on >= self.qualification.renewal_opens.before(end):
            return State.RENEWAL_OPEN
        newer = any(self._newer(progress, name) for name in progress.step.documents)
        return State.RENEWAL_OPEN if newer or self._asked(progress) else State.QUALIFIED

    def _asked(self, progress: StepProgress) -> list[Demand]:
        """What was asked by this day because of a rule change and is still to do, the soonest first."""
        reading = progress.step.kind is StepKind.READING
        asked = {it for key in progress.proofs for it in self.progress.asked(progress, key)}
        open_now = (it for it in asked if (it.since if reading else it.opens) <= self.on)
        return sorted(open_now, key=lambda demand: (demand.due_on, demand.entry))

    def _short_quiz(self, progress: StepProgress, asked: list[Demand]) -> tuple[str, ...]:
        """The changed rules to be asked, where a short quiz is enough to keep the step in date."""
        if progress.step.kind is not StepKind.QUIZ or any(demand.what is What.FULL for demand in asked):
            return ()
        in_time = self.progress.end(progress, by_time_only=True) >= self.on
        if not in_time or not self.progress.fresh(progress, self.fresh_from):
            return ()
        return tuple(dict.fromkeys(rule for demand in asked for rule in demand.rules))

    def _over(self) -> bool:
        """Whether the decision ran out by its own date."""
        grant = self.holding.grant
        return grant is not None and self._grace(grant.until) < self.on

    def _newer(self, progress: StepProgress, document: str) -> bool:
        """Whether a revision is in force that the person has still to read by a set day."""
        due = self._due(progress, document)
        return due is not None and due.effective_on <= self.on

    def _due(self, progress: StepProgress, document: str) -> Revision | None:
        proof = progress.proofs.get(document)
        return self.progress.library.next_due(document, proof.revision) if proof else None

    def _document(self, progress: StepProgress, name: str) -> DocumentStanding:
        library, proof = self.progress.library, progress.proofs.get(name) or Proof()
        end = self.progress.document_end(progress, name)
        in_force = library.in_force(name, self.on)
        due = self._due(progress, name)
        asked = self._asked_again(progress, name)
        rules_changed = asked is not None and (due is None or due.due_on is None or asked.due_on <= due.due_on)
        return DocumentStanding(
            document=name,
            title=library.title(name),
            state=self._document_state(progress, name, proof, end),
            in_force=in_force.number if in_force else None,
            read=proof.revision or None,
            done_on=_shown(proof.done_on),
            until=_shown(end),
            due_on=asked.due_on if asked and rules_changed else due.due_on if due else None,
            must_read=asked is not None or self._newer(progress, name),
            entry=proof.entry,
            rules_changed=rules_changed,
        )

    def _document_state(self, progress: StepProgress, name: str, proof: Proof, end: date) -> State:
        if end == NEVER:
            return State.NOT_STARTED
        if end < self.on:
            return State.LAPSED
        if not progress.step.own_clock and not proof.fresh(self.fresh_from):
            return State.LAPSED if self._over() else State.RENEWAL_OPEN
        newer = self._newer(progress, name) or self._asked_again(progress, name) is not None
        return State.RENEWAL_OPEN if newer else State.QUALIFIED

    def _asked_again(self, progress: StepProgress, name: str) -> Demand | None:
        """The soonest demand to read a document again that was read before."""
        asked = self.progress.asked(progress, name) if name in progress.proofs else []
        return next((demand for demand in asked if demand.since <= self.on), None)


@lru_cache(maxsize=1024)
def _untouched(key: str, title: Text) -> ScopeStanding:
    """A scope that was neither shown nor granted: most of them, for most people."""
    return ScopeStanding(
        key=key,
        title=title,
        granted=False,
        held=False,
        shown=False,
        shown_fresh=False,
        proved=False,
        ready=False,
        suspended=False,
        done_on=None,
        until=None,
        entry=None,
    )


def _shown(day: date | None) -> date | None:
    return None if day in (None, NEVER, FOREVER) else day
