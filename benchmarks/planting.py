"""A generator of lines with one known device each: what the reading is measured against.

Every line lies over random changes in a random key. Before and after the device stand notes that hold
none: leaps of tritones, major sevenths and minor ninths. Rests, grace notes and the place in the bar
are drawn at random.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from fractions import Fraction

from solowright.harmony import Device, read_line, upper_triads
from solowright.harmony.devices.superimposed import SEVENTHS
from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.chord import Chord, parse_chord
from solowright.music.line import Note, make_line
from solowright.music.pitch import Interval, plain
from solowright.music.scale import scale, scales_over
from solowright.music.tune import Key, Tune

ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
KINDS = ("7", "maj7", "m7", "m7b5", "7b9", "m6", "6", "9", "13")
LEAPS = (6, 11, 13, -6, -11, -13)
BESIDE = (11, 13, -11, -13)  # next to the device: a tritone might complete a chord
LOW, HIGH = 48, 84
EIGHTH = Fraction(1, 2)
FIRST_BAR = 1  # index of the bar in which the device begins
GRACES = 0.3  # of devices that get one
Strike = tuple[int, ...]  # MIDI notes struck together


@dataclass(frozen=True)
class Plan:
    """What is to be played: ``chords`` are those of the device's two bars, ``beat`` quarters into the
    first. ``marks`` gives each strike the attributes of its notes; ``facts`` must be found."""

    strikes: list[Strike]
    chords: tuple[Chord, Chord]
    facts: dict[str, object] = field(default_factory=dict)
    beat: Fraction = Fraction(0)
    value: Fraction = EIGHTH
    marks: list[dict[str, object]] = field(default_factory=list)
    hits: tuple[Fraction, ...] = ()
    answer: tuple[Fraction, ...] = ()
    before: list[Strike] | None = None  # what is played in the bar before, instead of filling
    graces: bool = True
    apart: bool = False  # a rest after it ends the phrase
    landing: bool = False  # the last strike is where it lands, not part of it


@dataclass(frozen=True)
class Planted:
    """A tune with the device's kind, the places of its notes in the line, and the facts to be found."""

    kind: str
    tune: Tune
    notes: frozenset[int]
    facts: dict[str, object]

    def found_in(self, devices: tuple[Device, ...]) -> Device | None:
        """The device that is the planted one: of its kind, with most of its notes and its facts."""
        for device in devices:
            if device.kind == self.kind and self.holds(device):
                return device
        return None

    def holds(self, device: Device) -> bool:
        """Whether a device of the kind shares most of the notes and has the facts."""
        common = len(self.notes & set(device.notes))
        facts = all(device.facts.get(name) == value for name, value in self.facts.items())
        return common >= 0.7 * len(self.notes) and facts


def plant(kind: str, generator: random.Random) -> Planted:
    """A line with one device of ``kind`` in it."""
    return _play(kind, PLANTERS[kind](generator), generator)


def score(kinds: list[str], times: int, seed: int) -> tuple[dict[str, list[int]], list[tuple[Planted, str]]]:
    """For every kind [planted, found again, found at all, of these right], and the misses with what
    was found in their place."""
    generator = random.Random(seed)
    table = {kind: [0, 0, 0, 0] for kind in PLANTERS}
    misses: list[tuple[Planted, str]] = []
    for kind in kinds:
        for _ in range(times):
            planted = plant(kind, generator)
            devices = read_line(planted.tune).devices
            found = planted.found_in(devices)
            table[kind][0] += 1
            table[kind][1] += found is not None
            for device in devices:
                table[device.kind][2] += 1
                table[device.kind][3] += device.kind == kind and bool(planted.notes & set(device.notes))
            if found is None:
                there = [device.kind for device in devices if planted.notes & set(device.notes)]
                misses.append((planted, ", ".join(there) or "nothing"))
    return table, misses


