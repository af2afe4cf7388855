"""Who in a crew list may be somebody already known, or somebody met further up, and what an import would create."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from itertools import combinations

from training.domain.crewlist import Candidate, ReadRow, crew_names
from training.domain.messages import Message
from training.domain.names import Likeness, Name, fold, likeness, one_slip, tokens

SAME_DETAILS = ("phone", "email", "number")
MOST_WORDS = 6
"""Words of a name that are compared; more would make very many choices of them."""
MOST_DOUBLES = 6
"""Likely doubles shown for one row."""

CREW_WORDS = frozenset({"crew", "crews", "cuadrilla", "equipo", "grupo", "team", "gang"})

Key = tuple[str, str]


class Against(StrEnum):
    """What a row may repeat: a person in the record, or an earlier row."""

    PERSON = "person"
    ROW = "row"


@dataclass(frozen=True)
class Known:
    """A person in the record, as far as likeness needs it."""

    id: int
    given: str
    family: str
    phone: str = ""
    email: str = ""
    number: str = ""
    born: date | None = None

    @property
    def name(self) -> Name:
        return Name(self.given, self.family)


@dataclass(frozen=True)
class Double:
    """A likely repetition: of person `id` or of row `id`, and why (`crewlist.double.*` keys)."""

    against: Against
    id: int
    name: str
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Choice:
    """What the reader decided for one row: a new person, left out, or the same as a known person."""

    what: str
    person: int | None = None

    def __str__(self) -> str:
        return self.what if self.person is None else f"{self.what}:{self.person}"

    @classmethod
    def parse(cls, text: str) -> "Choice | None":
        """`new`, `skip` or `same:17`; None for anything else."""
        if text in ("new", "skip"):
            return cls(text)
        what, _, number = text.partition(":")
        return cls("same", int(number)) if what == "same" and number.isascii() and number.isdigit() else None


@dataclass(frozen=True)
class Plan:
    """What an import would do. `open` says what keeps it from being confirmed."""

    new: tuple[ReadRow, ...]
    same: Mapping[int, int]
    skipped: tuple[int, ...]
    new_crews: tuple[str, ...]
    open: tuple[Message, ...]

    @property
    def is_ready(self) -> bool:
        return not self.open


Doubles = Mapping[int, tuple[Double, ...]]


def find_doubles(rows: Iterable[ReadRow], known: Iterable[Known]) -> dict[int, tuple[Double, ...]]:
    """Likely repetitions by row number: of people in the record, and of rows further up. Order: likeliest first."""
    index = _Index()
    for person in known:
        index.add(Against.PERSON, person.id, person)
    found: dict[int, tuple[Double, ...]] = {}
    for row in rows:
        doubles = index.like(row.person)
        if doubles:
            found[row.number] = doubles
        if row.person.given:
            index.add(Against.ROW, row.number, row.person)
    return found


def doubles_of(person: Candidate, known: Iterable[Known]) -> tuple[Double, ...]:
    """People in the record who may be this one, likeliest first."""
    index = _Index()
    for other in known:
        index.add(Against.PERSON, other.id, other)
    return index.like(person)


class _Index:
    """People by what a repetition must share, so that not everyone is compared with everyone."""

    def __init__(self) -> None:
        self._people: list[tuple[Against, int, Known | Candidate]] = []
        self._whole: dict[Key, list[int]] = defaultdict(list)
        self._parts: dict[Key, list[int]] = defaultdict(list)

    def add(self, against: Against, id: int, person: Known | Candidate) -> None:
        at = len(self._people)
        self._people.append((against, id, person))
        for key in _whole_keys(person):
            self._whole[key].append(at)
        for key in _part_keys(person):
            self._parts[key].append(at)

    def like(self, person: Candidate) -> tuple[Double, ...]:
        # One of the two names holds every word of the other: whole against parts, both ways.
        near = {at for key in _whole_keys(person) for at in self._parts.get(key, ())}
        near |= {at for key in _part_keys(person) for at in self._whole.get(key, ())}
        found = []
        for at in near:
            against, id, other = self._people[at]
            reasons = reasons_alike(person, other)
            if reasons:
                found.append(Double(against, id, other.name.full, reasons))
        return tuple(sorted(found, key=_likeliest)[:MOST_DOUBLES])


def _likeliest(double: Double) -> tuple[int, int, str, int]:
    order = {reason: at for at, reason in enumerate([*Likeness, *SAME_DETAILS])}
    return (-len(double.reasons), order.get(double.reasons[0], 9), double.against, double.id)


def _whole_keys(person: Known | Candidate) -> set[Key]:
    details = {(kind, value) for kind in SAME_DETAILS if (value := _detail(person, kind))}
    return _name_keys(_words(person)) | details


def _part_keys(person: Known | Candidate) -> set[Key]:
    """Keys of every choice of two or more words of the name; a single word only when it is all there is."""
    words = _words(person)
    sizes = range(min(2, len(words)), len(words) + 1)
    details = {(kind, value) for kind in SAME_DETAILS if (value := _detail(person, kind))}
    return details.union(*(_name_keys(part) for size in sizes for part in combinations(words, size)))


def _words(person: Known | Candidate) -> tuple[str, ...]:
    return (tokens(person.given) + tokens(person.family))[:MOST_WORDS]


def _name_keys(words: tuple[str, ...]) -> set[Key]:
    """Each word with the first sounds of the others: one word must be the same, the others may have a slip."""
    sounds = [_sound(word) for word in words]
    return {(word, "".join(sorted(sounds[:at] + sounds[at + 1 :]))) for at, word in enumerate(words)}


def _sound(word: str) -> str:
    """The first letter as Spanish hears it: b and v, s and z, g, i, j and y fall together."""
    first = word[:1]
    return {"v": "b", "z": "s", "c": "s", "k": "s", "q": "s", "y": "j", "i": "j", "g": "j", "x": "j"}.get(first, first)


def _detail(person: Known | Candidate, kind: str) -> str:
    return str(getattr(person, kind)).strip().lower()


def reasons_alike(one: Candidate, other: Known | Candidate) -> tuple[str, ...]:
    """Why two records may be one person. Names that are only similar do not count when the birth dates differ."""
    alike = likeness(one.name, other.name)
    born_apart = one.born and other.born and one.born != other.born
    if born_apart and alike in (Likeness.PART, Likeness.CLOSE):
        alike = None
    reasons = [str(alike)] if alike else []
    reasons += [
        f"same_{kind}" for kind in SAME_DETAILS if _detail(one, kind) and _detail(one, kind) == _detail(other, kind)
    ]
    if reasons and one.born and one.born == other.born:
        reasons.append("same_birth")
    return tuple(reasons)


def make_plan(
    rows: Iterable[ReadRow], doubles: Doubles, choices: Mapping[int, Choice], crews: Iterable[str] = ()
) -> Plan:
    """What would be created, and what is still open. A row with a fault or a likely double needs a choice."""
    new, same, skipped, faulty, undecided = [], {}, [], 0, 0
    for row in rows:
        choice = choices.get(row.number)
        if choice and choice.what == "skip":
            skipped.append(row.number)
        elif choice and choice.person is not None and _offers(doubles.get(row.number, ()), choice.person):
            same[row.number] = choice.person
        elif row.faults:
            faulty += 1
        elif row.number in doubles and (choice is None or choice.what != "new"):
            undecided += 1
        else:
            new.append(row)
    problems = _problems(faulty, undecided, bool(new))
    return Plan(tuple(new), same, tuple(skipped), _new_crews(new, crews), problems)


def _offers(doubles: Iterable[Double], person: int) -> bool:
    """Only a person who was shown as a likely double can be chosen."""
    return any(double.against is Against.PERSON and double.id == person for double in doubles)


def _problems(faulty: int, undecided: int, any_new: bool) -> tuple[Message, ...]:
    problems = []
    if faulty:
        problems.append(Message("crewlist.plan.faults", {"rows": faulty}))
    if undecided:
        problems.append(Message("crewlist.plan.doubles", {"rows": undecided}))
    if not problems and not any_new:
        problems.append(Message("crewlist.plan.nobody"))
    return tuple(problems)


def _new_crews(rows: Iterable[ReadRow], crews: Iterable[str]) -> tuple[str, ...]:
    there = {fold(crew) or crew for crew in crews}
    return tuple(name for folded, name in crew_names(rows).items() if folded not in there)


def near_crews(rows: Iterable[ReadRow], crews: Iterable[str]) -> tuple[Message, ...]:
    """New crew names one slip away from a known one or from a commoner one in the list: `Cuadrila 1`."""
    rows = list(rows)
    counts = Counter(fold(row.person.crew) for row in rows if row.person.crew)
    names = crew_names(rows)
    there = {fold(crew): crew for crew in crews}
    found = []
    for folded, name in names.items():
        others = {**{other: label for other, label in names.items() if counts[other] > counts[folded]}, **there}
        near = [label for other, label in others.items() if other != folded and _same_but_for_a_slip(folded, other)]
        if folded not in there and near:
            found.append(Message("crewlist.crew.near", {"crew": name, "other": near[0]}))
    return tuple(found)


def _same_but_for_a_slip(one: str, other: str) -> bool:
    """`ridge` and `ridge crew`, `cuadrila 1` and `cuadrilla 1`; but Crew 1 and Crew 2, Crew A and Crew B are two."""
    if one.replace(" ", "") == other.replace(" ", "") or _bare(one) == _bare(other):
        return True
    words, others = one.split(), other.split()
    apart = [pair for pair in zip(words, others, strict=False) if pair[0] != pair[1]]
    letters_only = all(word.isalpha() and len(word) > 3 for pair in apart for word in pair)
    return len(words) == len(others) and len(apart) == 1 and letters_only and one_slip(*apart[0])


def _bare(crew: str) -> str:
    """A crew's name without the word that says it is one, and without spaces."""
    words = crew.split()
    return "".join([word for word in words if word not in CREW_WORDS] or words)
