"""Everything the reading says in words, in one place, so that another language can be added.

A teacher's register: short, with bar and beat, degrees against the chord, and nothing that the
facts handed in don't show.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence

from solowright.music.chart import Place, beat_text

Facts = Mapping[str, object]

INTERVALS = (
    "unison", "half step", "whole step", "third", "third", "fourth", "tritone", "fifth", "sixth", "sixth",
    "seventh", "seventh", "octave",
)  # fmt: skip
TRIAD_WORDS = {"": "major", "m": "minor", "dim": "diminished", "aug": "augmented"}
ROLE_WORDS = {"tension": "a colour, not a chord tone", "blue-note": "a blue note"}
NUMBERS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip

MOVES = {
    1: "half steps", 2: "whole steps", 3: "minor thirds", 4: "major thirds", 5: "fourths", 7: "fifths",
    12: "octaves",
}  # fmt: skip
STEPS = {1: "a step", 2: "thirds", 3: "fourths", 4: "fifths"}
GUIDE_TONES = ({"3", "♭3"}, {"7", "♭7", "♭♭7"})  # the third and the seventh say a chord by themselves

_TRIAD = re.compile(r"([A-G][b#]*)(m|dim|aug|)")
_FLAT = re.compile(r"(?<=[A-G])b(?!e)|(?<=b)b|b(?=b?\d)")


def printed(text: str) -> str:
    """A typed note, degree, chord or scale with real accidentals: ``Bb7b9`` as ``B♭7♭9``."""
    return _FLAT.sub("♭", text).replace("#", "♯")


def listed(words: Sequence[str]) -> str:
    """``a, b and c``."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def beat_words(place: Place) -> str:
    """``beat 3``, ``the and of 3``, ``beat 3⅓``."""
    if place.beat.denominator == 2:
        return f"the and of {place.beat.numerator // 2}"
    return f"beat {beat_text(place.beat)}"


def where(start: Place, end: Place) -> str:
    """How a sentence about a stretch of time begins: ``Bar 5``, ``Bar 5, beat 3``, ``Bars 5–6``."""
    if start.bar != end.bar:
        return f"Bars {start.bar}–{end.bar}"
    return f"Bar {start.bar}" if start.beat == 1 else f"Bar {start.bar}, {beat_words(start)}"


def approach_words(move: int | None, enclosed: bool) -> str:
    """How a target is reached: ``half step above``, ``enclosure``, ``start of the phrase``."""
    if enclosed:
        return "enclosure"
    if move is None:
        return "start of the phrase"
    if move == 0:
        return "same note"
    side = "below" if move > 0 else "above"
    return f"{INTERVALS[abs(move)] if abs(move) <= 12 else 'leap'} {side}"


def device_sentence(kind: str, facts: Facts, start: Place, end: Place, turn: int) -> str:
    """The sentence for one device; ``turn`` counts the device among its kind, so that wording varies."""
    return f"{where(start, end)}: {_TELL[kind](facts, turn)}."


def landing_sentence(
    name: str, degree: str, chord: str, role: str, move: int | None, enclosed: bool, place: Place, ahead: bool
) -> str:
    """Where a phrase comes to rest."""
    how = approach_words(move, enclosed)
    if enclosed:
        how = ", taken from above and below"
    elif move in (1, 2, -1, -2):
        how = f", from a {how}"
    else:
        how = ""
    when = f"{beat_words(place)} of bar {place.bar}"
    rest = f" ({ROLE_WORDS[role]})" if role in ROLE_WORDS else ""
    early = ", just ahead of the chord" if ahead else ""
    what = f"{printed(name)}, the {printed(degree)} of {printed(chord)}{rest}"
    return f"The phrase lands on {what}, on {when}{early}{how}."


def triad_words(name: str) -> str:
    """``Bb`` as ``B♭ major triad``."""
    match = _TRIAD.fullmatch(name)
    assert match, "a triad is named by its root and m, dim, aug or nothing"
    return f"{printed(match[1])} {TRIAD_WORDS[match[2]]} triad"


