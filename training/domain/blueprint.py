"""The plan of a quiz: how many questions of each topic and kind, which must be critical, what never stands together."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from training.domain.answers import ALL_OR_NOTHING, OrderPolicy
from training.domain.json_reading import Fault, FileFaults, Node
from training.domain.patterns import PATTERNS

MOST_WAYS = 4096
"""Groups of rules that never stand together are tried one by one: so many ways at most."""
_FIELDS = ("questions", "pass_right", "all_critical", "topics", "critical_at_least", "kinds", "never_together", "order")


@dataclass(frozen=True)
class Blueprint:
    """What every paper must hold: how many questions, from which topics, how many critical, and what passes.

    kinds: most questions of a pattern; kinds_least: fewest. all_critical: every critical question must be right to
    pass. never_together: groups of rule keys of which a paper asks one at most. order: how orders of acts are marked.
    """

    questions: int
    pass_right: int
    topics: Mapping[str, int]
    critical_at_least: int = 0
    all_critical: bool = True
    kinds: Mapping[str, int] | None = None
    kinds_least: Mapping[str, int] = field(default_factory=dict)
    never_together: tuple[tuple[str, ...], ...] = ()
    order: OrderPolicy = ALL_OR_NOTHING

    @classmethod
    def parse(cls, data: object) -> "Blueprint":
        """Read it from JSON; raises `FileFaults` with each place and remedy."""
        faults: list[Fault] = []
        node = Node(data, "blueprint", faults)
        node.only(_FIELDS)
        most, least = _kinds(node)
        blueprint = cls(
            node.whole("questions", least=1), node.whole("pass_right", least=1), _counts(node, "topics"),
            node.whole("critical_at_least", 0), node.flag("all_critical", True), most or None, least,
            _groups(node), _order(node),
        )  # fmt: skip
        blueprint._check(node)
        if faults:
            raise FileFaults(faults)
        return blueprint

    def _check(self, node: Node) -> None:
        asked = sum(self.topics.values())
        if asked != self.questions:
            node.fault("blueprint.topics_do_not_add_up", "topics", asked=asked, questions=self.questions)
        counts = {
            "pass_right": self.pass_right,
            "critical_at_least": self.critical_at_least,
            "kinds": sum(self.kinds_least.values()),
        }
        for name, number in counts.items():
            if number > self.questions:
                node.fault("blueprint.more_than_questions", name, number=number, questions=self.questions)
        for kind in {*(self.kinds or {}), *self.kinds_least} - PATTERNS.keys():
            node.fault("file.unknown_choice", f"kinds.{kind}", given=kind, known=sorted(PATTERNS))
        ways = math.prod(len(group) for group in self.never_together)
        if ways > MOST_WAYS:
            node.fault("blueprint.too_many_groups", "never_together", ways=ways, most=MOST_WAYS)


def _counts(node: Node, name: str) -> dict[str, int]:
    inner = Node(node.mapping(name), f"{node.place}.{name}", node.faults)
    return {key: inner.whole(key) for key in inner.data}


def _kinds(node: Node) -> tuple[dict[str, int], dict[str, int]]:
    """Most and fewest questions of each kind: a number alone is the most, else {"least": 1, "most": 4}."""
    inner = Node(node.mapping("kinds"), f"{node.place}.kinds", node.faults)
    most: dict[str, int] = {}
    least: dict[str, int] = {}
    for kind, given in inner.data.items():
        if not isinstance(given, Mapping):
            most[kind] = inner.whole(kind)
            continue
        both = Node(given, f"{inner.place}.{kind}", node.faults)
        both.only(("least", "most"))
        least[kind] = both.whole("least", 0)
        if both.has("most"):
            most[kind] = both.whole("most")
            if most[kind] < least[kind]:
                both.fault("blueprint.least_above_most", "least", least=least[kind], most=most[kind])
    return most, {kind: number for kind, number in least.items() if number}


def _groups(node: Node) -> tuple[tuple[str, ...], ...]:
    given = node.data.get("never_together", [])
    kept: list[tuple[str, ...]] = []
    for place, group in enumerate(given if isinstance(given, list) else [given], 1):
        words = Node({"group": group}, f"{node.place}.never_together.{place}", node.faults).words("group")
        kept.append(tuple(dict.fromkeys(words)))
        if len(kept[-1]) < 2:
            node.fault("blueprint.group_of_one", f"never_together.{place}")
    return tuple(kept)


def _order(node: Node) -> OrderPolicy:
    """{"policy": "all"}, or {"policy": "run", "share": "0.75"}."""
    if not node.has("order"):
        return ALL_OR_NOTHING
    given = Node(node.data["order"], f"{node.place}.order", node.faults)
    given.only(("policy", "share"))
    if given.one_of("policy", ("all", "run")) == "all":
        return ALL_OR_NOTHING
    share = given.number("share")
    if share is None or not 0 < share <= 1:
        given.fault("blueprint.run_share", "share")
        return ALL_OR_NOTHING
    return OrderPolicy(Fraction(share))
