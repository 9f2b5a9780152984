"""What is said about each device: a sentence body from its facts, in two wordings where it is common.

Bodies begin small and end without a stop; ``device_sentence`` sets bar and beat before them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from itertools import groupby
from typing import cast

from solowright.harmony.fact_words import (
    EXACT,
    count_words,
    degrees_in_prose,
    degrees_of,
    moves_words,
    names_of,
    number_of,
    place_of,
    sixth_chord,
    times_words,
)
from solowright.harmony.relation_words import (
    answer,
    band_hit,
    slide_into_hit,
    transposed_phrase,
    varied_echo,
)
from solowright.harmony.words import (
    INTERVALS,
    Facts,
    beat_words,
    degree_words,
    listed,
    printed,
    printed_chord,
    scale_words,
    tone_words,
    triad_words,
    where,
    with_article,
)
from solowright.music.chart import Place
from solowright.music.chord import parse_chord
from solowright.music.pitch import parse_pitch

BROKEN = {2: "thirds", 3: "fourths", 4: "fifths", 5: "sixths", 6: "sevenths", 7: "octaves"}
PATHS = {
    "up": "up", "down": "down", "up and back": "up and back down", "down and back": "down and back up",
    "broken": "in broken order",
}  # fmt: skip
SPELLED = 6  # degrees that a reader takes in one after the other
ROOTLESS_NINTH = {"3", "5", "b7", "b9"}  # the diminished seventh on the third of a dominant
MINOR_ON_ROOT = {"1", "#9", "5", "b7"}  # the minor seventh chord on the root of a dominant


def device_sentence(kind: str, facts: Facts, start: Place, end: Place, turn: int) -> str:
    """The sentence for one device; ``turn`` counts the device among its kind, so that wording varies."""
    return f"{where(start, end)}: {_TELL[kind](facts, turn)}."


def _spelled(degrees: list[str]) -> str:
    return ", ".join(degrees[:SPELLED]) + ("…" if len(degrees) > SPELLED else "")


def _chord_arpeggio(facts: Facts, turn: int) -> str:
    chord, path = printed_chord(facts["chord"]), PATHS[str(facts["path"])]
    spelled = _spelled(degrees_of(facts))
    if len(names_of(facts, "degrees")) > SPELLED:
        return f"{chord} {path} from its {degree_words(names_of(facts, 'degrees')[0])}"
    return (
        f"{chord} {path}: {spelled}",
        f"the arpeggio of {chord} {path}, {spelled}",
        f"the line spells {chord} {path}, {spelled}",
    )[turn % 3]


def _upper_triad(facts: Facts, turn: int) -> str:
    over = printed_chord(facts["over"])
    head = f"{with_article(triad_words(str(facts['triad'])))} over {over}"
    names = names_of(facts, "degrees")
    degrees = listed(degrees_in_prose(names))
    character = facts.get("character")
    if names[:2] == ["1", "#9"]:
        return f"{head}: the minor third rubs against the chord's own, a blues sound"
    if character == "outside":
        return f"{head} goes partly outside the chord: {degrees}"
    if character == "rootless":
        return (
            f"{head} gives {degrees}, the chord without its root",
            f"{head}: {degrees}, all of the chord but the root",
        )[turn % 2]
    return (f"{head} gives {degrees}", f"{head} colours the chord with {degrees}")[turn % 2]


def _superimposed_chord(facts: Facts, turn: int) -> str:
    chords = [printed_chord(chord) for chord in names_of(facts, "chords")]
    over, degrees = printed_chord(facts["over"]), degrees_of(facts)
    written = set(parse_chord(str(facts["over"])).degrees)
    if set(names_of(facts, "degrees")) == ROOTLESS_NINTH:
        return (
            f"a diminished arpeggio, {chords[0]} over {over}: {listed(degrees)}",
            f"{chords[0]} over {over}: {listed(degrees)}, which brings out the ♭9",
        )[turn % 2]
    if sixth := sixth_chord(facts):
        return f"{sixth} over {over}, the chord's own triad with the sixth: {_spelled(degrees)}"
    if set(names_of(facts, "degrees")) == MINOR_ON_ROOT and "#9" not in written:
        return f"{chords[0]} over {over}: the minor third rubs against the chord's own, a blues sound"
    outside = ""
    if facts["character"] == "outside":
        partly = written & set(names_of(facts, "degrees"))
        outside = f", {'partly ' if partly else ''}outside the chord"
    if facts.get("substitute"):
        return f"{chords[0]} over {over}, its tritone substitute: {_spelled(degrees)}"
    if len(chords) > 1:
        return f"the line plays {'–'.join(chords)} against {over}{outside}"
    if facts.get("early"):
        return f"the line is on {chords[0]} while the band still plays {over}: {_spelled(degrees)}"
    if facts.get("late"):
        return f"the line stays on {chords[0]} while the band already plays {over}: {_spelled(degrees)}"
    return (
        f"the line spells {chords[0]} over {over}{outside}: {_spelled(degrees)}",
        f"{chords[0]} against {over}{outside}, heard as {_spelled(degrees)}",
    )[turn % 2]


def _scale_run(facts: Facts, turn: int) -> str:
    way = str(facts["direction"])
    passing = facts.get("passing")
    extra = ""
    if isinstance(passing, int) and passing:
        extra = f", with {count_words(passing)} chromatic passing note{'s' if passing > 1 else ''}"
    if facts["scale"] is None:
        first, last = tone_words(facts["first"]), tone_words(facts["last"])
        text = f"{way} by step from {first} to {last}"
        if facts["over"]:
            text += f", the {degree_words(str(facts['degree']))} of {printed_chord(facts['over'])}"
        return text + (", with half steps slipped in" if extra else "")
    scale = scale_words(facts["scale"])
    return (f"{with_article(scale)} run going {way}{extra}", f"{way} the {scale} scale{extra}")[turn % 2]


def _chromatic_run(facts: Facts, turn: int) -> str:
    first, last = tone_words(facts["first"]), tone_words(facts["last"])
    way, degrees = str(facts["direction"]), names_of(facts, "degrees")
    of = f", the {listed(degrees_in_prose(degrees))} of {printed_chord(facts['over'])}" if degrees else ""
    return (
        f"half steps {way} from {first} to {last}{of}",
        f"a chromatic run {way}, {first} to {last}{of}",
    )[turn % 2]


def _enclosure(facts: Facts, turn: int) -> str:
    notes = names_of(facts, "notes")
    target, degree = tone_words(facts["target"]), degree_words(str(facts["degree"]))
    around = listed([tone_words(note) for note in notes])
    chord = printed_chord(facts["over"])
    return (
        f"{around} surround {target}, the {degree} of {chord}",
        f"{target}, the {degree} of {chord}, is taken from both sides: {around} first",
    )[turn % 2]


def _times(facts: Facts) -> str:
    return times_words(number_of(facts, "times"))


def _shape_shift(facts: Facts, turn: int) -> str:
    shape, interval = str(facts["shape"]), number_of(facts, "interval")
    named = shape[0].isalpha()
    inside = f", all inside {scale_words(facts['scale'])}" if facts.get("scale") else ""
    if facts.get("whole"):
        inside = f", together {printed_chord(facts['whole'])}"
    roots = [printed(name) for name in names_of(facts, "roots")]
    if roots:
        text = f"{shape}s {moves_words(interval)} ({', '.join(roots)}){inside}"
    elif named:
        count = count_words(number_of(facts, "times"))
        text = f"{with_article(shape)} moved {moves_words(interval)}, {count} of them in all{inside}"
    else:
        what = _two_notes(shape) or "one shape"
        text = f"{what} moved {moves_words(interval)}, played {_times(facts)} in all"
    lands = cast("Mapping[str, object] | None", facts["lands"])
    if lands is None:
        return text
    move = int(str(lands["move"]))
    step = f"{with_article(INTERVALS[abs(move)])} {'up' if move > 0 else 'down'}"
    note, degree = tone_words(lands["note"]), degree_words(str(lands["degree"]))
    goal = f"{note}, the {degree} of {printed_chord(lands['over'])}"
    return f"{text}; the {lands['voice']} of the last goes on {step} to {goal}"


def _two_notes(shape: str) -> str:
    """A shape of two notes by its interval: ``a half step up``."""
    steps = shape.split()[1:]
    if len(steps) != 1 or abs(int(steps[0])) >= len(EXACT):
        return ""
    step = int(steps[0])
    if not step:
        return "a note struck twice,"
    return f"{with_article(EXACT[abs(step)])} {'up' if step > 0 else 'down'},"


def _sequence(facts: Facts, turn: int) -> str:
    cell, interval, place = names_of(facts, "cell"), facts["interval"], place_of(facts, "lands_on")
    notes = ", ".join(tone_words(name) for name in cell)
    lands = Place(int(place["bar"]), Fraction(place["beat"]).limit_denominator(96))
    on_beat = lands.beat.denominator == 1
    what = tone_words(facts["note"])
    if facts["over"]:
        what += f", the {degree_words(str(facts['degree']))} of {printed_chord(facts['over'])}"
    landing = f", landing on {what} (bar {lands.bar}, {beat_words(lands)})" if on_beat else ""
    if isinstance(interval, int):
        move = moves_words(interval) + (", moving with the chords" if facts.get("follows") else "")
    else:
        steps = number_of(facts, "steps")
        way = "up" if steps > 0 else "down"
        broken = BROKEN.get(number_of(facts, "broken"))
        if broken:
            first = "–".join(tone_words(name) for name in cell)
            scale = f"{scale_words(facts['scale'])} scale" if facts["scale"] else "scale"
            return f"broken {broken} {way} the {scale}, {first} first{landing}"
        move = f"{way} by step along the scale"
        if abs(steps) > 1:
            size = BROKEN.get(abs(steps), f"leaps of {count_words(abs(steps))} steps")
            move = f"{way} in {size} along the scale"
    return (
        f"a {count_words(len(cell))}-note cell ({notes}) in sequence {move}, {_times(facts)}{landing}",
        f"{notes}, then the same {move}, {_times(facts)} in all{landing}",
    )[turn % 2]


def _half_step_link(facts: Facts, turn: int) -> str:
    start, link, end = (printed_chord(facts[key]) for key in ("from_chord", "through", "to_chord"))
    lands, degree = tone_words(facts["lands"]), degree_words(str(facts["degree"]))
    return (
        f"between {start} and {end} the line slips through {link}, the chord in the half step, "
        f"and steps onto {lands}, the {degree} of {end}",
        f"{link} spelled out in the half step between {start} and {end}, into {lands}, the {degree} of {end}",
    )[turn % 2]


def _pentatonic_run(facts: Facts, turn: int) -> str:
    scale, path = scale_words(facts["scale"]), str(facts["path"])
    if path == "broken":
        return f"the {scale} scale in broken order"
    return f"along the {scale} scale, {PATHS[path]}"


def _blues_cell(facts: Facts, turn: int) -> str:
    scale, blue = scale_words(facts["scale"]), tone_words(facts["blue"])
    return (
        f"{with_article(scale)} cell, with {blue} for its blue note",
        f"blues language: the {scale} scale with {blue}, its blue note",
    )[turn % 2]


def _double_stop(facts: Facts, turn: int) -> str:
    intervals, sounds = names_of(facts, "intervals"), names_of(facts, "sounds")
    pairs = cast("list[list[str]]", facts["pairs"])
    degrees, over = cast("list[list[str]]", facts["degrees"]), cast("list[str | None]", facts["over"])
    stops: list[str] = []
    for interval, pair, pair_degrees, chord in zip(intervals, pairs, degrees, over, strict=True):
        low, high = map(tone_words, pair)
        what = f"{low} and {high}" if interval == "unison" else f"the {interval} {low}–{high}"
        of = f", {listed(degrees_in_prose(pair_degrees))} of {printed_chord(chord)}" if chord else ""
        if not stops or stops[-1] != what + of:
            stops.append(what + of)
    sound = f", {sounds[0]} to the ear" if len(set(sounds)) == 1 and "tritone" not in intervals else ""
    move = _one_move(pairs) if len(stops) == 2 else 0
    if move:
        way = "up" if move > 0 else "down"
        first = stops[0].replace(", ", " (", 1) + ")" if ", " in stops[0] else stops[0]
        second = stops[1].removeprefix(f"the {intervals[-1]} ").replace(", ", " (", 1)
        second += ")" if "(" in second else ""
        return f"{first} moves {way} {with_article(EXACT[abs(move)])} to {second}"
    if len(stops) <= 2:
        return f"{'; then '.join(stops)}{sound}"
    if len(set(intervals)) == 1:
        return f"double stops in {intervals[0]}s{sound}"
    return f"double stops: {listed(list(dict.fromkeys(f'{name}s' for name in intervals)))}{sound}"


def _one_move(pairs: list[list[str]]) -> int:
    """Semitones from the first double stop to the last where both notes move alike; else 0."""
    moves = {
        parse_pitch(after).midi - parse_pitch(before).midi
        for before, after in zip(pairs[0], pairs[-1], strict=True)
    }
    move = moves.pop()
    return 0 if moves or abs(move) >= len(EXACT) else move


def _chord_punch(facts: Facts, turn: int) -> str:
    chord, degrees = printed_chord(facts["chord"]), degrees_of(facts)
    if not degrees:
        return "a chord punched behind the single notes"
    return f"a chord punched behind the single notes: {', '.join(degrees)} of {chord} from below"


def _trill(facts: Facts, turn: int) -> str:
    interval = number_of(facts, "interval")
    return f"a trill on {tone_words(facts['note'])}, {with_article(EXACT[min(abs(interval), 12)])} wide"


def _harmonics(facts: Facts, turn: int) -> str:
    notes = names_of(facts, "notes")
    over = names_of(facts, "over")
    if len(notes) == 1:
        degree = degree_words(names_of(facts, "degrees")[0])
        of = f", the {degree} of {printed_chord(over[0])}" if over else ""
        return f"{tone_words(notes[0])} rings as a harmonic{of}"
    degrees = names_of(facts, "degrees")
    of = f", the {listed(degrees_in_prose(degrees))} of {printed_chord(over[0])}" if len(over) == 1 else ""
    return f"harmonics: {listed([tone_words(note) for note in notes])}{of}"


def _ringing_run(facts: Facts, turn: int) -> str:
    path = "–".join(map(str, names_of(facts, "strings")))
    return f"a run with every note on another string ({path}), so that they ring into each other"


def _open_string_figure(facts: Facts, turn: int) -> str:
    against = [tone_words(name) for name in names_of(facts, "against")]
    open_string = f"the open {tone_words(facts['open'])} string"
    how = f"pull-offs to {open_string}" if facts["pulled"] else f"a figure around {open_string}"
    notes = ", ".join(against[:SPELLED]) + ("…" if len(against) > SPELLED else "")
    return f"{how}, {count_words(number_of(facts, 'strokes'))} times, with {notes} around it"


def _kept(facts: Facts) -> tuple[str, str]:
    degrees = names_of(facts, "degrees")
    chords = [printed_chord(chord) for chord in names_of(facts, "chords")]
    tone = tone_words(facts["pitch"])
    tone = f"the open {tone} string" if facts.get("open") else tone
    if len(set(degrees)) == 1:
        return tone, f"the {degree_words(degrees[0])} of {listed(chords)}"
    over = []
    for degree, row in groupby(zip(degrees, chords, strict=True), key=lambda pair: pair[0]):
        over.append(f"the {degree_words(degree)} of {listed(list(dict.fromkeys(chord for _, chord in row)))}")
    return tone, listed(over)


def _pedal(facts: Facts, turn: int) -> str:
    tone, over = _kept(facts)
    if len(set(names_of(facts, "chords"))) == 1:
        return f"{tone} again and again, {over}"
    return f"{tone} stays as a pedal while the chords move, {over}"


def _common_tone(facts: Facts, turn: int) -> str:
    tone, over = _kept(facts)
    return f"{tone} is common to the chords, {over}"


def against_chart(chords: list[str], over: list[str], start: Place, end: Place) -> str:
    """The sentence about several superimposed chords in a row over moving changes."""
    line, chart = ("–".join(map(printed_chord, symbols)) for symbols in (chords, over))
    return f"{where(start, end)}: the line has changes of its own, {line} against {chart}."


_TELL: dict[str, Callable[[Facts, int], str]] = {
    "chord-arpeggio": _chord_arpeggio,
    "upper-triad": _upper_triad,
    "superimposed-chord": _superimposed_chord,
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
    "slide-into-hit": slide_into_hit,
    "band-hit": band_hit,
    "answer": answer,
    "transposed-phrase": transposed_phrase,
    "varied-echo": varied_echo,
}
