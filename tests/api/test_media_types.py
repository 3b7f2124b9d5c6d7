"""What is given and taken: Accept and Content-Type are honoured, and every status is described."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest

from practice.core.terms import Role
from tests.api.description import LEFT_OUT, Operation, operations
from tests.api.matrix import MATRIX
from tests.builders import Api, Built, ok, refused
from tests.sessions.people import open_client

READS = [one for one in operations() if one.method == "GET"]
BODIES = [one for one in operations() if one.body is not None]


def test_every_cell_of_the_matrix_is_described() -> None:
    cells = {(name, m) for name, row in MATRIX.items() for m in row if name not in LEFT_OUT}
    assert {(one.name, one.method) for one in operations()} == cells


def allowed(built: Built, one: Operation) -> Api:
    """Someone who may use it."""
    roles = MATRIX[one.name][one.method]
    return Api() if "nobody" in roles else built.api(Role(min(roles)))


@pytest.mark.parametrize("path", ["/", "/api/v1", "/api/v1/schema", "/api/v1/docs"])
def test_what_points_to_the_description_honours_accept_too(db: None, path: str) -> None:
    refused(Api().get(path, HTTP_ACCEPT="audio/basic"), 406, "not_acceptable")


def test_a_read_in_a_form_that_is_not_given_is_406(built: Built) -> None:
    for one in READS:
        answer = allowed(built, one).get(one.with_ids(), HTTP_ACCEPT="audio/basic")
        refused(answer, 406, "not_acceptable")
        assert 406 in one.statuses, one


def test_a_body_that_is_no_json_is_415_or_never_looked_at(built: Built) -> None:
    """Never 2xx: a form that is read as nothing would change nothing, or the wrong thing."""
    for one in BODIES:
        api = allowed(built, one)
        for kind, sent in (
            ("application/x-www-form-urlencoded", "reason=x"),
            ("text/plain", "{}"),
            ("application/xml", "<a/>"),
        ):
            answer = getattr(api.client, one.method.lower())(
                one.with_ids(), sent, content_type=kind, HTTP_IDEMPOTENCY_KEY=str(uuid4())
            )
            assert answer.status_code in (404, 415), (one, kind, answer.content)
            assert answer["Content-Type"] == "application/problem+json"
            assert {404, 415} & {answer.status_code} <= one.statuses, one


def test_a_command_that_takes_no_body_refuses_one(built: Built) -> None:
    owner, path = built.api(Role.OWNER), f"facilities/{built.east.pk}/starter-limits"
    problem = refused(owner.post(path, {"reason": "new"}), 400, "invalid")
    assert "Known are: none." in problem["errors"][0]["detail"]
    answer = owner.client.post(f"/api/v1/{path}", "reason=new", content_type="text/plain")
    refused(answer, 415, "unsupported_media_type")
    for one in operations():
        # Whoever ends messages by the link of a mail is never refused for how they send it.
        if one.method != "GET" and one.name != "no-more-messages":
            assert 415 in one.statuses, one


@pytest.mark.parametrize("kind", ["text/plain", "multipart/form-data; boundary=x", "text/json"])
def test_a_body_of_another_kind_is_415_and_nothing_is_done(built: Built, kind: str) -> None:
    desk = built.api(Role.FRONT_DESK)
    answer = desk.client.post("/api/v1/clients", "{}", content_type=kind)
    problem = refused(answer, 415, "unsupported_media_type")
    assert kind.partition(";")[0] in problem["detail"]
    assert ok(desk.get("clients"))["results"] == []


def test_the_picture_is_what_accept_asks_for(built: Built) -> None:
    client_id = open_client(built)
    api, path = built.api(Role.PRACTITIONER), f"clients/{client_id}/range-of-motion/chart"
    query = {"movement": "shoulder_flexion", "side": "left"}

    def kind(accept: str, **more: str) -> Any:
        return api.get(path, {**query, **more}, HTTP_ACCEPT=accept)["Content-Type"]

    svg, png, problem = "image/svg+xml", "image/png", "application/problem+json"
    assert (kind("*/*"), kind("image/*"), kind(svg), kind(png)) == (svg, svg, svg, png)
    assert kind(f"{svg};q=0.5, {png}") in (svg, png)
    assert (kind("*/*", format="png"), kind(png, format="png")) == (png, png)
    assert kind(svg, format="png") == kind("application/json") == problem
    refused(api.get(path, {**query, "format": "png"}, HTTP_ACCEPT=svg), 406, "not_acceptable")
    refused(api.get(path, {**query, "format": "gif"}), 400, "invalid")
    (chart,) = (one for one in READS if one.name == "reading-chart")
    assert chart.media_types(200) == {svg, png}
    assert {200, 400, 404, 406} <= chart.statuses


def test_a_page_is_given_as_a_page_alone(built: Built) -> None:
    """Asked for as JSON they are 406; their problems are JSON all the same."""
    by_name = {one.name: one for one in READS}
    one, api = by_name["home-exercise-printout"], built.api(Role.OWNER)
    assert one.media_types(200) == {"text/html"}
    refused(api.get(one.with_ids(), HTTP_ACCEPT="text/html"), 404, "not_found")
    refused(api.get(one.with_ids(), HTTP_ACCEPT="application/json"), 406, "not_acceptable")


def test_a_summary_is_given_as_a_table_or_as_json(built: Built) -> None:
    one = {each.name: each for each in READS}["visit-summary"]
    api = built.api(Role.OWNER)
    assert one.media_types(200) == {"text/csv", "application/json"}
    for kind in one.media_types(200):
        refused(api.get(one.with_ids(), HTTP_ACCEPT=kind), 404, "not_found")
    problem = refused(api.get(one.with_ids(), HTTP_ACCEPT="text/html"), 406, "not_acceptable")
    assert problem["media_types"] == ["application/json", "text/csv"]
    assert "application/json or text/csv" in problem["detail"]


def test_every_problem_is_described_as_one(built: Built) -> None:
    for one in operations():
        for status in one.statuses:
            if status >= 400 and one.name != "health-ready":
                assert one.media_types(status) == {"application/problem+json"}, (one, status)


def test_every_status_that_a_walk_gets_is_described(built: Built) -> None:
    """Each role and nobody, at addresses of nothing, with nothing in the body."""
    callers = [Api(), *(built.api(role) for role in Role)]
    for one in operations():
        for caller in callers:
            status = caller.send(one.method, one.with_ids()).status_code
            assert status in one.statuses, (one, status)