def _play(kind: str, plan: Plan, generator: random.Random) -> Planted:
    bars = [Bar(chords=(ChordAt(Fraction(0), _chord(generator)),)) for _ in range(5)]
    for place, chord in enumerate(plan.chords):
        bars[FIRST_BAR + place] = Bar(chords=(ChordAt(Fraction(0), chord),))
    bars[FIRST_BAR] = replace(bars[FIRST_BAR], hits=plan.hits)
    bars[0] = replace(bars[0], answer=plan.answer)
    start = 4 * FIRST_BAR + plan.beat
    notes: list[Note] = []
    if plan.before is not None:
        notes += [Note(plain(strike[0]), place * EIGHTH, EIGHTH) for place, strike in enumerate(plan.before)]
    elif not plan.answer:
        rest = EIGHTH * generator.randrange(3)
        count = generator.randrange(2, 6)
        filling = _fill(plan.strikes[0][0], count, generator)
        for place, midi in enumerate(filling, 1):
            notes.append(Note(plain(midi), start - rest - place * EIGHTH, EIGHTH))
    device: list[Note] = []
    onset = start
    ornament = generator.randrange(len(plan.strikes)) if generator.random() < GRACES and plan.graces else -1
    for place, strike in enumerate(plan.strikes):
        marks = plan.marks[place] if plan.marks else {}
        if place == ornament:
            device.append(Note(plain(strike[0] - 1), onset, Fraction(0)))
        value = Fraction(str(marks.get("duration", plan.value)))
        own = {name: mark for name, mark in marks.items() if name != "duration"}
        device += [replace(Note(plain(midi), onset, value), **own) for midi in strike]  # type: ignore[arg-type]
        onset += value
    rest = Fraction(3, 2) if plan.apart else generator.choice((Fraction(0), EIGHTH, Fraction(3, 2)))
    onset = max(onset + rest, Fraction(0))
    for place, midi in enumerate(_fill(plan.strikes[-1][0], generator.randrange(1, 5), generator)):
        notes.append(Note(plain(midi), onset + place * EIGHTH, EIGHTH))
    line = make_line(notes + device)
    key = Key(_chord(generator).root, generator.random() < 0.3)
    tune = Tune("", Chart((Section("A", tuple(bars)),)), line, key=key)
    owned = {id(note) for note in (device[:-1] if plan.landing else device)}
    places = frozenset(place for place, note in enumerate(line.notes) if id(note) in owned)
    return Planted(kind, tune, places, plan.facts)


def _fill(beside: int, count: int, generator: random.Random) -> list[int]:
    """Leaps away from a note and never back at once: what no device is made of."""
    filling = [beside]
    for place in range(count):
        leaps = [filling[-1] + leap for leap in (LEAPS if place else BESIDE)]
        far = [midi for midi in leaps if LOW - 6 <= midi <= HIGH + 6 and midi not in filling[-2:]]
        filling.append(generator.choice(far))
    return filling[1:]


def _chord(generator: random.Random, kinds: tuple[str, ...] = KINDS) -> Chord:
    return parse_chord(generator.choice(ROOTS) + generator.choice(kinds))


def _single(midi: list[int]) -> list[Strike]:
    return [(pitch,) for pitch in midi]


def _ladder(pitch_classes: frozenset[int] | set[int]) -> list[int]:
    return [midi for midi in range(LOW, HIGH + 1) if midi % 12 in pitch_classes]


def _climb(generator: random.Random, steps: list[int], count: int) -> list[int]:
    start = generator.randrange(len(steps) - count)
    return steps[start : start + count][:: generator.choice((1, -1))]


def _core(chord: Chord) -> set[int]:
    return {chord.tone(degree).pitch_class for degree in chord.degrees if int(degree.lstrip("b#")) <= 7}


def _chord_arpeggio(generator: random.Random) -> Plan:
    chord = _chord(generator)
    midi = _climb(generator, _ladder(_core(chord)), generator.randrange(4, 8))
    beat = EIGHTH * generator.randrange(4)
    return Plan(_single(midi), (chord, chord), {"chord": chord.symbol}, beat)


