"""Checks of the words of one question: clear, positive, about the work, and no cue to the right option.

Each check yields (number in `lint.RULES`, language, detail).
"""

import re
from collections.abc import Callable, Iterator

from training.domain.questions import Option, Question
from training.domain.text import LANGUAGES

Found = Iterator[tuple[str, str, str]]

_ALL_OR_NONE = re.compile(
    r"\b(?:all|none|both) of (?:the above|these)\b|\b(?:todas|ninguna) (?:las|de las) (?:anteriores|opciones)"
)
_NEGATIVE = {"en": re.compile(r"\b(?:not|no|never|n't|except)\b"), "es": re.compile(r"\b(?:no|nunca|jamás|excepto)\b")}
_DENIAL = {"en": re.compile(r"(?:no|not|never)\b"), "es": re.compile(r"(?:no|nunca|jamás)\b")}
_ABSOLUTE = {
    "en": re.compile(r"\b(?:always|never|only|every|all|none)\b"),
    "es": re.compile(r"\b(?:siempre|nunca|solo|todos|todas|ninguno|ninguna)\b"),
}
_HEDGE = {
    "en": re.compile(r"\b(?:usually|normally|mostly|often|about|almost|as a rule)\b"),
    "es": re.compile(r"\b(?:normalmente|usualmente|casi|a menudo|más o menos|por lo general)\b"),
}
_TRIVIA = {
    "en": re.compile(
        r"\b(?:which|what) (?:year|date|edition|page|clause|section|publication|version|revision)\b"
        r"|\bwho (?:wrote|invented|published)\b|\bname of the (?:law|standard|author)\b"
    ),
    "es": re.compile(
        r"\bqué (?:año|fecha|edición|página|cláusula|sección|publicación|versión|revisión)\b"
        r"|\bquién (?:escribió|inventó|publicó)\b|\bnombre de la (?:ley|norma)\b|\bnombre del autor\b"
    ),
}
_YEAR = re.compile(r"\b(?:19|20)\d\d\b")
_LOOSE_END = {"en": re.compile(r"\b(?:an?|the)\s*\?"), "es": re.compile(r"\b(?:el|la|los|las|un|una|unos|unas)\s*\?")}
_UNIT = re.compile(r"\d\s*[^\W\d_]|\d\s*[°%]")
_PARTS = re.compile(r"\d[.]\d|\d/\d")
_WORD = re.compile(r"[^\W\d_]{5,}")
_TOO_LONG = 1.25
_SHORT = 12
_MOST_WORDS = 40
_IN_WORDS = ("choose-practice", "choose-band")
_ALIKE = (*_IN_WORDS, "choose-value", "choose-slope", "pick-drawing")
"""Patterns whose options are all of one sort."""


def _plain(text: str) -> str:
    return text.casefold().replace("\u00a0", " ")


def _asks(made: Question) -> Found:
    """There is a question, and it is short."""
    for language in LANGUAGES:
        stem = made.stem[language]
        if "?" not in stem:
            yield "E14", language, stem
        if len(stem.split()) > _MOST_WORDS:
            yield "W14", language, stem


def _negatives(made: Question) -> Found:
    """No negative question; never one with a second negative, in itself or in an option."""
    for language in LANGUAGES:
        stem = _plain(made.stem[language])
        negatives = len(_NEGATIVE[language].findall(stem))
        denied = any(_DENIAL[language].match(_plain(option.text[language])) for option in made.options)
        if negatives:
            yield ("E8" if negatives > 1 or denied else "W8"), language, stem


def _all_or_none(made: Question) -> Found:
    for language in LANGUAGES:
        for option in made.options:
            if _ALL_OR_NONE.search(_plain(option.text[language])):
                yield "E7", language, option.text[language]


def _trivia(made: Question) -> Found:
    """Nothing about editions, dates or names."""
    for language in LANGUAGES:
        years = [bool(_YEAR.search(option.text[language])) for option in made.options]
        if _TRIVIA[language].search(_plain(made.stem[language])) or (years and all(years)):
            yield "E20", language, made.stem[language]


def _right(made: Question) -> Option | None:
    return made.option(made.right) if made.answer == "one" else None


def _cues_in_words(made: Question) -> Found:
    """Absolute words, and a right option by far the longest; of sentences only."""
    right = _right(made)
    if right is None or made.pattern not in _IN_WORDS:
        return
    for language in LANGUAGES:
        texts = [option.text[language] for option in made.options]
        absolute = [bool(_ABSOLUTE[language].search(_plain(text))) for text in texts]
        if any(absolute) and not all(absolute):
            yield "W9", language, " | ".join(sorted(texts))
        longest = max(len(option.text[language]) for option in made.options if option is not right)
        if len(right.text[language]) > max(_SHORT, _TOO_LONG * longest):
            yield "W10", language, right.text[language]


def _alone(made: Question) -> Found:
    """The right option alone has a unit, a hedge, or parts of a number; or all have them but the right one."""
    right = _right(made)
    if right is None or len(made.options) < 3 or made.pattern not in _ALIKE:
        return
    for language in LANGUAGES:
        for sign in (_UNIT, _HEDGE[language], _PARTS):
            has = [bool(sign.search(_plain(option.text[language]))) for option in made.options if option is not right]
            if len(set(has)) == 1 and has[0] is not bool(sign.search(_plain(right.text[language]))):
                yield "W10", language, right.text[language]


def _leads(made: Question) -> Found:
    """A word that only the question and its right option share, or an ending that fits one gender or number."""
    right = _right(made)
    for language in LANGUAGES:
        stem = _plain(made.stem[language])
        if _LOOSE_END[language].search(stem):
            yield "W13", language, stem
        if right is None or made.pattern not in _IN_WORDS:
            continue
        others = " ".join(_plain(option.text[language]) for option in made.options if option is not right)
        shared = set(_WORD.findall(stem)) & set(_WORD.findall(_plain(right.text[language])))
        for word in sorted(shared - set(_WORD.findall(others))):
            yield "W13", language, word


WORD_CHECKS: tuple[Callable[[Question], Found], ...] = (
    _asks,
    _negatives,
    _all_or_none,
    _trivia,
    _cues_in_words,
    _alone,
    _leads,
)
