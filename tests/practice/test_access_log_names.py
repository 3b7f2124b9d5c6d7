"""The log of reads says who read, by name: an auditor looks nobody up."""

from __future__ import annotations

from practice.core.terms import Role
from tests.builders import Built, ok
from tests.clients.bodies import CLIENT


def test_an_entry_names_who_read_though_they_have_left(built: Built) -> None:
    desk, owner = built.api(Role.FRONT_DESK), built.api(Role.OWNER)
    client_id = ok(desk.post("clients", CLIENT), 201)["id"]
    desk.get(f"clients/{client_id}")
    ok(owner.patch(f"staff/{built.staff[Role.FRONT_DESK].pk}", {"is_active": False}, match=1))
    shown = ok(owner.get(f"access-log?client_id={client_id}"))["results"]
    assert {row["staff_name"] for row in shown} == {built.staff[Role.FRONT_DESK].name}