def _upper_triad(generator: random.Random) -> Plan:
    chord = _chord(generator)
    triad = generator.choice(upper_triads(chord))
    midi = _climb(generator, _ladder(set(triad.pitch_classes)), generator.randrange(4, 7))
    return Plan(_single(midi), (chord, chord), {"triad": triad.name}, EIGHTH * generator.randrange(4))


def _superimposed(generator: random.Random) -> Plan:
    """Two seventh chords on beats, neither with all that says the chord of the chart."""
    while True:
        chord = _chord(generator)
        rows = []
        for _ in range(2):
            shape = generator.choice([shape for shape, kind in SEVENTHS.items() if kind != "dim7"])
            root = generator.randrange(55, 67)
            rows.append([root + step for step in sorted(shape)][:: generator.choice((1, -1))])
        apart = {midi % 12 for midi in rows[0]} != {midi % 12 for midi in rows[1]}
        said = any(_core(chord) - {chord.root.pitch_class} <= {midi % 12 for midi in row} for row in rows)
        if apart and not said and abs(rows[0][-1] - rows[1][0]) not in (3, 4):
            beat = Fraction(generator.randrange(3))
            return Plan(_single(rows[0] + rows[1]), (chord, chord), {"over": chord.symbol}, beat)


def _scale_run(generator: random.Random) -> Plan:
    while True:
        chord = _chord(generator)
        full = [found for found in scales_over(chord) if len(found.tones) == 7]
        if full:
            found = generator.choice(full)
            midi = _climb(generator, _ladder(found.pitch_classes), generator.randrange(8, 11))
            facts: dict[str, object] = {"scale": found.name}
            return Plan(_single(midi), (chord, chord), facts, EIGHTH * generator.randrange(4))


def _chromatic_run(generator: random.Random) -> Plan:
    chord = _chord(generator)
    midi = _climb(generator, list(range(LOW, HIGH)), generator.randrange(5, 10))
    return Plan(_single(midi), (chord, chord), {}, EIGHTH * generator.randrange(4))


def _enclosure(generator: random.Random) -> Plan:
    while True:
        chord = _chord(generator)
        target = generator.choice(_ladder(_core(chord)))
        around = generator.choice(((2, -1), (1, -1), (-1, 1), (-1, 2)))
        inside = [(target + step) % 12 in _core(chord) for step in around]
        if not any(inside):
            midi = [target + step for step in around] + [target]
            beat = Fraction(generator.choice((1, 3)))  # so that the target falls on the stronger beat
            return Plan(_single(midi), (chord, chord), {}, beat, graces=False)


def _shape_shift(generator: random.Random) -> Plan:
    chord = _chord(generator)
    shape = generator.sample((0, 4, 7, 9, 2), 3)
    interval = generator.choice((-4, -3, -2, -1, 1, 2, 3, 4))
    start = 66 - 2 * interval
    midi = [start + step + interval * count for count in range(4) for step in shape]
    value = generator.choice((EIGHTH, Fraction(1, 3), Fraction(1, 4)))
    facts: dict[str, object] = {"interval": interval}
    return Plan(_single(midi), (chord, chord), facts, Fraction(0), value)


def _sequence(generator: random.Random) -> Plan:
    while True:
        chord = _chord(generator, ("7", "maj7", "m7"))
        steps = _ladder(scales_over(chord)[0].pitch_classes)
        cell = generator.sample(range(5), 4)
        move = generator.choice((-2, -1, 1, 2))
        start = 8 - move
        moves = {b - a for a, b in zip(cell, [*cell[1:], cell[0] + move], strict=True)}
        if len(moves) > 1 and cell != sorted(cell) and cell != sorted(cell)[::-1]:
            midi = [steps[start + step + move * count] for count in range(3) for step in cell]
            return Plan(_single(midi), (chord, chord), {"times": 3}, Fraction(0))


