"""Fingered tunes of our own, written by hand: plain to read and dense enough to break a page."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from solowright.harmony.reading import Reading, Sentence
from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.chord import parse_chord
from solowright.music.line import Bend, Note, make_line
from solowright.music.pitch import parse_tone
from solowright.music.spelling import spell_note
from solowright.music.time import SWING, Meter, steady
from solowright.music.tune import STANDARD_TUNING, Key, Tune

F = Fraction


def bar(text: str, meter: Meter | None = None, **marks: object) -> Bar:
    """``"Am7 D7"`` shares the bar evenly, ``"Am7@0 D7@3"`` says the offsets, "" holds the chord."""
    meter = meter or Meter()
    words = text.split()
    chords = []
    for index, word in enumerate(words):
        symbol, _, offset = word.partition("@")
        start = F(offset) if offset else meter.length * index / len(words)
        chords.append(ChordAt(start, None if symbol == "N.C." else parse_chord(symbol)))
    return Bar(meter, tuple(chords), **marks)  # type: ignore[arg-type]


Number = F | float | str


def at(string: int, fret: int, onset: Number, length: Number, finger: int = 0, **how: object) -> Note:
    """A note by its place on the neck of a guitar in standard tuning."""
    midi = STANDARD_TUNING[string - 1] + fret
    pitch = spell_note(midi, Key(parse_tone("C")), None)
    return Note(pitch, F(onset), F(length), string, fret, finger if fret else 0, **how)  # type: ignore[arg-type]


def grip(onset: Number, length: Number, text: str) -> list[Note]:
    """Notes together: ``"1/12.1 2/14.3"`` is string/fret.finger."""
    notes = []
    for word in text.split():
        string, _, rest = word.partition("/")
        fret, _, finger = rest.partition(".")
        notes.append(at(int(string), int(fret), onset, length, int(finger or 0)))
    return notes


def run(start: F | float, step: F | float | str, text: str) -> list[Note]:
    """``"3/5.1 3/7.3h"``: string/fret.finger and p(ull), h(ammer), s(lide), t(ap); ``-`` is a rest."""
    entries = {"h": "hammer", "p": "pull", "s": "slide", "t": "tap"}
    notes = []
    for index, word in enumerate(text.split()):
        if word == "-":
            continue
        for place in word.split("+"):
            entry = entries.get(place[-1])
            place = place.rstrip("hpst")
            string, _, rest = place.partition("/")
            fret, _, finger = rest.partition(".")
            onset = F(start) + index * F(step)
            notes.append(at(int(string), int(fret), onset, F(step), int(finger or 0), entry=entry or "pick"))
    return notes


def respelled(tune: Tune) -> Tune:
    """The same tune with every note spelled after the chord it stands on."""
    notes = [
        replace(note, pitch=spell_note(note.pitch.midi, tune.key, tune.chart.chord_at(note.onset)))
        for note in tune.line.notes
    ]
    return replace(tune, line=make_line(notes))


TEXTS = (
    "The arpeggio states Am7 by itself and lands on the third of D7 on the strong beat.",
    "One step lower.",
    "Half-whole diminished over the dominant: ♭9, ♯9, 3, ♯11, 5, 13 and ♭7 are all there, and because "
    "the scale repeats every three frets one shape moved along the neck serves the whole bar; aim at the ♭9.",
    "Enclosure of the third: from above, from below, then the note itself.",
)
SPANS = (  # bar index, offset and length in eighths
    (0, 0, 6),
    (0, 5, 4),
    (1, 4, 12),
    (2, 0, 2),
    (3, 6, 2),
    (4, 0, 18),
    (5, 1, 0),
    (6, 0, 8),
)


def remarks(tune: Tune) -> Reading:
    """Sentences of every length over the first bars of a tune, as a reading holds them."""
    sentences = []
    for index, (number, offset, length) in enumerate(SPANS):
        if number < len(tune.chart.bars):
            start = tune.chart.starts[number] + F(offset, 2)
            end = min(start + F(length, 2), tune.chart.length)
            sentences.append(Sentence(TEXTS[index % len(TEXTS)], start, end))
    return Reading((), (), (), 0, tuple(sentences))


def short_tune() -> Tune:
    """Eight plain bars of a minor turnaround in swung eighths, fingered in fifth position."""
    bars = tuple(map(bar, ("Am7", "D7", "Gmaj7", "Cmaj7", "F#m7b5", "B7b9", "Em7", "E7#9")))
    notes = [
        *run(0, "1/2", "4/7.3 3/5.1 3/7.3h 2/5.1 2/8.4 2/7.3 2/5.1p 3/7.3"),
        *run(4, "1/2", "3/5.1 4/7.3 4/4.1 3/5.2 3/7.4 3/5.1 3/4.1p 4/7.4"),
        *run(8, "1/2", "4/5.1 4/7.3h 3/4.1 3/7.4 2/7.3"),
        at(2, 8, F(21, 2), F(3, 2), 4),
        *run(12, "1/2", "- 2/5.1 2/8.4 1/7.3 1/8.4 1/7.3p 2/8.4 2/5.1"),
        *run(16, "1/2", "3/9.3 3/7.1p 4/10.4 4/7.1 3/7.1 3/9.3h 3/10.4 2/7.1"),
        *run(20, "1/2", "2/7.1 2/10.4 2/8.2 2/7.1p 3/8.2 3/10.4 3/8.2 3/7.1"),
        at(4, 9, 24, 2, 3),
        *run(26, "1/3", "4/9.3 3/7.1 3/9.3h 2/7.1 2/8.2h 2/7.1p"),
        at(3, 9, 28, 4, 3, vibrato=True),
    ]
    chart = Chart((Section("A", bars),))
    key = Key(parse_tone("E"), minor=True)
    title = "Eight for the Road"
    return respelled(Tune(title, chart, make_line(notes), "S. Wright", key, SWING, steady(142)))


def dense_tune() -> Tune:
    """Everything at once: pickup, four chords a bar, sixteenths on high frets, chords of six notes,
    grace notes, bends, harmonics, hits, a break, answers, 5/4 and 6/8."""
    vamp = (
        bar("A7#9", hits=(F(0), F(3, 2), F(3))),
        bar("", hits=(F(1, 2), F(2), F(11, 4), F(3))),
        bar("D13 Eb13@3"),
        bar("A7#9", answered=True, answer=(F(0), F(1, 2), F(3, 2), F(3))),
    )
    bridge = (
        bar("C#m7b5 F#7b9 BmMaj7 E7#5#9"),
        bar("Gbm7 B13b9/A Emaj7#11 A7sus4"),
        bar("Db/F G7alt"),
        bar("", pause=True),
        bar("N.C.", pause=True),
        bar("Bb°7 A69", Meter(5, 4)),
        bar("Ebmaj7 Dm7@3/2", Meter(6, 8)),
        bar("G7", Meter(6, 8), hits=(F(0), F(3, 2))),
        bar("Ammaj9"),
    )
    upbeat = Section("Pickup", (Bar(short=F(1)),))
    chart = Chart((upbeat, Section("Vamp", vamp), Section("Bridge", bridge)), pickup=True)
    notes = [*run(0, "1/4", "5/0 5/3.2h 4/0 4/2.1h"), *_dense_vamp(F(1)), *_dense_bridge(F(17))]
    struck = [
        replace(note, stroke="down" if index % 2 else "up") if 6 <= index <= 9 else note
        for index, note in enumerate(notes)
    ]
    title = "All Hands, with a Rather Long Title for One Line"
    key = Key(parse_tone("D"))
    return respelled(Tune(title, chart, make_line(struck), "S. Wright", key, tempo=steady(186)))


def _dense_vamp(start: F) -> list[Note]:
    climb = "5/16.3 4/12.1 4/14.3h 3/12.1 3/14.3h 2/12.1 2/15.4 1/12.1"
    trills = "1/15.4 1/12.1p 1/15.4h 1/12.1p 2/15.4 2/12.1p 3/14.3 3/12.1p 3/14.3h 3/12.1p 4/14.3 4/12.1p"
    return [
        *run(start, "1/4", "1/17.4 1/14.1p 2/17.4 2/14.1p 3/16.3 3/14.1p 4/16.3 4/14.1p " + climb),
        *run(start + 4, "1/4", trills),
        at(3, 14, start + 7, 0, 3),
        at(3, 16, start + 7, "1/2", 3, entry="slide"),
        at(2, 15, start + F(15, 2), "1/2", 4, accent=True),
        at(3, 14, start + 8, 1, 3, bends=(Bend(F(2)),), vibrato=True),
        at(3, 14, start + 9, 1, 3, bends=(Bend(F(1)), Bend(F(0), "release"))),
        at(2, 15, start + 10, 1, 3, bends=(Bend(F(2), "prebend"), Bend(F(0), "release"))),
        at(2, 12, start + 11, "1/2", 1, dead=True),
        at(3, 12, start + F(23, 2), "1/2", 1, dead=True),
        at(6, 5, start + 12, "3/2", 1, palm_mute=True),
        at(6, 5, start + F(27, 2), "1/2", 1, palm_mute=True),
        at(6, 0, start + 14, 1, palm_mute=True, staccato=True),
        at(1, 12, start + 15, 1, 4, entry="harmonic"),
        at(2, 12, start + 15, 1, 4, entry="harmonic"),
    ]


def _dense_bridge(start: F) -> list[Note]:
    falling = "2/10.1 2/12.3h 1/9.1 1/12.4 1/9.1p 2/12.3 2/10.1p 3/11.2 3/9.1 4/11.4 4/9.2 4/8.1p"
    pulled = "5/10.3+4/9.2 - 4/9.2 - 3/10.3t 3/7.1p 3/10.4h 2/8.1 2/6.1 1/7.1 1/8.2h 1/10.4h"
    return [
        *grip(start, 1, "1/12.1 2/14.3 3/12.1 4/14.4 5/13.2 6/12.1"),
        *run(start + 1, "1/3", "3/11.2 3/14.4h 2/11.1 1/12.2 1/9.1p 2/12.4"),
        *grip(start + 3, 1, "1/15.4 2/13.2 3/13.3 4/12.1 6/0"),
        *run(start + 4, "1/4", falling + " 5/11.4 5/10.3p 5/9.2p 5/8.1"),
        at(4, 11, start + 8, "5/2", 3, let_ring=True),
        at(3, 10, start + F(21, 2), "3/2", 2, let_ring=True),
        *run(start + 12, "1/2", "3/7.1 3/8.2s 3/10.4 2/8.2 2/10.4h 2/8.2p 3/10.4 3/7.1"),
        at(2, 3, start + 16, 2, 3, trill=2),
        at(2, 5, start + 18, 1, 3, slide_from=-3),
        at(1, 7, start + 19, 1, 4, slide_to=-5),
        *run(start + 20, "1/2", "6/1.1+1/3.4 5/0 4/2.2 3/3.3 6/0 6/1.1h 6/3.3 6/1.1p 6/0 -"),
        *run(start + 25, "1/2", "4/1.1 3/0 2/4.4 1/3.3 2/3.2 3/2.1"),
        *run(start + 28, "1/4", pulled),
        *grip(start + 31, 4, "1/7.4 2/5.1 3/5.1 4/6.2 5/7.3 6/5.1"),
    ]
