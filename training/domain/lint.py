"""Item linter: makes every question of a book over many seeds and looks for faults that item writers are warned of.

E must not ship, W deserves a look. The numbers are those of the project's item rules, listed in `RULES`; they follow
Haladyna, Downing & Rodriguez 2002 (Applied Measurement in Education 15:309) and Rodriguez 2005 (Educational
Measurement: Issues and Practice 24(2):3), partly from memory.
"""

import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from training.domain.claims import Demand, StatedLimit, StatedRange, Verdict, agrees, holds
from training.domain.errors import Refused
from training.domain.papers import LONGEST_RUN, TWO_OPTION_SHARE
from training.domain.questions import Option, Question, patterns_for, question
from training.domain.rules import Operator, Rule, RuleBook
from training.domain.text import LANGUAGES
from training.domain.unit_table import UNITS
from training.domain.units import Measure

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
    "W10": "the right option is not by far the longest",
    "E11": "number options are sorted",
    "W11": "the right number is not always at the same place",
    "W12": "no letter is right more than three times in a row",
    "W13": "no rule comes twice in a paper",
    "E14": "there is a question",
    "W14": "the question has at most forty words",
    "E15": "units and languages are complete and agree",
    "W17": "at most a fifth of a paper has only two options",
    "E18": "the rule has a source",
}
"""Each rule of the linter in a few words, by its number."""

_ALL_OR_NONE = re.compile(
    r"\b(?:all|none|both) of (?:the above|these)\b|\b(?:todas|ninguna) (?:las|de las) (?:anteriores|opciones)"
)
_NEGATIVE = {"en": re.compile(r"\b(?:not|no|never|n't|except)\b"), "es": re.compile(r"\b(?:no|nunca|jamás|excepto)\b")}
_ABSOLUTE = {
    "en": re.compile(r"\b(?:always|never|only|every|all|none)\b"),
    "es": re.compile(r"\b(?:siempre|nunca|solo|todos|todas|ninguno|ninguna)\b"),
}
_AT_LEAST = re.compile(r"\b(?:at least|at most|or more|or less|al menos|como mínimo|como máximo|o más|o menos)\b")
_NUMBER = re.compile(r"\d[\d.,/:]*")
_TOO_LONG = 1.25
_SHORT = 12
_MOST_WORDS = 40


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
    for rule in book.rules:
        for finding in _lint_rule(rule, seeds):
            found.setdefault((finding.number, finding.rule, finding.pattern, finding.language, finding.detail), finding)
    return list(found.values())


def _lint_rule(rule: Rule, seeds: Sequence[str]) -> Iterator[Finding]:
    if rule.source is None:
        yield Finding("E18", rule.key)
    for pattern in patterns_for(rule):
        places = set()
        for seed in seeds:
            try:
                made = question(rule, pattern, seed)
            except Refused as refusal:
                yield Finding("E1", rule.key, pattern, seed, detail=str(refusal))
                continue
            yield from lint_question(made)
            places.add(made.right)
        if pattern == "choose-value" and len(places) == 1 and len(seeds) >= _SHORT:
            yield Finding("W11", rule.key, pattern, detail=places.pop())


def lint_question(made: Question) -> Iterator[Finding]:
    """Every fault of one question."""
    for check in _CHECKS:
        for number, language, detail in check(made):
            yield Finding(number, made.rule.key, made.pattern, made.seed, language, detail)


def lint_paper(questions: Sequence[Question]) -> Iterator[Finding]:
    """Faults that only a whole paper has."""
    letters = [made.right for made in questions if made.answer == "one"]
    for place in range(len(letters) - LONGEST_RUN):
        if len(set(letters[place : place + LONGEST_RUN + 1])) == 1:
            yield Finding("W12", "", detail=letters[place])
    two = [made for made in questions if len(made.options) == 2]
    if len(two) > TWO_OPTION_SHARE * len(questions):
        yield Finding("W17", "", detail=str(len(two)))
    for key, times in Counter(made.rule.key for made in questions).items():
        if times > 1:
            yield Finding("W13", key)


# --- one check each; they yield (number, language, detail) -----------------------------------------------------

Found = Iterator[tuple[str, str, str]]


def _one_right(made: Question) -> Found:
    if made.answer != "one":
        return
    right = [option.letter for option in made.options if holds(made.rule, option.claim)]
    if right != [made.right]:
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
    return [option for option in made.options if made.answer == "one" and option.letter != made.right]


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
    for option in made.options:
        given = option.claim.reading if isinstance(option.claim, Verdict) else None
        given = option.claim.by if isinstance(option.claim, Demand) else given
        if given is None:
            continue
        about = UNITS[given.unit]
        outside = given.value < about.lowest or (about.highest is not None and given.value > about.highest)
        if outside or (_on_edge(made, given) and not made.on_edge):
            yield "E6", "", made.value
        return


def _on_edge(made: Question, given: Measure) -> bool:
    rule = made.rule
    if rule.operator is Operator.BANDS:
        return any(given in (band.above, band.upto) for band in rule.bands)
    return rule.operator is not Operator.EXACT and given in (rule.limits.low, rule.limits.high)


def _wording(made: Question) -> Found:
    for language in LANGUAGES:
        stem = made.stem[language].casefold()
        if "?" not in stem:
            yield "E14", language, stem
        if len(stem.split()) > _MOST_WORDS:
            yield "W14", language, stem
        negatives = len(_NEGATIVE[language].findall(stem))
        if negatives:
            yield ("E8" if negatives > 1 else "W8"), language, stem
        for option in made.options:
            if _ALL_OR_NONE.search(option.text[language].casefold()):
                yield "E7", language, option.text[language]


def _cues(made: Question) -> Found:
    if made.pattern not in ("choose-practice", "choose-band"):
        return
    for language in LANGUAGES:
        texts = {option.letter: option.text[language] for option in made.options}
        absolute = [bool(_ABSOLUTE[language].search(text.casefold())) for text in texts.values()]
        if any(absolute) and not all(absolute):
            yield "W9", language, " | ".join(sorted(texts.values()))
        right = texts.pop(made.right)
        if len(right) > max(_SHORT, _TOO_LONG * max(map(len, texts.values()))):
            yield "W10", language, right


def _sorted(made: Question) -> Found:
    sizes = [[value for value, _ in _stated(option)] for option in made.options]
    if any(first > second for first, second in pairwise(sizes)):
        yield "E11", "", " | ".join(option.text.en for option in made.options)


def _languages_agree(made: Question) -> Found:
    for place, text in [("stem", made.stem), *((option.letter, option.text) for option in made.options)]:
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
    _one_right,
    _distinct,
    _no_overlap,
    _named,
    _outside_tolerance,
    _possible,
    _wording,
    _cues,
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
