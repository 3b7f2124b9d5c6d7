"""A client who is registered a second time: consent withdrawn in one record stands in the other."""

from __future__ import annotations

from typing import Any

import pytest

from practice.core.terms import Role
from tests.builders import Api, Built, ok
from tests.clients.bodies import CLIENT


def warned(desk: Api, **details: Any) -> list[str]:
    """The warnings of one who gives no phone, by which anyone may be known twice."""
    shown = ok(desk.post("clients", {**CLIENT, "phone": "", **details}), 201)
    return [one["code"] for one in shown["warnings"]]


@pytest.mark.parametrize(
    ("details", "told"),
    [
        ({"given_name": "IRIS"}, True),
        ({"birth_date": None}, True),
        ({"birth_date": "1983-06-15"}, False),
        ({"given_name": "Ottilie"}, False),
        ({"family_name": "Okafor"}, False),
    ],
)
def test_one_of_that_name_is_named_unless_born_on_another_day(
    desk: Api, details: dict[str, Any], told: bool
) -> None:
    assert warned(desk) == []
    assert warned(desk, **details) == ["registered_twice"] * told


def test_one_whose_birth_date_is_not_known_may_be_the_same(desk: Api) -> None:
    assert warned(desk, birth_date=None) == []
    assert warned(desk) == ["registered_twice"]


def test_a_client_whom_the_caller_does_not_see_is_not_given_away(built: Built, desk: Api) -> None:
    elsewhere = {**CLIENT, "facility_ids": [str(built.west.pk)]}
    ok(built.api(Role.OWNER).post("clients", elsewhere), 201)
    assert warned(desk) == []
