"""Which practitioners are alike to the rules: what is permitted with one is with the other."""

from __future__ import annotations

from collections.abc import Hashable
from uuid import UUID

from clients.clinical.domain.facts import ClientFacts
from clients.permissions.domain.inputs import PractitionerFacts, SupervisionFacts


def kind_of(
    client: ClientFacts, person: PractitionerFacts, supervision: SupervisionFacts | None
) -> Hashable:
    """All that a rule can see of a practitioner. Whom the client names, and who is supervised,
    is like nobody else; of others neither they nor their papers are told apart by an id."""
    alone = supervision is not None or person.practitioner_id in named_practitioners(client)
    return (
        person.practitioner_id if alone else None,
        person.credential,
        person.gender,
        person.works_here,
        tuple(
            (one.jurisdiction, one.credential, one.valid_from, one.expires_on)
            for one in person.licences
        ),
        tuple((one.technique, one.signed_off_on) for one in person.competences),
    )


def named_practitioners(client: ClientFacts) -> frozenset[UUID]:
    """Whom the client's consent, what was withdrawn of it, preference or exceptions name."""
    found = {*client.consent.practitioner_ids, *(one.practitioner_id for one in client.exceptions)}
    for scope in client.consent.narrowed:
        found.update(scope.practitioner_ids)
    if client.preference is not None:
        found.update(client.preference.practitioner_ids)
    return frozenset(found)
