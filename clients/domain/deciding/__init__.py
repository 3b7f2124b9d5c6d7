"""Decisions about who the client is and what may be done with her: pure."""
