"""Exact fractions for musical time."""

from __future__ import annotations

from fractions import Fraction

__all__ = ["Fraction"]
