"""Tags of reads, 304, compression, and what a cache may keep."""

from __future__ import annotations

import gzip
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest

from clients.health.domain.content import BodySite
from practice.accesslog.models import AccessEntry
from practice.clock import clock
from practice.core.terms import Credential, Region, Role, Side
from practice.policy.models import PracticeSetting
from tests.api.description import operations
from tests.builders import PASSWORD, Api, Built, ok, refused, version_of
from tests.sessions.booking.http import took_place
from tests.sessions.notes.http import Device, whole_note
from tests.sessions.people import not_today, open_client, tell


@pytest.fixture
def client_id(built: Built) -> UUID:
    return open_client(built)


def held(api: Api, path: str, tag: str, query: Any = None, **more: str) -> Any:
    """A read by someone who has an answer with this tag."""
    return api.get(path, query, HTTP_IF_NONE_MATCH=tag, **more)


def test_who_has_what_is_shown_gets_304_without_a_body(built: Built, client_id: UUID) -> None:
    api, path = built.api(Role.FRONT_DESK), f"clients/{client_id}"
    first = api.get(path)
    answer = held(api, path, first["ETag"])
    assert (answer.status_code, answer.content) == (304, b"")
    assert answer["ETag"] == first["ETag"]
    assert answer["Cache-Control"] == first["Cache-Control"] == "no-store"
    assert {"Accept", "Authorization", "Accept-Encoding"} <= set(answer["Vary"].split(", "))
    assert answer["X-Request-Id"]


def test_every_read_but_the_streamed_one_is_described_with_its_304() -> None:
    reads = {one.name: one.statuses for one in operations() if one.method == "GET"}
    assert {name for name, said in reads.items() if 304 not in said} == {"visit-summary"}


@pytest.mark.parametrize("sent", ["W/{}", '"other", {}', "*"])
def test_tags_compare_weakly_and_one_of_a_list_is_enough(
    built: Built, client_id: UUID, sent: str
) -> None:
    api, path = built.api(Role.FRONT_DESK), f"clients/{client_id}"
    assert held(api, path, sent.format(api.get(path)["ETag"])).status_code == 304


@pytest.mark.parametrize("sent", ['"other"', "", "no tag at all", '"1"'])
def test_another_tag_gets_the_whole_answer(built: Built, client_id: UUID, sent: str) -> None:
    api, path = built.api(Role.FRONT_DESK), f"clients/{client_id}"
    assert ok(held(api, path, sent)) == ok(api.get(path))


def test_a_304_is_logged_as_the_read_that_it_is(built: Built, client_id: UUID) -> None:
    """Ruling 62."""
    api, path = built.api(Role.FRONT_DESK), f"clients/{client_id}"
    tag = api.get(path)["ETag"]
    before = AccessEntry.objects.filter(client_id=client_id, what="details").count()
    assert held(api, path, tag).status_code == 304
    assert AccessEntry.objects.filter(client_id=client_id, what="details").count() == before + 1


def test_a_tag_lets_nobody_know_what_they_may_not_read(built: Built, client_id: UUID) -> None:
    owner = built.api(Role.OWNER)
    path = f"clients/{client_id}/range-of-motion"
    tag = owner.get(path)["ETag"]
    for sent in (tag, "*"):
        refused(held(built.api(Role.BILLING), path, sent), 403, "forbidden")
        refused(held(Api(), path, sent), 401, "not_signed_in")
    elsewhere = open_client(built, built.west)
    theirs = owner.get(f"clients/{elsewhere}")["ETag"]
    for sent in (theirs, "*"):
        refused(held(built.api(Role.FRONT_DESK), f"clients/{elsewhere}", sent), 404, "not_found")


def test_the_tag_of_one_role_is_not_that_of_another(built: Built, client_id: UUID) -> None:
    """The desk is shown less of the same version."""
    tell(built, client_id, not_today(BodySite(region=Region.ARM, side=Side.LEFT)))
    path = f"clients/{client_id}/orders"
    tag = built.api(Role.PRACTITIONER).get(path)["ETag"]
    desk = held(built.api(Role.FRONT_DESK), path, tag)
    assert desk.status_code == 200
    assert version_of(desk) == int(tag.strip('"').partition("-")[0])
    assert desk["ETag"] != tag


def asked_permissions(built: Built) -> dict[str, str]:
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    return {"practitioner_id": str(paula.pk), "facility_id": str(built.east.pk)}


def test_a_verdict_is_304_until_anything_changes_it(built: Built, client_id: UUID) -> None:
    """A version alone would not tell: law, settings and the day change a verdict too."""
    api, path = built.api(Role.PRACTITIONER), f"clients/{client_id}/permissions"
    query, now = asked_permissions(built), clock.now()
    with clock.at(now):
        tag = api.get(path, query)["ETag"]
    with clock.at(now + timedelta(seconds=1)):
        assert held(api, path, tag, query).status_code == 304
        paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
        paula.licences.update(expires_on=(now - timedelta(days=2)).date())
        answer = held(api, path, tag, query)
        assert ok(answer)["mode"] != "hands_on"


