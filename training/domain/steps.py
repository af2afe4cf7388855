"""Proofs as they come in: what was read, passed and shown, in the order it happened, and to which day each counts."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from training.domain.demands import Demand, Demands, ShortPass
from training.domain.entry_data import FOREVER, NEVER, names_of, number_of
from training.domain.library import Library
from training.domain.periods import Period
from training.domain.qualification import Qualification, Step, StepKind
from training.domain.register import Entry, EntryKind
from training.domain.validity import Term, Validity


@dataclass(slots=True)
class Proof:
    """One thing proved, perhaps several times; `carried_to` is the last day to which a decision carries it.

    `revision` is the one read, or the rule book's one that it was proved on, `book` that rule book's name.
    """

    term: Term | None = None
    done_on: date = NEVER
    entry: int | None = None
    carried_to: date = NEVER
    revision: int = 0
    book: str = ""
    evaluator: int | None = None
    evaluator_user: int | None = None

    def add(self, validity: Validity, entry: Entry) -> None:
        """The same was proved (again) by `entry`."""
        self.term = validity.renew(self.term, entry.happened_on)
        self.done_on = entry.happened_on
        self.entry = entry.id

    def rests_on(self, entry: Entry) -> None:
        """The rule book that the entry was done on: the newest revision counts."""
        book, revision = str(entry.data.get("rule_book") or ""), number_of(entry, "revision")
        self.revision = max(self.revision, revision) if book == self.book else revision
        self.book = book

    @property
    def end(self) -> date:
        """The last valid day: NEVER when not proved, FOREVER when no date ends it."""
        if self.term is None:
            return NEVER
        return max(self.term.ends_on or FOREVER, self.carried_to)

    def fresh(self, since: date | None) -> bool:
        """Whether it was proved on or after `since`."""
        return self.term is not None and (since is None or self.done_on >= since)


@dataclass(slots=True)
class StepProgress:
    """What is known of one step: its proofs (by document or scope; a quiz has one), and failed tries since."""

    step: Step
    proofs: dict[str, Proof] = field(default_factory=dict)
    failed: list[Entry] = field(default_factory=list)
    started_by: int | None = None
    started_on: date | None = None
    open_sitting: int | None = None
    too_early: Entry | None = None
    read_again: set[str] = field(default_factory=set)

    def start(self, entry: Entry) -> None:
        """Something of the step was done for the first time."""
        if self.started_by is None:
            self.started_by, self.started_on = entry.id, entry.happened_on

    def proof(self, key: str) -> Proof:
        """The proof called `key`, an empty one at first."""
        return self.proofs.setdefault(key, Proof())

    @property
    def done_on(self) -> date:
        """The day on which the step was last done."""
        return max((proof.done_on for proof in self.proofs.values()), default=NEVER)

    @property
    def latest(self) -> Proof | None:
        """The newest proof of the step."""
        return max(self.proofs.values(), key=lambda proof: proof.done_on, default=None)


class Progress:
    """All steps of one person: entries are taken in the order in which they happened."""

    def __init__(self, qualification: Qualification, library: Library, demands: Demands) -> None:
        self.qualification = qualification
        self.library = library
        self.demands = demands
        self.short: list[ShortPass] = []
        self.steps: dict[str, StepProgress] = {}
        self.hands_on: tuple[StepProgress, ...] = ()
        self.mended_on: date = NEVER
        self.restart()

    def restart(self) -> None:
        """Forget every proof: after a withdrawal all of it is done again."""
        self.short = []
        self.steps = {step.key: StepProgress(step) for step in self.qualification.steps}
        self.hands_on = tuple(p for p in self.steps.values() if p.step.kind is StepKind.HANDS_ON)

    def of(self, kind: StepKind, entry: Entry) -> list[StepProgress]:
        """The steps of a kind that an entry belongs to; an entry that names no step belongs to all of them."""
        named = entry.data.get("step")
        steps = (progress for progress in self.steps.values() if progress.step.kind is kind)
        return [progress for progress in steps if named in (None, progress.step.key)]

    def take(self, entry: Entry) -> None:
        """Count one entry; kinds that prove nothing are passed over."""
        take = _TAKERS.get(entry.kind)
        if take:
            take(self, entry)

    def _section(self, entry: Entry) -> None:
        for progress in self.of(StepKind.READING, entry):
            if entry.data.get("document") in progress.step.documents:
                progress.start(entry)

    def _reading(self, entry: Entry) -> None:
        document = str(entry.data.get("document"))
        for progress in self.of(StepKind.READING, entry):
            if document not in progress.step.documents:
                continue
            progress.start(entry)
            lapsed = self._lapsed(progress, entry)
            proof = progress.proof(document)
            proof.add(progress.step.validity, entry)
            proof.revision = max(proof.revision, number_of(entry, "revision"))
            self._mended(progress, entry, lapsed)
            progress.read_again.add(document)
            if progress.read_again.issuperset(progress.step.documents):
                progress.read_again.clear()
                self._tries_again(progress.step)

    def _lapsed(self, progress: StepProgress, entry: Entry) -> bool:
        return NEVER < self.end(progress) < entry.happened_on

    def _mended(self, progress: StepProgress, entry: Entry, lapsed: bool) -> None:
        if lapsed and self.end(progress) >= entry.happened_on:
            self.mended_on = entry.happened_on

    def _quiz_started(self, entry: Entry) -> None:
        for progress in self.of(StepKind.QUIZ, entry):
            progress.start(entry)
            progress.open_sitting = number_of(entry, "sitting")

    def _quiz_marked(self, entry: Entry) -> None:
        for progress in self.of(StepKind.QUIZ, entry):
            progress.start(entry)
            progress.open_sitting = None
            if not entry.data.get("passed"):
                self._failed(progress, entry)
            elif self._in_order(progress, entry):
                lapsed = self._lapsed(progress, entry)
                progress.proof("quiz").add(progress.step.validity, entry)
                progress.proof("quiz").rests_on(entry)
                self._mended(progress, entry, lapsed)
                self._passed(progress)

    def _short_marked(self, entry: Entry) -> None:
        """A short quiz on changed rules: it lifts what was asked and is no proof of its own."""
        for progress in self.of(StepKind.QUIZ, entry):
            progress.open_sitting = None
        if not entry.data.get("passed"):
            return
        late = [progress for progress in self.of(StepKind.QUIZ, entry) if self._lapsed(progress, entry)]
        rules = frozenset(names_of(entry, "rules"))
        self.short.append(ShortPass(str(entry.data.get("rule_book") or ""), number_of(entry, "revision"), rules))
        for progress in late:
            self._mended(progress, entry, True)

    def _signed(self, entry: Entry) -> None:
        scopes = self.qualification.scopes.expand(names_of(entry, "scopes"))
        for progress in self.of(StepKind.HANDS_ON, entry):
            progress.start(entry)
            if entry.data.get("result") != "passed":
                self._failed(progress, entry)
            elif self._in_order(progress, entry):
                lapsed = self._lapsed(progress, entry)
                for scope in scopes:
                    _add_sign_off(progress.proof(scope), progress.step.validity, entry)
                self._mended(progress, entry, lapsed)
                self._passed(progress)

    def _in_order(self, progress: StepProgress, entry: Entry) -> bool:
        """Whether the needed steps were in date when this was done; if not, it does not count and is remembered."""
        ready = all(self.end(self.steps[need]) >= entry.happened_on for need in progress.step.needs)
        progress.too_early = None if ready else entry
        return ready

    def _failed(self, progress: StepProgress, entry: Entry) -> None:
        progress.failed.append(entry)
        for need in progress.step.needs:
            self.steps[need].read_again.clear()

    def _passed(self, progress: StepProgress) -> None:
        progress.failed.clear()
        self._tries_again(progress.step)

    def _tries_again(self, done: Step) -> None:
        """A step done again gives new tries at the steps that need it."""
        for progress in self.steps.values():
            if done.key in progress.step.needs:
                progress.failed.clear()

    def document_end(self, progress: StepProgress, document: str) -> date:
        """The last day on which the person's reading of `document` is enough."""
        proof = progress.proofs.get(document)
        if proof is None:
            return NEVER
        return min(
            proof.end, self.library.enough_to(document, proof.revision), _first_due(self.asked(progress, document))
        )

    def end(self, progress: StepProgress, *, by_time_only: bool = False) -> date:
        """The last valid day of a step. `by_time_only` leaves out newer revisions and what they ask for."""
        if progress.step.kind is not StepKind.READING:
            ends = (self.proof_end(progress, key, by_time_only=by_time_only) for key in progress.proofs)
            return max(ends, default=NEVER)
        if by_time_only:
            empty = Proof()
            return min(progress.proofs.get(document, empty).end for document in progress.step.documents)
        return min(self.document_end(progress, document) for document in progress.step.documents)

    def proof_end(self, progress: StepProgress, key: str, *, by_time_only: bool = False) -> date:
        """The last day on which one proof of a quiz or hands-on step is enough."""
        proof = progress.proofs.get(key) or Proof()
        return proof.end if by_time_only else min(proof.end, _first_due(self.asked(progress, key)))

    def asked(self, progress: StepProgress, key: str) -> list[Demand]:
        """What was asked because of a rule change and is not met by this proof, the soonest first."""
        if not self.demands.all:
            return []
        proof = progress.proofs.get(key) or Proof()
        match progress.step.kind:
            case StepKind.READING:
                return self.demands.of_reading(key, proof.done_on)
            case StepKind.QUIZ:
                return self.demands.of_quiz(proof.book, proof.revision, self.short)
            case _:
                return self.demands.of_hands_on(proof.book, proof.revision)

    def scope_proof(self, scope: str) -> tuple[Proof, date]:
        """The hands-on proof of a scope that runs out first and its last day; an empty one while a step lacks it."""
        if not self.hands_on:
            return Proof(term=Term(NEVER, 0, None)), FOREVER
        found = ((it.proofs.get(scope) or Proof(), self.proof_end(it, scope)) for it in self.hands_on)
        return min(found, key=lambda proof: proof[1])

    def scope_fresh(self, proof: Proof, since: date | None) -> bool:
        """Whether a hands-on proof counts for the next decision."""
        own_clock = all(progress.step.own_clock for progress in self.hands_on)
        return proof.term is not None and (own_clock or proof.fresh(since))

    def fresh(self, progress: StepProgress, since: date | None) -> bool:
        """Whether the whole step was done on or after `since`. A step with its own clock needs only to be in date."""
        if progress.step.own_clock:
            return bool(progress.proofs)
        if progress.step.kind is StepKind.READING:
            proofs = progress.proofs
            return all(name in proofs and proofs[name].fresh(since) for name in progress.step.documents)
        return any(proof.fresh(since) for proof in progress.proofs.values())

    def last_done(self, scopes: Iterable[str]) -> date | None:
        """The day of the last of the proofs for `scopes`, None when there are none."""
        wanted = set(scopes)
        days = [NEVER]
        for progress in self.steps.values():
            hands_on = progress.step.kind is StepKind.HANDS_ON
            days += [proof.done_on for key, proof in progress.proofs.items() if not hands_on or key in wanted]
        return max(days) if max(days) > NEVER else None

    def carry(self, scopes: Iterable[str], on: date, until: date, since: date | None) -> None:
        """A decision taken on `on` carries the proofs it rests on to its own last day."""
        wanted = set(scopes)
        for progress in self.steps.values():
            if progress.step.own_clock:
                continue
            for key, proof in progress.proofs.items():
                counted = key in wanted or progress.step.kind is not StepKind.HANDS_ON
                if counted and proof.end >= on and proof.fresh(since):
                    proof.carried_to = max(proof.carried_to, until)


