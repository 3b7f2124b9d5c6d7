"""Guessing at passwords is slowed down, and nobody is locked out by it."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.hashers import Argon2PasswordHasher, make_password

from practice.accesslog.models import AccessEntry
from practice.clock import clock
from practice.core.terms import Role
from practice.people_and_places import throttle
from practice.people_and_places.models.sign_ins import SignInTry
from practice.people_and_places.models.staff import Staff
from practice.people_and_places.throttle import address_of, pause_after
from practice.policy.row_seals import row_faults
from tests.builders import PASSWORD, Api, Built, ok, refused, seal_practice

HOME, AWAY = "198.51.100.7", "203.0.113.9"
NOT_THEIRS = "guess"


def attempt(username: str = "desk", password: str = NOT_THEIRS, address: str = HOME) -> Any:
    body = {"username": username, "password": password}
    return Api().post("auth/tokens", body, REMOTE_ADDR=address)


def guess(times: int, **more: Any) -> None:
    for _ in range(times):
        refused(attempt(**more), 401, "wrong_credentials")


@pytest.mark.parametrize(
    ("failures", "seconds"), [(4, 0), (5, 1), (6, 2), (7, 4), (10, 32), (11, 60), (4000, 60)]
)
def test_the_pause_doubles_from_a_second_up_to_the_longest(failures: int, seconds: int) -> None:
    assert pause_after(failures, 5, 60) == timedelta(seconds=seconds)


def test_after_the_free_tries_the_next_must_wait_and_then_may(built: Built) -> None:
    now = clock.now()
    with clock.at(now):
        guess(5)
        problem = attempt(password=PASSWORD)
        refused(problem, 429, "too_many_tries")
        assert problem["Retry-After"] == "1"
    with clock.at(now + timedelta(seconds=1)):
        ok(attempt(password=PASSWORD), 201)


def test_a_try_in_a_pause_is_not_looked_at_counted_or_kept(
    built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = clock.now()
    with clock.at(now):
        guess(5)
        before = list(SignInTry.objects.order_by("key").values())
        kept = AccessEntry.objects.count()
        monkeypatch.setattr("practice.people_and_places.services.staff.check_password", None)
        for _ in range(3):
            refused(attempt(), 429, "too_many_tries")
        assert list(SignInTry.objects.order_by("key").values()) == before
        assert AccessEntry.objects.count() == kept


def test_guessing_elsewhere_delays_a_person_nowhere_they_are_known(built: Built) -> None:
    ok(attempt(password=PASSWORD, address=HOME), 201)
    with clock.at(clock.now()):
        for number in range(10):
            guess(1, address=f"203.0.113.{number}")
        refused(attempt(password=PASSWORD, address="192.0.2.1"), 429, "too_many_tries")
        ok(attempt(password=PASSWORD, address=HOME), 201)


def test_an_address_is_known_for_the_days_of_the_setting(built: Built) -> None:
    now = clock.now()
    with clock.at(now - timedelta(days=91)):
        ok(attempt(password=PASSWORD, address=HOME), 201)
    with clock.at(now):
        for number in range(10):
            guess(1, address=f"203.0.113.{number}")
        refused(attempt(password=PASSWORD, address=HOME), 429, "too_many_tries")


def test_one_address_that_tries_many_accounts_must_wait(built: Built) -> None:
    with clock.at(clock.now()):
        for number in range(20):
            guess(1, username=f"nobody-{number}", address=AWAY)
        refused(attempt(username="another", address=AWAY), 429, "too_many_tries")
        refused(attempt(password="wrong", address=HOME), 401, "wrong_credentials")


def test_signing_in_takes_back_only_what_the_try_itself_counted(built: Built) -> None:
    with clock.at(clock.now()):
        for number in range(19):
            guess(1, username=f"nobody-{number}", address=AWAY)
        ok(attempt(password=PASSWORD, address=AWAY), 201)
        guess(1, username="one-more", address=AWAY)
        refused(attempt(username="another", address=AWAY), 429, "too_many_tries")


def test_old_failures_are_forgotten(built: Built) -> None:
    now = clock.now()
    with clock.at(now):
        guess(4)
    with clock.at(now + timedelta(minutes=61)):
        guess(1)
        ok(attempt(password=PASSWORD), 201)


def test_the_table_is_bounded_and_known_addresses_go_last(
    built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    ok(attempt(password=PASSWORD, address=HOME), 201)
    monkeypatch.setattr(throttle, "MOST_ROWS", 12)
    monkeypatch.setattr(throttle, "DROPPED", 5)
    for number in range(15):
        attempt(username=f"nobody-{number}", address=f"203.0.113.{number}")
    assert SignInTry.objects.count() <= 12
    assert SignInTry.objects.filter(succeeded_at__isnull=False).count() == 1


def test_neither_names_nor_addresses_stand_in_the_table(built: Built) -> None:
    guess(1)
    text = str(list(SignInTry.objects.values()))
    assert "desk" not in text
    assert HOME not in text


def test_behind_the_proxy_the_address_is_the_one_that_it_added(settings: Any) -> None:
    meta = {"REMOTE_ADDR": "10.0.0.1", "HTTP_X_FORWARDED_FOR": "1.2.3.4, 198.51.100.7"}
    settings.PRODUCTION = True
    assert address_of(meta) == "198.51.100.7"
    settings.PRODUCTION = False
    assert address_of(meta) == "10.0.0.1"
    assert address_of({"REMOTE_ADDR": "2001:db8:1:2:3::9"}) == "2001:db8:1:2::/64"


def test_a_hash_of_an_earlier_kind_is_made_anew_at_sign_in(built: Built, settings: Any) -> None:
    own = "practice.people_and_places.hashing.PracticeArgon2Hasher"
    settings.PASSWORD_HASHERS = [own]
    desk = built.staff[Role.FRONT_DESK]
    heavy = Argon2PasswordHasher()
    Staff.objects.filter(pk=desk.pk).update(password=heavy.encode(PASSWORD, heavy.salt()))
    seal_practice()
    ok(attempt(password=PASSWORD), 201)
    stored = Staff.objects.get(pk=desk.pk).password
    assert "m=19456,t=2,p=1" in stored
    assert list(row_faults()) == []
    ok(attempt(password=PASSWORD), 201)
    assert Staff.objects.get(pk=desk.pk).password == stored
    assert make_password(PASSWORD).startswith("argon2$argon2id$v=19$m=19456,t=2,p=1$")


@pytest.mark.parametrize(
    "password", ["Annabelle Winterbottom", "annabelle.winterbottom", "Winterbottom annabelle"]
)
def test_a_password_like_the_accounts_own_name_is_refused(built: Built, password: str) -> None:
    owner = built.api(Role.OWNER)
    body = {
        "username": "annabelle.winterbottom",
        "name": "Annabelle Winterbottom",
        "role": "billing",
        "password": password,
    }
    refused(owner.post("staff", body), 400, "weak_password")


def test_a_new_name_and_a_password_like_it_are_judged_together(built: Built) -> None:
    desk = built.staff[Role.FRONT_DESK]
    body = {"name": "Annabelle Winterbottom", "password": "annabelle winterbottom"}
    problem = built.api(Role.OWNER).patch(f"staff/{desk.pk}", body, match=1)
    refused(problem, 400, "weak_password")
