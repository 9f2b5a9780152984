"""The reading of a line: a role for every note, the targets, the devices, and the reasons in words.

Model: roles by chord and motion (``roles``), targets on the strong beats (``targets``), devices by
the shortest description of the line (``choice``).
"""

from __future__ import annotations

from dataclasses import dataclass

from solowright.harmony.choice import choose_devices
from solowright.harmony.device_words import device_sentence
from solowright.harmony.devices import FAMILIES
from solowright.harmony.devices.found import NOTE_BITS, Facts, Found
from solowright.harmony.ground import Ground, heard_pitch, lay_out
from solowright.harmony.roles import Role, find_roles
from solowright.harmony.targets import Target, find_targets
from solowright.harmony.words import approach_words, landing_sentence
from solowright.music.chord import Chord
from solowright.music.pitch import Pitch
from solowright.music.spelling import spell_note
from solowright.music.time import Time
from solowright.music.tune import Tune

SENTENCES = 2  # at most, for a phrase or for four bars of a longer one
CHUNK = 4  # bars
RESTING = ("chord-tone", "anticipation", "tension", "blue-note")  # roles that a phrase can rest on


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
    by, the measure of how sure it is."""

    kind: str
    start: Time
    end: Time
    notes: tuple[int, ...]
    facts: Facts
    sentence: str
    saved: float


@dataclass(frozen=True, slots=True)
class Sentence:
    """A reason and the time it speaks of."""

    text: str
    start: Time
    end: Time


@dataclass(frozen=True, slots=True)
class Reading:
    """What the line does against the chart. ``notes`` match the line's notes one to one;
    ``unexplained`` counts the notes that no device covers."""

    notes: tuple[NoteReading, ...]
    targets: tuple[Landing, ...]
    devices: tuple[Device, ...]
    unexplained: int
    sentences: tuple[Sentence, ...]


def read_line(tune: Tune) -> Reading:
    """Reads the line of a tune against its chart."""
    ground = lay_out(tune)
    notes = _read_notes(ground, find_roles(ground))
    found = [device for find in FAMILIES for device in find(ground)]
    chosen = choose_devices(found, tuple(len(event.notes) for event in ground.events))
    devices = _tell_devices(ground, chosen)
    targets = find_targets(ground)
    explained = sum(len(device.notes) for device in devices)
    return Reading(
        notes,
        tuple(Landing(target.note, approach_words(target.move, target.enclosed)) for target in targets),
        devices,
        len(notes) - explained,
        _tell_phrases(ground, notes, targets, devices),
    )


def reading_json(tune: Tune, reading: Reading) -> dict[str, object]:
    """The reading as the answer of ``explain --json``: plain lists and dictionaries."""
    line = tune.line.notes

    def place(time: Time) -> dict[str, object]:
        spot = tune.chart.place(time)
        return {"bar": spot.bar, "beat": float(spot.beat)}

    def chord(note: NoteReading) -> str:
        return note.chord.symbol if note.chord else "N.C."

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
            {"kind": device.kind, "from": place(device.start), "to": place(device.end)}
            | {"facts": dict(device.facts), "sentence": device.sentence}
            for device in reading.devices
        ],
        "unexplained": reading.unexplained,
        "sentences": [sentence.text for sentence in reading.sentences],
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


def _tell_devices(ground: Ground, chosen: tuple[Found, ...]) -> tuple[Device, ...]:
    chart = ground.tune.chart
    turns: dict[str, int] = {}
    devices = []
    for found in chosen:
        events = ground.events[found.start : found.stop]
        places = tuple(place for event in events for place in (*event.graces, *event.notes))
        start, end = ground.time(events[0].start), ground.time(events[-1].start)
        turn = turns.get(found.kind, 0)
        turns[found.kind] = turn + 1
        text = device_sentence(found.kind, found.facts, chart.place(start), chart.place(end), turn)
        saved = sum(len(event.notes) for event in events) * NOTE_BITS - found.bits
        devices.append(Device(found.kind, start, end, places, found.facts, text, saved))
    return tuple(devices)


def _tell_phrases(
    ground: Ground, notes: tuple[NoteReading, ...], targets: tuple[Target, ...], devices: tuple[Device, ...]
) -> tuple[Sentence, ...]:
    """One or two sentences a phrase: its surest devices, and where it lands."""
    landings = {target.event: target for target in targets}
    chart = ground.tune.chart
    sentences = []
    for first, stop in ground.phrases:
        start, end = ground.time(ground.events[first].start), ground.time(ground.events[stop - 1].start)
        chunks: dict[int, list[Device]] = {}
        opening = chart.bar_index(start)
        for device in devices:
            if start <= device.start <= end:
                chunks.setdefault((chart.bar_index(device.start) - opening) // CHUNK, []).append(device)
        landing = _landing(ground, notes, landings[stop - 1])
        last = (chart.bar_index(end) - opening) // CHUNK
        for number, chunk in chunks.items():
            told = _surest(chunk, SENTENCES - 1 if landing and number == last else SENTENCES)
            sentences += [Sentence(device.sentence, device.start, device.end) for device in told]
        if landing:
            sentences.append(landing)
    return tuple(sentences)


def _surest(devices: list[Device], count: int) -> list[Device]:
    best = sorted(devices, key=lambda device: -device.saved)[:count]
    return sorted(best, key=lambda device: device.start)


def _landing(ground: Ground, notes: tuple[NoteReading, ...], target: Target) -> Sentence | None:
    """The sentence about a phrase's last note, where it says the chord or colours it on a beat."""
    event, note = ground.events[target.event], notes[target.note]
    if note.chord is None or note.degree is None or note.role not in RESTING:
        return None
    if not event.weight or target.move is None:
        return None
    time = ground.time(event.start)
    name, chord = note.pitch.tone.name, note.chord.symbol
    place = ground.tune.chart.place(time)
    text = landing_sentence(
        name, note.degree, chord, note.role, target.move, target.enclosed, place, event.pushed
    )
    return Sentence(text, time, time)
