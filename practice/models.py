"""The features' models, imported for Django alone."""

import practice.accesslog.models
import practice.audit.models
import practice.law.models
import practice.people_and_places.models.exceptions
import practice.people_and_places.models.facilities
import practice.people_and_places.models.practitioners
import practice.people_and_places.models.sign_ins
import practice.people_and_places.models.staff
import practice.policy.models
import practice.work.models
