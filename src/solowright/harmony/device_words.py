"""What is said about each device: a sentence body from its facts, in two wordings where it is common.

Bodies begin small and end without a stop; ``device_sentence`` sets bar and beat before them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from typing import cast

from solowright.harmony.words import (
    INTERVALS,
    Facts,
    beat_words,
    degree_words,
    listed,
    printed,
    printed_chord,
    tone_words,
    triad_words,
    where,
    with_article,
)
from solowright.music.chart import Place

NUMBERS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip
MOVES = {
    1: "half steps", 2: "whole steps", 3: "minor thirds", 4: "major thirds", 5: "fourths", 7: "fifths",
    12: "octaves",
}  # fmt: skip
STEPS = {1: "a step", 2: "thirds", 3: "fourths", 4: "fifths"}
GUIDE_TONES = ({"3", "♭3"}, {"7", "♭7", "♭♭7"})  # the third and the seventh say a chord by themselves


def device_sentence(kind: str, facts: Facts, start: Place, end: Place, turn: int) -> str:
    """The sentence for one device; ``turn`` counts the device among its kind, so that wording varies."""
    return f"{where(start, end)}: {_TELL[kind](facts, turn)}."


def _number(facts: Facts, key: str) -> int:
    return int(str(facts[key]))


def _names(facts: Facts, key: str) -> list[str]:
    return [str(name) for name in cast(Iterable[object], facts[key])]


def _place(facts: Facts, key: str) -> Mapping[str, float]:
    return cast(Mapping[str, float], facts[key])


def _degrees(facts: Facts) -> list[str]:
    return [printed(degree) for degree in _names(facts, "degrees")]


def _chord_arpeggio(facts: Facts, turn: int) -> str:
    chord = printed_chord(facts["chord"])
    degrees = _degrees(facts)
    spelled = ", ".join(degrees)
    if GUIDE_TONES[0] & set(degrees) and GUIDE_TONES[1] & set(degrees):
        return (
            f"{chord} spelled out, {spelled}: you hear the chord without the band",
            f"the arpeggio of {chord} from its {degrees[0]} ({spelled}) states the chord by itself",
        )[turn % 2]
    return (f"the tones of {chord} in turn: {spelled}", f"{chord} spelled out: {spelled}")[turn % 2]


def _upper_triad(facts: Facts, turn: int) -> str:
    over = printed_chord(facts["over"])
    head = f"{with_article(triad_words(str(facts['triad'])))} over {over}"
    degrees = listed(_degrees(facts))
    character = facts.get("character")
    if character == "outside":
        return f"{head} steps outside the chord: {degrees}"
    if character == "rootless":
        return f"{head} — that is {degrees}, the chord without its root"
    return (f"{head} — that gives {degrees}", f"{head}, which colours the chord with {degrees}")[turn % 2]


def _scale_run(facts: Facts, turn: int) -> str:
    scale = printed(str(facts["scale"]))
    way = str(facts["direction"])
    passing = facts.get("passing")
    extra = ""
    if isinstance(passing, int) and passing:
        extra = f", with {NUMBERS[passing]} chromatic passing note{'s' if passing > 1 else ''}"
    return (f"{with_article(scale)} run going {way}{extra}", f"{way} the {scale} scale{extra}")[turn % 2]


def _chromatic_run(facts: Facts, turn: int) -> str:
    first, last = tone_words(facts["first"]), tone_words(facts["last"])
    way = str(facts["direction"])
    return (f"half steps {way} from {first} to {last}", f"a chromatic run {way}, {first} to {last}")[turn % 2]


def _enclosure(facts: Facts, turn: int) -> str:
    notes = _names(facts, "notes")
    target, degree = tone_words(facts["target"]), degree_words(str(facts["degree"]))
    around = listed([tone_words(note) for note in notes])
    chord = printed_chord(facts["over"])
    return (
        f"{around} surround {target}, the {degree} of {chord}",
        f"{target}, the {degree} of {chord}, is taken from both sides: {around} first",
    )[turn % 2]


def _moves(interval: int) -> str:
    """``up by minor thirds``."""
    return f"{'up' if interval > 0 else 'down'} by {MOVES.get(abs(interval), f'{abs(interval)} semitones')}"


def _times(facts: Facts) -> str:
    times = _number(facts, "times")
    if times == 2:
        return "twice"
    return f"{NUMBERS[times] if times < len(NUMBERS) else times} times"


def _shape_shift(facts: Facts, turn: int) -> str:
    shape, interval = str(facts["shape"]), _number(facts, "interval")
    named = shape[0].isalpha()
    inside = f", all inside {printed(str(facts['scale']))}" if facts.get("scale") else ""
    shift = f"{_moves(interval)}, {_times(facts)}"
    return (
        f"{with_article(shape) if named else 'one shape'} moved {shift} in all{inside}",
        f"the same {shape if named else 'shape'} {_times(facts)}, {_moves(interval)}{inside}",
    )[turn % 2]


def _sequence(facts: Facts, turn: int) -> str:
    cell, interval, place = _names(facts, "cell"), facts["interval"], _place(facts, "lands_on")
    notes = ", ".join(tone_words(name) for name in cell)
    count = NUMBERS[len(cell)]
    if isinstance(interval, int):
        move = _moves(interval) + (", moving with the chords" if facts.get("follows") else "")
    else:
        steps = _number(facts, "steps")
        by = STEPS.get(abs(steps), f"{abs(steps)} steps")
        move = f"{'up' if steps > 0 else 'down'} by {by} of the scale"
    lands = Place(int(place["bar"]), Fraction(place["beat"]).limit_denominator(96))
    landing = f"landing on {beat_words(lands)} of bar {lands.bar}"
    return (
        f"a {count}-note cell ({notes}) in sequence {move}, {_times(facts)}, {landing}",
        f"{notes} — and the same again {move}, {_times(facts)} in all, {landing}",
    )[turn % 2]


def _half_step_link(facts: Facts, turn: int) -> str:
    start, link, end = (printed_chord(facts[key]) for key in ("from_chord", "through", "to_chord"))
    return (
        f"between {start} and {end} the line slips through {link}, the chord in the half step",
        f"{link} spelled out links {start} to {end} by half steps",
    )[turn % 2]


def _pentatonic_run(facts: Facts, turn: int) -> str:
    scale = printed(str(facts["scale"]))
    return (f"a run along {scale}", f"{scale} all the way")[turn % 2]


def _blues_cell(facts: Facts, turn: int) -> str:
    scale = printed(str(facts["scale"]))
    return (
        f"{with_article(scale)} cell with the blue note in it",
        f"blues language: {scale} with its blue note",
    )[turn % 2]


def _double_stop(facts: Facts, turn: int) -> str:
    intervals, sounds = _names(facts, "intervals"), _names(facts, "sounds")
    sound = f", {sounds[0]} to the ear" if len(set(sounds)) == 1 else ""
    if len(intervals) == 1:
        return f"a double stop, {with_article(intervals[0])}{sound}"
    if len(set(intervals)) == 1:
        return f"double stops in {intervals[0]}s{sound}"
    return f"double stops: {listed(intervals)}{sound}"


def _chord_punch(facts: Facts, turn: int) -> str:
    chord, degrees = printed_chord(facts["chord"]), _degrees(facts)
    if not degrees:
        return "a chord punched behind the single notes"
    return f"a chord punched behind the single notes: {', '.join(degrees)} of {chord} from below"


def _trill(facts: Facts, turn: int) -> str:
    interval = _number(facts, "interval")
    return f"a trill on {tone_words(facts['note'])}, {with_article(INTERVALS[min(abs(interval), 12)])} wide"


def _harmonics(facts: Facts, turn: int) -> str:
    notes = _names(facts, "notes")
    if len(notes) == 1:
        return f"{tone_words(notes[0])} rings as a harmonic"
    return f"harmonics: {listed([tone_words(note) for note in notes])}"


def _ringing_run(facts: Facts, turn: int) -> str:
    strings = _names(facts, "strings")
    path = ", ".join(map(str, strings))
    return f"neighbouring notes on different strings ({path}), so that they ring into each other"


def _open_string_figure(facts: Facts, turn: int) -> str:
    return f"a figure around the open {tone_words(facts['open'])} string, struck {facts['strokes']} times"


def _kept(facts: Facts) -> tuple[str, str]:
    chords, degrees = _names(facts, "chords"), _degrees(facts)
    over = [f"{degree} of {printed_chord(chord)}" for degree, chord in zip(degrees, chords, strict=True)]
    return tone_words(facts["pitch"]), listed(over)


def _pedal(facts: Facts, turn: int) -> str:
    tone, over = _kept(facts)
    return f"{tone} stays as a pedal while the chords move: {over}"


def _common_tone(facts: Facts, turn: int) -> str:
    tone, over = _kept(facts)
    return f"{tone} is common to the chords: {over}"


def _slide_into_hit(facts: Facts, turn: int) -> str:
    return f"a slide into {tone_words(facts['target'])}, on the band's hit"


def _band_hit(facts: Facts, turn: int) -> str:
    hits = _number(facts, "hits")
    return f"the line lands on the band's hits, {NUMBERS[hits] if hits < len(NUMBERS) else hits} in a row"


def _answer(facts: Facts, turn: int) -> str:
    to = _place(facts, "to")
    return f"the line leaves bar {to['bar']} to the band's answer, then replies"


def _of(facts: Facts) -> str:
    of = _place(facts, "of")
    return f"the phrase of bar {of['bar']}"


def _transposed_phrase(facts: Facts, turn: int) -> str:
    interval = _number(facts, "interval")
    name = INTERVALS[abs(interval)] if abs(interval) <= 12 else f"{abs(interval)} semitones"
    return f"{_of(facts)} again, {with_article(name)} {'higher' if interval > 0 else 'lower'}"


def _varied_echo(facts: Facts, turn: int) -> str:
    changed = _number(facts, "changed")
    if not changed:
        return f"{_of(facts)} said again"
    count = NUMBERS[changed] if changed < len(NUMBERS) else str(changed)
    return f"{_of(facts)} comes back with {count} note{'s' if changed > 1 else ''} changed"


_TELL: dict[str, Callable[[Facts, int], str]] = {
    "chord-arpeggio": _chord_arpeggio,
    "upper-triad": _upper_triad,
    "scale-run": _scale_run,
    "chromatic-run": _chromatic_run,
    "enclosure": _enclosure,
    "shape-shift": _shape_shift,
    "sequence": _sequence,
    "half-step-link": _half_step_link,
    "pentatonic-run": _pentatonic_run,
    "blues-cell": _blues_cell,
    "double-stop": _double_stop,
    "chord-punch": _chord_punch,
    "trill": _trill,
    "harmonics": _harmonics,
    "ringing-run": _ringing_run,
    "open-string-figure": _open_string_figure,
    "pedal": _pedal,
    "common-tone": _common_tone,
    "slide-into-hit": _slide_into_hit,
    "band-hit": _band_hit,
    "answer": _answer,
    "transposed-phrase": _transposed_phrase,
    "varied-echo": _varied_echo,
}
