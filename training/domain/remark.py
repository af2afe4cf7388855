"""Marks sittings again when a rule was wrong: what people answered then, judged by the corrected rules.

It only proposes; a person decides. The questions stay as they were shown. Where the corrected rule makes none of the
options right, or can no longer be asked, the question is void and counts as right for everybody.
"""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from training.domain.answers import in_order, is_right, typed_right
from training.domain.blueprint import Blueprint
from training.domain.claims import Breaks, Demand, Practice, Verdict, holds
from training.domain.papers import Paper
from training.domain.patterns.choose_band import demand
from training.domain.questions import Option, Question, act_of, stored_measure
from training.domain.rules import Rule, RuleBook
from training.domain.scoring import Result, mark
from training.domain.sums import solve
from training.domain.unit_table import UNITS
from training.domain.units import Measure


class Fate(StrEnum):
    """What an answer comes to under the corrected rules."""

    RIGHT = "right"
    WRONG = "wrong"
    VOID = "void"


@dataclass(frozen=True)
class Sat:
    """A sitting to mark again: any key of its own, its paper, and the kept answers by place from 0."""

    key: Hashable
    paper: Paper
    answers: Mapping[int, str]


@dataclass(frozen=True)
class Turn:
    """A question whose mark changes. number counts from 1."""

    number: int
    rule: str
    was_right: bool
    fate: Fate


@dataclass(frozen=True)
class Again:
    """One sitting, marked as it was and as it would be; `turns` are the questions that change."""

    key: Hashable
    before: Result
    after: Result
    turns: tuple[Turn, ...]

    @property
    def changes(self) -> bool:
        """Does it pass now and did not, or the other way round?"""
        return self.before.passed is not self.after.passed


@dataclass(frozen=True)
class Proposal:
    """Every sitting marked again, in the order given."""

    sittings: tuple[Again, ...]

    @property
    def changed(self) -> tuple[Again, ...]:
        """The sittings whose result would change."""
        return tuple(again for again in self.sittings if again.changes)

    @property
    def touched(self) -> tuple[Again, ...]:
        """The sittings in which some mark would change, whatever the result."""
        return tuple(again for again in self.sittings if again.turns)


def remark_all(sittings: Iterable[Sat], old: RuleBook, new: RuleBook, blueprint: Blueprint) -> Proposal:
    """Mark all sittings that were drawn from the old revision again under the corrected one."""
    return Proposal(tuple(remark(sat, old, new, blueprint) for sat in sittings))


def remark(sat: Sat, old: RuleBook, new: RuleBook, blueprint: Blueprint) -> Again:
    """Mark one sitting again."""
    asked = sat.paper.questions(old)
    given = [sat.answers.get(place, "") for place in range(len(asked))]
    fates = [_fate(made, answer, new, blueprint) for made, answer in zip(asked, given, strict=True)]
    before = mark(asked, sat.answers, blueprint)
    missed = {miss.number for miss in before.misses}
    kept = {place for place, fate in enumerate(fates) if fate is not Fate.WRONG}
    after = mark([_corrected(made, new) for made in asked], sat.answers, blueprint, kept)
    turns = tuple(
        Turn(number, made.rule.key, number not in missed, fate)
        for number, (made, fate) in enumerate(zip(asked, fates, strict=True), 1)
        if (number in missed) is not (fate is Fate.WRONG)
    )
    return Again(sat.key, before, after, turns)


def _corrected(made: Question, new: RuleBook) -> Question:
    """The question as it was shown, with the rule as it is now for how critical it is and what it says."""
    return replace(made, rule=new.rule(made.rule.key)) if new.has(made.rule.key) else made


# --- one answer -------------------------------------------------------------------------------------------------


def _fate(made: Question, answer: str, new: RuleBook, blueprint: Blueprint) -> Fate:
    if not new.has(made.rule.key):
        return Fate.VOID
    rule = new.rule(made.rule.key)
    match made.answer:
        case "number":
            return _of_number(made, answer, rule)
        case "order":
            return _of_order(made, answer, rule, blueprint)
        case _:
            return _of_letters(made, answer, rule, new)


def _of(right: bool) -> Fate:
    return Fate.RIGHT if right else Fate.WRONG


def _of_number(made: Question, answer: str, rule: Rule) -> Fate:
    true = _true(made, rule)
    if true is None or made.true is None or true.kind != made.true.kind:
        return Fate.VOID
    typed = stored_measure(answer)
    return _of(typed is not None and typed_right(rule, replace(made, rule=rule, true=true), typed))


def _true(made: Question, rule: Rule) -> Measure | None:
    if made.sum is None:
        found: Measure | None = getattr(rule, made.part)
        return found
    return solve(rule.value, made.sum) if rule.value is not None and rule.value.value > 0 else None


def _of_order(made: Question, answer: str, rule: Rule, blueprint: Blueprint) -> Fate:
    shown = {act_of(option) for option in made.options}
    if not shown <= {act.key for act in rule.acts}:
        return Fate.VOID
    acts = [act_of(option) for option in made.picked(answer)] if answer else []
    return _of(len(acts) == len(made.options) and in_order(rule, acts, blueprint.order))


def _of_letters(made: Question, answer: str, rule: Rule, new: RuleBook) -> Fate:
    if not _same_kind(made, rule):
        return Fate.VOID
    right = _right_now(made, rule, new)
    if not right:
        return Fate.VOID
    now = [replace(option, right=option.letter in right) for option in made.options]
    return _of(is_right(replace(made, options=tuple(now)), answer))


def _same_kind(made: Question, rule: Rule) -> bool:
    """Can what the options claim still be held against the rule?"""
    old = made.rule
    units = (old.unit, rule.unit) if old.numeric else (old.by, rule.by)
    kinds = {UNITS[unit].kind if unit else "" for unit in units}
    return old.numeric is rule.numeric and bool(old.bands) is bool(rule.bands) and len(kinds) == 1


def _right_now(made: Question, rule: Rule, new: RuleBook) -> set[str]:
    """The letters that the corrected rule agrees with."""
    claim = made.options[0].claim
    if isinstance(claim, Practice):
        return _said(made.options, rule.say(rule.right).en if rule.right else "") or _letters(made)
    if isinstance(claim, Demand):
        return _demanded(made, rule, claim.by)
    return {option.letter for option in made.options if _holds(option, rule, new)}


def _holds(option: Option, rule: Rule, new: RuleBook) -> bool:
    claim = option.claim
    if isinstance(claim, Breaks) and new.has(claim.rule.key):
        other = new.rule(claim.rule.key)
        return other.numeric and other.unit == claim.rule.unit and holds(other, replace(claim, rule=other))
    if isinstance(claim, Verdict) and claim.reading.kind != UNITS[rule.unit].kind:
        return False
    return holds(rule, claim)


def _letters(made: Question) -> set[str]:
    return {option.letter for option in made.options if option.right}


def _said(options: Sequence[Option], words: str) -> set[str]:
    return {option.letter for option in options if option.text.en == words}


def _demanded(made: Question, rule: Rule, by: Measure) -> set[str]:
    """The option that says what the band asks for now; as before, when only the words of the same band changed."""
    before, band = made.rule.band_for(by), rule.band_for(by)
    if band is None or before is None:
        return set()
    found = _said(made.options, demand(band, rule).en)
    reworded = (before.above, before.upto, before.value) == (band.above, band.upto, band.value)
    return found or (_letters(made) if reworded else set())
