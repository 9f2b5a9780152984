"""A line in another key with its shapes kept: the fingering moved along the neck where it fits.

Stopped notes keep string, finger and way in and move by as many frets. Open strings and natural harmonics
don't move: what lies on them is found again, as is what would leave the neck or need a wider hand. A capo
moved along takes them with it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf
from typing import Literal

from solowright.errors import InputError
from solowright.music.line import Entry, Line, Note
from solowright.music.transpose import transpose
from solowright.music.tune import Tune
from solowright.neck.fingering import Fingering, Path, Placed, finger
from solowright.neck.fretboard import Fretboard, steps
from solowright.neck.hands import find_hands
from solowright.neck.hardest import find_peaks
from solowright.neck.layout import lay_out, make_board
from solowright.neck.moments import SLUR_KINDS, find_events
from solowright.neck.phrases import group_moments
from solowright.neck.player import Player
from solowright.neck.taste import player_for

CAPO_MOST = 7  # the last fret at which a capo is advised (assumed)
Why = Literal["open", "harmonic", "below", "beyond", "reach", "tempo", "beside"]
REASONS: dict[Why, str] = {
    "open": "an open string stays where it is",
    "harmonic": "a natural harmonic has its place on the string",
    "below": "its place would lie below the nut",
    "beyond": "its place would lie past the last fret",
    "reach": "the grip needs a wider hand there",
    "tempo": "the shape can't be played there at this tempo",
    "beside": "no way leads from the old shape to what is found again beside it",
}


@dataclass(frozen=True, slots=True)
class OtherKey:
    """A tune in another key: the tune, its fingering, which notes keep string and finger, and what
    changed, a sentence each, the sum first."""

    tune: Tune
    fingering: Fingering
    kept: tuple[bool, ...]
    sentences: tuple[str, ...]


def transpose_keeping_shapes(
    tune: Tune,
    semitones: int,
    player: Player | None = None,
    path: Path | None = None,
    capo: int | None = None,
) -> OtherKey:
    """The tune so many half steps higher, fingered as before where the neck allows it.

    ``path`` is the fingering to keep (None: the best). ``capo``: the fret of the capo in the new key (None:
    where it was); moved by as many frets as the tune, it keeps open strings, too. A key in which the old
    shapes can't be played at tempo gets others there. Raises InputError past an octave, for a capo off the
    neck, and for notes off it.
    """
    player = player_for(tune, player)
    if path is None:
        path = finger(tune, player).paths[0]
    moved = transpose(tune, semitones)
    moved = replace(moved, capo=tune.capo if capo is None else capo)
    if not 0 <= moved.capo < player.frets - 5:
        raise InputError(f"a capo at fret {moved.capo} leaves no neck; give 0 to {player.frets - 6}")
    shift = semitones - (moved.capo - tune.capo)
    why = _find_misfits(moved, path, shift, player)
    fingering = _refit(moved, path, shift, why, player, tune.tempo.first <= path.limit_tempo)
    kept = tuple(reason is None for reason in why)
    return OtherKey(moved, fingering, kept, _tell(tune, moved, path, fingering, why, semitones))


def _shifted(placed: Placed, note: Note, shift: int, first: bool) -> Note:
    """A note of the new key with the place, finger and way in that it had; ``first``: the note before
    is found again, so a slur into it may not be."""
    entry: Entry | None = placed.entry
    if first and entry in SLUR_KINDS:
        entry = note.entry
    held = placed.note.finger if entry == "tap" or note.dead else placed.finger
    fret = placed.fret + shift if placed.fret or not shift else 0
    return replace(note, string=placed.string, fret=fret, finger=held, entry=entry)


def _find_misfits(tune: Tune, path: Path, shift: int, player: Player) -> list[Why | None]:
    """For each note why it can't keep its place, None where it can; notes of one grip go together."""
    board = make_board(tune, find_events(tune), player)
    why: list[Why | None] = [None] * len(path.notes)
    for moment in group_moments(tune):
        reasons = [_misfit(path.notes[index], shift, board) for index in moment]
        reason = next((each for each in reasons if each), None)
        if reason is None:
            notes = tuple(_shifted(path.notes[i], tune.line.notes[i], shift, first=False) for i in moment)
            (event,) = find_events(replace(tune, line=Line(notes)))
            reason = "reach" if find_hands(event.wants, board, player) is None else None
        for index in moment:
            why[index] = reason
    return why


def _misfit(placed: Placed, shift: int, board: Fretboard) -> Why | None:
    if placed.note.dead:
        return None if 0 <= placed.fret + shift <= board.last else "beyond"
    if shift and placed.entry == "harmonic":
        return "harmonic"
    if shift and not placed.fret:
        return "open"
    lowest = placed.fret + shift + min(0, placed.note.slide_from)
    if placed.fret and lowest < 1:
        return "below"
    return "beyond" if placed.fret + shift + placed.note.trill > board.last else None


