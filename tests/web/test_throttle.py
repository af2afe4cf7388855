"""Failed sign-ins make the next try wait, longer each time, and never shut out anybody else."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import RequestFactory
from django.utils import timezone

from training.config.throttle import LONGEST_WAIT, REMEMBER_FAILURES, client_ip, wait_after
from training.models import User

SECRET = "a right password for Ida"


@pytest.fixture
def ida(db: None) -> User:
    user = User(login="ida", name="Ida Brenk")
    user.set_password(SECRET)
    user.save()
    return user


def _try(client: Any, login: str = "ida", secret: str = "wrong", ip: str = "192.0.2.1", agent: str = "phone") -> Any:
    data = {"username": login, "password": secret}
    return client.post("/sign-in/", data, REMOTE_ADDR=ip, HTTP_USER_AGENT=agent)


def _fail(client: Any, times: int, **who: str) -> list[int]:
    return [_try(client, **who).status_code for _ in range(times)]


def _later(seconds: float) -> None:
    """Moves every remembered failure into the past, which is the same as waiting."""
    from axes.models import AccessAttempt

    for attempt in AccessAttempt.objects.all():
        earlier = attempt.attempt_time - timedelta(seconds=seconds)
        AccessAttempt.objects.filter(pk=attempt.pk).update(attempt_time=earlier)


def test_waits_double_up_to_a_ceiling() -> None:
    minutes = [wait_after(failures) / timedelta(minutes=1) for failures in range(4, 11)]
    assert minutes == [0, 1, 2, 4, 8, 16, 32]
    assert wait_after(40) == wait_after(4000) == LONGEST_WAIT < REMEMBER_FAILURES


@pytest.mark.usefixtures("growing_waits", "ida")
def test_the_fifth_failure_starts_a_wait_and_even_the_right_secret_must_wait(client: Any) -> None:
    assert _fail(client, 5) == [200, 200, 200, 200, 429]
    answer = _try(client, secret=SECRET)
    assert answer.status_code == 429
    assert 0 < int(answer["Retry-After"]) <= 60
    assert "_auth_user_id" not in client.session


@pytest.mark.usefixtures("growing_waits", "ida")
def test_after_the_wait_one_try_is_free_and_a_failure_waits_twice_as_long(client: Any) -> None:
    _fail(client, 5)
    _later(61)
    assert _try(client).status_code == 429
    assert _try(client, secret=SECRET).status_code == 429
    _later(61)
    assert _try(client, secret=SECRET).status_code == 429
    _later(60)
    assert _try(client, secret=SECRET).status_code == 302


@pytest.mark.usefixtures("growing_waits", "ida")
def test_nobody_can_shut_out_somebody_at_another_address(client: Any) -> None:
    _fail(client, 8)
    assert _try(client, secret=SECRET, ip="198.51.100.7").status_code == 302


@pytest.mark.usefixtures("growing_waits", "ida")
def test_one_subscriber_has_one_address_however_many_ipv6_gives(client: Any) -> None:
    codes = [_try(client, ip=f"2001:db8:0:7::{number}").status_code for number in range(1, 7)]
    assert codes == [200, 200, 200, 200, 429, 429]
    assert _try(client, secret=SECRET, ip="2001:db8:0:8::1").status_code == 302


@pytest.mark.usefixtures("growing_waits", "ida")
def test_a_search_from_many_addresses_leaves_each_one_try_and_lets_the_owner_in(client: Any) -> None:
    for number in range(33):
        assert _fail(client, 3, ip=f"198.51.100.{number}") == [200] * 3
    assert _fail(client, 3, ip="203.0.113.1") == [429] * 3
    from axes.models import AccessAttempt

    assert AccessAttempt.objects.get(ip_address="203.0.113.1").failures_since_start == 1
    assert _try(client, secret=SECRET, ip="192.0.2.1").status_code == 302


@pytest.mark.usefixtures("growing_waits", "ida")
def test_one_name_does_not_shut_out_another_behind_the_same_address(client: Any) -> None:
    _fail(client, 8, login="otto")
    assert _try(client, secret=SECRET).status_code == 302


@pytest.mark.usefixtures("growing_waits", "ida")
def test_changing_the_browser_buys_no_further_tries(client: Any) -> None:
    codes = [_try(client, agent=f"browser {number}").status_code for number in range(6)]
    assert codes == [200, 200, 200, 200, 429, 429]


@pytest.mark.usefixtures("growing_waits", "ida")
def test_success_forgets_the_failures(client: Any) -> None:
    _fail(client, 4)
    assert _try(client, secret=SECRET).status_code == 302
    client.logout()
    assert _fail(client, 4) == [200] * 4


@pytest.mark.usefixtures("growing_waits", "ida")
def test_the_secret_that_was_tried_is_not_kept(client: Any) -> None:
    from axes.models import AccessAttempt

    _try(client, secret="nearly-the-right-one")
    kept = AccessAttempt.objects.get()
    assert "nearly-the-right-one" not in f"{kept.post_data} {kept.get_data}"
    assert kept.attempt_time <= timezone.now()


@pytest.mark.parametrize(
    ("proxies", "forwarded", "expected"),
    [
        (0, "203.0.113.9", "192.0.2.1"),
        (1, "", "192.0.2.1"),
        (1, "203.0.113.9", "203.0.113.9"),
        (1, "10.9.9.9, 203.0.113.9", "203.0.113.9"),
        (2, "10.9.9.9, 203.0.113.9, 198.51.100.1", "203.0.113.9"),
        (1, "203.0.113.9:4711", "203.0.113.9"),
        (1, "[2001:db8::1]:4711", "2001:db8::1"),
        (1, "2001:db8::1", "2001:db8::1"),
    ],
)
def test_only_trusted_proxies_may_say_where_a_visitor_is(
    settings: Any, proxies: int, forwarded: str, expected: str
) -> None:
    settings.PROXIES = proxies
    headers = {"HTTP_X_FORWARDED_FOR": forwarded} if forwarded else {}
    assert client_ip(RequestFactory().get("/", REMOTE_ADDR="192.0.2.1", **headers)) == expected
