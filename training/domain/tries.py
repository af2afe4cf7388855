"""May a step be tried today, and if not, what comes first and from which day."""

from dataclasses import dataclass
from datetime import date

from training.domain.messages import Message
from training.domain.outcome import Standing, State, StepStanding
from training.domain.qualification import Qualification, StepKind


@dataclass(frozen=True, slots=True)
class NextTry:
    """The answer for one step. `from_on` is the first day of the next try, None when something else comes first.

    `left` counts the tries before the steps it needs must be done again; None where tries are not counted.
    """

    allowed: bool
    from_on: date | None
    used: int
    left: int | None
    reason: Message | None = None
    open_sitting: int | None = None


def next_try(qualification: Qualification, standing: Standing, key: str) -> NextTry:
    """Whether the step `key` may be tried on the day of the standing; KeyError for an unknown step."""
    step = standing.step(key)
    reason = _why_not(qualification, standing, step)
    from_on = step.next_try_on if reason is None or reason.key == "tries.wait" else None
    return NextTry(reason is None, from_on, step.tries_used, step.tries_left, reason, step.open_sitting)


def quiz_next_try(qualification: Qualification, standing: Standing) -> NextTry:
    """`next_try` for the quiz; raises KeyError when the qualification has none."""
    step = qualification.first_of(StepKind.QUIZ)
    return next_try(qualification, standing, step.key if step else StepKind.QUIZ)


def _why_not(qualification: Qualification, standing: Standing, step: StepStanding) -> Message | None:
    if not standing.member:
        return Message("tries.not_member")
    if step.short_quiz:
        return None
    first = tuple(it.title for it in map(standing.step, qualification.step(step.key).needs) if not it.done)
    if first:
        return Message("tries.first", {"steps": first})
    # Hands-on can always be shown for one scope more.
    if step.state is State.QUALIFIED and step.kind is not StepKind.HANDS_ON:
        return Message("tries.done", {"step": step.title, "done": step.done_on})
    if step.tries_left == 0:
        needs = tuple(standing.step(need).title for need in qualification.step(step.key).needs)
        return Message("tries.none_left", {"used": step.tries_used, "steps": needs})
    if step.next_try_on is not None and step.next_try_on > standing.on:
        return Message("tries.wait", {"on": step.next_try_on, "left": step.tries_left})
    return None
