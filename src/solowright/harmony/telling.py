"""What is worth saying of each phrase: its devices by how much they tell, and where it lands."""

from __future__ import annotations

from collections.abc import Iterable

from solowright.harmony.choice import choose_devices, choose_runner_up
from solowright.harmony.device_words import device_sentence
from solowright.harmony.devices.found import NOTE_BITS, RELATIONS, Found
from solowright.harmony.ground import Ground
from solowright.harmony.record import Device, NoteReading, Sentence
from solowright.harmony.short_names import short_name
from solowright.harmony.targets import Target
from solowright.harmony.words import landing_sentence

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
LEAST = 9.0  # bits saved and worth together that make a device worth a sentence


def tell_devices(ground: Ground, found: Iterable[Found]) -> tuple[Device, ...]:
    """The devices that tell the line shortest, in order of time.

    Two choices are made, each exact: what the line is made of, and how it stands to the band and to
    what was played before (``RELATIONS``). Inside each choice devices never overlap.
    """
    sizes = tuple(len(event.notes) for event in ground.events)
    makings: list[Found] = []
    relations: list[Found] = []
    for device in found:
        (relations if device.kind in RELATIONS else makings).append(device)
    by_start: dict[int, list[Found]] = {}
    for device in makings:
        by_start.setdefault(device.start, []).append(device)
    made = choose_devices(makings, sizes)
    moved = [device for device in made if device.kind in ("sequence", "shape-shift")]
    relations = [device for device in relations if not _repeats(device, moved)]
    chosen = made + choose_devices(relations, sizes)
    turns: dict[str, int] = {}
    devices = []
    for device in sorted(chosen, key=lambda device: (device.start, -device.stop, device.kind)):
        turn = turns.get(device.kind, 0)
        turns[device.kind] = turn + 1
        others: tuple[Device, ...] = ()
        if device.kind not in RELATIONS:
            near = [other for start in range(device.start, device.stop) for other in by_start.get(start, ())]
            others = tuple(_tell(ground, other, 0, ()) for other in choose_runner_up(device, near, sizes))
        devices.append(_tell(ground, device, turn, others))
    return tuple(devices)


def _repeats(device: Found, moved: list[Found]) -> bool:
    """Whether an echo lies in a sequence, which tells it already."""
    echoes = device.kind in ("transposed-phrase", "varied-echo")
    return echoes and any(other.start <= device.start and device.stop <= other.stop for other in moved)


def _tell(ground: Ground, found: Found, turn: int, runner_up: tuple[Device, ...]) -> Device:
    chart = ground.tune.chart
    events = ground.events[found.start : found.stop]
    places = tuple(place for event in events for place in (*event.graces, *event.notes))
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
    for first, stop in ground.phrases:
        start, end = ground.time(ground.events[first].start), ground.time(ground.events[stop - 1].start)
        chunks: dict[int, list[Device]] = {}
        opening = chart.bar_index(start)
        for device in devices:
            if start <= device.start <= end:
                chunks.setdefault((chart.bar_index(device.start) - opening) // CHUNK, []).append(device)
        told = [device for chunk in chunks.values() for device in _most_worth(chunk)]
        sentences += [Sentence(device.sentence, device.start, device.end) for device in told]
        landing = _landing(ground, notes, landings[stop - 1])
        if landing and not any(device.kind in SAYS_LANDING and device.end == end for device in told):
            sentences.append(landing)
    return tuple(sentences)


def _most_worth(devices: list[Device]) -> list[Device]:
    """The devices of two bars that are worth a sentence, in order of time."""

    def worth(device: Device) -> float:
        return device.saved + WORTH.get(device.kind, 0)

    hits = [device for device in devices if device.kind == "band-hit" and device.facts["notes"]]
    best = sorted((device for device in devices if worth(device) >= LEAST), key=lambda device: -worth(device))
    best = [device for device in best if device.kind != "double-stop" or not _is_among(device, hits)]
    return sorted(best[:SENTENCES], key=lambda device: device.start)


def _is_among(device: Device, others: list[Device]) -> bool:
    """Whether one of the others speaks of the same notes."""
    return any(set(device.notes) <= set(other.notes) for other in others)


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
