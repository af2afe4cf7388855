"""Who may decide what about whom, and when: grant, renew, widen, narrow, suspend, restore, withdraw."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from training.domain.errors import BadInput, HeadlapError, Refused
from training.domain.messages import Message
from training.domain.outcome import IN_DATE, ScopeStanding, Standing, State, StepStanding
from training.domain.qualification import Qualification, StepKind
from training.domain.register import EntryKind
from training.domain.text import Text

DECISIONS = (
    EntryKind.GRANTED,
    EntryKind.RENEWED,
    EntryKind.WIDENED,
    EntryKind.NARROWED,
    EntryKind.SUSPENDED,
    EntryKind.RESTORED,
    EntryKind.WITHDRAWN,
)
_REST_ON_PROOFS = frozenset({EntryKind.GRANTED, EntryKind.RENEWED, EntryKind.WIDENED})
_NEED_A_REASON = frozenset({EntryKind.NARROWED, EntryKind.SUSPENDED, EntryKind.WITHDRAWN})


@dataclass(frozen=True, slots=True)
class Decider:
    """Who decides: the sign-in, and the person in the register where the officer is one."""

    user: int
    person: int | None = None


@dataclass(frozen=True, slots=True)
class Ruling:
    """A decision that may be taken, complete for the register. `until` is its last valid day (None: no date)."""

    kind: EntryKind
    scopes: tuple[str, ...]
    until: date | None
    proofs: tuple[int, ...]

    def data(self, qualification: Qualification, decider: Decider, reason: str = "") -> dict[str, object]:
        """The entry's data."""
        return {
            "qualification": qualification.key,
            "scopes": list(self.scopes),
            "until": self.until.isoformat() if self.until else None,
            "decider": decider.user,
            "proofs": list(self.proofs),
            "reason": reason,
        }


@dataclass(frozen=True, slots=True)
class Option:
    """One kind of decision on a page: open to this decider or not, why not, and the scopes to choose from."""

    kind: EntryKind
    allowed: bool
    why_not: Message | None
    scopes: tuple[str, ...]


def check_decision(
    kind: EntryKind,
    qualification: Qualification,
    standing: Standing,
    *,
    person: int,
    decider: Decider,
    on: date,
    scopes: Collection[str] = (),
    until: date | None = None,
    reason: str = "",
) -> Ruling:
    """The decision if it may be taken on `on`; raises Refused that says what is missing, BadInput for wrong input.

    `scopes` are those granted or renewed, added (widened), taken away (narrowed), suspended or restored;
    for the last two an empty choice means all. `until` may shorten the period, never lengthen it.
    The person who decides has no part in the proofs (ISO/IEC 17024:2012, 9.4, from memory).
    """
    if standing.on != on:
        raise ValueError("the standing must be that of the day of the decision")
    case = _Case(kind, qualification, standing, decider, qualification.scopes.check(scopes))
    case.check_decider(person)
    _CHECKS[kind](case)
    if kind in _NEED_A_REASON and not reason.strip():
        raise BadInput("decision.reason_needed", field="reason")
    if kind not in _REST_ON_PROOFS:
        return Ruling(kind, case.chosen_in_order(), None, ())
    return Ruling(kind, case.chosen_in_order(), case.until(until), case.proofs())


def allowed_decisions(
    qualification: Qualification, standing: Standing, *, person: int, decider: Decider
) -> tuple[Option, ...]:
    """Every kind of decision with its answer for this decider, for buttons that say why they are off."""
    return tuple(_option(kind, qualification, standing, person, decider) for kind in DECISIONS)


def _option(kind: EntryKind, qualification: Qualification, standing: Standing, person: int, decider: Decider) -> Option:
    choices = _choices(kind, qualification, standing, decider)
    sample = choices[:1] if kind is EntryKind.NARROWED else choices
    try:
        check_decision(
            kind,
            qualification,
            standing,
            person=person,
            decider=decider,
            on=standing.on,
            scopes=sample,
            reason="asked only whether it may be taken",
        )
    except HeadlapError as no:
        return Option(kind, False, no.message, choices)
    return Option(kind, True, None, choices)


