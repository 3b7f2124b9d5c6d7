"""What the specs leave open against models, shipped settings and addresses."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from django.apps import apps
from django.db.models import Model
from django.urls import URLPattern, URLResolver, get_resolver
from django.urls.converters import UUIDConverter

from practice.core.appspec import AppSpec
from practice.policy.fixtures import settings_in_files
from practice.work.models import ReadTable


def find(specs: Sequence[AppSpec]) -> Iterator[str]:
    """Every gap as a sentence, but for those of addresses."""
    yield from _read_tables(specs)
    yield from _labels(specs)
    yield from _tables_of_clients(specs)
    yield from _settings(specs)


def _read_tables(specs: Sequence[AppSpec]) -> Iterator[str]:
    tables = {one._meta.label for one in apps.get_models() if issubclass(one, ReadTable)}
    kept = {one.name for spec in specs for one in spec.projections}
    for label in sorted(tables - kept):
        yield f"the read table {label} has no projection"
    for label in sorted(kept - tables):
        yield f"a projection keeps {label}, which is no read table"


def _labels(specs: Sequence[AppSpec]) -> Iterator[str]:
    """Labels in specs that stand for no table with a ``client_id``."""
    by_label = {one._meta.label: one for one in apps.get_models()}
    for spec in specs:
        for label in (*spec.working_documents, *spec.kept_tables, *spec.owners_of_ids.values()):
            if label not in by_label:
                yield f"{spec.name} names the table {label}, and there is no such model"
            elif not _has_client_id(by_label[label]):
                yield f"{spec.name} names the table {label}, which has no client_id"


def _tables_of_clients(specs: Sequence[AppSpec]) -> Iterator[str]:
    """Tables with a ``client_id`` of which an erasure would know nothing."""
    named = {label for spec in specs for label in (*spec.working_documents, *spec.kept_tables)}
    for model in apps.get_models():
        label = model._meta.label
        if _has_client_id(model) and not issubclass(model, ReadTable) and label not in named:
            yield (
                f"{label} has a client_id and is neither a read table nor named as a working"
                " document or as kept"
            )


def _has_client_id(model: type[Model]) -> bool:
    return any(one.attname == "client_id" for one in model._meta.concrete_fields)


def _settings(specs: Sequence[AppSpec]) -> Iterator[str]:
    shipped = {group for group, _ in settings_in_files()}
    read = {group for spec in specs for group in spec.settings}
    for group in sorted(shipped - read):
        yield f"the settings {group} are shipped and no spec names their struct"
    for group in sorted(read - shipped):
        yield f"a spec names the struct of the settings {group}, which are not shipped"


def find_in_addresses(specs: Sequence[AppSpec]) -> Iterator[str]:
    """Ids in addresses of which no spec says whose they are. Imports every view: half the start
    of a process that serves none."""
    owned = {name for spec in specs for name in spec.owners_of_ids}
    own = {name for spec in specs for name in spec.practice_ids}
    found = ids_in_addresses()
    for name in sorted(found - owned - own - {"client_id"}):
        yield f"no spec says whose record {name} in an address belongs to"
    for name in sorted(owned & own):
        yield f"{name} is said to be a client's and the practice's own"
    for name in sorted((owned | own) - found):
        yield f"a spec names {name}, which stands in no address"


def ids_in_addresses() -> set[str]:
    """The names of all ids (``<uuid:…>``) in the addresses of the program."""
    return set(_ids_below(get_resolver().url_patterns))


def _ids_below(patterns: Iterable[URLPattern | URLResolver]) -> Iterator[str]:
    for one in patterns:
        for name, converter in one.pattern.converters.items():
            if isinstance(converter, UUIDConverter):
                yield name
        if isinstance(one, URLResolver):
            yield from _ids_below(one.url_patterns)
