"""The guardian who consents and the one on record are one truth. Pure."""

from __future__ import annotations

from datetime import date

import msgspec

from clients.consent.domain.commands import RecordConsent
from clients.consent.domain.terms import ConsentSigner
from clients.identity.domain.contact import Guardian
from clients.identity.domain.events import ClientDetails
from practice.core.names import same_name
from practice.core.reasons import invalid


def with_known_guardian(command: RecordConsent, details: ClientDetails) -> RecordConsent:
    """The consent with the guardian on record where a guardian signs and none is named."""
    obtained, known = command.obtained, details.guardian
    if obtained.signer is not ConsentSigner.GUARDIAN or known is None:
        return command
    named = obtained.guardian_name or known.name
    relation = obtained.guardian_relation
    if not relation and same_name(named, known.name):
        relation = known.relation
    whole = msgspec.structs.replace(obtained, guardian_name=named, guardian_relation=relation)
    return msgspec.structs.replace(command, obtained=whole)


def end_of_guardianship(
    command: RecordConsent, details: ClientDetails, given_on: date
) -> date | None:
    """The last day on record of the guardian who signs; None where none is said.

    Raises Rejected 400 where it was over on the day of the consent.
    """
    known = _signing_guardian(command, details)
    if known is None or known.until is None:
        return None
    if given_on > known.until:
        text = f"{known.name} was guardian until {known.until}: name who is it now."
        raise invalid("guardian_name", text)
    return known.until


def _signing_guardian(command: RecordConsent, details: ClientDetails) -> Guardian | None:
    obtained, known = command.obtained, details.guardian
    if obtained.signer is not ConsentSigner.GUARDIAN or known is None:
        return None
    return known if same_name(obtained.guardian_name, known.name) else None