def _a(noun: str) -> str:
    """The noun with its article: a B♭, an A, an E♭, an F."""
    return f"{'an' if noun[0] in 'AEFaeio' else 'a'} {noun}"


def _tone(name: object) -> str:
    """A pitch as it is said in a sentence, without its octave."""
    return printed(str(name).rstrip("-0123456789"))


def _degrees(facts: Facts) -> list[str]:
    degrees = facts["degrees"]
    assert isinstance(degrees, list)
    return [printed(degree) for degree in degrees]


def _chord_arpeggio(facts: Facts, turn: int) -> str:
    chord = printed(str(facts["chord"]))
    degrees = _degrees(facts)
    spelled = ", ".join(degrees)
    if GUIDE_TONES[0] & set(degrees) and GUIDE_TONES[1] & set(degrees):
        return (
            f"{chord} spelled out, {spelled}: you hear the chord without the band",
            f"the arpeggio of {chord} from its {degrees[0]} ({spelled}) states the chord by itself",
        )[turn % 2]
    return (f"the tones of {chord} in turn: {spelled}", f"{chord} spelled out: {spelled}")[turn % 2]


def _upper_triad(facts: Facts, turn: int) -> str:
    over = printed(str(facts["over"]))
    head = f"{_a(triad_words(str(facts['triad'])))} over {over}"
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
    return (f"{_a(scale)} run going {way}{extra}", f"{way} the {scale} scale{extra}")[turn % 2]


def _chromatic_run(facts: Facts, turn: int) -> str:
    first, last = _tone(facts["first"]), _tone(facts["last"])
    way = str(facts["direction"])
    return (f"half steps {way} from {first} to {last}", f"a chromatic run {way}, {first} to {last}")[turn % 2]


def _enclosure(facts: Facts, turn: int) -> str:
    notes = facts["notes"]
    assert isinstance(notes, list)
    target, degree = _tone(facts["target"]), printed(str(facts["degree"]))
    around = listed([_tone(note) for note in notes])
    chord = printed(str(facts["over"]))
    return (
        f"{around} surround {target}, the {degree} of {chord}",
        f"{target}, the {degree} of {chord}, is taken from both sides: {around} first",
    )[turn % 2]


def _moves(interval: int) -> str:
    """``up by minor thirds``."""
    return f"{'up' if interval > 0 else 'down'} by {MOVES.get(abs(interval), f'{abs(interval)} semitones')}"


def _times(facts: Facts) -> str:
    times = facts["times"]
    assert isinstance(times, int)
    return f"{NUMBERS[times] if times < len(NUMBERS) else times} times"


def _shape_shift(facts: Facts, turn: int) -> str:
    shape, interval = str(facts["shape"]), facts["interval"]
    assert isinstance(interval, int)
    named = shape[0].isalpha()
    inside = f", all inside {printed(str(facts['scale']))}" if facts.get("scale") else ""
    return (
        f"{_a(shape) if named else 'one shape'} moved {_moves(interval)}, {_times(facts)} in all{inside}",
        f"the same {shape if named else 'shape'} {_times(facts)}, {_moves(interval)}{inside}",
    )[turn % 2]


def _sequence(facts: Facts, turn: int) -> str:
    cell, interval, lands = facts["cell"], facts["interval"], facts["lands_on"]
    assert isinstance(cell, list)
    assert isinstance(lands, dict)
    notes = ", ".join(_tone(name) for name in cell)
    count = NUMBERS[len(cell)]
    if isinstance(interval, int):
        move = _moves(interval) + (", moving with the chords" if facts.get("follows") else "")
    else:
        steps = facts["steps"]
        assert isinstance(steps, int)
        by = STEPS.get(abs(steps), f"{abs(steps)} steps")
        move = f"{'up' if steps > 0 else 'down'} by {by} of the scale"
    landing = f"landing on beat {lands['beat']:g} of bar {lands['bar']}"
    return (
        f"a {count}-note cell ({notes}) in sequence {move}, {_times(facts)}, {landing}",
        f"{notes} — and the same again {move}, {_times(facts)} in all, {landing}",
    )[turn % 2]


