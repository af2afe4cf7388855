"""What a qualification covers: families of scopes, which scope includes which, and what is missing for a job."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from training.domain.errors import BadInput
from training.domain.text import LANGUAGES, Text


@dataclass(frozen=True, slots=True)
class Scope:
    """One thing a person may be qualified for, such as `slope:s3`; holding it includes holding all of `implies`."""

    key: str
    family: str
    title: Text
    short: Text
    implies: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Family:
    """Scopes of one question about a roof: which profile, which slope, which eave closure."""

    key: str
    title: Text
    scopes: tuple[Scope, ...]


@dataclass(frozen=True)
class ScopeBook:
    """All scopes of a qualification, in the order in which they are shown."""

    families: tuple[Family, ...]
    _covered: Mapping[str, frozenset[str]] = field(repr=False, compare=False)

    @classmethod
    def parse(cls, data: object) -> "ScopeBook":
        """From the `families` list of a qualification; raises BadInput that names the family or scope at fault."""
        families = tuple(_family(item) for item in items(data, "scopes.unreadable"))
        scopes: dict[str, Scope] = {}
        for scope in (scope for family in families for scope in family.scopes):
            if scope.key in scopes:
                raise BadInput("scopes.twice", scope=scope.key)
            scopes[scope.key] = scope
        return cls(families, {key: _closure(key, scopes) for key in scopes})

    @cached_property
    def scopes(self) -> Mapping[str, Scope]:
        """Every scope by its key, in order."""
        return {scope.key: scope for family in self.families for scope in family.scopes}

    def expand(self, keys: Iterable[str]) -> frozenset[str]:
        """The scopes covered by holding `keys`: themselves and all they include. Unknown keys cover nothing."""
        return frozenset().union(*(self._covered.get(key, frozenset()) for key in keys))

    def missing(self, held: Iterable[str], wanted: Iterable[str]) -> tuple[str, ...]:
        """The wanted scopes that `held` does not cover, in the order of the book; empty means all are covered."""
        return self.in_order(set(wanted) - self.expand(held))

    def including(self, keys: Collection[str]) -> frozenset[str]:
        """The scopes that cannot stand without `keys`: themselves and every scope that includes one of them."""
        return frozenset(key for key, covered in self._covered.items() if not covered.isdisjoint(keys))

    def without(self, held: Iterable[str], lost: Collection[str]) -> frozenset[str]:
        """What is left of `held` once `lost` no longer counts; a scope that includes a lost one goes too."""
        return self.expand(held) - self.including(lost)

    def in_order(self, keys: Collection[str]) -> tuple[str, ...]:
        """`keys` as the book lists them, unknown ones last."""
        known = tuple(key for key in self._covered if key in keys)
        return known if len(known) == len(keys) else known + tuple(sorted(set(keys) - self._covered.keys()))

    def shortest(self, keys: Iterable[str]) -> tuple[str, ...]:
        """The fewest scopes that say the same as `keys`: those that no other one of them includes."""
        kept = self.expand(keys)
        included = {lower for key in kept for lower in self._covered[key] if lower != key}
        return self.in_order(kept - included)

    def check(self, keys: Collection[str]) -> frozenset[str]:
        """`keys` as a set; raises BadInput when one is not in the book."""
        unknown = set(keys) - self._covered.keys()
        if unknown:
            raise BadInput("scopes.unknown", scopes=", ".join(sorted(unknown)))
        return frozenset(keys)

    def words(self, keys: Collection[str]) -> tuple[Text, ...]:
        """Short names for people, in the order of the book; a key that left the book is shown as it is."""
        scopes = self.scopes
        return tuple(scopes[key].short if key in scopes else Text(key, key) for key in self.in_order(keys))


def items(data: object, key: str) -> Sequence[Mapping[str, object]]:
    """`data` as a list of JSON objects; raises BadInput(key) otherwise."""
    if not isinstance(data, list) or not data or not all(isinstance(item, Mapping) for item in data):
        raise BadInput(key)
    return data


def text(data: Mapping[str, object], name: str, of: str) -> Text:
    """The text `name` in every language; raises BadInput when one is absent or blank."""
    value = data.get(name)
    words = value if isinstance(value, Mapping) else {}
    found = {language: words.get(language) for language in LANGUAGES}
    for language, sentence in found.items():
        if not isinstance(sentence, str) or not sentence.strip():
            raise BadInput("text.missing", of=of, name=name, language=language)
    return Text(**{language: str(sentence) for language, sentence in found.items()})


def word(data: Mapping[str, object], name: str, of: str) -> str:
    """A short key such as `tile-adhesive`; raises BadInput when absent or blank."""
    value = data.get(name)
    if not isinstance(value, str) or not value.strip():
        raise BadInput("key.missing", of=of, name=name)
    return value


def words(data: Mapping[str, object], name: str, of: str) -> tuple[str, ...]:
    """A list of short keys, empty when absent; raises BadInput for anything else."""
    value = data.get(name, [])
    if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
        raise BadInput("key.not_a_list", of=of, name=name)
    return tuple(value)


def _family(data: Mapping[str, object]) -> Family:
    key = word(data, "key", "families")
    found = items(data.get("scopes"), "scopes.unreadable")
    return Family(key, text(data, "title", key), tuple(_scope(item, key) for item in found))


def _scope(data: Mapping[str, object], family: str) -> Scope:
    key = word(data, "key", family)
    title = text(data, "title", key)
    short = text(data, "short", key) if "short" in data else title
    return Scope(key, family, title, short, words(data, "implies", key))


def _closure(key: str, scopes: Mapping[str, Scope]) -> frozenset[str]:
    """`key` and all it includes, step by step; raises BadInput when it includes itself or an unknown scope."""
    found = {key}
    waiting = list(scopes[key].implies)
    while waiting:
        lower = waiting.pop()
        if lower not in scopes:
            raise BadInput("scopes.implies_unknown", scope=key, other=lower)
        if lower == key:
            raise BadInput("scopes.circle", scope=key)
        if lower not in found:
            found.add(lower)
            waiting += scopes[lower].implies
    return frozenset(found)
