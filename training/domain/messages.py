"""What the core says: a key with quantities. Sentences in a language are chosen at the edge (`training.texts`)."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Message:
    """A key such as `quiz.wait` and the values its sentence needs; values may be messages themselves."""

    key: str
    values: Mapping[str, object] = field(default_factory=dict)
