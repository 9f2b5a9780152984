"""What is worth saying of each phrase: its devices by how much they tell, and where it lands."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import cast

from solowright.harmony.choice import choose_devices
from solowright.harmony.device_words import against_chart, device_sentence
from solowright.harmony.devices.found import NOTE_BITS, Found
from solowright.harmony.ground import Ground
from solowright.harmony.record import Device, NoteReading, Sentence
from solowright.harmony.relation_words import on_hits
from solowright.harmony.search import Search
from solowright.harmony.short_names import short_name
from solowright.harmony.targets import Target
from solowright.harmony.words import and_room, landing_sentence
from solowright.music.chart import Chart
from solowright.music.chord import Chord
from solowright.music.pitch import Pitch
from solowright.music.time import Time

SENTENCES = 3  # at most, for two bars of a phrase
CHUNK = 2  # bars
RESTING = ("chord-tone", "anticipation", "tension", "blue-note")  # roles that a phrase can rest on

# How much there is to learn from a device, in bits beside those that it saves: an arpeggio of the
# chord is plain to see, the chord slipped into a half step is not. Our judgement, no source.
WORTH = {
    "half-step-link": 14, "shape-shift": 12, "superimposed-chord": 12, "upper-triad": 10, "sequence": 8,
    "open-string-figure": 8, "band-hit": 8, "slide-into-hit": 8, "answer": 8, "transposed-phrase": 8,
    "double-stop": 6, "common-tone": 6, "pedal": 6, "varied-echo": 5, "ringing-run": 5, "blues-cell": 5,
    "enclosure": 5, "harmonics": 5, "chord-punch": 4, "chromatic-run": 3, "trill": 3, "chord-arpeggio": 2,
}  # fmt: skip
SAYS_LANDING = ("enclosure", "band-hit", "harmonics", "double-stop")  # their own sentence names the last note
NINTHS = {"9", "b9", "#9"}
NINTH_WORTH = 4  # more, where an arpeggio goes on into the ninth
REMEMBERED = 32  # quarters within which an enclosure needs no second sentence
CLOSE = 3  # notes from the last of one superimposed chord to the first of the next
LEAST = 9.0  # bits saved and worth together that make a device worth a sentence


def tell_devices(search: Search, relations: list[Found]) -> tuple[Device, ...]:
    """The devices that tell the line shortest, in order of time.

    Two choices are made, each exact: what the line is made of, phrase by phrase (``search``), and how it
    stands to the band and to what was played before (``RELATIONS``). Inside each choice devices never
    overlap.
    """
    ground = search.ground
    sizes = tuple(len(event.notes) for event in ground.events)
    made = [telling for phrase in search.phrases for telling in phrase]
    moved = [device for device, _ in made if device.kind in ("sequence", "shape-shift")]
    related = choose_devices((device for device in relations if not _repeats(device, moved)), sizes)
    chosen = [*made, *((device, ()) for device in related)]
    turns: dict[str, int] = {}
    devices = []
    for device, others in sorted(chosen, key=lambda one: (one[0].start, -one[0].stop, one[0].kind)):
        turn = turns.get(device.kind, 0)
        turns[device.kind] = turn + 1
        devices.append(_tell(ground, device, turn, tuple(_tell(ground, other, 0, ()) for other in others)))
    return tuple(devices)


def _repeats(device: Found, moved: list[Found]) -> bool:
    """Whether an echo lies in a sequence, which tells it already."""
    echoes = device.kind in ("transposed-phrase", "varied-echo")
    return echoes and any(other.start <= device.start and device.stop <= other.stop for other in moved)


def _tell(ground: Ground, found: Found, turn: int, runner_up: tuple[Device, ...]) -> Device:
    chart = ground.tune.chart
    events = ground.events[found.start : found.stop]
    places = ground.places(found.start, found.stop)
    start, end = ground.time(events[0].start), ground.time(events[-1].start)
    text = device_sentence(found.kind, found.facts, chart.place(start), chart.place(end), turn)
    saved = sum(len(event.notes) for event in events) * NOTE_BITS - found.bits
    short = short_name(found.kind, found.facts)
    return Device(found.kind, start, end, places, found.facts, text, saved, short, runner_up)


def tell_phrases(
    ground: Ground, notes: tuple[NoteReading, ...], targets: tuple[Target, ...], devices: tuple[Device, ...]
) -> tuple[Sentence, ...]:
    """What is worth saying of every two bars of a phrase, and where the phrase lands."""
    landings = {target.event: target for target in targets}
    chart = ground.tune.chart
    sentences: list[Sentence] = []
    said: list[Device] = []
    rests: set[tuple[Pitch, Chord | None]] = set()  # what phrases have landed on
    for first, stop in ground.phrases:
        start, end = ground.time(ground.events[first].start), ground.time(ground.events[stop - 1].start)
        chunks: dict[int, list[Device]] = {}
        opening = chart.bar_index(start)
        for device in _join_chords(chart, (found for found in devices if start <= found.start <= end)):
            chunks.setdefault((chart.bar_index(device.start) - opening) // CHUNK, []).append(device)
        told = [device for chunk in chunks.values() for device in _most_worth(chunk, said)]
        again = [device for device in told if _is_whole_again(device, start, end)]
        told = again or told
        said += told
        sentences += _say(told)
        room = next((device for device in told if device.facts.get("how") == "answered"), None)
        landing = _landing(ground, notes, landings[stop - 1], room is not None)
        if landing and room:
            sentences = [sentence for sentence in sentences if sentence.text != room.sentence]
        if landing is None or any(device.kind in SAYS_LANDING and device.end == end for device in told):
            continue
        rest = notes[landings[stop - 1].note]
        if not (again and (rest.pitch, rest.chord) in rests):
            sentences.append(landing)
        rests.add((rest.pitch, rest.chord))
    return tuple(sentences)


def _most_worth(devices: list[Device], said: list[Device]) -> list[Device]:
    """The devices of two bars that are worth a sentence after what was ``said``, in order of time."""

    def worth(device: Device) -> float:
        high = device.kind == "chord-arpeggio" and NINTHS & set(cast("list[str]", device.facts["degrees"]))
        return device.saved + WORTH.get(device.kind, 0) + (NINTH_WORTH if high else 0)

    devices = [device for device in devices if not _is_one_root(device)]
    hits = [device for device in devices if device.kind == "band-hit"]
    best = sorted((device for device in devices if worth(device) >= LEAST), key=lambda device: -worth(device))
    best = [device for device in best if device.kind != "double-stop" or not _is_among(device, hits)]
    best = [device for device in best if device.kind != "enclosure" or not _was_said(device, said)]
    return sorted(best[:SENTENCES], key=lambda device: device.start)


def _is_one_root(device: Device) -> bool:
    """Whether a common tone is no more than the root that two chords stand on."""
    return device.kind == "common-tone" and set(cast("list[str]", device.facts["degrees"])) == {"1"}


def _is_whole_again(device: Device, start: Time, end: Time) -> bool:
    """Whether a device says that a phrase is an earlier one note for note, so that nothing else of it
    needs to be said again."""
    whole = device.kind == "varied-echo" and (device.start, device.end) == (start, end)
    return whole and not device.facts["changed"] and not device.facts["left_out"]


def _was_said(device: Device, said: list[Device]) -> bool:
    """Whether a device of the kind was told not long before: taken from both sides once more."""
    return any(
        earlier.kind == device.kind and device.start - earlier.end <= REMEMBERED for earlier in said
    )


def _say(told: list[Device]) -> list[Sentence]:
    """Their sentences; a device that lies on the band's hits takes them along."""
    sentences = []
    for device in told:
        others = [other for other in told if other is not device]
        if device.kind == "band-hit" and _is_among(device, others):
            continue
        hits = [other for other in others if other.kind == "band-hit" and _is_among(other, [device])]
        text = on_hits(device.sentence, hits[0].facts) if hits else device.sentence
        sentences.append(Sentence(text, device.start, device.end))
    return sentences


