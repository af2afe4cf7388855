"""Fills the seats of a paper: which rules are asked, and by which pattern, within the blueprint's limits.

The first choice is taken when it works; else the cheapest flow from topics over rules to patterns, which finds a
filling whenever one exists.
"""

from collections import Counter, deque
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product

from training.domain.errors import Refused


@dataclass(frozen=True)
class Seat:
    """A rule that could be asked: its topic, whether it is critical, and the patterns in order of preference.

    shown: how often the person was asked about it before.
    """

    rule: str
    topic: str
    critical: bool
    kinds: tuple[str, ...]
    shown: int = 0


@dataclass(frozen=True)
class Demand:
    """What the seats must come to: so many of each topic, patterns and critical ones, within limits.

    limits, least: most and fewest questions of each pattern. apart: groups of rules of which one at most is asked.
    """

    topics: Mapping[str, int]
    limits: Mapping[str, int]
    critical: int = 0
    least: Mapping[str, int] = field(default_factory=dict)
    apart: Sequence[Collection[str]] = ()

    @property
    def wanted(self) -> int:
        """How many seats."""
        return sum(self.topics.values())


Filling = list[tuple[Seat, str]]


def fill_seats(seats: Sequence[Seat], demand: Demand) -> list[tuple[str, str]]:
    """Rules with their patterns as demanded. Seats earlier in the sequence are preferred.

    Raises `Refused` naming what is short.
    """
    limits = demand.limits
    usable = [s for s in seats if s.topic in demand.topics and any(limits.get(kind, 0) > 0 for kind in s.kinds)]
    _check_pool(usable, demand)
    for attempt, open_seats in enumerate(_kept_apart(usable, demand.apart)):
        filling = _filled(open_seats, demand)
        if filling is not None:
            return [(seat.rule, kind) for seat, kind in filling]
        if not attempt and not _meets(_cheapest(usable, demand), demand):
            break
    raise Refused("blueprint.cannot_be_filled", questions=demand.wanted, critical=demand.critical)


def _filled(seats: Sequence[Seat], demand: Demand) -> Filling | None:
    """A filling that meets the demand, the preferred one where it does; None when there is none."""
    for fill in (_first_choice, _cheapest):
        filling = fill(seats, demand)
        if _meets(filling, demand):
            return filling
    return None


def _meets(filling: Filling, demand: Demand) -> bool:
    used = Counter(kind for _, kind in filling)
    enough = all(used[kind] >= number for kind, number in demand.least.items())
    return enough and len(filling) == demand.wanted and sum(seat.critical for seat, _ in filling) >= demand.critical


def _kept_apart(seats: Sequence[Seat], apart: Sequence[Collection[str]]) -> Iterator[list[Seat]]:
    """The seats with one rule left of each group, in every way, the preferred ways first.

    A filling that keeps the groups apart is a filling of one of these: allow of each group the rule that it asks.
    """
    before: Counter[str] = Counter()
    rank: dict[str, int] = {}
    for seat in seats:
        rank[seat.rule] = before[seat.topic]
        before[seat.topic] += 1
    known = [sorted((key for key in group if key in rank), key=rank.__getitem__) for group in apart]
    groups = [group for group in known if group]
    for allowed in product(*groups):
        closed = {key for group, kept in zip(groups, allowed, strict=True) for key in group if key != kept}
        yield [seat for seat in seats if seat.rule not in closed]


def _check_pool(seats: Sequence[Seat], demand: Demand) -> None:
    """The plain shortages, each with its place."""
    topics, critical = demand.topics, demand.critical
    have = Counter(seat.topic for seat in seats)
    for topic, wanted in topics.items():
        if have[topic] < wanted:
            raise Refused("blueprint.topic_too_small", topic=topic, wanted=wanted, have=have[topic])
    grave = Counter(seat.topic for seat in seats if seat.critical)
    possible = sum(min(grave[topic], wanted) for topic, wanted in topics.items())
    if possible < critical:
        raise Refused("blueprint.too_few_critical", wanted=critical, have=possible)
    askable = Counter(kind for seat in seats for kind in seat.kinds)
    for kind, wanted in demand.least.items():
        if askable[kind] < wanted:
            raise Refused("blueprint.kind_too_small", kind=kind, wanted=wanted, have=askable[kind])


