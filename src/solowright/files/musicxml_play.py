"""From written notes to the line as played: repeats rolled out, ties joined, slurs followed, voices merged.

The notes of all voices of a staff become one line, in which notes may ring over each other. Of a part
on several staves the first that holds notes is read; a tablature staff beside it gives its notes their
strings and frets and adds only what the notation leaves empty.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from solowright.files.musicxml_bars import WrittenPart
from solowright.files.musicxml_notes import WrittenNote, fill_in
from solowright.files.repeats import Turn
from solowright.music.line import Entry, Line, Note, make_line
from solowright.music.time import Time

_ENTRIES: tuple[Entry, ...] = ("hammer", "pull", "slide")


@dataclass(slots=True)
class _Event:
    """What one voice attacks together, and what leads into it."""

    onset: Time
    notes: list[WrittenNote]
    slurred: bool = False
    entries: dict[Entry, bool] | None = None  # True: for all its notes, False: for those that say so


def play_line(part: WrittenPart, turns: Sequence[Turn], starts: Sequence[Time]) -> Line:
    """The line of a part, its bars in the order of ``turns`` beginning at ``starts``."""
    staves: dict[int, dict[str, list[_Event]]] = defaultdict(lambda: defaultdict(list))
    for turn, start in zip(turns, starts, strict=False):
        for written in part.bars[turn.index].notes:
            if written.passages and turn.passage not in written.passages:
                continue
            onset = start + written.note.onset
            voice = staves[written.staff][written.voice]
            joins = written.chord and voice and voice[-1].onset == onset
            if joins and voice[-1].notes[0].note.grace == written.note.grace:
                voice[-1].notes.append(written)
            else:
                voice.append(_Event(onset, [written]))
    lines = {staff: _read_staff(list(voices.values())) for staff, voices in sorted(staves.items())}
    tabs = [lines[staff] for staff in lines if staff in part.tab_staves]
    notations = [lines[staff] for staff in lines if staff not in part.tab_staves]
    if not notations:
        return make_line(tabs[0] if tabs else [])
    return make_line(_lay_tab(notations[0], tabs[0]) if tabs else notations[0])


def _read_staff(voices: list[list[_Event]]) -> list[Note]:
    played: list[tuple[Note, WrittenNote]] = []
    for events in voices:
        events.sort(key=lambda event: event.onset)
        _follow_spans(events)
        played += [(_played(event, written), written) for event in events for written in event.notes]
    played.sort(key=lambda pair: pair[0].onset)
    return _merge_unisons(_join_ties(played))


def _follow_spans(events: list[_Event]) -> None:
    """Marks every event that a slur, hammer-on, pull-off or slide leads into.

    A hammer-on, pull-off or slide that is only begun leads into the next event, one that only ends
    into the event where it ends; a slur with one end is not drawn and says nothing.
    """
    open_spans: dict[tuple[str, str], int] = {}
    for index, event in enumerate(events):
        stops = {span for written in event.notes for span in written.stops}
        starts = {span for written in event.notes for span in written.starts}
        for span in stops:
            begun = open_spans.pop(span, None)
            if begun is None and span[0] == "slur":
                continue
            for inside in events[index if begun is None else begun + 1 : index]:
                _lead_into(inside, span[0], True)
            _lead_into(event, span[0], False)
        for span in starts:
            open_spans[span] = index
    for (kind, _), index in open_spans.items():
        if kind != "slur" and index + 1 < len(events):
            _lead_into(events[index + 1], kind, True)


def _lead_into(event: _Event, kind: str, whole: bool) -> None:
    if kind == "slur":
        event.slurred = True
        return
    event.entries = event.entries or {}
    for entry in _ENTRIES:
        if entry == kind:
            event.entries[entry] = whole or event.entries.get(entry, False)


def _played(event: _Event, written: WrittenNote) -> Note:
    note = replace(written.note, onset=event.onset, slurred=event.slurred)
    for entry, whole in (event.entries or {}).items():
        if note.entry in (None, "pick") and (whole or any(kind == entry for kind, _ in written.stops)):
            note = replace(note, entry=entry)
    return note


def _join_ties(played: list[tuple[Note, WrittenNote]]) -> list[tuple[Note, str]]:
    """Makes one note of tied ones, and tells the voice it began in.

    A tie that ends where none began (after a jump, say) is a new note.
    """
    notes: list[Note] = []
    voices: list[str] = []
    held: dict[int, list[int]] = defaultdict(list)
    for note, written in played:
        open_ties = held[note.pitch.midi]
        index = next((i for i in open_ties if written.tie_stop and notes[i].end == note.onset), None)
        if index is None or note.grace:
            index = len(notes)
            notes.append(note)
            voices.append(written.voice)
        else:
            open_ties.remove(index)
            longer = replace(notes[index], duration=notes[index].duration + note.duration)
            late = replace(note, slurred=False, entry=None, stroke=None)
            notes[index] = replace(fill_in(longer, late), bends=longer.bends + note.bends)
        if written.tie_start and not note.grace:
            open_ties.append(index)
    return list(zip(notes, voices, strict=True))


def _merge_unisons(notes: list[tuple[Note, str]]) -> list[Note]:
    """One note where two voices meet on the same pitch, unless they are fixed to different strings.

    In one voice the same pitch twice is a chord on two strings.
    """
    merged: list[Note] = []
    here: dict[tuple[Time, int], tuple[int, str]] = {}
    for note, voice in notes:
        index, other = here.get((note.onset, note.pitch.midi), (-1, voice))
        apart = index >= 0 and None not in (note.string, merged[index].string)
        if note.grace or voice == other or (apart and note.string != merged[index].string):
            here[note.onset, note.pitch.midi] = (len(merged), voice)
            merged.append(note)
        else:
            longest = max(merged[index].duration, note.duration)
            merged[index] = replace(fill_in(merged[index], note), duration=longest)
    return merged


def _lay_tab(notation: list[Note], tab: list[Note]) -> list[Note]:
    """Notation with the strings, frets and marks of the tablature under it.

    Notes are matched by attack and pitch. What the tablature holds at a moment when the notation
    attacks nothing is added; other differences are left as the notation has them.
    """
    waiting: dict[tuple[Time, bool, int], list[Note]] = defaultdict(list)
    for note in tab:
        waiting[note.onset, note.grace, note.pitch.midi].append(note)
    laid = []
    for note in notation:
        same = waiting[note.onset, note.grace, note.pitch.midi]
        laid.append(fill_in(note, same.pop(0)) if same else note)
    attacked = {note.onset for note in notation}
    return laid + [note for note in tab if note.onset not in attacked]