def _choices(kind: EntryKind, qualification: Qualification, standing: Standing, decider: Decider) -> tuple[str, ...]:
    """The scopes that a kind of decision can be about; those that the decider signed for come only if alone."""
    scopes = standing.scopes
    match kind:
        case EntryKind.GRANTED | EntryKind.RENEWED:
            found = [scope for scope in scopes if scope.ready and not scope.suspended]
        case EntryKind.WIDENED:
            found = [scope for scope in scopes if scope.proved and not scope.granted]
        case EntryKind.NARROWED:
            return standing.granted
        case EntryKind.SUSPENDED:
            return tuple(scope.key for scope in scopes if scope.granted and not scope.suspended)
        case EntryKind.RESTORED:
            return qualification.scopes.in_order(standing.suspended)
        case _:
            return ()
    clear = [scope for scope in found if not _signed_by(scope, decider)]
    return tuple(scope.key for scope in clear or found)


def _signed_by(scope: ScopeStanding, decider: Decider) -> bool:
    by_person = scope.evaluator is not None and scope.evaluator == decider.person
    return by_person or (scope.evaluator_user is not None and scope.evaluator_user == decider.user)


@dataclass(frozen=True, slots=True)
class _Case:
    kind: EntryKind
    qualification: Qualification
    standing: Standing
    decider: Decider
    chosen: frozenset[str]

    def chosen_in_order(self) -> tuple[str, ...]:
        return self.qualification.scopes.in_order(self.chosen)

    def names(self, keys: Collection[str]) -> tuple[Text, ...]:
        return self.qualification.scopes.words(frozenset(keys))

    def covered(self) -> list[ScopeStanding]:
        """The chosen scopes and all that they include."""
        keys = self.qualification.scopes.expand(self.chosen)
        return [scope for scope in self.standing.scopes if scope.key in keys]

    def check_decider(self, person: int) -> None:
        if self.decider.person == person:
            raise Refused("decision.own")

    def check_member(self) -> None:
        if not self.standing.member:
            raise Refused("decision.not_member", on=self.standing.on)

    def check_granted(self) -> None:
        if self.standing.state is State.WITHDRAWN:
            raise Refused("decision.withdrawn")
        if self.standing.granted_on is None:
            raise Refused("decision.nothing_held")

    def check_not_suspended(self) -> None:
        if self.standing.state is State.SUSPENDED:
            raise Refused("decision.suspended", since=self.standing.since)
        held_up = self.standing.suspended & self.qualification.scopes.expand(self.chosen)
        if held_up:
            raise Refused("decision.scopes_suspended", scopes=self.names(held_up))

    def check_steps(self, *, fresh: bool) -> None:
        """Every step is done, in date, and (for a grant or renewal) new enough."""
        steps = self.standing.steps
        missing = tuple(step.title for step in steps if step.state in (State.NOT_STARTED, State.UNDER_WAY))
        if missing:
            raise Refused("decision.steps_missing", steps=missing)
        for step in steps:
            if step.until and step.until < self.standing.on:
                raise Refused("decision.step_out_of_date", step=step.title, until=step.until)
            if fresh and not step.fresh:
                raise Refused(self._too_old(step))

    def _too_old(self, step: StepStanding) -> Message:
        """Which proof is too old for the renewal: of a reading, the document read the longest ago."""
        since = self.standing.fresh_from
        read = sorted((it.done_on, it.document, it.title) for it in step.documents if it.done_on)
        done, _, title = read[0] if read else (step.done_on, step.key, step.title)
        return Message("decision.step_too_old", {"step": title, "done": done, "since": since})

    def check_scopes_chosen(self) -> None:
        if not self.chosen:
            raise BadInput("decision.no_scopes", field="scopes")

    def check_proved(self, *, fresh: bool) -> None:
        """Every chosen scope rests on a hands-on in date that somebody else signed."""
        self.check_scopes_chosen()
        unproved = {scope.key for scope in self.covered() if not (scope.ready if fresh else scope.proved)}
        if unproved:
            raise Refused("decision.scopes_not_shown", scopes=self.names(unproved))
        own = {scope.key for scope in self.covered() if _signed_by(scope, self.decider)}
        if own:
            raise Refused("decision.evaluator_decides", scopes=self.names(own))

    def check_grant(self) -> None:
        self.check_member()
        if self.standing.granted_on is not None:
            raise Refused("decision.already_granted", since=self.standing.granted_on)
        self.check_steps(fresh=True)
        self.check_proved(fresh=True)

    def check_renewal(self) -> None:
        self.check_member()
        self.check_granted()
        self.check_not_suspended()
        if self.standing.fresh_from is None:
            raise self._not_open()
        self.check_steps(fresh=True)
        self.check_proved(fresh=True)

    def _not_open(self) -> Refused:
        last = self.standing.decided_until
        if last is None:
            return Refused("decision.no_renewal")
        return Refused("decision.renewal_not_open", opens=self.qualification.renewal_opens.before(last))

    def check_widening(self) -> None:
        self.check_member()
        self.check_granted()
        self.check_not_suspended()
        if self.standing.state not in IN_DATE:
            raise Refused("decision.lapsed")
        self.check_steps(fresh=False)
        if not set(self.standing.proved) - set(self.standing.granted):
            raise Refused("decision.nothing_to_add")
        if self.chosen and self.chosen <= set(self.standing.granted):
            raise Refused("decision.already_covered", scopes=self.names(self.chosen))
        self.check_proved(fresh=False)

    def check_narrowing(self) -> None:
        self.check_granted()
        self.check_scopes_chosen()
        self._check_covered()
        if not self.qualification.scopes.without(self.standing.granted, self.chosen):
            raise Refused("decision.narrow_all")

    def check_suspension(self) -> None:
        self.check_granted()
        self._check_covered()
        if not self.standing.decided:
            raise Refused("decision.lapsed")
        chosen = self.chosen or frozenset(self.standing.granted)
        if chosen <= self.standing.suspended:
            raise Refused("decision.already_suspended", scopes=self.names(chosen))

    def check_restoring(self) -> None:
        self.check_granted()
        if not self.standing.suspended:
            raise Refused("decision.not_suspended")
        if self.chosen - self.standing.suspended:
            raise Refused("decision.scopes_not_suspended", scopes=self.names(self.chosen - self.standing.suspended))

    def _check_covered(self) -> None:
        uncovered = self.chosen - set(self.standing.granted)
        if uncovered:
            raise Refused("decision.scopes_not_held", scopes=self.names(uncovered))

    def until(self, asked: date | None) -> date | None:
        """The decision's last valid day: a full period from the last of the proofs, or less if asked."""
        if self.kind is EntryKind.WIDENED:
            return self.standing.decided_until
        full = self.qualification.validity.renew(self.standing.term, self._last_done()).ends_on
        if asked is None:
            return full
        if asked < self.standing.on or (full is not None and asked > full):
            raise BadInput("decision.until", field="until", first=self.standing.on, last=full)
        return asked

    def _last_done(self) -> date:
        common = (step.done_on for step in self.standing.steps if step.kind is not StepKind.HANDS_ON)
        shown = (scope.done_on for scope in self.covered())
        return max(done for done in (*common, *shown) if done)

    def proofs(self) -> tuple[int, ...]:
        """The register entries that the decision rests on."""
        found = {document.entry for step in self.standing.steps for document in step.documents}
        found |= {step.entry for step in self.standing.steps if step.kind is StepKind.QUIZ}
        found |= {scope.entry for scope in self.covered()}
        return tuple(sorted(entry for entry in found if entry is not None))


_CHECKS = {
    EntryKind.GRANTED: _Case.check_grant,
    EntryKind.RENEWED: _Case.check_renewal,
    EntryKind.WIDENED: _Case.check_widening,
    EntryKind.NARROWED: _Case.check_narrowing,
    EntryKind.SUSPENDED: _Case.check_suspension,
    EntryKind.RESTORED: _Case.check_restoring,
    EntryKind.WITHDRAWN: _Case.check_granted,
}