def _half_step_link(facts: Facts, turn: int) -> str:
    start, link, end = (printed(str(facts[key])) for key in ("from_chord", "through", "to_chord"))
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
        f"{_a(scale)} cell with the blue note in it",
        f"blues language: {scale} with its blue note",
    )[turn % 2]


def _double_stop(facts: Facts, turn: int) -> str:
    intervals, sounds = facts["intervals"], facts["sounds"]
    assert isinstance(intervals, list)
    assert isinstance(sounds, list)
    sound = f", {sounds[0]} to the ear" if len(set(sounds)) == 1 else ""
    if len(intervals) == 1:
        return f"a double stop, {_a(intervals[0])}{sound}"
    if len(set(intervals)) == 1:
        return f"double stops in {intervals[0]}s{sound}"
    return f"double stops: {listed(intervals)}{sound}"


def _chord_punch(facts: Facts, turn: int) -> str:
    chord, degrees = printed(str(facts["chord"])), _degrees(facts)
    if not degrees:
        return "a chord punched behind the single notes"
    return f"a chord punched behind the single notes: {', '.join(degrees)} of {chord} from below"


def _trill(facts: Facts, turn: int) -> str:
    interval = facts["interval"]
    assert isinstance(interval, int)
    return f"a trill on {_tone(facts['note'])}, {_a(INTERVALS[min(abs(interval), 12)])} wide"


def _harmonics(facts: Facts, turn: int) -> str:
    notes = facts["notes"]
    assert isinstance(notes, list)
    if len(notes) == 1:
        return f"{_tone(notes[0])} rings as a harmonic"
    return f"harmonics: {listed([_tone(note) for note in notes])}"


def _ringing_run(facts: Facts, turn: int) -> str:
    strings = facts["strings"]
    assert isinstance(strings, list)
    path = ", ".join(map(str, strings))
    return f"neighbouring notes on different strings ({path}), so that they ring into each other"


def _open_string_figure(facts: Facts, turn: int) -> str:
    return f"a figure around the open {_tone(facts['open'])} string, struck {facts['strokes']} times"


def _kept(facts: Facts) -> tuple[str, str]:
    chords, degrees = facts["chords"], _degrees(facts)
    assert isinstance(chords, list)
    over = [f"{degree} of {printed(chord)}" for degree, chord in zip(degrees, chords, strict=True)]
    return _tone(facts["pitch"]), listed(over)


def _pedal(facts: Facts, turn: int) -> str:
    tone, over = _kept(facts)
    return f"{tone} stays as a pedal while the chords move: {over}"


def _common_tone(facts: Facts, turn: int) -> str:
    tone, over = _kept(facts)
    return f"{tone} is common to the chords: {over}"


def _slide_into_hit(facts: Facts, turn: int) -> str:
    return f"a slide into {_tone(facts['target'])}, on the band's hit"


def _band_hit(facts: Facts, turn: int) -> str:
    hits = facts["hits"]
    assert isinstance(hits, int)
    return f"the line lands on the band's hits, {NUMBERS[hits] if hits < len(NUMBERS) else hits} in a row"


def _answer(facts: Facts, turn: int) -> str:
    to = facts["to"]
    assert isinstance(to, dict)
    return f"the line leaves bar {to['bar']} to the band's answer, then replies"


def _of(facts: Facts) -> str:
    of = facts["of"]
    assert isinstance(of, dict)
    return f"the phrase of bar {of['bar']}"


def _transposed_phrase(facts: Facts, turn: int) -> str:
    interval = facts["interval"]
    assert isinstance(interval, int)
    name = INTERVALS[abs(interval)] if abs(interval) <= 12 else f"{abs(interval)} semitones"
    return f"{_of(facts)} again, {_a(name)} {'higher' if interval > 0 else 'lower'}"


def _varied_echo(facts: Facts, turn: int) -> str:
    changed = facts["changed"]
    assert isinstance(changed, int)
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