def _first_choice(seats: Sequence[Seat], demand: Demand) -> Filling:
    """Every topic's preferred rules, each by its preferred pattern with room; critical rules swapped in where short."""
    room = dict(demand.limits)
    filling: Filling = []
    for seat in _with_criticals(seats, demand.topics, demand.critical):
        kind = next((kind for kind in seat.kinds if room.get(kind, 0) > 0), None)
        if kind is None:
            return []
        room[kind] -= 1
        filling.append((seat, kind))
    return filling


def _with_criticals(seats: Sequence[Seat], topics: Mapping[str, int], critical: int) -> list[Seat]:
    """The preferred seats of each topic; the last ordinary ones give way to critical ones until there are enough."""
    taken: list[Seat] = []
    left: list[Seat] = []
    for topic, wanted in topics.items():
        mine = [seat for seat in seats if seat.topic == topic]
        taken += mine[:wanted]
        left += [seat for seat in mine[wanted:] if seat.critical]
    short = critical - sum(seat.critical for seat in taken)
    for seat in sorted(left, key=lambda seat: seat.shown) if short > 0 else ():
        out = next((old for old in reversed(taken) if old.topic == seat.topic and not old.critical), None)
        if short > 0 and out is not None:
            taken[taken.index(out)] = seat
            short -= 1
    return taken


# --- the exact search -----------------------------------------------------------------------------------------


class _Network:
    """A small flow network; `send` pushes one unit along the cheapest open path (Bellman, Ford)."""

    def __init__(self) -> None:
        self.ends: list[str] = []
        self.room: list[int] = []
        self.cost: list[int] = []
        self.out: dict[str, list[int]] = {}

    def join(self, start: str, end: str, room: int, cost: int = 0) -> int:
        """Add a way and its way back; gives the number of the way."""
        number = len(self.ends)
        for place, (near, far, open_, price) in enumerate(((start, end, room, cost), (end, start, 0, -cost))):
            self.ends.append(far)
            self.room.append(open_)
            self.cost.append(price)
            self.out.setdefault(near, []).append(number + place)
        return number

    def send(self) -> bool:
        """One unit from `source` to `sink`; False when no path is left."""
        price: dict[str, int] = {"source": 0}
        via: dict[str, int] = {}
        waiting = deque(["source"])
        while waiting:
            here = waiting.popleft()
            for way in self.out.get(here, ()):
                there, total = self.ends[way], price[here] + self.cost[way]
                if self.room[way] and total < price.get(there, total + 1):
                    price[there], via[there] = total, way
                    waiting.append(there)
        if "sink" not in via:
            return False
        place = "sink"
        while place != "source":
            way = via[place]
            self.room[way] -= 1
            self.room[way ^ 1] += 1
            place = self.ends[way ^ 1]
        return True


def _cheapest(seats: Sequence[Seat], demand: Demand) -> Filling:
    """A full filling: fewest kinds short of their least, then most critical rules, then least shown, then preferred.

    Fewer seats when none is full.
    """
    network = _Network()
    size = len(seats) + 1
    for topic, wanted in demand.topics.items():
        network.join("source", f"topic {topic}", wanted)
    for kind, most in demand.limits.items():
        due = min(demand.least.get(kind, 0), most)
        network.join(f"kind {kind}", "sink", due, -(size**8))
        network.join(f"kind {kind}", "sink", most - due)
    ways: list[tuple[int, Seat, str]] = []
    for rank, seat in enumerate(seats):
        cost = rank + size**2 * seat.shown - size**5 * seat.critical
        network.join(f"topic {seat.topic}", f"rule {seat.rule}", 1, cost)
        ways += [(network.join(f"rule {seat.rule}", f"kind {kind}", 1), seat, kind) for kind in seat.kinds]
    while network.send():
        pass
    return [(seat, kind) for way, seat, kind in ways if not network.room[way]]
