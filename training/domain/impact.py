"""What rests on each change of a rule book: documents, questions and sittings, sign-offs, people and their cards.

The facts come as plain values of the register and the documents; nothing here reads a table.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from training.domain.demands import Demand, What
from training.domain.errors import BadInput
from training.domain.questions import patterns_for
from training.domain.rule_diff import REMOVED, Changed, Subject, by_part, diff
from training.domain.rules import CheckItem, Rule, RuleBook
from training.domain.short_paper import can_be_asked
from training.domain.text import LANGUAGES


@dataclass(frozen=True)
class DocumentFact:
    """A document as people read it today."""

    slug: str
    title: Mapping[str, str]
    text: Mapping[str, str]


@dataclass(frozen=True)
class SittingFact:
    """A quiz handed in on an older revision, and the rules it asked about."""

    person: int
    rules: frozenset[str]


@dataclass(frozen=True)
class SignOffFact:
    """A hands-on signed on an older revision, and the acts it was judged by."""

    person: int
    items: frozenset[str]


@dataclass(frozen=True)
class Facts:
    """All that could rest on the older revisions. `holders`: who may work today on proofs made on them, and
    `carded`: those of them with a card."""

    documents: Sequence[DocumentFact] = ()
    sittings: Sequence[SittingFact] = ()
    sign_offs: Sequence[SignOffFact] = ()
    holders: frozenset[int] = frozenset()
    carded: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Rests:
    """What rests on one changed rule or act. `patterns`: kinds of question that ask about it."""

    documents: tuple[DocumentFact, ...]
    patterns: tuple[str, ...]
    items: tuple[str, ...]
    sittings: int
    sign_offs: int
    people: frozenset[int]
    cards: int


@dataclass(frozen=True)
class Impact:
    """One changed rule or act: what rests on it, what may be asked because of it, and what is proposed."""

    changed: Changed
    rests: Rests
    choices: tuple[What, ...]
    proposed: What | None

    @property
    def name(self) -> str:
        """A name for a form field: `rule:headlap`."""
        return f"{self.changed.subject}:{self.changed.key}"


def impact(old: RuleBook, new: RuleBook, facts: Facts) -> tuple[Impact, ...]:
    """What rests on each change from `old` to `new`, in the order of the book."""
    return tuple(_impact(part, old, new, facts) for part in by_part(diff(old, new)))


def _impact(part: Changed, old: RuleBook, new: RuleBook, facts: Facts) -> Impact:
    keys = frozenset(rules_of(part))
    items = frozenset(item.key for book in (old, new) for item in book.checklist if item.rule in keys)
    if part.subject is Subject.ITEM:
        items = frozenset({part.key})
    sittings = [sitting for sitting in facts.sittings if keys & sitting.rules]
    sign_offs = [sign_off for sign_off in facts.sign_offs if items & sign_off.items]
    people = frozenset({it.person for it in sittings} | {it.person for it in sign_offs}) & facts.holders
    rests = Rests(
        documents=tuple(it for it in facts.documents if _stands_on(it, part, old)),
        patterns=_patterns(keys, new),
        items=tuple(item.key for item in new.checklist if item.key in items),
        sittings=len(sittings),
        sign_offs=len(sign_offs),
        people=people,
        cards=len(people & facts.carded),
    )
    choices = _choices(part, new)
    return Impact(part, rests, choices, _proposed(part, choices))


def rules_of(part: Changed) -> tuple[str, ...]:
    """The rules that a change is about: the changed one, or the one that a changed act is held against."""
    if part.subject is Subject.RULE:
        return (part.key,) if part.key else ()
    found = part.part
    return (found.rule,) if isinstance(found, CheckItem) and found.rule else ()


def _patterns(keys: Collection[str], new: RuleBook) -> tuple[str, ...]:
    return tuple(pattern for key in keys if new.has(key) for pattern in patterns_for(new.rule(key)))


def _stands_on(document: DocumentFact, part: Changed, old: RuleBook) -> bool:
    """Does the document give a number that the rule had before, or, for the book itself, name the product?"""
    if part.subject is Subject.BOOK:
        return any(old.product.casefold() in document.text[language].casefold() for language in LANGUAGES)
    was = part.changes[0].old
    return isinstance(was, Rule) and any(names(was, document.text[language], language) for language in LANGUAGES)


def names(rule: Rule, text: str, language: str) -> bool:
    """Does a text give every number of the rule, as the rule shows it?"""
    said = " ".join(text.replace("\N{NO-BREAK SPACE}", " ").split())
    numbers = [number.replace("\N{NO-BREAK SPACE}", " ") for number in rule.parts(language).values()]
    return bool(numbers) and all(_stands_in(number, said) for number in numbers)


def _stands_in(number: str, text: str) -> bool:
    """As a number of its own: `19 days` does not stand in `119 days`."""
    places = [place for place in range(len(text)) if text.startswith(number, place)]
    return any(place == 0 or not (text[place - 1].isdigit() or text[place - 1] in ".,/:") for place in places)


def _choices(part: Changed, new: RuleBook) -> tuple[What, ...]:
    """A short quiz needs a rule that is still there and can be asked about; order and titles ask for nothing."""
    if part.subject is Subject.TOPIC or (part.subject is not Subject.BOOK and not part.key):
        return ()
    asked = any(new.has(key) and can_be_asked(new.rule(key)) for key in rules_of(part))
    return (What.REREAD, What.QUIZ, What.FULL) if asked else (What.REREAD, What.FULL)


def _proposed(part: Changed, choices: Collection[What]) -> What | None:
    """Grave changes are asked about where they can be, else read again; wording asks nothing. A proposal only."""
    if not part.grave or not choices or all(change.what == REMOVED for change in part.changes):
        return None
    return What.QUIZ if What.QUIZ in choices else What.REREAD


# --- what the officer decided ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Choice:
    """What is asked because of one change; None asks nothing."""

    changed: Changed
    what: What | None


def demands(
    choices: Iterable[Choice], documents: Sequence[str], *, since: date, effective_on: date, due_on: date
) -> list[dict[str, object]]:
    """What the entry will ask: one demand of each kind, with the rules it is about.

    Raises BadInput for a last day before the revision counts or before today.
    """
    if due_on < max(since, effective_on):
        raise BadInput("impact.due_too_early", field="due_on", date=max(since, effective_on))
    asked: dict[What, list[str]] = {}
    for choice in choices:
        if choice.what is not None:
            asked.setdefault(choice.what, []).extend(rules_of(choice.changed))
    return [_demand(what, asked[what], documents, since, due_on).data() for what in What if what in asked]


def _demand(what: What, rules: Iterable[str], documents: Sequence[str], since: date, due_on: date) -> Demand:
    named = tuple(documents) if what is What.REREAD else ()
    return Demand(0, "", 0, what, tuple(dict.fromkeys(rules)), named, since, since, due_on)


def grave_first(parts: Iterable[Impact]) -> list[Impact]:
    """For the page: what can make a right answer wrong before what only reads otherwise."""
    return sorted(parts, key=lambda it: not it.changed.grave)
