"""Spelling that follows the harmony, for notes whose source gives none (MIDI, tablature).

A tone of the chart's chord is spelled as there, a note of another chord that the line plays as in that
chord; a foreign note that goes on by half step, by the letter beside its goal; a note pushed ahead of a
change, as in the chord it belongs to (common practice, no source). A spelling that the player wrote
stays.
"""

from __future__ import annotations

from dataclasses import replace
from typing import cast

from solowright.harmony.devices.found import Found
from solowright.harmony.devices.shape_shift import CHORD_KINDS
from solowright.harmony.record import NoteReading
from solowright.harmony.search import Search
from solowright.music.chord import parse_chord
from solowright.music.line import Line, Note
from solowright.music.pitch import Pitch, Tone, at_midi
from solowright.music.spelling import plain_letter, spell_note
from solowright.music.tune import Key, Tune

MOVING = ("passing", "approach", "neighbour", "enclosure")  # roles of notes that lead somewhere
LETTERS = 7


def follow_harmony(tune: Tune, readings: tuple[NoteReading, ...], search: Search) -> Tune:
    """The tune with its unspelled notes spelled by what was read of each and the devices they are in; the
    same tune where nothing changes. Sound is never touched."""
    if all(note.spelled for note in tune.line.notes):
        return tune
    by_chord = _chord_tones(search)
    notes = list(tune.line.notes)
    for place in range(len(notes) - 1, -1, -1):  # from the end, as a note is spelled by where it goes
        note = notes[place]
        if note.spelled or note.bends or note.dead:
            continue
        following = notes[place + 1] if place + 1 < len(notes) else None
        pitch = _spell(note, readings[place], following, by_chord.get(place, ()), tune.key)
        if pitch != note.pitch:
            notes[place] = replace(note, pitch=pitch)
    changed = any(new is not old for new, old in zip(notes, tune.line.notes, strict=True))
    return replace(tune, line=Line(tuple(notes))) if changed else tune


def _chord_tones(search: Search) -> dict[int, tuple[Tone, ...]]:
    """For every note of a chord that isn't the chart's, the tones of that chord."""
    tones: dict[int, tuple[Tone, ...]] = {}
    for device, _ in (telling for phrase in search.phrases for telling in phrase):
        chords = _line_chords(device)
        places = search.ground.places(device.start, device.stop) if chords else ()
        size = len(places) // max(1, len(chords))
        for number, symbol in enumerate(chords):
            tones |= dict.fromkeys(places[number * size : (number + 1) * size], parse_chord(symbol).tones)
    return tones


def _line_chords(device: Found) -> list[str]:
    """The chords of the line's own that a device spells, an equal share of its notes for each."""
    facts = device.facts
    if device.kind == "upper-triad":
        return [str(facts["triad"])]
    if device.kind == "half-step-link":
        return [str(facts["through"])]
    if device.kind == "shape-shift" and facts["shape"] in CHORD_KINDS:
        kind = CHORD_KINDS[str(facts["shape"])]
        return [root + kind for root in cast("list[str]", facts["roots"])]
    chords = cast("list[str]", facts["chords"]) if device.kind == "superimposed-chord" else []
    return chords if len(chords) == 1 else []


def _spell(
    note: Note, read: NoteReading, following: Note | None, tones: tuple[Tone, ...], key: Key
) -> Pitch:
    midi = note.pitch.midi
    own = read.chord is not None and read.degree in read.chord.degrees
    for tone in () if own else tones:
        if tone.pitch_class == midi % 12 and abs(tone.alter) < 2:
            return at_midi(tone, midi)
    usual = spell_note(midi, key, read.chord)
    moves = following is not None and following.onset > note.onset and read.role in MOVING
    if moves and following is not None and not _is_diatonic(midi, key):
        return _beside(midi, following.pitch) or usual
    return usual


def _is_diatonic(midi: int, key: Key) -> bool:
    """Whether the key has the note without an accidental."""
    tone = spell_note(midi, key).tone
    return -1 <= tone.fifths - key.fifths <= 5


def _beside(midi: int, goal: Pitch) -> Pitch | None:
    """The spelling a letter away from the note's goal, a half step off."""
    move = goal.midi - midi
    if abs(move) != 1:
        return None
    letter = (goal.tone.letter - move) % LETTERS
    natural = Tone(letter).pitch_class
    alter = (midi - natural + 6) % 12 - 6
    tone = Tone(letter, alter)
    return at_midi(tone, midi) if abs(alter) < 2 and plain_letter(tone) else None
