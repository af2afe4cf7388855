"""The chain of the register: canonical text against RFC 8785, and every kind of tampering named by its entry."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.domain.register import (
    FIRST_HASH,
    Entry,
    EntryKind,
    Head,
    Link,
    as_known,
    canonical,
    canonical_body,
    entry_hash,
    plain,
    verify_chain,
)

START = datetime(2026, 3, 2, 12, tzinfo=UTC)


def chain(count):
    links, previous = [], FIRST_HASH
    for number in range(1, count + 1):
        moment = START + timedelta(hours=number)
        body = canonical_body(
            company=1,
            number=number,
            kind=EntryKind.READING_COMPLETED,
            person=7,
            by=3,
            by_name="Ana Ruiz",
            happened_on=moment.date(),
            recorded_at=moment,
            language="es",
            data={"document": "product-sheet", "revision": number},
        )
        links.append(Link(number, body, moment, previous, entry_hash(previous, body)))
        previous = links[-1].hash
    return links, Head(count, previous)


def faults(links, head=None):
    return [(fault.number, fault.message.key) for fault in verify_chain(links, head)]


def changed(link, **values):
    return replace(link, body={**link.body, **values})


def test_an_untouched_chain_has_no_fault():
    assert faults(*chain(20)) == []
    assert faults([], Head(0, FIRST_HASH)) == []


@pytest.mark.parametrize(
    "column", ["person", "by_name", "happened_on", "recorded_at", "language", "data", "voids", "kind"]
)
def test_a_changed_column_names_its_entry_and_no_other(column):
    links, head = chain(9)
    links[4] = changed(links[4], **{column: "somebody else"})
    assert faults(links, head) == [(5, "register.changed")]


def test_a_rewritten_hash_shows_at_the_entry_after_it():
    links, head = chain(9)
    body = {**links[4].body, "person": 8}
    links[4] = replace(links[4], body=body, hash=entry_hash(links[4].previous_hash, body))
    assert faults(links, head) == [(6, "register.bad_link")]


def test_a_missing_entry_is_named():
    links, head = chain(9)
    del links[3:5]
    found = verify_chain(links, head)
    assert [(fault.number, fault.message.key) for fault in found] == [(4, "register.missing")]
    assert found[0].message.values["last"] == 5


def test_a_missing_first_entry_is_named():
    links, head = chain(4)
    assert faults(links[1:], head) == [(1, "register.missing")]


def test_entries_out_of_order_are_named():
    links, head = chain(5)
    links[2], links[3] = links[3], links[2]
    keys = {key for _, key in faults(links, head)}
    assert keys >= {"register.reordered", "register.time_back"}


def test_two_entries_that_swapped_their_numbers_are_named():
    links, head = chain(5)
    first, second = links[2], links[3]
    links[2] = replace(second, number=3, body={**second.body, "number": 3})
    links[3] = replace(first, number=4, body={**first.body, "number": 4})
    assert {number for number, _ in faults(links, head)} >= {3, 4}


def test_time_that_goes_back_is_named():
    links, head = chain(5)
    links[3] = replace(links[3], recorded_at=START)
    assert (4, "register.time_back") in faults(links, head)


def test_a_register_cut_off_at_its_end_is_named():
    links, head = chain(9)
    assert faults(links[:6], head) == [(7, "register.truncated")]
    assert faults([], head) == [(1, "register.truncated")]


def test_a_chain_rewritten_from_the_start_does_not_match_its_head():
    links, _ = chain(9)
    assert faults(links, Head(9, "f" * 64)) == [(9, "register.head_mismatch")]
    assert faults(links, Head(7, links[6].hash)) == [(8, "register.beyond_head")]


@given(st.integers(0, 8), st.sampled_from(["person", "data", "by", "happened_on", "number"]))
def test_any_single_change_is_found_at_its_own_entry(index, column):
    links, head = chain(9)
    links[index] = changed(links[index], **{column: ["tampered"]})
    assert (index + 1, "register.changed") in faults(links, head)


def test_the_canonical_form_is_that_of_rfc_8785():
    # RFC 8785, 3.2.3: members sorted by UTF-16 code units; the seven names and their order are the RFC's own.
    names = ["€", "\r", "\ufb33", "1", "😀", "\x80", "ö"]
    expected = '{"\\r":0,"1":0,"\x80":0,"ö":0,"€":0,"😀":0,"\ufb33":0}'
    assert canonical(dict.fromkeys(names, 0)) == expected.encode()


def test_the_same_moment_in_two_time_zones_has_one_canonical_text():
    east = START.astimezone(timezone(timedelta(hours=5, minutes=30)))
    assert plain(east) == plain(START) == "2026-03-02T12:00:00.000000+00:00"


def test_exact_values_are_kept_as_text_and_inexact_ones_refused():
    assert plain({"a": Fraction(3, 4), "b": date(2026, 1, 5), "c": (1, True, None)}) == {
        "a": "3/4",
        "b": "2026-01-05",
        "c": [1, True, None],
    }
    for value in (0.75, datetime(2026, 1, 5, 6), object()):
        with pytest.raises(TypeError):
            plain({"value": value})


def test_a_void_that_was_voided_leaves_the_first_entry_standing():
    def entry(number, voids=None):
        kind = EntryKind.ENTRY_VOIDED if voids else EntryKind.READING_COMPLETED
        return Entry(number, kind, 7, date(2026, 3, 2), START + timedelta(hours=number), {}, voids)

    entries = [entry(1), entry(2, voids=1), entry(3, voids=2)]
    assert [it.id for it in as_known(entries[:2])] == []
    assert [it.id for it in as_known(entries)] == [1]
    assert [it.id for it in as_known(entries, START + timedelta(hours=2))] == []
    assert [it.id for it in as_known(entries, START + timedelta(hours=1))] == [1]