def _half_step_link(generator: random.Random) -> Plan:
    chord = _chord(generator, ("m7", "7", "maj7"))
    down = generator.random() < 0.7
    away = Interval(-1, -2) if down else Interval(1, 2)
    following = parse_chord(chord.root.up(away).name + generator.choice(("m7", "7", "maj7")))
    root = 60 + (chord.root.pitch_class + (-1 if down else 1)) % 12
    tones = [root + step for step in generator.choice(((0, 3, 7, 10), (0, 4, 7, 10)))]
    goals = [midi for midi in _ladder(_core(following)) if any(1 <= abs(midi - tone) <= 2 for tone in tones)]
    landing = generator.choice(goals)
    near = [tone for tone in tones if 1 <= abs(tone - landing) <= 2]
    last = generator.choice(near)
    midi = [tone for tone in generator.sample(tones, 4) if tone != last] + [last]
    strikes = _single([*midi, landing])
    facts: dict[str, object] = {"from_chord": chord.symbol, "to_chord": following.symbol}
    return Plan(strikes, (chord, following), facts, Fraction(2), landing=True)


def _pentatonic_run(generator: random.Random) -> Plan:
    kind, name = generator.choice((("m7", "minor pentatonic"), ("maj7", "major pentatonic")))
    chord = _chord(generator, (kind,))
    found = scale(chord.root, name)
    midi = _climb(generator, _ladder(found.pitch_classes), generator.randrange(6, 10))
    return Plan(_single(midi), (chord, chord), {"scale": found.name}, EIGHTH * generator.randrange(4))


def _blues_cell(generator: random.Random) -> Plan:
    chord = _chord(generator, ("7", "m7"))
    found = scale(chord.root, "blues")
    cell = generator.choice(((3, 5, 6, 5, 3, 0), (7, 6, 5, 3, 0), (10, 7, 6, 5, 3), (0, 3, 5, 6, 7)))
    root = 60 + chord.root.pitch_class
    midi = [root + step for step in cell]
    return Plan(_single(midi), (chord, chord), {"scale": found.name}, EIGHTH * generator.randrange(4))


def _phrase(generator: random.Random) -> list[int]:
    return [66, *_fill(66, generator.randrange(5, 7), generator)]


def _transposed(generator: random.Random) -> Plan:
    chord = _chord(generator)
    phrase = _phrase(generator)
    interval = generator.choice((-7, -5, -4, -3, -2, 2, 3, 4, 5, 7))
    later = _single([midi + interval for midi in phrase])
    facts: dict[str, object] = {"interval": interval}
    before = _single(phrase)
    return Plan(later, (chord, chord), facts, Fraction(2), before=before, graces=False, apart=True)


def _varied(generator: random.Random) -> Plan:
    chord = _chord(generator)
    phrase = _phrase(generator)
    later = list(phrase)
    place = generator.randrange(1, len(phrase) - 1)
    later[place] += generator.choice((-1, 1, 2))
    before = _single(phrase)
    return Plan(_single(later), (chord, chord), {}, Fraction(2), before=before, graces=False, apart=True)


def _kept_tone(generator: random.Random, common: bool) -> Plan:
    while True:
        first, second = _chord(generator), _chord(generator)
        kept = generator.choice(_ladder(set(range(12))))
        says = [kept % 12 in _core(chord) for chord in (first, second)]
        others = [kept + generator.choice((6, -6, 11, -11)) for _ in range(3)]
        if first != second and (all(says) if common else says == [True, False]):
            struck = [pitch for other in others for pitch in (kept, other)]
            strikes = _single([*struck, kept])
            return Plan(strikes, (first, second), {"pitch": plain(kept).name}, Fraction(2), graces=False)


def _trill(generator: random.Random) -> Plan:
    chord = _chord(generator)
    midi = generator.randrange(LOW, HIGH)
    step = generator.choice((1, 2))
    if generator.random() < 0.5:
        marks: list[dict[str, object]] = [{"trill": step, "duration": 1}]
        return Plan([(midi,)], (chord, chord), {"interval": step}, Fraction(1), marks=marks)
    return Plan(_single([midi, midi + step] * 4), (chord, chord), {}, value=Fraction(1, 4), graces=False)


def _double_stop(generator: random.Random) -> Plan:
    chord = _chord(generator)
    interval = generator.choice((3, 4, 5, 7, 8, 9))
    places = [60, *_fill(60, generator.randrange(1, 3), generator)]
    strikes: list[Strike] = [(low + interval, low) for low in places]
    return Plan(strikes, (chord, chord), {}, Fraction(generator.randrange(2)))


