"""What happens to a client's record on this floor: who she is, and what may be done with her."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from uuid import UUID

import msgspec

from clients.domain.health import HistoryContent, Order, Site
from clients.domain.terms import ConsentForm, PreferenceScope
from practice.domain.events import Event, event
from practice.domain.terms import Gender, Technique

# Identity


class ContactBy(StrEnum):
    """How the client lets the practice get in touch; ``none``: only in person."""

    MAIL = "mail"
    TEXT = "text"
    PHONE = "phone"
    NONE = "none"


class Details(msgspec.Struct, frozen=True, kw_only=True):
    """Who the client is and how she is reached.

    ``phone`` in E.164; ``zone`` an IANA zone (quiet hours); ``language`` BCP 47;
    ``facility_ids``: where she is known, and so whose staff see her record.
    """

    given_name: str
    family_name: str
    birth_date: date | None = None
    phone: str = ""
    email: str = ""
    zone: str
    language: str = "en"
    contact_by: ContactBy = ContactBy.NONE
    facility_ids: tuple[UUID, ...] = ()


@event("client.registered")
class ClientRegistered(Event, frozen=True, kw_only=True):
    """A client was registered."""

    details: Details


@event("client.details_changed")
class ClientDetailsChanged(Event, frozen=True, kw_only=True):
    """Her details as they are from now on."""

    details: Details


# Health history


@event("history.reported")
class HistoryReported(Event, frozen=True, kw_only=True):
    """A health history as the desk was told it: it narrows at once and frees nothing."""

    report_id: UUID
    content: HistoryContent
    told_by: str = ""


@event("history.reviewed")
class HistoryReviewed(Event, frozen=True, kw_only=True):
    """A practitioner's history, right as of now. ``covers`` are the reports taken into it."""

    review_id: UUID
    content: HistoryContent
    practitioner_id: UUID | None
    covers: tuple[UUID, ...] = ()


# Orders


@event("order.filed")
class OrderFiled(Event, frozen=True, kw_only=True):
    """A surgeon's or physician's paper was filed."""

    order: Order
    expiry_by_setting: bool = False


@event("order.lifted")
class OrderLifted(Event, frozen=True, kw_only=True):
    """An order was lifted, by name and date."""

    order_id: UUID
    lifted_on: date
    lifted_by: str
    reason: str = ""


# Touch consent


class ConsentScope(msgspec.Struct, frozen=True, kw_only=True):
    """What a touch consent is for, and what she makes a condition of it."""

    sites: tuple[Site, ...]
    techniques: tuple[Technique, ...]
    practitioners: tuple[UUID, ...] = ()
    gender: Gender | None = None
    support_person: bool = False
    interpreter: bool = False


class Obtained(msgspec.Struct, frozen=True, kw_only=True):
    """How a consent was obtained: the form, who explained it, the witness or typed name.

    ``language`` is the one that was used (BCP 47).
    """

    form: ConsentForm
    language: str
    by: str = ""
    witness: str = ""
    typed_name: str = ""


@event("consent.recorded")
class ConsentRecorded(Event, frozen=True, kw_only=True):
    """She gave consent, from ``given_on`` to ``until``, both included."""

    consent_id: UUID
    scope: ConsentScope
    obtained: Obtained
    given_on: date
    until: date
    until_by_setting: bool = False


@event("consent.declined")
class ConsentDeclined(Event, frozen=True, kw_only=True):
    """She was asked and declined."""

    consent_id: UUID
    reason: str = ""


@event("consent.withdrawn")
class ConsentWithdrawn(Event, frozen=True, kw_only=True):
    """She withdrew her consent."""

    consent_id: UUID | None
    reason: str = ""


# Provider preference


class StatedPreference(msgspec.Struct, frozen=True, kw_only=True):
    """Whom she said she prefers: a gender or named people, and for what."""

    scope: PreferenceScope
    gender: Gender | None = None
    practitioners: tuple[UUID, ...] = ()


@event("preference.stated")
class PreferenceStated(Event, frozen=True, kw_only=True):
    """Whom she prefers from now on; None: anyone. Exceptions to an earlier one end."""

    preference: StatedPreference | None


@event("preference.exception_agreed")
class PreferenceExceptionAgreed(Event, frozen=True, kw_only=True):
    """She herself agreed to a practitioner against her preference.

    For one session (by its id, or by its day ``on``) or ``until`` a day.
    """

    exception_id: UUID
    practitioner_id: UUID
    agreed_how: str
    session_id: UUID | None = None
    on: date | None = None
    until: date | None = None
