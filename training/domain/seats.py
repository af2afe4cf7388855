"""Fills the seats of a paper: which rules are asked, and by which pattern, within the blueprint's limits.

The first choice is taken when it works; else the cheapest flow from topics over rules to patterns, which finds a
filling whenever one exists.
"""

from collections import Counter, deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from training.domain.errors import Refused


@dataclass(frozen=True)
class Seat:
    """A rule that could be asked: its topic, whether it is critical, and the patterns in order of preference."""

    rule: str
    topic: str
    critical: bool
    kinds: tuple[str, ...]


Filling = list[tuple[Seat, str]]


def fill_seats(
    seats: Sequence[Seat], topics: Mapping[str, int], limits: Mapping[str, int], critical: int
) -> list[tuple[str, str]]:
    """Rules with their patterns: so many of each topic, at most so many of each pattern, at least so many critical.

    Seats earlier in the sequence are preferred. Raises `Refused` naming what is short.
    """
    usable = [seat for seat in seats if seat.topic in topics and any(limits.get(kind, 0) > 0 for kind in seat.kinds)]
    _check_pool(usable, topics, critical)
    wanted = sum(topics.values())
    for fill in (_first_choice, _cheapest):
        filling = fill(usable, topics, limits, critical)
        if len(filling) == wanted and sum(seat.critical for seat, _ in filling) >= critical:
            return [(seat.rule, kind) for seat, kind in filling]
    raise Refused("blueprint.cannot_be_filled", questions=wanted, critical=critical)


def _check_pool(seats: Iterable[Seat], topics: Mapping[str, int], critical: int) -> None:
    """The plain shortages, each with its place."""
    seats = list(seats)
    have = Counter(seat.topic for seat in seats)
    for topic, wanted in topics.items():
        if have[topic] < wanted:
            raise Refused("blueprint.topic_too_small", topic=topic, wanted=wanted, have=have[topic])
    grave = Counter(seat.topic for seat in seats if seat.critical)
    possible = sum(min(grave[topic], wanted) for topic, wanted in topics.items())
    if possible < critical:
        raise Refused("blueprint.too_few_critical", wanted=critical, have=possible)


def _first_choice(
    seats: Sequence[Seat], topics: Mapping[str, int], limits: Mapping[str, int], critical: int
) -> Filling:
    """Every topic's preferred rules, each by its preferred pattern with room; critical rules swapped in where short."""
    room = dict(limits)
    filling: Filling = []
    for seat in _with_criticals(seats, topics, critical):
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
    for seat in left if short > 0 else ():
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


def _cheapest(seats: Sequence[Seat], topics: Mapping[str, int], limits: Mapping[str, int], critical: int) -> Filling:
    """A full filling with the most critical rules, then the most preferred; fewer seats when none is full."""
    network = _Network()
    for topic, wanted in topics.items():
        network.join("source", f"topic {topic}", wanted)
    for kind, most in limits.items():
        network.join(f"kind {kind}", "sink", most)
    ways: list[tuple[int, Seat, str]] = []
    for rank, seat in enumerate(seats):
        network.join(f"topic {seat.topic}", f"rule {seat.rule}", 1, rank - len(seats) ** 2 * seat.critical)
        ways += [(network.join(f"rule {seat.rule}", f"kind {kind}", 1), seat, kind) for kind in seat.kinds]
    while network.send():
        pass
    return [(seat, kind) for way, seat, kind in ways if not network.room[way]]
