"""Nobody signs off their own technique, but where the practice has nobody else."""

from __future__ import annotations

from typing import Any

import pytest

from practice.core.terms import Credential, Role
from practice.people_and_places.models.practitioners import Competence, Practitioner
from practice.policy.row_seals import row_faults, seal_rows
from tests.builders import Built, account, ok, refused

REASON = "Course of 12 January 2026, certificate seen."


def sign_off(built: Built, **more: Any) -> Any:
    """A sign-off of Paula in a technique that is not signed off."""
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    paula.competences.all().delete()
    body = {
        "technique": "passive",
        "signed_off_by": "Paula",
        "signed_off_on": "2026-02-01",
        "practised_on_colleagues": True,
        **more,
    }
    return built.api(Role.OWNER).post(f"practitioners/{paula.pk}/competences", body)


def alone(built: Built, but: tuple[Credential, ...] = (Credential.PHYSICAL_THERAPIST,)) -> None:
    """Everybody else has left."""
    kept = [built.practitioners[one].pk for one in but]
    Practitioner.objects.exclude(pk__in=kept).update(is_active=False)


def fields(answer: Any) -> list[str]:
    return [one["field"] for one in refused(answer, 400, "invalid")["errors"]]


@pytest.mark.parametrize("name", ["Paula", "PAULA", " paúla "])
def test_nobody_signs_off_their_own_technique(built: Built, name: str) -> None:
    assert fields(sign_off(built, signed_off_by=name)) == ["signed_off_by"]
    assert fields(sign_off(built, signed_off_by=name, reason=REASON)) == ["signed_off_by"]
    assert not Competence.objects.filter(practitioner__name="Paula").exists()


def test_the_name_of_ones_account_is_ones_own_too(built: Built) -> None:
    built.staff[Role.PRACTITIONER].name = "Paula Renn"
    built.staff[Role.PRACTITIONER].save()
    assert fields(sign_off(built, signed_off_by="Renn, Paula")) == ["signed_off_by"]
    ok(sign_off(built, signed_off_by="Paula Rehn"), 201)


def test_somebody_else_signs_off_without_a_warning(built: Built) -> None:
    made = ok(sign_off(built, signed_off_by="Olga"), 201)
    assert made["warnings"] == []
    alone(built)
    teacher = sign_off(built, signed_off_by="Runa Vik, teacher")
    assert ok(teacher, 201)["warnings"] == []


def test_where_nobody_else_is_left_their_own_stands_with_its_reason_and_a_warning(
    built: Built,
) -> None:
    alone(built)
    assert fields(sign_off(built)) == ["reason"]
    assert fields(sign_off(built, reason="  ")) == ["reason"]
    made = ok(sign_off(built, reason=REASON), 201)
    assert [one["code"] for one in made["warnings"]] == ["own_sign_off"]
    assert made["id"] in made["warnings"][0]["text"]
    path = f"practitioners/{built.practitioners[Credential.PHYSICAL_THERAPIST].pk}/competences"
    [row] = ok(built.api(Role.OWNER).get(path))["results"]
    assert row["reason"] == REASON


def test_one_other_who_works_here_is_enough_to_refuse_it(built: Built) -> None:
    alone(built, (Credential.PHYSICAL_THERAPIST, Credential.MASSAGE_THERAPIST))
    assert fields(sign_off(built, reason=REASON)) == ["signed_off_by"]


def test_an_owner_who_works_with_clients_is_no_other_than_themself(built: Built) -> None:
    marco = built.practitioners[Credential.MASSAGE_THERAPIST]
    account("marco.owner", Role.OWNER, of=marco)
    alone(built, (Credential.PHYSICAL_THERAPIST, Credential.MASSAGE_THERAPIST))
    body = {
        "technique": "passive",
        "signed_off_by": "Marco.Owner",
        "signed_off_on": "2026-02-01",
        "practised_on_colleagues": True,
    }
    marco.competences.all().delete()
    path = f"practitioners/{marco.pk}/competences"
    assert fields(built.api(Role.OWNER).post(path, body)) == ["signed_off_by"]


def test_rows_sealed_before_there_was_a_reason_stand_as_they_were_sealed(
    built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A column that comes later breaks no seal; filling it past the program does."""
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    row = paula.competences.all()[0]
    from practice.policy import row_seals

    whole = row_seals.snapshot

    def before(one: Any) -> dict[str, Any]:
        shown = whole(one)
        shown.pop("reason")
        return shown

    monkeypatch.setattr(row_seals, "snapshot", before)
    monkeypatch.setattr(Competence, "ADDED", {})
    seal_rows([row])
    monkeypatch.undo()
    assert not [one for one in row_faults() if str(row.pk) in one]
    Competence.objects.filter(pk=row.pk).update(reason="put in")
    assert [one for one in row_faults() if str(row.pk) in one]