def _chord_punch(generator: random.Random) -> Plan:
    chord = _chord(generator, ("7", "m7", "maj7"))
    root = 48 + chord.root.pitch_class
    voicing = tuple(sorted((root + midi for midi in (10, 16, 19)), reverse=True))
    marks: list[dict[str, object]] = [{"duration": Fraction(1, 2)}]
    lead = _single(_fill(60, 7, generator))
    return Plan([voicing], (chord, chord), {"notes": 3}, Fraction(0), marks=marks, before=lead)


def _ringing_run(generator: random.Random) -> Plan:
    chord = _chord(generator)
    steps = _ladder(scales_over(chord)[0].pitch_classes)
    midi = _climb(generator, steps, generator.randrange(5, 8))
    strings = [2, 1, 2, 3, 2, 3, 4]
    marks: list[dict[str, object]] = [{"string": strings[place]} for place in range(len(midi))]
    return Plan(_single(midi), (chord, chord), {}, EIGHTH * generator.randrange(4), marks=marks, graces=False)


def _open_string(generator: random.Random) -> Plan:
    chord = _chord(generator)
    midi = [pitch for move in _fill(70, 4, generator) for pitch in (64, move)]
    marks: list[dict[str, object]] = [{"string": 1, "fret": 0}, {"string": 2, "fret": 7}] * 4
    return Plan(_single(midi), (chord, chord), {"open": "E4"}, Fraction(0), marks=marks, graces=False)


def _harmonics(generator: random.Random) -> Plan:
    chord = _chord(generator)
    count = generator.randrange(1, 4)
    marks: list[dict[str, object]] = [{"entry": "harmonic"}] * count
    return Plan(_single([71, *_fill(71, count - 1, generator)]), (chord, chord), marks=marks, graces=False)


def _slide_into_hit(generator: random.Random) -> Plan:
    chord = _chord(generator)
    beat = Fraction(generator.randrange(4))
    marks: list[dict[str, object]] = [{"entry": "slide", "duration": 1}]
    return Plan([(generator.randrange(55, 80),)], (chord, chord), {}, beat, marks=marks, hits=(beat,))


def _band_hit(generator: random.Random) -> Plan:
    chord = _chord(generator)
    hits = (Fraction(0), Fraction(3, 2), Fraction(3))
    lengths = (Fraction(3, 2), Fraction(3, 2), Fraction(1))
    marks: list[dict[str, object]] = [{"duration": length} for length in lengths]
    return Plan(_single([66, *_fill(66, 2, generator)]), (chord, chord), {"hits": 3}, marks=marks, hits=hits)


def _answer(generator: random.Random) -> Plan:
    chord = _chord(generator)
    beat = EIGHTH * generator.randrange(4)
    return Plan([(66,)], (chord, chord), {}, beat, answer=(Fraction(1), Fraction(3)))


PLANTERS: dict[str, Callable[[random.Random], Plan]] = {
    "chord-arpeggio": _chord_arpeggio,
    "upper-triad": _upper_triad,
    "superimposed-chord": _superimposed,
    "scale-run": _scale_run,
    "chromatic-run": _chromatic_run,
    "enclosure": _enclosure,
    "shape-shift": _shape_shift,
    "sequence": _sequence,
    "half-step-link": _half_step_link,
    "pentatonic-run": _pentatonic_run,
    "blues-cell": _blues_cell,
    "transposed-phrase": _transposed,
    "varied-echo": _varied,
    "pedal": lambda generator: _kept_tone(generator, common=False),
    "common-tone": lambda generator: _kept_tone(generator, common=True),
    "trill": _trill,
    "double-stop": _double_stop,
    "chord-punch": _chord_punch,
    "ringing-run": _ringing_run,
    "open-string-figure": _open_string,
    "harmonics": _harmonics,
    "slide-into-hit": _slide_into_hit,
    "band-hit": _band_hit,
    "answer": _answer,
}
