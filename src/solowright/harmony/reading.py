"""The reading of a line: a role for every note, the targets, the devices, and the reasons in words.

Model: roles by chord and motion (``roles``), targets on the strong beats (``targets``), devices by
the shortest description of the line (``choice``), told by what is worth saying (``telling``,
``sections``).
"""

from __future__ import annotations

from dataclasses import replace

from solowright.harmony.devices import IN_LINE
from solowright.harmony.ground import Ground, heard_pitch, lay_out
from solowright.harmony.guide_tones import find_guide_tones
from solowright.harmony.record import Device, Landing, NoteReading, Reading, SectionReading, Sentence
from solowright.harmony.roles import Role, find_roles
from solowright.harmony.search import Search, search_phrases
from solowright.harmony.sections import read_sections, summarise
from solowright.harmony.spelling import follow_harmony
from solowright.harmony.statement import find_statements
from solowright.harmony.targets import find_targets
from solowright.harmony.telling import tell_devices, tell_phrases
from solowright.harmony.words import approach_words
from solowright.music.spelling import spell_note
from solowright.music.time import Time
from solowright.music.tune import Tune

__all__ = [
    "Device",
    "Landing",
    "NoteReading",
    "Reading",
    "SectionReading",
    "Sentence",
    "read_line",
    "read_spelled",
    "reading_json",
]


def read_line(tune: Tune, previous: Search | None = None) -> Reading:
    """Reads the line of a tune against its chart.

    ``previous`` is the search of a reading of the tune before an edit: phrases that are still the same
    aren't searched again. What comes back is the same with it and without.
    """
    ground = lay_out(tune)
    return _read(search_phrases(ground, *([previous] if previous else [])), find_roles(ground))


def read_spelled(tune: Tune, previous: Reading | None = None) -> tuple[Tune, Reading]:
    """The tune with notes that nobody spelled (MIDI, tablature) spelled by the harmony, and its reading.

    ``previous`` is the reading that this found for the tune before an edit: it is only made use of.
    """
    ground = lay_out(tune)
    roles = find_roles(ground)
    earlier = [search for search in (previous.unspelled, previous.search) if search] if previous else []
    search = search_phrases(ground, *earlier)
    spelled = follow_harmony(tune, _read_notes(ground, roles), search)
    if spelled is tune:
        return tune, _read(search, roles)
    named = replace(ground, tune=spelled)  # it sounds the same, so it lies as before and has the same roles
    again = search_phrases(named, *earlier[-1:], search)
    return spelled, replace(_read(again, roles), unspelled=search)


def _read(search: Search, roles: list[Role]) -> Reading:
    ground = search.ground
    notes = _read_notes(ground, roles)
    in_line = [device for find in IN_LINE for device in find(ground)]
    devices = tell_devices(search, in_line)
    targets = find_targets(ground)
    statements = tuple(find_statements(ground))
    guide_tones = find_guide_tones(ground)
    explained = {place for device in devices for place in device.notes}
    return Reading(
        notes,
        tuple(Landing(target.note, approach_words(target.move, target.enclosed)) for target in targets),
        devices,
        len(notes) - len(explained),
        tell_phrases(ground, notes, targets, devices),
        statements,
        guide_tones,
        read_sections(ground, notes, targets, devices, statements, guide_tones),
        summarise(ground, notes, targets, devices, statements),
        search,
    )


def reading_json(tune: Tune, reading: Reading) -> dict[str, object]:
    """The reading as the answer of ``explain --json``: plain lists and dictionaries."""
    line = tune.line.notes

    def place(time: Time) -> dict[str, object]:
        spot = tune.chart.place(time)
        return {"bar": spot.bar, "beat": float(spot.beat)}

    def chord(note: NoteReading) -> str:
        return note.chord.symbol if note.chord else "N.C."

    def told(device: Device) -> dict[str, object]:
        what: dict[str, object] = {"kind": device.kind, "from": place(device.start), "to": place(device.end)}
        return what | {"facts": dict(device.facts), "short": device.short, "sentence": device.sentence}

    return {
        "notes": [
            place(written.onset)
            | {"midi": note.pitch.midi, "name": note.pitch.name, "chord": chord(note)}
            | {"role": note.role, "degree": note.degree}
            for written, note in zip(line, reading.notes, strict=True)
        ],
        "targets": [
            place(line[target.note].onset)
            | {"name": (note := reading.notes[target.note]).pitch.name, "chord": chord(note)}
            | {"degree": note.degree, "approach": target.approach}
            for target in reading.targets
        ],
        "devices": [
            told(device) | {"runner_up": [told(other) for other in device.runner_up]}
            for device in reading.devices
        ],
        "unexplained": reading.unexplained,
        "sentences": [sentence.text for sentence in reading.sentences],
        "statements": [
            {"bar": stated.bar, "chord": stated.chord, "score": stated.score, "stated": stated.stated}
            | {"guide_tones": list(stated.guide_tones), "missed": list(stated.missed)}
            | {"chord_tones": stated.chord_tones, "arrives": stated.arrives}
            for stated in reading.statements
        ],
        "guide_tones": [
            place(guide.time)
            | {"name": reading.notes[guide.note].pitch.name, "chord": guide.chord, "degree": guide.degree}
            for guide in reading.guide_tones
        ],
        "sections": [
            {"name": section.name, "from": section.first, "to": section.last}
            | {"character": section.character.kind, "keys": list(section.character.keys)}
            | {"text": section.text}
            for section in reading.sections
        ],
        "summary": reading.summary,
    }


def _read_notes(ground: Ground, roles: list[Role]) -> tuple[NoteReading, ...]:
    tune = ground.tune
    heard = {
        place: ground.spans[event.span].colours
        for event in ground.events
        for place in (*event.graces, *event.notes)
    }
    readings = []
    for place, (note, role) in enumerate(zip(tune.line.notes, roles, strict=True)):
        if place not in heard:  # a dead note has no pitch to be named
            readings.append(NoteReading(note.pitch, tune.chart.chord_at(note.onset), role, None))
            continue
        colours, midi = heard[place], heard_pitch(note)
        chord = colours.chord if colours else None
        pitch = note.pitch if midi == note.pitch.midi else spell_note(midi, tune.key, chord)
        readings.append(NoteReading(pitch, chord, role, colours.names[midi % 12] if colours else None))
    return tuple(readings)
