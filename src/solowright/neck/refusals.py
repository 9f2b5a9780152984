"""Why a note or a grip can't be played, and the smallest change that helps: one line each."""

from __future__ import annotations

from itertools import combinations

from solowright.music.line import Entry, Note
from solowright.neck.fretboard import Fretboard
from solowright.neck.hands import Want, find_hands, find_spots, find_voicings
from solowright.neck.player import Player

RULES: dict[Entry, str] = {
    "hammer": "a hammer-on goes up on one string, to another finger or from the open string",
    "pull": "a pull-off goes down on one string, to a lower finger in position or to the open string",
    "slide": "a slide keeps one finger on one string",
}


def refuse_hold(wants: tuple[Want, ...], notes: tuple[Note, ...], board: Fretboard, player: Player) -> str:
    """Why no hand can hold these notes together, and what to do."""
    for want, note in zip(wants, notes, strict=True):
        if not find_spots(want, board):
            return _refuse_note(want, note, board)
    names = ", ".join(note.pitch.name for note in notes)
    for one, other in combinations(range(len(wants)), 2):
        if not any(find_voicings((wants[one], wants[other]), board)):
            string = find_spots(wants[one], board)[0].string
            return (f"{notes[one].pitch.name} and {notes[other].pitch.name} both need string {string}; "
                    "move one of them an octave, leave it out, or free its string")
    if not any(find_voicings(wants, board)):
        return f"{names} need more strings than lie under them; leave one out"
    spare = [
        notes[index].pitch.name
        for index in range(len(notes))
        if len(notes) > 1 and find_hands(wants[:index] + wants[index + 1 :], board, player)
    ]
    help_ = f"leave out {' or '.join(spare)}" if spare else "leave notes out"
    if any(want.finger is not None for want in wants):
        return f"no hand holds {names} with the fingers given; free the fingers, or {help_}"
    return f"no hand reaches {names} together ({player.reach:.0f} mm from index to little finger); {help_}"


def _refuse_note(want: Want, note: Note, board: Fretboard) -> str:
    name = note.pitch.name
    if not 0 <= (want.finger or 0) <= 4:
        return f"there is no finger {want.finger}; fingers are 0 (open) and 1 (index) to 4 (little)"
    if want.string is not None and not 1 <= want.string <= len(board.open):
        return f"there is no string {want.string}; strings count from 1 (highest) to {len(board.open)}"
    if want.kind != "harmonic":
        problem = board.out_of_range(want.midi)
        if problem:
            return problem
    elif not board.harmonic_spots(want.midi) and not board.spots(want.midi - 12):
        return f"no harmonic sounds {name} on this neck; give its string and fret, or another note"
    if want.fret is not None and want.fret > board.last and want.kind != "harmonic":
        return f"fret {want.fret} lies past the last fret ({board.last}); take another string, or free it"
    places = " or ".join(f"string {spot.string} fret {spot.fret}" for spot in board.spots(want.midi))
    if want.string is not None or want.fret is not None:
        given = " ".join(
            f"{word} {number}" for word, number in (("string", want.string), ("fret", want.fret))
            if number is not None
        )
        if want.finger is None or not _sounds(want, board):
            return f"{given} can't give {name} ({places} can); correct it or free it"
    if want.finger == 0:
        return f"{name} is no open string, so finger 0 can't play it; free the finger"
    reason = "a bend" if want.bent else "a trill" if want.trill else "the finger given"
    return f"{reason} needs {name} on a stopped string with room above; free its string, or change the note"


def _sounds(want: Want, board: Fretboard) -> bool:
    return any(
        want.string in (None, spot.string) and want.fret in (None, spot.fret)
        for spot in board.spots(want.midi)
    )


def refuse_entry(entry: Entry | None, note: Note, before: Note | None) -> str:
    """Why the way into a note can't be kept, and what to do."""
    name = note.pitch.name
    if before is None:
        return f"{name} has no note before it to come from; give it another entry or a note before"
    rule = RULES.get(entry or "pick", "the strings and fingers given leave none")
    return f"no way from {before.pitch.name} to {name} as written: {rule}; free the entry, string or finger"
