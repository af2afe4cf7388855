"""Item linter: makes every question of a book over many seeds and looks for faults that item writers are warned of.

E must not ship, W deserves a look. Words are checked in `lint_words`, papers in `lint_papers`. The numbers are those of
the project's item rules, listed in `RULES`; they follow Haladyna, Downing & Rodriguez 2002 (Applied Measurement in
Education 15:309) and Rodriguez 2005 (Educational Measurement: Issues and Practice 24(2):3), partly from memory.
"""

import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from training.domain.answers import mistakes, typed_right
from training.domain.claims import (
    Breaks,
    Covers,
    Demand,
    SameSlope,
    StatedLimit,
    StatedRange,
    Verdict,
    agrees,
    holds,
)
from training.domain.errors import Refused
from training.domain.lint_words import WORD_CHECKS, Found
from training.domain.questions import Option, Question, patterns_for, question
from training.domain.rules import Operator, Rule, RuleBook
from training.domain.sums import area_of
from training.domain.text import LANGUAGES
from training.domain.units import Measure, is_possible

RULES = {
    "E1": "exactly one option is right when the rule judges them again",
    "E2": "options read differently in every language",
    "E3": "no two options can both be true",
    "E4": "every wrong option has a named error",
    "E5": "a wrong value lies outside the tolerance",
    "W5": "a wrong value is between a third and three times the true one",
    "E6": "values are possible, and on an edge only when the edge is the point",
    "E7": "no option says all or none of the above",
    "W8": "the question is not negative",
    "E8": "the question has no double negative",
    "W9": "words such as always stand in all options or none",
    "W10": "the right option is not by far the longest, nor alone in a unit, a hedge or its precision",
    "E11": "number options are sorted",
    "W11": "the right number is not always at the same place, nor always in the middle",
    "W12": "the right letters are spread, none more than three times in a row",
    "W13": "no word or ending leads from the question to the right option alone",
    "E14": "there is a question",
    "W14": "the question has at most forty words",
    "E15": "units and languages are complete and agree",
    "E16": "no question shows the answer of another one in the paper",
    "W17": "at most a fifth of a paper has only two options",
    "E18": "the rule has a source, and no older one than the newest sheet of the book",
    "W19": "no rule comes twice in a paper",
    "E20": "the question is about the work, not about editions, dates or names",
    "E21": "a new try shows no question and no answer again",
    "W21": "the pool has questions for three papers",
}
"""Each rule of the linter in a few words, by its number."""

_AT_LEAST = re.compile(r"\b(?:at least|at most|or more|or less|al menos|como mínimo|como máximo|o más|o menos)\b")
_NUMBER = re.compile(r"\d[\d.,/:]*")
_SHORT = 12


@dataclass(frozen=True)
class Finding:
    """One fault: its number in `RULES`, the question (first seed that shows it), the language, and the words."""

    number: str
    rule: str
    pattern: str = ""
    seed: str = ""
    language: str = ""
    detail: str = ""

    @property
    def grave(self) -> bool:
        """Must it be mended before the book is used?"""
        return self.number.startswith("E")


def lint(book: RuleBook, seeds: Iterable[str]) -> list[Finding]:
    """Every fault of every question the book can ask, over these seeds; each kind of fault once per question kind."""
    seeds = tuple(seeds)
    found: dict[tuple[str, ...], Finding] = {}
    newest = max((_sheet(rule) for rule in book.rules), default=0)
    for rule in book.rules:
        for finding in _lint_rule(rule, book, seeds, newest):
            found.setdefault((finding.number, finding.rule, finding.pattern, finding.language, finding.detail), finding)
    return list(found.values())


def _sheet(rule: Rule) -> int:
    """The revision of the product sheet that the rule cites; 0 for none, or one that is no number."""
    revision = rule.source.revision if rule.source else ""
    return int(revision) if revision.isdecimal() else 0


def _lint_rule(rule: Rule, book: RuleBook, seeds: Sequence[str], newest: int) -> Iterator[Finding]:
    if rule.source is None:
        yield Finding("E18", rule.key)
    elif 0 < _sheet(rule) < newest:
        yield Finding("E18", rule.key, detail=f"{rule.source.revision} < {newest}")
    for pattern in patterns_for(rule, book):
        yield from _lint_pattern(rule, pattern, book, seeds)


def _lint_pattern(rule: Rule, pattern: str, book: RuleBook, seeds: Sequence[str]) -> Iterator[Finding]:
    """Every different question of one kind about one rule."""
    places, checked = set(), set()
    for seed in seeds:
        try:
            made = question(rule, pattern, seed, book)
        except Refused as refusal:
            yield Finding("E1", rule.key, pattern, seed, detail=str(refusal))
            continue
        places.add(made.right)
        instance = made.stem.en, made.right, *(option.text.en for option in made.options)
        if instance not in checked:
            checked.add(instance)
            yield from lint_question(made)
    if pattern == "choose-value" and len(places) == 1 and len(seeds) >= _SHORT:
        yield Finding("W11", rule.key, pattern, detail=places.pop())


def lint_question(made: Question) -> Iterator[Finding]:
    """Every fault of one question."""
    for check in _CHECKS:
        for number, language, detail in check(made):
            yield Finding(number, made.rule.key, made.pattern, made.seed, language, detail)


