"""What an arc is made of: plain records, filled by ``arc``.

Bars are places in ``tune.chart.bars`` (from 0) unless a field is called ``number`` or is a ``Place``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from solowright.music.chart import Place
from solowright.music.line import Note
from solowright.music.time import Time

Where = Literal["there", "early", "late", "short"]
Reason = Literal["climax", "break", "turn", "hits", "end"]


@dataclass(frozen=True, slots=True)
class Curves:
    """One value a bar as played. ``pitch``, ``low`` and ``high`` are None where nothing sounds.

    ``density``: attacks a second. ``pitch``: mean MIDI number of the top voice by time sounding; ``low``
    and ``high``: MIDI. ``load``: the hardest move, 1 the player's limit. ``tension``: 0 all in the chord
    to 1 all against it. ``flash``: 0 to 1. ``level``: dB, 0 is one picked note after another.
    ``intensity``: 0 to 1, all of it together as a listener may feel it.
    """

    density: tuple[float, ...]
    pitch: tuple[float | None, ...]
    low: tuple[int | None, ...]
    high: tuple[int | None, ...]
    load: tuple[float, ...]
    tension: tuple[float, ...]
    flash: tuple[float, ...]
    level: tuple[float, ...]
    intensity: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Stretch:
    """A section as played, or a part of one: bars ``first`` up to and without ``stop``."""

    name: str
    first: int
    stop: int


@dataclass(frozen=True, slots=True)
class Climax:
    """The bars ``first`` to ``last`` where intensity peaks, ``bar`` at the very top; ``wanted``: where
    the sections ask for it; ``where`` it stands to that (``short``: too few bars to ask for a peak).
    ``rival``: another peak nearly as tall, None where there is none. ``highest``: the line's highest
    note (its place in the line)."""

    bar: int
    first: int
    last: int
    wanted: Stretch
    where: Where
    rival: int | None
    highest: int
    highest_at: Place


@dataclass(frozen=True, slots=True)
class SectionArc:
    """The means of a section as played, by time: those of ``Curves``; ``notes`` counts attacks.

    ``pitch`` is None where the section is silent.
    """

    stretch: Stretch
    notes: int
    density: float
    pitch: float | None
    load: float
    tension: float
    flash: float
    level: float
    intensity: float


@dataclass(frozen=True, slots=True)
class Contrast:
    """How one section differs from the one before, ``faster`` as a ratio of attacks a second, ``higher``
    in semitones, ``louder`` in dB. ``strongest`` names the difference that is heard most; ``size``
    below 1 is hardly a contrast."""

    before: int
    after: int
    faster: float
    higher: float
    louder: float
    tenser: float
    flashier: float
    strongest: str
    size: float


@dataclass(frozen=True, slots=True)
class BreakFill:
    """Bars in which the band is out. ``notes``: attacks of the line; ``density`` its rate and
    ``before`` that of the four bars before; ``devices``: the kinds of what fills it; ``silence``: the
    longest gap, in quarters; ``enters``: quarters from the break's start to the first attack, None where
    the line is silent too."""

    first: int
    last: int
    notes: int
    density: float
    before: float
    devices: tuple[str, ...]
    silence: Time
    enters: Time | None


@dataclass(frozen=True, slots=True)
class HitsPlayed:
    """A bar with hits: those the line strikes, those it leaves to the band, by offset in the bar;
    ``between``: attacks of the line elsewhere before the last hit."""

    bar: int
    played: tuple[Time, ...]
    left: tuple[Time, ...]
    between: int


@dataclass(frozen=True, slots=True)
class AnswerRoom:
    """A bar with a band answer from ``start`` to ``end``: whether the line stays silent (or holds) there,
    ``attacks`` it makes, and the quarters of its own rest around the answer."""

    bar: int
    start: Time
    end: Time
    attacks: int
    rest: Time

    @property
    def free(self) -> bool:
        return not self.attacks


@dataclass(frozen=True, slots=True)
class WayBack:
    """From the last note to the next entry. ``known``: the chart goes on after the solo (else the entry
    is the downbeat after the chart's last bar), ``quarters`` later. Seconds: ``time`` to the entry,
    ``rings`` of it that the note sounds as written, ``hand`` that the fretting hand needs to the place
    where the line began, ``mm`` away. ``enough``: hand and ring-out both have their time."""

    last: Place
    entry: Place
    known: bool
    quarters: Time
    time: float
    rings: float
    hand: float
    mm: float
    needs: float
    enough: bool


@dataclass(frozen=True, slots=True)
class Plainer:
    """A plainer version of a passage: ``notes`` (fingered) in place of the line's at ``places``.

    ``limit_tempo``: of the passage with the moves into and out of it, ``before`` of the line as it is;
    inf where nothing asks for speed. ``degrees`` of the notes against their chords (None: no chord) and
    ``reasons``: what the reading says of them. ``kept``: the places in the line of the notes that stay
    as they are.
    """

    places: tuple[int, ...]
    notes: tuple[Note, ...]
    kept: tuple[int, ...]
    before: float
    limit_tempo: float
    degrees: tuple[str | None, ...]
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Passage:
    """Flash: a device meant to be noticed, over ``notes`` (places in the line).

    ``cost``: beats times the weight of its kind; ``reasons`` why it pays here (none: it doesn't);
    ``cluster``: which crowd of passages it belongs to, None where it stands alone.
    """

    kind: str
    short: str
    start: Time
    end: Time
    notes: tuple[int, ...]
    cost: float
    reasons: tuple[Reason, ...]
    cluster: int | None = None
    plainer: Plainer | None = None


@dataclass(frozen=True, slots=True)
class Flash:
    """The flash budget in weighted beats: ``budget`` what the solo can carry, ``spent`` what it spends;
    ``by_section``: spent in each section as played."""

    budget: float
    spent: float
    passages: tuple[Passage, ...]
    by_section: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Arc:
    """How the solo builds. ``climax`` and ``way_back`` are None for a chart without a line;
    ``level_measured``: the level curve came from the caller, not from our estimate."""

    numbers: tuple[int, ...]
    curves: Curves
    level_measured: bool
    climax: Climax | None
    sections: tuple[SectionArc, ...]
    contrasts: tuple[Contrast, ...]
    breaks: tuple[BreakFill, ...]
    hits: tuple[HitsPlayed, ...]
    answers: tuple[AnswerRoom, ...]
    way_back: WayBack | None
    flash: Flash