def test_a_plan_is_304_until_the_client_withdraws(built: Built, client_id: UUID) -> None:
    from tests.sessions.booking.http import book, local

    session = book(built, client_id, local(7))
    api, path = built.api(Role.PRACTITIONER), f"sessions/{session['id']}/plan"
    tag = api.get(path)["ETag"]
    assert held(api, path, tag).status_code == 304
    ok(built.api(Role.FRONT_DESK).post(f"clients/{client_id}/touch-consent/withdrawal", {}))
    assert held(api, path, tag).status_code == 200


@pytest.mark.parametrize("name", ["note", "session", "setting", "list"])
def test_other_reads_with_a_version_are_304_too(built: Built, client_id: UUID, name: str) -> None:
    session = took_place(built, client_id)
    phone = Device(built, session["id"])
    phone.save(**whole_note())
    setting = PracticeSetting.objects.first()
    assert setting is not None
    path = {
        "note": phone.path,
        "session": f"sessions/{session['id']}",
        "setting": f"settings/{setting.pk}",
        "list": f"clients/{client_id}/range-of-motion",
    }[name]
    api = built.api(Role.PRACTITIONER)
    assert held(api, path, api.get(path)["ETag"]).status_code == 304


def test_the_tag_of_a_read_is_good_for_if_match(built: Built, client_id: UUID) -> None:
    """Plain, with the digest, and as a compressed answer had it."""
    api, path = built.api(Role.FRONT_DESK), f"clients/{client_id}"
    for mark in ("", "-gzip"):
        tag = api.get(path)["ETag"]
        sent = tag[:-1] + mark + '"'
        ok(api.patch(path, {"phone": ""}, HTTP_IF_MATCH=sent))
        ok(api.patch(path, {"phone": "+1 415 555 0123"}))
        refused(api.patch(path, {"phone": ""}, HTTP_IF_MATCH=sent), 412, "stale_version")
    unversioned = api.get(f"clients/{client_id}/permissions", asked_permissions(built))["ETag"]
    assert unversioned.startswith('"r-')
    refused(api.patch(path, {}, HTTP_IF_MATCH=unversioned), 400, "invalid_if_match")


def test_a_long_answer_is_compressed_for_who_takes_it(built: Built, client_id: UUID) -> None:
    api, path = built.api(Role.PRACTITIONER), f"clients/{client_id}/permissions"
    query = asked_permissions(built)
    plain = api.get(path, query)
    assert not plain.has_header("Content-Encoding")
    short = api.get(path, query, HTTP_ACCEPT_ENCODING="gzip")
    assert short["Content-Encoding"] == "gzip"
    assert gzip.decompress(short.content) == plain.content
    assert len(short.content) == int(short["Content-Length"]) < len(plain.content) / 2
    assert short["ETag"] == plain["ETag"][:-1] + '-gzip"'
    for answer in (plain, short):
        assert "Accept-Encoding" in answer["Vary"]
    again = held(api, path, short["ETag"], query, HTTP_ACCEPT_ENCODING="gzip")
    assert (again.status_code, again["ETag"]) == (304, short["ETag"])


def test_short_answers_and_the_token_of_a_sign_in_are_not_compressed(built: Built) -> None:
    """The one answer with a secret: its length must tell nothing (BREACH)."""
    sent = {"username": "desk", "password": PASSWORD, "label": "x" * 60}
    answer = Api().post("auth/tokens", sent, HTTP_ACCEPT_ENCODING="gzip")
    assert ok(answer, 201)["token"]
    assert not answer.has_header("Content-Encoding")
    assert answer["Cache-Control"] == "no-store"


def test_pictures_that_are_compressed_already_are_sent_as_they_are(
    built: Built, client_id: UUID
) -> None:
    api, path = built.api(Role.PRACTITIONER), f"clients/{client_id}/range-of-motion/chart"
    query = {"movement": "shoulder_flexion", "side": "left"}
    png = api.get(path, {**query, "format": "png"}, HTTP_ACCEPT_ENCODING="gzip")
    svg = api.get(path, query, HTTP_ACCEPT_ENCODING="gzip")
    assert (png.status_code, png.has_header("Content-Encoding")) == (200, False)
    assert svg["Content-Encoding"] == "gzip"
    assert held(api, path, svg["ETag"], query).status_code == 304


def test_only_what_names_no_client_may_be_kept_by_a_cache(built: Built, client_id: UUID) -> None:
    owner, setting = built.api(Role.OWNER), PracticeSetting.objects.first()
    assert setting is not None
    practice = ("practice", "settings", f"settings/{setting.pk}", "facilities", "practitioners")
    for path in (*practice, "stretch-catalogue", "payers", "service-codes", "jurisdiction-limits"):
        assert owner.get(path)["Cache-Control"] == "private, no-cache", path
    for path in ("clients", f"clients/{client_id}", "sessions", "staff", "access-log", "me"):
        assert owner.get(path)["Cache-Control"] == "no-store", path
    changed = owner.change("practice", {"name": "Riverside practice"})
    assert (changed.status_code, changed["Cache-Control"]) == (200, "no-store")
