"""A qualification as data: its steps in order, how long each counts, and what it can cover."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from fractions import Fraction

from training.domain.errors import BadInput
from training.domain.periods import Period
from training.domain.scopes import ScopeBook, items, text, word, words
from training.domain.text import Text
from training.domain.validity import Validity

FORMAT = "headlap-qualification/1"
_MEAN_MONTH = Fraction(1461, 48)  # days: 365.25 / 12


class StepKind(StrEnum):
    """The kinds of proof."""

    READING = "reading"
    QUIZ = "quiz"
    HANDS_ON = "hands_on"


_TITLES = {
    StepKind.READING: Text("Reading", "Lectura"),
    StepKind.QUIZ: Text("Quiz", "Examen"),
    StepKind.HANDS_ON: Text("Hands-on", "Práctica"),
}


@dataclass(frozen=True, slots=True)
class Step:
    """One proof that is needed, and its policy.

    `needs` names the steps that must be done before this one counts. `documents` and
    `seconds_per_100_words` (shortest time on a page) are for reading; `tries`, `wait` (between failed
    tries) and `blueprint` for the quiz; `tries` (supervised attempts), `wait` and `pass_share` for
    hands-on. `own_clock` is true where the step's period is shorter than the qualification's: then the
    step's last day ends the qualification. Otherwise the decision carries the step to its own last day.
    """

    key: str
    kind: StepKind
    title: Text
    needs: tuple[str, ...]
    validity: Validity
    minutes: int
    own_clock: bool
    documents: tuple[str, ...] = ()
    seconds_per_100_words: int = 0
    tries: int = 0
    wait: Period | None = None
    pass_share: Decimal | None = None
    blueprint: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True)
class Qualification:
    """What can be held. `renewal_opens` is how long before the last day renewal may start."""

    key: str
    title: Text
    validity: Validity
    renewal_opens: Period
    steps: tuple[Step, ...]
    scopes: ScopeBook

    @classmethod
    def parse(cls, data: object) -> "Qualification":
        """From JSON in the format `headlap-qualification/1`; raises BadInput that names what is wrong."""
        if not isinstance(data, Mapping) or data.get("format") != FORMAT:
            raise BadInput("qualification.format", wanted=FORMAT)
        key = word(data, "key", "qualification")
        validity = Validity.parse(data.get("validity"))
        steps = tuple(_step(item, validity) for item in items(data.get("steps"), "qualification.no_steps"))
        _check_order(steps)
        return cls(
            key=key,
            title=text(data, "title", key),
            validity=validity,
            renewal_opens=Period.of_days(data.get("renewal_opens")),
            steps=steps,
            scopes=ScopeBook.parse(data.get("families")),
        )

    def step(self, key: str) -> Step:
        """The step called `key`; raises BadInput when there is none."""
        for step in self.steps:
            if step.key == key:
                return step
        raise BadInput("qualification.step_unknown", step=key)

    def first_of(self, kind: StepKind) -> Step | None:
        """The first step of a kind, None when the qualification has none."""
        return next((step for step in self.steps if step.kind is kind), None)


def _check_order(steps: tuple[Step, ...]) -> None:
    """A step may need earlier steps only: that also rules out circles."""
    before: set[str] = set()
    for step in steps:
        if step.key in before:
            raise BadInput("qualification.step_twice", step=step.key)
        if not before.issuperset(step.needs):
            raise BadInput("qualification.step_order", step=step.key)
        before.add(step.key)


def _step(data: Mapping[str, object], whole: Validity) -> Step:
    key = word(data, "key", "steps")
    kind = _kind(data.get("kind"), key)
    validity = Validity.parse(data.get("validity"), inherit=whole)
    step = Step(
        key=key,
        kind=kind,
        title=text(data, "title", key) if "title" in data else _TITLES[kind],
        needs=words(data, "needs", key),
        validity=validity,
        minutes=_number(data, "minutes", key, 1),
        own_clock=_has_own_clock(validity.period, whole.period),
    )
    return _READERS[kind](step, data)


def _reading(step: Step, data: Mapping[str, object]) -> Step:
    documents = words(data, "documents", step.key)
    if not documents:
        raise BadInput("qualification.no_documents", step=step.key)
    return replace(step, documents=documents, seconds_per_100_words=_number(data, "seconds_per_100_words", step.key, 0))


def _quiz(step: Step, data: Mapping[str, object]) -> Step:
    blueprint = data.get("blueprint")
    if not isinstance(blueprint, Mapping):
        raise BadInput("qualification.no_blueprint", step=step.key)
    return replace(step, tries=_number(data, "tries", step.key, 1), wait=_wait(data), blueprint=blueprint)


def _hands_on(step: Step, data: Mapping[str, object]) -> Step:
    tries = _number(data, "attempts", step.key, 1)
    return replace(step, tries=tries, wait=_wait(data), pass_share=_share(data.get("pass_share"), step.key))


_READERS = {StepKind.READING: _reading, StepKind.QUIZ: _quiz, StepKind.HANDS_ON: _hands_on}


def _wait(data: Mapping[str, object]) -> Period | None:
    return Period.of_days(data["wait"]) if data.get("wait") is not None else None


def _has_own_clock(own: Period | None, whole: Period | None) -> bool:
    """Whether a step runs out before a qualification that starts on the same day; a month is its mean length.

    A step that never runs out has its own clock too: nothing has to carry it, and renewal does not ask for it.
    """
    if own is None or whole is None:
        return True
    return own.months * _MEAN_MONTH + own.days < whole.months * _MEAN_MONTH + whole.days


def _kind(value: object, step: str) -> StepKind:
    try:
        return StepKind(value)  # type: ignore[arg-type]  # any value may stand in the JSON
    except ValueError:
        raise BadInput("qualification.step_kind", step=step, value=value) from None


def _number(data: Mapping[str, object], name: str, of: str, least: int) -> int:
    value = data.get(name)
    if isinstance(value, bool) or not isinstance(value, int) or value < least:
        raise BadInput("qualification.number", of=of, name=name, least=least)
    return value


def _share(value: object, step: str) -> Decimal:
    try:
        share = Decimal(str(value))
    except InvalidOperation:
        share = Decimal(-1)
    if not 0 < share <= 1:
        raise BadInput("qualification.share", step=step, value=value)
    return share
