"""How to spell a sounding note: by the chord of the moment, then by the key.

MIDI and tablature carry no spelling; a reader of notation needs one.
"""

from __future__ import annotations

from functools import cache

from solowright.music.chord import Chord
from solowright.music.pitch import Pitch, Tone, at_midi, degree_interval, plain
from solowright.music.tune import Key

_MAJOR = ("1", "2", "3", "4", "5", "6", "7")
_MINOR = ("1", "2", "b3", "4", "5", "b6", "b7")


def spell_note(midi: int, key: Key, chord: Chord | None = None) -> Pitch:
    """The pitch that sounds MIDI ``midi``, spelled for a reader.

    A chord tone is spelled as in the chord, else a tone of the key as in the key, else by its
    degree over the chord (♭9, ♯11), or without a chord on the side of the key's own accidentals.
    Only the root, third, fifth and seventh of a chord may take a double accidental: the ♯9 of F♯7 is
    written A, not G double-sharp.
    """
    tone = _choose(midi % 12, key, chord)
    return at_midi(tone, midi) if tone else plain(midi, key.fifths < 0)


@cache
def _choose(pitch_class: int, key: Key, chord: Chord | None) -> Tone | None:
    if chord is not None:
        for degree, tone in zip(chord.degrees, chord.tones, strict=True):
            readable = abs(tone.alter) < 2 or degree_interval(degree).steps < 7
            if tone.pitch_class == pitch_class and readable:
                return tone
        if chord.bass and chord.bass.pitch_class == pitch_class:
            return chord.bass
    for degree in _MINOR if key.minor else _MAJOR:
        tone = key.tonic.up(degree_interval(degree))
        if tone.pitch_class == pitch_class:
            return tone
    if chord is not None:
        degree = chord.degree_of(pitch_class)
        # Over a dominant without a written sharp nine, the blue third is read as a minor third.
        tone = chord.tone("b3" if degree == "#9" else degree)
        # A tone such as E sharp or F flat outside the chord reads worse than its plain neighbour.
        return tone if abs(tone.alter) < 2 and plain_letter(tone) else None
    return None


def plain_letter(tone: Tone) -> bool:
    """Whether a tone is not one of E♯, B♯, F♭, C♭."""
    return (tone.letter, tone.alter) not in ((2, 1), (6, 1), (3, -1), (0, -1))