def _refit(
    tune: Tune, path: Path, shift: int, why: list[Why | None], player: Player, fast_enough: bool
) -> Fingering:
    """The fingering that keeps what ``why`` lets it keep; what no way leads past, or what was in time before
    and isn't now, is found again with what lies around it (and noted in ``why``)."""
    moments = group_moments(tune)
    around = 0
    while None in why:
        around += 1
        locked = _lock(tune, path, shift, why)
        stuck = _find_dead_end(locked, player)
        if stuck is not None:
            _free(moments, why, {stuck}, around, "beside")
            continue
        fingering = finger(locked, player)
        if not fast_enough or fingering.limit_tempo >= tune.tempo.first:
            return _unlock(tune, fingering)
        loads = [fingering.paths[0].notes[moment[0]].load for moment in moments]
        _free(moments, why, {n for n, load in enumerate(loads) if load > 1}, around, "tempo")
    return _unlock(tune, finger(_lock(tune, path, shift, why), player))


def _find_dead_end(tune: Tune, player: Player) -> int | None:
    """The first moment that nothing leads into, None where the line goes through."""
    _, lattice = lay_out(tune, player)
    peaks = find_peaks(lattice)
    return next((n for n, peak in enumerate(peaks) if peak.min() == inf), None)


def _free(
    moments: tuple[tuple[int, ...], ...], why: list[Why | None], which: set[int], around: int, reason: Why
) -> None:
    """Moments, and so many around each, are found again, too."""
    near = {number for at in which for number in range(at - around, at + around + 1)}
    for number in near & set(range(len(moments))):
        for index in moments[number]:
            why[index] = why[index] or reason


def _lock(tune: Tune, path: Path, shift: int, why: list[Why | None]) -> Tune:
    notes, before = [], True
    for note, placed, reason in zip(tune.line.notes, path.notes, why, strict=True):
        notes.append(_shifted(placed, note, shift, before) if reason is None else _loosen(note))
        before = reason is not None
    return replace(tune, line=Line(tuple(notes)))


def _loosen(note: Note) -> Note:
    return replace(note, entry=None) if note.entry in SLUR_KINDS else note


def _unlock(tune: Tune, fingering: Fingering) -> Fingering:
    """The fingering with the notes of the tune itself, none of them fixed by the input."""

    def clear(path: Path) -> Path:
        pairs = zip(path.notes, tune.line.notes, strict=True)
        return replace(path, notes=tuple(replace(p, note=note, locked=False) for p, note in pairs))

    return replace(fingering, paths=tuple(map(clear, fingering.paths)))


def _tell(
    old: Tune, new: Tune, path: Path, fingering: Fingering, why: list[Why | None], semitones: int
) -> tuple[str, ...]:
    count, kept = len(why), sum(reason is None for reason in why)
    shift = semitones - (new.capo - old.capo)
    way = f"{abs(shift)} fret{'s' if abs(shift) != 1 else ''} {'up' if shift > 0 else 'down'}"
    moved = f"{way} on the neck" if shift else "at the same frets"
    head = f"{steps(abs(semitones))} {'up' if semitones > 0 else 'down'}" if semitones else "The same key"
    capo = f" with the capo at fret {new.capo}" if new.capo != old.capo else ""
    said = [f"{head}{capo}: {kept} of {count} notes keep string and finger, {moved}."]
    said += _tell_found_again(new, fingering.paths[0], why)
    opened = sum(reason == "open" for reason in why)
    if opened:
        fret = old.capo + semitones
        help_ = f" With the capo at fret {fret} they would stay open." if 0 <= fret <= CAPO_MOST else ""
        said.append(f"{opened} note{'s' if opened > 1 else ''} on open strings can't move along: they lose "
                    f"their ring and no longer give the hand time to shift.{help_}")
    before, after = path.limit_tempo, fingering.limit_tempo
    if f"{before:.0f}" != f"{after:.0f}":
        said.append(f"The limit tempo goes from {before:.0f} to {after:.0f}.")
    return tuple(said)


def _tell_found_again(tune: Tune, path: Path, why: list[Why | None]) -> list[str]:
    """A sentence for each stretch that is found again."""
    said: list[str] = []
    start = 0
    while start < len(why):
        end = start
        while end < len(why) and why[end] is not None:
            end += 1
        if end > start:
            found = {each for each in why[start:end] if each}
            reasons = [REASONS[each] for each in REASONS if each in (found - {"beside"} or found)]
            first, last = (tune.chart.place(path.notes[n].note.onset) for n in (start, end - 1))
            where = f"{first}" if first == last else f"{first} to {last}"
            places = " ".join(f"{placed.string}/{placed.fret}" for placed in path.notes[start:end])
            said.append(f"{where}: found again at {places}; {' and '.join(reasons)}.")
        start = end + 1
    return said
