"""The catalogue as judging asks for it."""

from sessions.selectors.catalogue import catalogue_specs

__all__ = ["catalogue_specs"]
