"""What a standing says: plain words for its state, its reasons, its steps and scopes, and how to repair it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from training.domain.messages import Message
from training.domain.qualification import StepKind
from training.domain.text import Text
from training.domain.validity import Term


class State(StrEnum):
    """The state of a qualification, a step or a document, in the words that people see."""

    NOT_STARTED = "not_started"
    UNDER_WAY = "under_way"
    WAITING_FOR_DECISION = "waiting_for_decision"
    QUALIFIED = "qualified"
    RENEWAL_OPEN = "renewal_open"
    LAPSED = "lapsed"
    SUSPENDED = "suspended"
    WITHDRAWN = "withdrawn"


IN_DATE = frozenset({State.QUALIFIED, State.RENEWAL_OPEN})


@dataclass(frozen=True, slots=True)
class Reason:
    """One sentence of why, and the register entries it rests on."""

    message: Message
    entries: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class DocumentStanding:
    """One document of a reading step: which revision is in force, which was read, and to which day that is enough.

    `due_on` is the day by which a newer revision than the one read must be read; `must_read` says that it is in force.
    `rules_changed`: it is to be read again because the rule book changed.
    """

    document: str
    title: Text
    state: State
    in_force: int | None
    read: int | None
    done_on: date | None
    until: date | None
    due_on: date | None
    must_read: bool
    entry: int | None
    rules_changed: bool = False


@dataclass(frozen=True, slots=True)
class StepStanding:
    """One step on the day asked: `until` is its last valid day (None: no date ends it, or it is not done).

    `next_try_on` is the first day on which another try is allowed, None when none is left or none is counted.
    `fresh` says that it counts for the decision that comes next. `asked_by` is the day by which a rule change asks for
    it again, `asked` the entries that do, `short_quiz` the changed rules where a quiz on these alone is enough.
    """

    key: str
    kind: StepKind
    title: Text
    state: State
    done_on: date | None
    until: date | None
    entry: int | None
    minutes: int
    fresh: bool
    reasons: tuple[Reason, ...] = ()
    documents: tuple[DocumentStanding, ...] = ()
    tries_used: int = 0
    tries_left: int | None = None
    next_try_on: date | None = None
    open_sitting: int | None = None
    asked_by: date | None = None
    asked: tuple[int, ...] = ()
    short_quiz: tuple[str, ...] = ()

    @property
    def done(self) -> bool:
        """Whether the step is in date on the day asked."""
        return self.state in IN_DATE


@dataclass(frozen=True, slots=True)
class ScopeStanding:
    """One scope on the day asked.

    `granted`: a decision covers it. `held`: it may be worked in today. `shown`: its hands-on is in date;
    `shown_fresh`: and new enough for the next grant or renewal. `proved` and `ready`: the same of all proofs
    together. `evaluator` (person) and `evaluator_user` signed the hands-on proof `entry`.
    """

    key: str
    title: Text
    granted: bool
    held: bool
    shown: bool
    shown_fresh: bool
    proved: bool
    ready: bool
    suspended: bool
    done_on: date | None
    until: date | None
    entry: int | None
    evaluator: int | None = None
    evaluator_user: int | None = None
    reasons: tuple[Reason, ...] = ()


class RepairKind(StrEnum):
    """What has to be done, in the order in which it is done."""

    MEMBERSHIP = "membership"
    DOCUMENT = "document"
    READING = "reading"
    QUIZ = "quiz"
    SHORT_QUIZ = "short_quiz"
    HANDS_ON = "hands_on"
    RESTORE = "restore"
    DECISION = "decision"


@dataclass(frozen=True, slots=True)
class RepairStep:
    """One thing to do, its usual minutes, and the first day on which it can be done where it is not today."""

    kind: RepairKind
    message: Message
    minutes: int
    step: str | None = None
    documents: tuple[str, ...] = ()
    scopes: tuple[str, ...] = ()
    from_on: date | None = None


@dataclass(frozen=True, slots=True)
class Standing:
    """What a person holds on the day `on`, as known at `known_at`, and why.

    `until` is the last valid day of the whole (None: never granted, or no date ends it), `granted_on`
    the start of the unbroken holding, `decided_until` the last day that the decision itself gave, `term` how
    that day was counted.
    `waiting`: every proof for the next grant or renewal is there. `fresh_from`: proofs older than this
    day do not count for the next decision. `held` names every scope that may be worked in, included ones too.
    """

    qualification: str
    on: date
    known_at: datetime | None
    state: State
    may_work: bool
    member: bool
    since: date | None
    until: date | None
    granted_on: date | None
    decided_until: date | None
    term: Term | None
    fresh_from: date | None
    waiting: bool
    in_grace: bool
    held: frozenset[str]
    suspended: frozenset[str]
    steps: tuple[StepStanding, ...]
    scopes: tuple[ScopeStanding, ...]
    reasons: tuple[Reason, ...]
    repair: tuple[RepairStep, ...] = ()

    @property
    def granted(self) -> tuple[str, ...]:
        """Scopes that a decision covers, suspended or lapsed ones too."""
        return tuple(scope.key for scope in self.scopes if scope.granted)

    @property
    def ready(self) -> tuple[str, ...]:
        """Scopes whose proofs the next grant or renewal may use."""
        return tuple(scope.key for scope in self.scopes if scope.ready)

    @property
    def proved(self) -> tuple[str, ...]:
        """Scopes whose proofs are in date."""
        return tuple(scope.key for scope in self.scopes if scope.proved)

    @property
    def decided(self) -> bool:
        """Whether a decision is in force by its own date, whatever became of the proofs."""
        over = self.decided_until is not None and self.decided_until < self.on and not self.in_grace
        return self.granted_on is not None and not over

    @property
    def repair_minutes(self) -> int:
        """The usual time of the whole repair."""
        return sum(step.minutes for step in self.repair)

    def step(self, key: str) -> StepStanding:
        """The step called `key`; KeyError when the qualification has none of that name."""
        for step in self.steps:
            if step.key == key:
                return step
        raise KeyError(key)

    def scope(self, key: str) -> ScopeStanding:
        """The scope called `key`; KeyError when the qualification has none of that name."""
        for scope in self.scopes:
            if scope.key == key:
                return scope
        raise KeyError(key)

    def missing(self, wanted: Iterable[str]) -> tuple[str, ...]:
        """The wanted scopes that may not be worked in on this day."""
        return tuple(sorted(set(wanted) - self.held)) if self.may_work else tuple(sorted(set(wanted)))

    def may_work_in(self, wanted: Iterable[str]) -> bool:
        """Whether the person may work today on a roof that asks for all these scopes."""
        return self.may_work and not self.missing(wanted)
