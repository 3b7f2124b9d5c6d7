"""Who may co-sign the notes of others, for any number of notes with the same statements."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, datetime
from uuid import UUID

from clients.permissions.domain.inputs import LicenceFacts, PractitionerFacts
from practice.core.localtime import local_day
from practice.core.terms import Credential
from practice.people_and_places.models.practitioners import Licence, Practitioner, Supervision
from practice.people_and_places.selectors.kept import places
from practice.people_and_places.supervision import SupervisionSettings
from practice.policy.selectors import settings_group
from sessions.notes.domain.co_signers import CoSigner, NoteWork, Standing, bars_of

Asked = tuple[UUID, date]
"""A practitioner and a local day."""


class CoSignerRows:
    """Who supervised some practitioners on some days, at whatever facility, as they stand now.

    ``asked``: the authors of the notes with the local days of their sessions.
    """

    def __init__(self, asked: Iterable[Asked]) -> None:
        wanted = set(asked)
        self._by_day: dict[Asked, list[Supervision]] = defaultdict(list)
        self._people: dict[UUID, Practitioner] = {}
        self._facts: dict[UUID, PractitionerFacts] = {}
        self._places: dict[UUID, set[UUID]] = {}
        if not wanted:
            return
        rows = Supervision.objects.filter(
            supervised_id__in={one for one, _ in wanted}, day__in={day for _, day in wanted}
        )
        for row in rows.order_by("id"):
            self._by_day[row.supervised_id, row.day].append(row)
        found = {row.supervisor_id for rows in self._by_day.values() for row in rows}
        for person in Practitioner.objects.filter(pk__in=found).prefetch_related(
            "licences", "facilities"
        ):
            self._people[person.pk] = person
            self._facts[person.pk] = _facts(person)
            self._places[person.pk] = {one.pk for one in person.facilities.all()}

    def of(self, work: NoteWork, now: datetime) -> tuple[CoSigner, ...]:
        """Everyone who supervised the author that day: who was named for the facility first,
        then by name; each with what bars them."""
        found: dict[UUID, CoSigner] = {}
        here_first = sorted(
            self._by_day.get((work.author_id, work.day), ()),
            key=lambda row: row.facility_id != work.facility_id,
        )
        for row in here_first:
            if row.supervisor_id not in found:
                found[row.supervisor_id] = self._co_signer(row, work, now)
        return tuple(sorted(found.values(), key=lambda one: (not one.named, one.name)))

    def _co_signer(self, row: Supervision, work: NoteWork, now: datetime) -> CoSigner:
        facts, place = self._facts[row.supervisor_id], places()[work.facility_id]
        table = settings_group("supervision", SupervisionSettings)[0]
        standing = Standing(
            jurisdiction=place.jurisdiction,
            today=local_day(now, place.zone),
            works_at=work.facility_id in self._places[row.supervisor_id],
            entitled=table.entitled(facts.credential, work.credential),
        )
        return CoSigner(
            supervision_id=row.pk,
            practitioner_id=row.supervisor_id,
            name=self._people[row.supervisor_id].name,
            credential=facts.credential,
            named=row.facility_id == work.facility_id,
            bars=bars_of(facts, work, standing),
        )


def _facts(person: Practitioner) -> PractitionerFacts:
    return PractitionerFacts(
        practitioner_id=person.pk,
        credential=Credential(person.credential),
        licences=tuple(_licence(one) for one in person.licences.all()),
        works_here=person.is_active,
    )


def _licence(one: Licence) -> LicenceFacts:
    return LicenceFacts(
        id=one.pk,
        revision=one.revision,
        jurisdiction=one.jurisdiction,
        credential=Credential(one.credential),
        valid_from=one.valid_from,
        expires_on=one.expires_on,
    )
