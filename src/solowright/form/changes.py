"""What another key or another tempo does to the hand: limit, hardest spot, part of the neck, open strings."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite

from solowright.errors import InputError
from solowright.harmony.fact_words import count_words
from solowright.music.line import Line, Note
from solowright.music.other_key import in_key
from solowright.music.tune import Key, Tune
from solowright.neck import Fingering, Path, Player, finger, player_for, transpose_keeping_shapes
from solowright.neck.tempo import describe_changes

OCTAVE = 12
MOST = 6  # stretches of other fingering that are listed


def tell_changes(tune: Tune, before: Fingering, moved: Tune, after: Fingering) -> list[str]:
    """Sentences on how the fingering ``after`` of the tune ``moved`` differs from the one ``before``."""
    told = [_limit_sentence(before, after)]
    if after.crux is not None and (before.crux is None or before.crux.place != after.crux.place):
        was = f", no longer {before.crux.place}" if before.crux else ""
        told.append(f"The hardest spot is now {after.crux.place}{was}: {after.crux.why}.")
    ranges = [_frets_used(each) for each in (before, after)]
    if ranges[1] and ranges[0] != ranges[1]:
        was = f" ({ranges[0][0]} to {ranges[0][1]} before)" if ranges[0] else ""
        told.append(f"The hand works from fret {ranges[1][0]} to fret {ranges[1][1]}{was}.")
    opened = [sum(not placed.fret for placed in each.paths[0].notes) for each in (before, after)]
    if opened[0] and not opened[1]:
        told.append("No open string sounds any more.")
    elif opened[0] != opened[1]:
        told.append(f"Open strings: {count_words(opened[1])}, {count_words(opened[0])} before.")
    if [note.pitch for note in tune.line.notes] == [note.pitch for note in moved.line.notes]:
        stretches = describe_changes(moved, before.paths[0], after.paths[0])
        told += [f"Fingered otherwise: {text}." for text in stretches[:MOST]]
        if len(stretches) > MOST:
            told.append(f"And {count_words(len(stretches) - MOST)} more places.")
    return told


def move_to_key(tune: Tune, key: Key, player: Player | None = None) -> tuple[Tune, list[str]]:
    """The tune in another key, ready to be fingered, and all that changes with it, in sentences.

    The shapes of the fingering move along the neck where they fit. Written places that no hand can keep
    there are dropped, and that is told. Raises InputError as ``in_key`` does, and for a line that no hand
    can play in the key.
    """
    player = player_for(tune, player)
    before = finger(tune, player)
    moved, told = in_key(tune, key, player.frets)
    if not told:
        return tune, []
    moved, kept = _keep_shapes(tune, moved, before.paths[0], player)
    told += kept
    try:
        after = finger(moved, player)
    except InputError:
        moved = replace(moved, line=Line(tuple(_free(note) for note in moved.line.notes)))
        after = finger(moved, player)
        told = [told[0], "No hand can keep the written places there: all of it is fingered again."]
    return moved, [*told, *tell_changes(tune, before, moved, after)]


def _keep_shapes(tune: Tune, moved: Tune, path: Path, player: Player) -> tuple[Tune, list[str]]:
    """The moved tune with the places of ``path`` moved along for the notes that have none written."""
    pairs = list(zip(tune.line.notes, moved.line.notes, strict=True))
    moves = {new.pitch.midi - old.pitch.midi for old, new in pairs if old.string is None}
    if not moves or max(map(abs, moves)) > OCTAVE:
        return moved, []
    other = transpose_keeping_shapes(tune, moves.pop(), player, path)
    notes = [
        replace(new, string=placed.string, fret=placed.fret) if kept and new.string is None else new
        for (_, new), placed, kept in zip(pairs, other.fingering.paths[0].notes, other.kept, strict=True)
    ]
    return replace(moved, line=Line(tuple(notes))), [other.sentences[0]]


def _free(note: Note) -> Note:
    """The note with nothing written about the hand, save what is part of the sound."""
    entry = note.entry if note.entry in ("tap", "harmonic") else None
    return replace(note, string=None, fret=None, finger=None, entry=entry)


def _limit_sentence(before: Fingering, after: Fingering) -> str:
    if not isfinite(after.limit_tempo):
        return f"Nothing in it asks for speed at {after.tempo:g}."
    holds = "playable" if after.limit_tempo >= after.tempo else "beyond the hand"
    text = f"At {after.tempo:g} it is {holds}: the limit is {after.limit_tempo:.0f}"
    if isfinite(before.limit_tempo) and round(before.limit_tempo) != round(after.limit_tempo):
        return f"{text}, {before.limit_tempo:.0f} before."
    return f"{text}, as before."


def _frets_used(fingering: Fingering) -> tuple[int, int] | None:
    """The lowest and highest stopped fret."""
    frets = [placed.fret for placed in fingering.paths[0].notes if placed.fret]
    return (min(frets), max(frets)) if frets else None
