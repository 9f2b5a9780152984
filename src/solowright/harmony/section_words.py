"""What is said of a section and of the whole solo.

Every number is counted from the reading handed in; nothing is said where there is nothing to count.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import groupby, pairwise

from solowright.harmony.character import Cadence, Character, Motion
from solowright.harmony.fact_words import count_words, times_words
from solowright.harmony.words import listed, printed, printed_chord

MOTION_WORDS: dict[Motion, str] = {
    "fourths": "goes round by fourths", "steps up": "climbs by step", "steps down": "falls by step",
    "minor thirds up": "climbs by minor thirds", "minor thirds down": "falls by minor thirds",
}  # fmt: skip
DEVICE_WORDS = {
    "chord-arpeggio": "chord arpeggios", "upper-triad": "upper triads",
    "superimposed-chord": "superimposed chords", "scale-run": "scale runs",
    "chromatic-run": "chromatic runs", "enclosure": "enclosures", "shape-shift": "a shape moved along",
    "sequence": "sequences", "half-step-link": "arpeggios in the half step between chords",
    "pentatonic-run": "pentatonic runs", "blues-cell": "blues cells", "double-stop": "double stops",
    "chord-punch": "chord punches", "trill": "trills", "harmonics": "harmonics",
    "ringing-run": "runs that ring across the strings", "open-string-figure": "open-string figures",
    "pedal": "pedals", "common-tone": "common tones",
}  # fmt: skip
GUIDE_WORDS = {
    "3": "third", "b3": "third", "4": "fourth", "2": "second", "7": "seventh", "b7": "seventh",
    "bb7": "seventh", "6": "sixth", "13": "sixth",
}  # fmt: skip
MOVEMENTS = 4  # movements of the chords that a paragraph names
MISSED = 2  # chords not heard that a sentence lists
GUIDES = 6  # guide tones that a sentence lists
MADE_OF = 1 / 3  # share of the notes from which a solo is said to be made of its devices
BAR_LIST = 8  # bars that a sentence lists


def bars_words(first: int, last: int) -> str:
    """``bars 9–16``, ``bar 9``."""
    return f"bar {first}" if first == last else f"bars {first}–{last}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _chords(symbols: Sequence[str]) -> str:
    return "–".join(map(printed_chord, symbols))


def character_sentences(character: Character) -> list[str]:
    """What the changes are and how they move."""
    chords = list(dict.fromkeys(character.chords))
    if character.kind == "break":
        return [f"the band stops: {_chords(chords)} is only heard if the line says it"] if chords else []
    if character.kind == "no chords":
        return ["no chords"]
    told = []
    if character.kind == "blues":
        told.append(f"blues ground: dominant sevenths {listed([printed_chord(chord) for chord in chords])}")
    elif character.kind == "vamp":
        told.append(f"a vamp on {listed([printed_chord(chord) for chord in chords])}")
    else:
        count, bars = _counted(len(character.chords), "chord"), _counted(character.bars, "bar")
        told.append(f"real changes, {count} in {bars}")
        told += _movements(character)
        in_chains = {pair for chain in character.chains for pair in pairwise(chain.chords)}
        alone = [cadence for cadence in character.cadences if cadence.chords[-2:] not in in_chains]
        told += [_cadence(cadence) for cadence in {cadence.chords: cadence for cadence in alone}.values()]
        if len(character.keys) > 1:
            homes = listed([printed(key) for key in character.keys])
            told.append(f"the cadences make home of {homes} in turn")
    return told


def _movements(character: Character) -> list[str]:
    """The movements that come most often, in the order of their first time."""
    chains = Counter(character.chains)
    often = {chain for chain, _ in chains.most_common(MOVEMENTS)}
    return [
        f"{_chords(chain.chords)} {MOTION_WORDS[chain.motion]}"
        + (f", {times_words(count)}" if count > 1 else "")
        for chain, count in chains.items()
        if chain in often
    ]


def _counted(number: int, noun: str) -> str:
    return f"{count_words(number)} {noun}{'' if number == 1 else 's'}"


def _cadence(cadence: Cadence) -> str:
    *before, goal = cadence.chords
    return f"{_chords(before)} resolves to {printed_chord(goal)} in bar {cadence.bar}"


def line_sentences(
    stated: int,
    judged: int,
    missed: Sequence[tuple[int, str, Sequence[str], Sequence[str]]],
    strong: tuple[int, int],
    guides: Sequence[tuple[str, str, str]],
) -> list[str]:
    """What the line does there. In ``stated`` of ``judged`` bars the chords are heard from the notes
    alone, ``missed`` are (bar, chord, guide tones it lacks, those of them only passed through) where they
    aren't; ``strong`` is (chord tones, all) on strong beats; ``guides`` the longest path of guide tones by
    step as (note, degree, chord)."""
    told = []
    if judged:
        if stated:
            text = _heard(stated, judged)
            if 0 < len(missed) <= MISSED:
                others = [
                    f"{printed_chord(chord)} in bar {bar}, {_lacks(lacks, passed)}"
                    for bar, chord, lacks, passed in missed
                ]
                text += f"; left to the band: {'; '.join(others)}"
            told.append(text)
        else:
            told.append("the line leaves the chords to the band")
    chord_tones, beats = strong
    if beats > 1:
        told.append(f"{_of(chord_tones, beats)} targets on strong beats are chord tones")
    if guides:
        path = ", ".join(
            f"{printed(note)} ({printed(degree)} of {printed_chord(chord)})"
            for note, degree, chord in guides[:GUIDES]
        )
        told.append(f"guide tones lead by step: {path}{'…' if len(guides) > GUIDES else ''}")
    return told


def _lacks(degrees: Sequence[str], passed: Sequence[str]) -> str:
    """What keeps a chord from being heard."""
    if not degrees:
        return "where its tones are passed over"
    absent = [f"its {GUIDE_WORDS.get(degree, printed(degree))}" for degree in degrees if degree not in passed]
    fleeting = [f"its {GUIDE_WORDS.get(degree, printed(degree))}" for degree in degrees if degree in passed]
    told = [f"without {' and '.join(absent)}"] if absent else []
    told += [f"{' and '.join(fleeting)} only a step in a chromatic run"] if fleeting else []
    return ", ".join(told)


def _heard(stated: int, judged: int) -> str:
    if judged == 1:
        return "the line alone lets you hear the chord"
    return f"in {_of(stated, judged)} bars the line alone lets you hear the changes"


def _of(part: int, whole: int) -> str:
    """``six of eight``, ``all eight``, ``none of the five``."""
    if whole == 1:
        return "the one" if part else "not the one"
    if not part:
        return f"none of the {count_words(whole)}"
    if part == whole:
        return f"{'both' if whole == 2 else f'all {count_words(whole)}'}"
    return f"{count_words(part)} of {count_words(whole)}"


def bar_list(bars: Sequence[int]) -> str:
    """``bars 1–3 and 7``: neighbouring bars joined."""
    spans: list[str] = []
    for _, group in groupby(enumerate(sorted(set(bars))), key=lambda item: item[1] - item[0]):
        row = [bar for _, bar in group]
        spans.append(str(row[0]) if len(row) == 1 else f"{row[0]}–{row[-1]}")
    plural = len(set(bars)) > 1
    text = listed(spans if len(spans) <= BAR_LIST else [*spans[: BAR_LIST - 1], "others"])
    return f"{'bars' if plural else 'bar'} {text}"


def devices_sentence(devices: Sequence[tuple[str, Sequence[int]]]) -> str:
    """``upper triads (bars 9 and 11), sequences (bar 12)``: kinds with their bars."""
    return listed([f"{DEVICE_WORDS[kind]} ({bar_list(bars)})" for kind, bars in devices])


def section_paragraph(name: str, first: int, last: int, sentences: Sequence[str]) -> str:
    """The paragraph: a heading and its sentences."""
    head = f"{name or 'The solo'}, {bars_words(first, last)}."
    return " ".join([head, *(f"{_capital(sentence)}." for sentence in sentences if sentence)])


def summary_text(
    bars: int,
    notes: int,
    kinds: Sequence[tuple[str, Sequence[int]]],
    stated: int,
    judged: int,
    landings: tuple[int, int],
    hits: Sequence[int],
    explained: float,
) -> str:
    """The solo in a few sentences. ``landings`` is (phrases that end on a chord tone, all), ``explained``
    the share of the notes that belong to a device."""
    if not notes:
        return ""
    size = f"{_counted(bars, 'bar')}, {_counted(notes, 'note')}"
    told = [size]
    if kinds:
        made = "it is made above all of" if explained >= MADE_OF else "devices in it:"
        told.append(f"{made} {devices_sentence(kinds)}")
    if stated:
        told.append(_heard(stated, judged))
    if landings[1] == 1:
        told.append(f"its one phrase {'ends' if landings[0] else 'does not end'} on a chord tone")
    elif landings[1]:
        told.append(f"{_of(*landings)} phrase ends fall on a chord tone")
    if hits:
        told.append(f"it plays the band's hits in {bar_list(hits)}")
    return " ".join(f"{_capital(sentence)}." for sentence in told)
