"""The base view: roles, keys and versions that are required, answers that cannot be drawn."""

import pytest

from practice.core.terms import Role
from practice.policy.models import Practice
from practice.work.models import IdempotencyRecord
from tests.api.toy_urls import Toy
from tests.builders import Api, Built, ok, refused, version_of

pytestmark = pytest.mark.urls("tests.api.toy_urls")


@pytest.fixture
def api(built: Built) -> Api:
    return built.api(Role.FRONT_DESK)


def test_a_method_without_roles_is_denied_to_all(built: Built) -> None:
    for role in Role:
        refused(built.api(role).patch("toy"), 403, "forbidden")


def test_a_required_key_that_is_missing_is_400_and_nothing_is_done(api: Api) -> None:
    problem = refused(api.post("toy"), 400, "idempotency_key_required")
    assert problem["errors"][0]["field"] == "Idempotency-Key"
    assert not Practice.objects.filter(name="written").exists()


def test_a_command_with_its_key_answers_with_its_version(api: Api) -> None:
    answer = api.post("toy", key="k-1")
    assert ok(answer, 201) == {"done": True}
    assert answer["ETag"] == '"3"'


def test_an_answer_that_cannot_be_drawn_leaves_nothing_written(
    api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Toy, "answers", [{"set": object()}])
    api.client.raise_request_exception = False
    refused(api.post("toy", key="k-1"), 500, "server_error")
    assert not Practice.objects.filter(name="written").exists()
    assert not IdempotencyRecord.objects.exists()


def test_a_required_version_that_is_missing_is_428(api: Api) -> None:
    refused(api.put("toy"), 428, "version_required")
    refused(api.put("toy", HTTP_IF_MATCH="*"), 400, "invalid_if_match")
    assert ok(api.put("toy", match=4)) == {"match": 4}


def test_a_query_form_validates_the_query_string(api: Api) -> None:
    refused(api.get("toy", {"weeks": "13"}), 400, "invalid")
    refused(api.get("toy", {"days": "3"}), 400, "unknown_parameter")
    for odd in ({"weeks": "3.5"}, {"weeks": "٣"}, {"mine": "yes"}, {"mine": "1"}):
        refused(api.get("toy", odd), 400, "invalid")
    answer = api.get("toy", {"weeks": "3", "mine": "true"})
    assert ok(answer) == {"weeks": 3, "mine": True}
    assert version_of(answer) == 7


def test_only_json_is_given(api: Api) -> None:
    refused(api.get("toy", HTTP_ACCEPT="text/html"), 406, "not_acceptable")