def _first_due(asked: list[Demand]) -> date:
    return asked[0].due_on if asked else FOREVER


def _add_sign_off(proof: Proof, validity: Validity, entry: Entry) -> None:
    proof.add(validity, entry)
    proof.rests_on(entry)
    evaluator, user = entry.data.get("evaluator"), entry.data.get("evaluator_user")
    proof.evaluator = evaluator if isinstance(evaluator, int) else None
    proof.evaluator_user = user if isinstance(user, int) else None


_TAKERS = {
    EntryKind.SECTION_ACKNOWLEDGED: Progress._section,
    EntryKind.READING_COMPLETED: Progress._reading,
    EntryKind.QUIZ_STARTED: Progress._quiz_started,
    EntryKind.QUIZ_MARKED: Progress._quiz_marked,
    EntryKind.DELTA_QUIZ_MARKED: Progress._short_marked,
    EntryKind.SIGN_OFF_SIGNED: Progress._signed,
}


def next_try_on(progress: StepProgress) -> date | None:
    """The first day on which a step with counted tries may be tried again, None when no try is left."""
    if not progress.failed:
        return NEVER
    if len(progress.failed) >= progress.step.tries:
        return None
    wait: Period | None = progress.step.wait
    last = progress.failed[-1].happened_on
    return wait.after(last) if wait else last
