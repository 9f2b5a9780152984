"""What a reading is made of: plain records, filled by ``reading``."""

from __future__ import annotations

from dataclasses import dataclass, field

from solowright.harmony.character import Character
from solowright.harmony.devices.found import Facts
from solowright.harmony.guide_tones import GuideTone
from solowright.harmony.roles import Role
from solowright.harmony.search import Search
from solowright.harmony.statement import Statement
from solowright.music.chord import Chord
from solowright.music.pitch import Pitch
from solowright.music.time import Time


@dataclass(frozen=True, slots=True)
class NoteReading:
    """One note of the line: ``pitch`` as heard (a bend's goal), the ``chord`` it is heard against
    (None: no chord), its role, and its degree against the chord."""

    pitch: Pitch
    chord: Chord | None
    role: Role
    degree: str | None


@dataclass(frozen=True, slots=True)
class Landing:
    """A target: ``note`` is its place in the line, ``approach`` tells how it was reached."""

    note: int
    approach: str


@dataclass(frozen=True, slots=True)
class Device:
    """A way of making notes, found in the line. ``start`` and ``end`` are the onsets of its first and
    last note, ``notes`` their places in the line; ``saved`` is how many bits it shortens the telling
    by, the measure of how sure it is. ``short`` is its name for a bracket; ``runner_up`` the next
    best telling of the same notes, for the player to choose."""

    kind: str
    start: Time
    end: Time
    notes: tuple[int, ...]
    facts: Facts
    sentence: str
    saved: float
    short: str = ""
    runner_up: tuple[Device, ...] = ()


@dataclass(frozen=True, slots=True)
class Sentence:
    """A reason and the time it speaks of."""

    text: str
    start: Time
    end: Time


@dataclass(frozen=True, slots=True)
class SectionReading:
    """A section as played: its name, first and last bar as players count them, what its changes are,
    and a paragraph about what the line does there."""

    name: str
    first: int
    last: int
    character: Character
    text: str


@dataclass(frozen=True, slots=True)
class Reading:
    """What the line does against the chart. ``notes`` match the line's notes one to one;
    ``unexplained`` counts the notes that no device covers. Devices are in order of time; those that
    tell what the line is made of never overlap each other, nor do those that tell how it stands to
    the band and to what was played before. ``search`` is kept so that the next reading of the tune, a
    little changed, is quick, and so is ``unspelled``, that of the line before it was spelled by its
    harmony."""

    notes: tuple[NoteReading, ...]
    targets: tuple[Landing, ...]
    devices: tuple[Device, ...]
    unexplained: int
    sentences: tuple[Sentence, ...]
    statements: tuple[Statement, ...] = ()
    guide_tones: tuple[GuideTone, ...] = ()
    sections: tuple[SectionReading, ...] = ()
    summary: str = ""
    search: Search | None = field(default=None, repr=False, compare=False)
    unspelled: Search | None = field(default=None, repr=False, compare=False)
