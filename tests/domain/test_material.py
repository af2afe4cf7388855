"""Reading: least times, and progress through a revision."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.domain.material import (
    Acknowledged,
    Part,
    Progress,
    least_seconds,
    numbers_that_differ,
    word_count,
)

NOON = datetime(2027, 3, 1, 12, tzinfo=UTC)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", 0),
        ("Keep the tile dry.", 4),
        ("# Before you start\n\n- **one** thing\n- two things", 7),
        ("See [the sheet](https://example.com/a-long-address) first", 4),
        ("Use 1/2 inch, 2.5:12 and 30 °F", 7),
        ("No ponga más de 1/4 de pulgada", 7),
    ],
)
def test_only_what_is_read_counts_as_words(text: str, words: int) -> None:
    assert word_count(text) == words


@pytest.mark.parametrize(("words", "rate", "seconds"), [(0, 8, 0), (1, 8, 1), (100, 8, 8), (101, 8, 9), (250, 0, 0)])
def test_least_time_is_words_times_rate_rounded_up(words: int, rate: int, seconds: int) -> None:
    assert least_seconds(words, rate) == seconds


@given(st.integers(0, 5000), st.integers(0, 5000), st.integers(0, 60))
def test_more_words_never_take_less_time(one: int, more: int, rate: int) -> None:
    assert least_seconds(one + more, rate) >= least_seconds(one, rate)


def test_numbers_that_stand_in_one_language_only_are_named() -> None:
    assert numbers_that_differ("From 50 to 95, 1/2 inch", "De 50 a 95, 1/2 pulgada") == []
    assert numbers_that_differ("Wait 24 hours at 60", "Espere 48 horas a 60") == ["24", "48"]
    assert numbers_that_differ("2 pads, 2 inches", "2 almohadillas, dos pulgadas") == ["2"]


def progress(**kwargs: object) -> Progress:
    parts = (Part(1, {"en": 100, "es": 200}), Part(2, {"en": 50, "es": 50}), Part(3, {"en": 100, "es": 100}))
    return Progress(parts, seconds_per_100_words=10, **kwargs)  # type: ignore[arg-type]


def read(*sections: int, language: str = "en") -> dict[int, Acknowledged]:
    return {one: Acknowledged(one, language, NOON) for one in sections}


def test_a_section_never_opened_in_a_language_is_never_ready_in_it() -> None:
    assert progress(opened={(1, "en"): NOON}).ready_at(1, "es") is None


def test_a_section_is_ready_after_its_own_least_time() -> None:
    assert progress(opened={(1, "es"): NOON}).ready_at(1, "es") == NOON + timedelta(seconds=20)


def test_opening_all_sections_at_once_saves_no_time() -> None:
    opened = {(1, "en"): NOON, (2, "en"): NOON, (3, "en"): NOON}
    assert progress(opened=opened, acknowledged=read(1, 2)).ready_at(3, "en") == NOON + timedelta(seconds=25)


def test_going_on_goes_to_the_first_section_not_yet_acknowledged() -> None:
    assert progress().next == 1
    assert progress(acknowledged=read(1, 3)).next == 2
    assert progress(acknowledged=read(1, 2, 3)).next is None


def test_the_last_section_is_the_one_that_completes() -> None:
    some = progress(acknowledged=read(1, 3))
    assert some.is_last(2) and not some.is_last(1) and not progress().is_last(3)
    assert (some.done, some.left, some.complete) == (2, 1, False)
    assert progress(acknowledged=read(1, 2, 3)).complete
    assert not Progress(()).complete
