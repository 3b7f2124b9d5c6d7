"""The catalogue over HTTP: loaded once, versions kept, the owner's changes stay."""

from __future__ import annotations

from practice.core.terms import Role
from sessions.catalogue.models import Stretch
from sessions.catalogue.selectors import catalogue
from sessions.catalogue.services import load_missing_stretches, stretches_in_file
from tests.builders import Built, ok, refused


def test_the_catalogue_is_there_after_migrate(built: Built) -> None:
    listed = ok(built.api(Role.PRACTITIONER).get("stretch-catalogue"))
    assert {one["code"] for one in listed} == set(stretches_in_file())
    specs, version = catalogue().specs, catalogue().version
    assert len(specs) == version == len(listed)


def test_a_change_adds_a_version_and_the_one_before_is_kept(built: Built) -> None:
    owner = built.api(Role.OWNER)
    before = ok(owner.get("stretch-catalogue/triceps"))
    content = {**before["content"], "gaze": "at the wall"}
    after = ok(owner.patch("stretch-catalogue/triceps", {"content": content}, match=1))
    assert (after["version"], after["content"]["gaze"]) == (2, "at the wall")
    versions = ok(owner.get("stretch-catalogue/triceps/versions"))
    assert [one["version"] for one in versions] == [2, 1]
    assert versions[1]["content"] == before["content"]
    stale = owner.patch("stretch-catalogue/triceps", {"is_active": False}, match=1)
    assert refused(stale, 412, "stale_version")["current_version"] == 2


def test_the_same_again_makes_no_version(built: Built) -> None:
    owner = built.api(Role.OWNER)
    content = ok(owner.get("stretch-catalogue/triceps"))["content"]
    assert ok(owner.change("stretch-catalogue/triceps", {"content": content}))["version"] == 1


def test_loading_again_leaves_the_owners_changes(built: Built) -> None:
    built.api(Role.OWNER).change("stretch-catalogue/triceps", {"is_active": False})
    load_missing_stretches()
    assert Stretch.objects.filter(code="triceps").count() == 2
    assert "triceps" not in {one.code for one in catalogue().specs}


def test_a_stretch_of_the_practices_own(built: Built) -> None:
    owner = built.api(Role.OWNER)
    content = ok(owner.get("stretch-catalogue/triceps"))["content"]
    given = {"code": "own_triceps", "content": {**content, "name": "Our triceps stretch"}}
    assert ok(owner.post("stretch-catalogue", given), 201)["version"] == 1
    refused(owner.post("stretch-catalogue", given), 409, "already_there")
    bad = {"code": "Not A Code", "content": content}
    assert refused(owner.post("stretch-catalogue", bad), 400, "invalid")
    broken = {"code": "broken", "content": {"name": "nothing else"}}
    problem = refused(owner.post("stretch-catalogue", broken), 400, "invalid")
    assert problem["errors"][0]["field"] == "content"


def test_only_the_owner_edits(built: Built) -> None:
    practitioner = built.api(Role.PRACTITIONER)
    answer = practitioner.change("stretch-catalogue/triceps", {"is_active": False})
    refused(answer, 403, "forbidden")
    refused(built.api(Role.FRONT_DESK).get("stretch-catalogue"), 403, "forbidden")


def test_text_that_no_database_keeps_is_refused(built: Built) -> None:
    owner = built.api(Role.OWNER)
    content = ok(owner.get("stretch-catalogue/triceps"))["content"]
    changed = {"content": {**content, "gaze": "a\x00b"}}
    refused(owner.change("stretch-catalogue/triceps", changed), 400, "malformed_json")