# --- one check each; they yield (number, language, detail) -----------------------------------------------------


def _key_holds(made: Question) -> Found:
    """The letters of the key are those that the rule agrees with: one, or of many some but not all."""
    if made.answer not in ("one", "many"):
        return
    right = [option.letter for option in made.options if holds(made.rule, option.claim)]
    many = 1 if made.answer == "one" else len(made.options) - 1
    if ",".join(right) != made.right or not 1 <= len(right) <= many:
        yield "E1", "", f"{right} for {made.right}"


def _distinct(made: Question) -> Found:
    for language in LANGUAGES:
        texts = [" ".join(option.text[language].casefold().split()) for option in made.options]
        if len(set(texts)) != len(texts):
            yield "E2", language, " | ".join(texts)


def _no_overlap(made: Question) -> Found:
    for language in LANGUAGES:
        open_ended = [option for option in made.options if _AT_LEAST.search(option.text[language].casefold())]
        if len(open_ended) > 1 and made.rule.numeric:
            yield "E3", language, open_ended[0].text[language]


def _wrong(made: Question) -> list[Option]:
    return [option for option in made.options if made.answer in ("one", "many") and not option.right]


def _named(made: Question) -> Found:
    for option in _wrong(made):
        if not option.error or option.error_name is None:
            yield "E4", "", option.text.en


def _stated(option: Option) -> list[tuple[Measure, str]]:
    match option.claim:
        case StatedLimit(stated, part):
            return [(stated, part)]
        case StatedRange(low, high):
            return [(low, "low"), (high, "high")]
        case _:
            return []


def _outside_tolerance(made: Question) -> Found:
    for wrong, name in mistakes(made) if made.answer == "number" else ():
        if typed_right(made.rule, made, wrong):
            yield "E5", "", name.en
    for option in _wrong(made):
        stated = _stated(option)
        if stated and all(agrees(made.rule, value, getattr(made.rule, part)) for value, part in stated):
            yield "E5", "", option.text.en
        if any(_far(value, getattr(made.rule, part)) for value, part in stated):
            yield "W5", "", option.text.en


def _far(value: Measure, true: Measure) -> bool:
    if value.kind == "temperature" or not true.value:
        return False
    return not true.value <= 3 * value.to(true.unit).value <= 9 * true.value


def _possible(made: Question) -> Found:
    """Given numbers can be, and lie on an edge only where the edge is the point."""
    for option in made.options:
        rule, given = _given(made, option)
        if given is not None and (not is_possible(given) or (_on_edge(rule, given) and not made.on_edge)):
            yield "E6", "", str(given)


def _given(made: Question, option: Option) -> tuple[Rule, Measure | None]:
    match option.claim:
        case Verdict(reading=given) | Demand(by=given):
            return made.rule, given
        case Breaks(rule, reading):
            return rule, reading
        case Covers(length, width, area):
            return made.rule, area_of(length, width, area.unit)
        case _:
            return made.rule, None


def _on_edge(rule: Rule, given: Measure) -> bool:
    if rule.operator is Operator.BANDS:
        return any(given in (band.above, band.upto) for band in rule.bands)
    return rule.operator is not Operator.EXACT and given in (rule.limits.low, rule.limits.high)


def _sorted(made: Question) -> Found:
    sizes = [_sizes(option, made.answer) for option in made.options]
    if any(first > second for first, second in pairwise(sizes)):
        yield "E11", "", " | ".join(option.text.en for option in made.options)


def _sizes(option: Option, answer: str) -> list[Measure]:
    """The numbers by which the options are sorted."""
    match option.claim:
        case SameSlope(_, stated):
            return [stated]
        case Covers(area=area):
            return [area]
        case Verdict(reading) if answer == "many":
            return [reading]
        case _:
            return [value for value, _ in _stated(option)]


def _languages_agree(made: Question) -> Found:
    drawn = [("figure", made.figure.spoken)] if made.figure else []
    for place, text in [("stem", made.stem), *drawn, *((option.letter, option.text) for option in made.options)]:
        if not all(text[language].strip(" ?") for language in LANGUAGES):
            yield "E15", "", f"{place} is empty"
        numbers = [Counter(_NUMBER.findall(text[language])) for language in LANGUAGES]
        if any(other != numbers[0] for other in numbers[1:]):
            yield "E15", "", f"{place}: {text.en} | {text.es}"


def _units_agree(made: Question) -> Found:
    units = {value.unit for option in made.options for value, _ in _stated(option)}
    if len(units) > 1:
        yield "E15", "", ", ".join(sorted(units))


_CHECKS: tuple[Callable[[Question], Found], ...] = (
    _key_holds,
    _distinct,
    _no_overlap,
    _named,
    _outside_tolerance,
    _possible,
    *WORD_CHECKS,
    _sorted,
    _languages_agree,
    _units_agree,
)


def by_rule(findings: Iterable[Finding]) -> dict[str, list[Finding]]:
    """The findings gathered by rule of the book, for showing."""
    gathered: dict[str, list[Finding]] = defaultdict(list)
    for finding in findings:
        gathered[finding.rule].append(finding)
    return dict(gathered)
