"""Who may co-sign the notes of others, for any number of notes with the same statements."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
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

NIL = UUID(int=0)
Asked = tuple[UUID, date]
"""A practitioner and a local day."""


class CoSignerRows:
    """Who supervised some practitioners on some days, at whatever facility, as they stand now.

    ``asked``: the authors of the notes with the local days of their sessions; ``others``: people
    who supervised nobody, whom the owner named or may name.
    """

    def __init__(self, asked: Iterable[Asked], others: Iterable[UUID] = ()) -> None:
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
        found = {row.supervisor_id for rows in self._by_day.values() for row in rows} | set(others)
        for person in Practitioner.objects.filter(pk__in=found).prefetch_related(
            "licences", "facilities"
        ):
            self._people[person.pk] = person
            self._facts[person.pk] = _facts(person)
            self._places[person.pk] = {one.pk for one in person.facilities.all()}

    def of(self, work: NoteWork, now: datetime) -> tuple[CoSigner, ...]:
        """Everyone who supervised the author that day: who was named for the facility first,
        then by name; then whom the owner named for the note. Each with what bars them."""
        found: dict[UUID, CoSigner] = {}
        here_first = sorted(
            self._by_day.get((work.author_id, work.day), ()),
            key=lambda row: row.facility_id != work.facility_id,
        )
        for row in here_first:
            if row.supervisor_id not in found:
                here = row.facility_id == work.facility_id
                one = self.co_signer(row.supervisor_id, work, now)
                found[row.supervisor_id] = replace(one, supervision_id=row.pk, named=here)
        naming = work.naming
        if naming is not None and naming.practitioner_id not in found:
            one = self.co_signer(naming.practitioner_id, work, now)
            one = replace(one, supervision_id=naming.naming_id, reason=naming.reason)
            found[naming.practitioner_id] = one
        return tuple(
            sorted(found.values(), key=lambda one: (bool(one.reason), not one.named, one.name))
        )

    def knows(self, practitioner_id: UUID) -> bool:
        """Whether there is such a practitioner among those who were asked for."""
        return practitioner_id in self._people

    def co_signer(
        self,
        practitioner_id: UUID,
        work: NoteWork,
        now: datetime,
        below: frozenset[UUID] = frozenset(),
    ) -> CoSigner:
        """How somebody stands to a note, by no row of that day. ``below``: whom its author
        supervised that day, directly or through others."""
        facts, place = self._facts[practitioner_id], places()[work.facility_id]
        table = settings_group("supervision", SupervisionSettings)[0]
        standing = Standing(
            jurisdiction=place.jurisdiction,
            today=local_day(now, place.zone),
            works_at=work.facility_id in self._places[practitioner_id],
            entitled=table.entitled(facts.credential, work.credential),
            below_author=practitioner_id in below,
        )
        return CoSigner(
            supervision_id=NIL,
            practitioner_id=practitioner_id,
            name=self._people[practitioner_id].name,
            credential=facts.credential,
            named=False,
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
