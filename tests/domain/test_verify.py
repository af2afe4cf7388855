"""The verdict on a card for a day, and how little is told about each that does not count."""

import datetime
from dataclasses import dataclass, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from certificates.domain.verify import CardFacts, Reason, Show, mistyped, verdict

ISSUED, EXPIRES = datetime.date(2026, 3, 5), datetime.date(2028, 3, 4)
DAY = datetime.timedelta(days=1)
CARD = CardFacts(ISSUED, EXPIRES, ("profile:low", "slope:s2"))


@dataclass(frozen=True)
class Held:
    state: str = "qualified"
    may_work: bool = True
    held: tuple[str, ...] = ("profile:low", "profile:medium", "slope:s2")
    until: datetime.date | None = EXPIRES


SUSPENDED = Held("suspended", False, ())
WITHDRAWN = Held("withdrawn", False, ())


def test_a_card_counts_on_its_first_and_on_its_last_day() -> None:
    """The last printed day is a valid day: 1182/71 Art. 3(2)(c), a period ends with the last hour of its last day."""
    for day in (ISSUED, EXPIRES):
        found = verdict(on=day, card=CARD, standing=Held())
        assert found.valid
        assert found.state == "valid"
        assert found.scopes == CARD.scopes


@pytest.mark.parametrize(
    ("day", "card", "standing", "reason"),
    [
        (ISSUED - DAY, CARD, Held(), Reason.NOT_YET),
        (EXPIRES + DAY, CARD, Held(), Reason.LAPSED),
        (ISSUED, CARD, Held("lapsed", False), Reason.LAPSED),
        (ISSUED, CARD, Held("waiting_for_decision", False), Reason.LAPSED),
        (ISSUED, CARD, None, Reason.LAPSED),
        (ISSUED, CARD, SUSPENDED, Reason.SUSPENDED),
        (ISSUED, CARD, WITHDRAWN, Reason.WITHDRAWN),
        (EXPIRES + DAY, CARD, SUSPENDED, Reason.SUSPENDED),
        (ISSUED, replace(CARD, replaced=True), Held(), Reason.REPLACED),
        (ISSUED, replace(CARD, replaced=True), SUSPENDED, Reason.REPLACED),
        (ISSUED, replace(CARD, employed=False), Held(), Reason.NO_LONGER_EMPLOYED),
        (ISSUED, CARD, Held(held=("profile:high",)), Reason.NO_SCOPE),
        (ISSUED, None, None, Reason.UNKNOWN),
    ],
)
def test_each_card_that_does_not_count_says_why(
    day: datetime.date, card: CardFacts | None, standing: Held | None, reason: Reason
) -> None:
    found = verdict(on=day, card=card, standing=standing)
    assert (found.state, found.reason) == ("not_valid", reason)
    assert not found.scopes
    assert Show.SCOPES not in found.shows


def test_unknown_and_mistyped_show_nothing_at_all() -> None:
    assert verdict(on=ISSUED, card=None, standing=None).shows == frozenset()
    assert mistyped(ISSUED).shows == frozenset()
    assert mistyped(ISSUED).reason is Reason.MISTYPED


@pytest.mark.parametrize(
    ("card", "standing"),
    [
        (CARD, SUSPENDED),
        (CARD, WITHDRAWN),
        (replace(CARD, replaced=True), Held()),
        (replace(CARD, employed=False), Held()),
    ],
)
def test_a_stopped_card_gives_neither_name_nor_dates(card: CardFacts, standing: Held) -> None:
    assert verdict(on=ISSUED, card=card, standing=standing).shows == {Show.NUMBER, Show.ISSUER}


def test_a_renewed_card_that_still_counts_is_valid() -> None:
    assert verdict(on=ISSUED, card=CARD, standing=Held("renewal_open")).valid


def test_a_scope_taken_away_later_no_longer_counts_though_it_is_printed() -> None:
    found = verdict(on=ISSUED, card=CARD, standing=Held(held=("profile:low",)))
    assert (found.scopes, found.lost) == (("profile:low",), ("slope:s2",))


def test_a_scope_won_later_is_not_read_into_an_older_card() -> None:
    assert "profile:medium" not in verdict(on=ISSUED, card=CARD, standing=Held()).scopes


def test_the_last_day_is_the_earlier_of_card_and_standing() -> None:
    soon = Held(until=ISSUED + 30 * DAY)
    assert verdict(on=ISSUED, card=CARD, standing=soon).until == ISSUED + 30 * DAY
    assert verdict(on=ISSUED, card=CARD, standing=Held(until=None)).until == EXPIRES
    assert verdict(on=ISSUED, card=replace(CARD, expires_on=None), standing=Held(until=None)).until is None


@given(
    on=st.dates(ISSUED - 9 * DAY, EXPIRES + 9 * DAY),
    replaced=st.booleans(),
    employed=st.booleans(),
    state=st.sampled_from(["qualified", "renewal_open", "lapsed", "suspended", "withdrawn", "under_way"]),
)
def test_no_card_counts_unless_everything_holds(on: datetime.date, replaced: bool, employed: bool, state: str) -> None:
    may_work = state in {"qualified", "renewal_open"}
    found = verdict(on=on, card=replace(CARD, replaced=replaced, employed=employed), standing=Held(state, may_work))
    assert found.valid == (may_work and employed and not replaced and ISSUED <= on <= EXPIRES)