def _join_chords(chart: Chart, devices: Iterable[Device]) -> list[Device]:
    """The devices, superimposed chords that follow each other closely over moving changes as one."""
    joined: list[Device] = []
    row: list[Device] = []
    for device in devices:
        if device.kind != "superimposed-chord":
            joined.append(device)
        elif row and _goes_along(row[-1], device):
            row.append(device)
        else:
            joined += _as_one(chart, row)
            row = [device]
    return sorted(joined + _as_one(chart, row), key=lambda device: device.start)


def _goes_along(before: Device, device: Device) -> bool:
    """Whether a superimposed chord follows another closely, over another chord of the chart."""
    return device.notes[0] - before.notes[-1] <= CLOSE and device.facts["over"] != before.facts["over"]


def _as_one(chart: Chart, row: list[Device]) -> list[Device]:
    """A row of superimposed chords as one device to be told."""
    if len(row) < 2:
        return row
    first, last = row[0], row[-1]
    chords = [chord for device in row for chord in cast("list[str]", device.facts["chords"])]
    over = [str(device.facts["over"]) for device in row]
    text = against_chart(chords, over, chart.place(first.start), chart.place(last.end))
    places = tuple(place for device in row for place in device.notes)
    saved = sum(device.saved for device in row)
    return [replace(first, end=last.end, notes=places, sentence=text, saved=saved)]


def _is_among(device: Device, others: list[Device]) -> bool:
    """Whether one of the others speaks of the same notes."""
    return any(set(device.notes) <= set(other.notes) for other in others)


def _landing(
    ground: Ground, notes: tuple[NoteReading, ...], target: Target, answered: bool
) -> Sentence | None:
    """The sentence about a phrase's last note, where it says the chord or colours it on a beat; and that
    the band answers, where it does."""
    event, note = ground.events[target.event], notes[target.note]
    if note.chord is None or note.degree is None or note.role not in RESTING:
        return None
    if not event.weight or target.move is None:
        return None
    time = ground.time(event.start)
    name, chord = note.pitch.tone.name, note.chord.symbol
    colours = ground.colours(target.event)
    full = colours is not None and colours.filled_by(event.pitches)
    tones = [] if event.single else [notes[place].pitch.tone.name for place in reversed(event.notes)]
    place = ground.tune.chart.place(time)
    text = landing_sentence(
        name, note.degree, chord, note.role, target.move, target.enclosed, place, event.pushed,
        tones, full,
    )  # fmt: skip
    return Sentence(and_room(text) if answered else text, time, time)
