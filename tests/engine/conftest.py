"""Hypothesis without a deadline: a busy machine is no failing test."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("steady", deadline=None)
settings.load_profile("steady")
