"""Queries of billing."""
