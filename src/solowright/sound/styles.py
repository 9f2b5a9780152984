"""The band's styles as tables: what bass, drums and comping repeat, and what they may add.

Offsets and lengths are quarters from where a chord (bass, comping) or a bar (drums) begins; a pattern
starts again after four (after three in dotted quarters). A shuffle is written in triplets, which a
swung feel leaves alone. Every bass and comping pattern strikes on the change. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from solowright.errors import InputError
from solowright.music.time import EIGHTH, Feel, Time

Style = Literal["walking", "two-feel", "shuffle", "rock", "bossa", "funk"]
STYLES: tuple[Style, ...] = ("walking", "two-feel", "shuffle", "rock", "bossa", "funk")
Piece = Literal["kick", "snare", "hat", "ride", "crash", "tom", "rim"]

PATTERN_LENGTH, COMPOUND_LENGTH = Fraction(4), Fraction(3)


@dataclass(frozen=True, slots=True)
class Step:
    """A bass note of a pattern. ``what``: 1 (or slash bass), 3, 5, 6, 8 of the chord, or ``in``: a half
    step into what follows."""

    at: Time
    length: Time
    what: str
    level: float = 1.0
    dead: bool = False


@dataclass(frozen=True, slots=True)
class Groove:
    """What the drums play: always (``base``), and now and then (``extra``)."""

    base: tuple[tuple[Piece, float, tuple[Time, ...]], ...]
    extra: tuple[tuple[Piece, float, tuple[Time, ...]], ...] = ()


Strikes = tuple[tuple[Time, Time], ...]


def choose_style(name: str | None, feel: Feel) -> Style:
    """The style of a name; without one, what goes with the feel. Raises InputError on another name."""
    if name is None:
        return "rock" if feel.straight or feel.unit != EIGHTH else "walking"
    for style in STYLES:
        if style == name:
            return style
    raise InputError(f"there is no style '{name}'; choose among {', '.join(STYLES)}")


def _at(*times: float) -> tuple[Time, ...]:
    return tuple(Fraction(time).limit_denominator(12) for time in times)


def _steps(*steps: tuple[float, float, str] | tuple[float, float, str, float, bool]) -> tuple[Step, ...]:
    return tuple(Step(_at(step[0])[0], _at(step[1])[0], *step[2:]) for step in steps)


def _strikes(*strikes: tuple[float, float]) -> Strikes:
    return tuple((at, length) for at, length in (_at(*strike) for strike in strikes))


def _boogie(*whats: str) -> tuple[Step, ...]:
    long, short = 2 / 3, 1 / 3
    return _steps(*(
        step for n, what in enumerate(whats)
        for step in ((n, long, what), (n + long, short, what, 0.75, False))
    ))  # fmt: skip


def _eighths(*whats: str) -> tuple[Step, ...]:
    return _steps(*((n / 2, 0.5, what, 0.8 if n % 2 else 1.0, False) for n, what in enumerate(whats)))


BASS: dict[Style, tuple[tuple[Step, ...], ...]] = {
    "two-feel": (
        _steps((0, 2, "1"), (2, 2, "5")),
        _steps((0, 1.5, "1"), (1.5, 0.5, "1", 0.7, False), (2, 2, "5")),
        _steps((0, 2, "1"), (2, 1.5, "5"), (3.5, 0.5, "in", 0.8, False)),
        _steps((0, 2, "1"), (2, 1, "3"), (3, 1, "5", 0.9, False)),
    ),
    "shuffle": (
        _boogie("1", "3", "5", "6"),
        _boogie("1", "1", "5", "5"),
        _boogie("1", "3", "5", "3"),
        _boogie("1", "5", "6", "5"),
    ),
    "rock": (
        _eighths("1", "1", "1", "1", "1", "1", "1", "1"),
        _eighths("1", "1", "1", "1", "1", "1", "1", "8"),
        _eighths("1", "1", "1", "8", "1", "1", "1", "1"),
        _eighths("1", "1", "1", "1", "1", "1", "5", "5"),
        _eighths("1", "1", "1", "1", "1", "1", "1", "in"),
    ),
    "bossa": (
        _steps((0, 1.5, "1"), (1.5, 0.5, "5", 0.8, False), (2, 1.5, "5"), (3.5, 0.5, "1", 0.8, False)),
        _steps((0, 1.5, "1"), (1.5, 0.5, "1", 0.8, False), (2, 1.5, "5"), (3.5, 0.5, "5", 0.8, False)),
        _steps((0, 1.5, "1"), (1.5, 0.5, "5", 0.8, False), (2, 1.5, "8"), (3.5, 0.5, "5", 0.8, False)),
    ),
    "funk": (
        _steps((0, 0.75, "1"), (0.75, 0.25, "1", 0.6, True), (1.5, 0.25, "8"), (2.5, 0.5, "5"),
               (3.25, 0.25, "1", 0.6, True), (3.5, 0.5, "in", 0.9, False)),
        _steps((0, 0.5, "1"), (0.5, 0.25, "1", 0.6, True), (0.75, 0.25, "1"), (1.75, 0.25, "8"),
               (2.5, 0.25, "1"), (2.75, 0.25, "5"), (3.5, 0.25, "8")),
        _steps((0, 0.75, "1"), (1.25, 0.25, "1", 0.6, True), (1.5, 0.5, "5"), (2.25, 0.25, "8"),
               (2.5, 0.75, "1"), (3.75, 0.25, "in")),
    ),
}  # fmt: skip

_BEATS, _BACK, _EIGHTHS = _at(0, 1, 2, 3), _at(1, 3), _at(0, 0.5, 1, 1.5, 2, 2.5, 3, 3.5)
_OFF = _at(0.5, 1.5, 2.5, 3.5)
_TRIPLETS = _at(2 / 3, 5 / 3, 8 / 3, 11 / 3)
DRUMS: dict[Style, tuple[Groove, ...]] = {
    "walking": (
        Groove(
            (("ride", 0.75, _at(0, 2)), ("ride", 0.9, _BACK), ("ride", 0.6, _at(1.5, 3.5)),
             ("kick", 0.3, _BEATS), ("hat", 0.6, _BACK)),
            tuple(("snare", 0.3, _at(time)) for time in (0.5, 1.5, 2.5, 3.5)),
        ),
    ),
    "two-feel": (
        Groove(
            (("ride", 0.7, _at(0, 2)), ("ride", 0.5, _BACK), ("kick", 0.35, _at(0, 2)), ("hat", 0.65, _BACK)),
            (("ride", 0.45, _at(1.5)), ("ride", 0.45, _at(3.5)), ("snare", 0.25, _at(3.5)),
             ("rim", 0.5, _at(3))),
        ),
    ),
    "shuffle": (
        Groove(
            (("hat", 0.7, _BEATS), ("hat", 0.5, _TRIPLETS), ("kick", 0.9, _at(0, 2)), ("snare", 0.95, _BACK)),
            (("kick", 0.6, _at(5 / 3)), ("snare", 0.25, _at(2 / 3)), ("snare", 0.25, _at(8 / 3)),
             ("kick", 0.55, _at(11 / 3))),
        ),
    ),
    "rock": (
        Groove(
            (("hat", 0.7, _BEATS), ("hat", 0.45, _OFF), ("kick", 0.95, _at(0, 2)), ("snare", 0.95, _BACK)),
            (("kick", 0.6, _at(1.5)), ("kick", 0.6, _at(2.5)), ("kick", 0.55, _at(3.5)),
             ("snare", 0.25, _at(3.75))),
        ),
    ),
    "bossa": (
        Groove((("hat", 0.4, _EIGHTHS), ("kick", 0.6, _at(0, 2)), ("kick", 0.4, _at(1.5, 3.5)),
                ("rim", 0.8, _at(0, 1.5, 3))), (("hat", 0.5, _at(3.75)),)),
        Groove((("hat", 0.4, _EIGHTHS), ("kick", 0.6, _at(0, 2)), ("kick", 0.4, _at(1.5, 3.5)),
                ("rim", 0.8, _at(1, 2.5))), (("hat", 0.5, _at(1.75)),)),
    ),
    "funk": (
        Groove(
            (("hat", 0.6, _EIGHTHS), ("hat", 0.35, tuple(time + Fraction(1, 4) for time in _EIGHTHS)),
             ("kick", 0.95, _at(0, 2.5)), ("snare", 0.95, _BACK)),
            (("kick", 0.7, _at(0.75)), ("kick", 0.7, _at(1.5)), ("kick", 0.6, _at(3.75)),
             ("snare", 0.22, _at(1.75)), ("snare", 0.22, _at(2.25)), ("snare", 0.22, _at(0.25))),
        ),
    ),
}  # fmt: skip

COMPING: dict[Style, tuple[Strikes, ...]] = {
    "walking": (
        _strikes((0, 1.5), (1.5, 0.5)),
        _strikes((0, 0.5), (1.5, 1)),
        _strikes((0, 2), (2.5, 0.5)),
        _strikes((0, 0.5), (2.5, 1)),
        _strikes((0, 1), (1.5, 0.5), (3.5, 0.5)),
    ),
    "two-feel": (
        _strikes((0, 3)),
        _strikes((0, 1), (2.5, 1)),
        _strikes((0, 1.5), (3.5, 0.5)),
        _strikes((0, 4)),
    ),
    "shuffle": (
        _strikes((0, 0.5), (5 / 3, 1 / 3), (11 / 3, 1 / 3)),
        _strikes((0, 0.5), (2 / 3, 1 / 3), (5 / 3, 1 / 3), (8 / 3, 1 / 3), (11 / 3, 1 / 3)),
        _strikes((0, 1), (5 / 3, 4 / 3)),
    ),
    "rock": (
        _strikes((0, 2), (2, 2)),
        _strikes((0, 1.5), (1.5, 2.5)),
        _strikes((0, 1), (1.5, 0.5), (2.5, 1.5)),
        _strikes((0, 0.5), (1, 0.5), (2, 0.5), (3, 0.5)),
    ),
    "bossa": (
        _strikes((0, 1), (1.5, 1), (3, 0.5)),
        _strikes((0, 0.5), (1, 0.5), (2.5, 1)),
        _strikes((0, 1), (1.5, 0.5), (2.5, 0.5), (3.5, 0.5)),
    ),
    "funk": (
        _strikes((0, 0.25), (0.75, 0.25), (2.5, 0.25)),
        _strikes((0, 0.25), (1.75, 0.25), (2.25, 0.25), (3.5, 0.25)),
        _strikes((0, 0.5), (1.5, 0.25), (1.75, 0.25), (3.25, 0.25)),
    ),
}

# Under a chord of less than two beats, whatever the style.
SHORT_BASS = (
    _steps((0, 2, "1")),
    _steps((0, 1, "1"), (1, 1, "1", 0.8, False)),
    _steps((0, 0.5, "1"), (0.5, 1.5, "1", 0.8, False)),
)

# Bars that go in dotted quarters: 6/8 and its like, whatever the style.
COMPOUND_COMPING = (
    _strikes((0, 3)),
    _strikes((0, 1.5), (2.5, 0.5)),
    _strikes((0, 1), (1.5, 1)),
)
COMPOUND_BASS = (
    _steps((0, 1.5, "1"), (1.5, 1, "5"), (2.5, 0.5, "5", 0.8, False)),
    _steps((0, 1, "1"), (1, 0.5, "1", 0.8, False), (1.5, 1.5, "5")),
    _steps((0, 1.5, "1"), (1.5, 1.5, "1")),
)
