"""The shortest list of things to do until a person may work: only what is missing, in the order it can be done."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from functools import cached_property
from math import ceil

from training.domain.messages import Message
from training.domain.outcome import IN_DATE, DocumentStanding, RepairKind, RepairStep, Standing, State, StepStanding
from training.domain.qualification import Qualification, StepKind

MINUTES_A_RULE = 2  # two questions on a changed rule: common practice, no source
DECISION_MINUTES = 5  # an officer looks at three proofs and signs: common practice, no source


def repair(qualification: Qualification, standing: Standing, wanted: Collection[str] = ()) -> tuple[RepairStep, ...]:
    """What has to be done so that the person may work in `wanted` (empty: in what they had, or in anything).

    Empty when nothing is to be done. With renewal open it lists what the renewal asks for. Raises
    BadInput for a scope that the qualification does not have.
    """
    return tuple(_Repair(qualification, standing, qualification.scopes.check(wanted)).steps())


@dataclass
class _Repair:
    qualification: Qualification
    standing: Standing
    asked: frozenset[str]

    def steps(self) -> Iterator[RepairStep]:
        if not self.standing.member:
            yield RepairStep(RepairKind.MEMBERSHIP, Message("repair.membership"), DECISION_MINUTES)
        for step in self.standing.steps:
            if step.key in self.redo:
                yield from _DO[step.kind](self, step)
        yield from self._restore()
        if self.decide:
            yield RepairStep(RepairKind.DECISION, self._decision(), DECISION_MINUTES)

    @cached_property
    def wanted(self) -> tuple[str, ...]:
        keys = self.asked or frozenset(self.standing.granted)
        return self.qualification.scopes.in_order(self.qualification.scopes.expand(keys))

    @cached_property
    def renewing(self) -> bool:
        """Whether the next decision is a grant or renewal of the whole, not just a scope more."""
        renewal_open = self.standing.state is State.RENEWAL_OPEN and self.standing.fresh_from is not None
        return not self.standing.decided or (renewal_open and not self.asked)

    @cached_property
    def decide(self) -> bool:
        return self.renewing or not set(self.wanted) <= set(self.standing.granted)

    @cached_property
    def lacking(self) -> tuple[str, ...]:
        """The wanted scopes whose hands-on proof is missing, out of date, or too old for the next decision."""
        if not any(step.kind is StepKind.HANDS_ON for step in self.standing.steps):
            return ()
        fit = {it.key for it in self.standing.scopes if (it.shown_fresh if self.renewing else it.shown)}
        return tuple(key for key in self.wanted if key not in fit)

    @cached_property
    def redo(self) -> frozenset[str]:
        """The steps to do again; a step with no tries left brings back the steps it needs."""
        found = {step.key for step in self.standing.steps if self._to_do(step)}
        for step in reversed(self.qualification.steps):
            again = self.standing.step(step.key)
            if step.key in found and again.tries_left == 0 and not again.short_quiz:
                found.update(step.needs)
        return frozenset(found)

    def _to_do(self, step: StepStanding) -> bool:
        # Who may work is told what comes next; who may not, only what is needed for it.
        if self.standing.may_work and not self.asked and step.state is State.RENEWAL_OPEN:
            return True
        if step.kind is StepKind.HANDS_ON and self.wanted:
            return bool(self.lacking)
        return not step.done or (self.renewing and not step.fresh)

    def _to_read(self, document: DocumentStanding) -> bool:
        fresh_from = self.standing.fresh_from
        old = self.renewing and fresh_from and document.done_on and document.done_on < fresh_from
        return bool(old) or document.state not in IN_DATE or document.must_read

    def _read(self, step: StepStanding) -> Iterator[RepairStep]:
        chosen = [it for it in step.documents if self._to_read(it)] or list(step.documents)
        for document in chosen:
            if document.in_force is None:
                message = Message("repair.document", {"document": document.title})
                yield RepairStep(RepairKind.DOCUMENT, message, DECISION_MINUTES, step.key, (document.document,))
        minutes = ceil(step.minutes * len(chosen) / len(step.documents))
        message = Message("repair.read", {"documents": tuple(it.title for it in chosen), "minutes": minutes})
        names = tuple(it.document for it in chosen)
        yield RepairStep(RepairKind.READING, message, minutes, step.key, documents=names)

    def _quiz(self, step: StepStanding) -> Iterator[RepairStep]:
        if step.short_quiz:
            minutes = MINUTES_A_RULE * len(step.short_quiz)
            message = Message("repair.short_quiz", {"minutes": minutes})
            yield RepairStep(RepairKind.SHORT_QUIZ, message, minutes, step.key)
            return
        yield self._try(step, RepairKind.QUIZ, Message("repair.quiz", {"minutes": step.minutes}), ())

    def _hands_on(self, step: StepStanding) -> Iterator[RepairStep]:
        scopes = self.qualification.scopes.shortest(self.lacking or self.wanted)
        if scopes:
            names = self.qualification.scopes.words(scopes)
            message = Message("repair.hands_on", {"scopes": names, "minutes": step.minutes})
        else:
            message = Message("repair.hands_on_any", {"minutes": step.minutes})
        yield self._try(step, RepairKind.HANDS_ON, message, scopes)

    def _try(self, step: StepStanding, kind: RepairKind, message: Message, scopes: tuple[str, ...]) -> RepairStep:
        from_on = step.next_try_on
        if from_on and from_on > self.standing.on:
            message = Message(f"{message.key}_from", {**message.values, "on": from_on})
        else:
            from_on = None
        return RepairStep(kind, message, step.minutes, step.key, scopes=scopes, from_on=from_on)

    def _restore(self) -> Iterator[RepairStep]:
        held_up = set(self.standing.suspended)
        chosen = self.qualification.scopes.in_order(held_up & set(self.wanted))
        if not chosen or (not self.asked and self.standing.may_work):
            return
        names = self.qualification.scopes.words(self.qualification.scopes.shortest(chosen))
        message = Message("repair.restore_scopes", {"scopes": names})
        if held_up >= set(self.standing.granted):
            message = Message("repair.restore")
        yield RepairStep(RepairKind.RESTORE, message, DECISION_MINUTES, scopes=chosen)

    def _decision(self) -> Message:
        if not self.renewing:
            added = set(self.wanted) - set(self.standing.granted)
            return Message("repair.widen", {"scopes": self.qualification.scopes.words(added)})
        return Message("repair.renew" if self.standing.granted_on else "repair.grant")


_DO = {
    StepKind.READING: _Repair._read,
    StepKind.QUIZ: _Repair._quiz,
    StepKind.HANDS_ON: _Repair._hands_on,
}
