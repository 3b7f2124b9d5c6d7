"""People, rows of law and days that several tests of permissions share."""

from __future__ import annotations

from datetime import timedelta
from uuid import UUID

import msgspec

from practice.core.terms import Credential
from tests.clients.permissions import given as g

replace = msgspec.structs.replace
OTHER = UUID(int=99)
PAYER = UUID(int=98)
TRAINER = replace(g.THERAPIST, credential=Credential.PERSONAL_TRAINER, licences=())
TRAINER_LAW = replace(g.ALLOWED, credential=Credential.PERSONAL_TRAINER)
YESTERDAY = g.DAY - timedelta(days=1)
