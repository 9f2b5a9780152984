"""A tune in a key that was asked for, in the octave that suits the neck, and what changes with it.

Only pitches, chart and what is written about strings are looked at here; the fingering is found again
by ``neck``. MIDI numbers; frets count from the capo.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from solowright.errors import InputError
from solowright.music.line import Line, Note
from solowright.music.pitch import Interval, plain
from solowright.music.time import Time
from solowright.music.transpose import transpose_by
from solowright.music.tune import Key, Tune

FRETS = 22
OCTAVES = (-2, -1, 0, 1, 2)
MOST_SIGNS = 7
SLURS = ("hammer", "pull", "slide")
NAMES = (
    "as it is", "a half step", "a whole step", "a minor third", "a major third", "a fourth", "a tritone",
    "a fifth", "a minor sixth", "a major sixth", "a minor seventh", "a major seventh", "an octave",
)  # fmt: skip


def in_key(tune: Tune, key: Key, frets: int = FRETS) -> tuple[Tune, list[str]]:
    """The tune in ``key``, moved as little as a neck of ``frets`` allows, and sentences about what changed.

    Written strings, fingers and frets are kept where a stopped note stays one on the neck; the rest is left
    to be fingered again, and so are slurs into and out of it. Raises InputError for a key of the other
    mode, one that no signature can write, and a line that fits the neck in no octave.
    """
    if key.minor != tune.key.minor:
        mode = "minor" if tune.key.minor else "major"
        raise InputError(f"the tune is in {tune.key.name}; {key.name} is not {mode}: name a {mode} key")
    if abs(key.fifths) > MOST_SIGNS:
        signs = f"{key.name} can't be written with {MOST_SIGNS} sharps or flats"
        raise InputError(f"{signs}; name the key that sounds alike")
    interval = _nearest(tune, key, frets)
    if not interval.semitones and key == tune.key:
        return tune, []
    moved = transpose_by(tune, interval)
    pairs = zip(tune.line.notes, moved.line.notes, strict=True)
    notes = [_keep_place(old, new, interval.semitones, frets - tune.capo) for old, new in pairs]
    notes = _free(tune.line.notes, notes)
    return replace(moved, line=Line(tuple(notes))), _tell(tune, key, interval.semitones, notes)


def _nearest(tune: Tune, key: Key, frets: int) -> Interval:
    """The smallest move to a key that keeps the line on the neck; upward where two are alike."""
    steps = key.tonic.letter - tune.key.tonic.letter
    semitones = (key.tonic.pitch_class - tune.key.tonic.pitch_class + 6) % 12 - 6
    steps += 7 * round((semitones / 12 * 7 - steps) / 7)
    moves = [Interval(steps + 7 * octave, semitones + 12 * octave) for octave in OCTAVES]
    sounding = _struck_together(tune)
    fits = [move for move in moves if all(_fits(tune, row, move.semitones, frets) for row in sounding)]
    if not fits:
        lowest, highest = (plain(end(map(end, sounding))).name for end in (min, max))
        raise InputError(
            f"in {key.name} a line from {lowest} to {highest} leaves this neck in every octave; "
            "choose a nearer key, or shorten the line's range"
        )
    return min(fits, key=lambda move: (abs(move.semitones), -move.semitones))


def _struck_together(tune: Tune) -> list[list[int]]:
    """The stopped or open pitches of every moment."""
    moments: dict[Time, list[int]] = {}
    for note in tune.line.notes:
        if note.entry != "harmonic" and not note.dead and not note.grace:
            moments.setdefault(note.onset, []).append(note.pitch.midi)
    graces = [[note.pitch.midi] for note in tune.line.notes if note.grace]
    return [*moments.values(), *graces]


def _fits(tune: Tune, midis: Sequence[int], semitones: int, frets: int) -> bool:
    """Whether every pitch finds a string of its own (the hand's reach is the fingering's affair)."""
    opens = [midi + tune.capo for midi in tune.tuning]
    last = frets - tune.capo

    def find(left: Sequence[int], strings: Sequence[int]) -> bool:
        if not left:
            return True
        return any(
            0 <= left[0] + semitones - open_string <= last
            and find(left[1:], [*strings[:place], *strings[place + 1 :]])
            for place, open_string in enumerate(strings)
        )

    return find(sorted(midis), opens)


def _keep_place(old: Note, new: Note, semitones: int, last: int) -> Note:
    """The moved note with its string, fret and finger where it was stopped and stays on the neck."""
    if old.string is None or old.fret is None or not semitones:
        return replace(new, string=old.string, fret=old.fret, finger=old.finger)
    fret = old.fret + semitones
    if old.entry == "harmonic" or not old.fret or not 1 <= fret <= last:
        return new
    return replace(new, string=old.string, fret=fret, finger=old.finger)


def _free(old: Sequence[Note], new: Sequence[Note]) -> list[Note]:
    """The moved notes. A grip that loses one of its places loses all; a slur needs both its ends to keep
    theirs: 9 pulled off to an open string has no like elsewhere."""
    pairs = zip(old, new, strict=True)
    gone = {note.onset for note, moved in pairs if note.string is not None and moved.string is None}
    onsets = sorted({note.onset for note in old})
    before = dict(pairwise([None, *onsets][::-1]))
    freed = []
    for note in new:
        if note.onset in gone:
            note = replace(note, string=None, fret=None, finger=None)
        if note.entry in SLURS and {note.onset, before[note.onset]} & gone:
            note = replace(note, entry=None)
        freed.append(note)
    return freed


def _tell(tune: Tune, key: Key, semitones: int, notes: Sequence[Note]) -> list[str]:
    """What a player wants to know before they look at the new page."""
    size, way = NAMES[min(abs(semitones), 12)], "up" if semitones > 0 else "down"
    far = f"{size} {way}" if abs(semitones) <= 12 else f"{abs(semitones)} half steps {way}"
    move = far if semitones else "the same notes, written otherwise"
    told = [f"From {tune.key.name} to {key.name}: {move}."]
    written = [place for place, note in enumerate(tune.line.notes) if note.string is not None]
    lost = [place for place in written if notes[place].string is None]
    if written:
        kept = f"{len(written) - len(lost)} of {len(written)}"
        told.append(f"{kept} written places are kept, {_count(abs(semitones), 'fret')} {_way(semitones)}.")
    opened = [place for place in lost if not tune.line.notes[place].fret]
    if opened:
        gone = f"{_count(len(opened), 'open string')} {_be(opened)} no longer there"
        told.append(f"{gone} ({_bars(tune, opened)}).")
    others = [place for place in lost if tune.line.notes[place].fret]
    if others:
        gone = f"{_count(len(others), 'written place')} can't move along"
        told.append(f"{gone} ({_bars(tune, others)}).")
    if lost:
        told.append("Those notes are fingered again.")
    return told


def _way(semitones: int) -> str:
    return "higher" if semitones > 0 else "lower"


def _be(things: Sequence[int]) -> str:
    return "is" if len(things) == 1 else "are"


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _bars(tune: Tune, places: Sequence[int]) -> str:
    numbers = sorted({tune.chart.place(tune.line.notes[place].onset).bar for place in places})
    return f"bar{'' if len(numbers) == 1 else 's'} {', '.join(map(str, numbers))}"
