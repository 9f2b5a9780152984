"""Generated tunes: charts, and lines with everything that a note can carry."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from hypothesis import strategies as st

from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.chord import parse_chord
from solowright.music.line import Bend, Note, make_line
from solowright.music.pitch import Pitch, Tone, at_midi, parse_tone, plain
from solowright.music.time import Feel, Meter, TempoMap, Time
from solowright.music.tune import STANDARD_TUNING, Key, Tune

SYMBOLS = ("A7", "Fmaj7", "B7", "Em7", "C#m7b5", "F#7b9", "Bm7", "E13(#11)", "Gbm7", "D/F#", "Bb°7", "N.C.")
METERS = (Meter(4, 4), Meter(3, 4), Meter(6, 8), Meter(12, 8), Meter(5, 4), Meter(2, 2), Meter(7, 8))
KEYS = tuple(Key(parse_tone(name.rstrip("m")), name.endswith("m")) for name in ("C", "Am", "Eb", "F#m", "Db"))
TUNINGS = (STANDARD_TUNING, (64, 59, 55, 50, 45, 38), (64, 59, 55, 50, 45, 40, 35))
FEELS = (Feel(), Feel(Fraction(2)), Feel(Fraction(3, 2)), Feel(Fraction(2), Fraction(1, 4)))
TEMPOS = (120.0, 186.0, 92.5, 60.333)
STEPS = tuple(map(Fraction, ("1/2", "1/4", "1", "1/3", "2", "1/6", "3/4", "1/5", "5/2", "4", "1/8", "7/16")))
BENDS = (
    (),
    (),
    (Bend(Fraction(2)),),
    (Bend(Fraction(1, 2)), Bend(Fraction(0), "release")),
    (Bend(Fraction(3), "prebend"),),
)
TEXTS = st.text("abc XYZ[]|#:é'1{}", max_size=8).map(lambda text: " ".join(text.split()))
NAMES = TEXTS.map(lambda text: " ".join(text.replace("]", "").split()))


@st.composite
def bars(draw: st.DrawFn, meter: Meter) -> Bar:
    short = draw(st.sampled_from((None, None, None, Fraction(2), Fraction(3, 2))))
    bar = Bar(meter, short=None if short == meter.length else short)
    odd = {Fraction(1, 3), Fraction(7, 5)}
    places = sorted(
        place for place in odd | {Fraction(n, 4) for n in range(int(bar.length * 4))} if place < bar.length
    )
    some = st.sets(st.sampled_from(places), max_size=3).map(lambda found: tuple(sorted(found)))
    offsets = draw(st.one_of(st.sampled_from(((), (Fraction(0),), (Fraction(0), bar.length / 2))), some))
    symbols = [draw(st.sampled_from(SYMBOLS)) for _ in offsets]
    chords = tuple(
        ChordAt(offset, None if symbol == "N.C." else parse_chord(symbol))
        for offset, symbol in zip(offsets, symbols, strict=True)
    )
    hits, answer = draw(st.one_of(st.just(()), some)), draw(st.one_of(st.just(()), some))
    answered = bool(answer) or draw(st.booleans())
    return replace(bar, chords=chords, hits=hits, pause=draw(st.booleans()), answered=answered, answer=answer)


@st.composite
def charts(draw: st.DrawFn) -> Chart:
    meter = draw(st.sampled_from(METERS))
    sections = []
    for _ in range(draw(st.integers(1, 3))):
        written = []
        for _ in range(draw(st.integers(1, 3))):
            meter = draw(st.one_of(st.just(meter), st.sampled_from(METERS)))
            written.append(draw(bars(meter)))
        sections.append(Section(draw(NAMES), tuple(written), draw(st.integers(1, 2))))
    first = sections[0].bars[0]
    return Chart(tuple(sections), draw(st.booleans()) and first.length <= first.meter.length)


def respell(pitch: Pitch, shift: int) -> Pitch:
    """The pitch on another letter where that takes no more than two accidentals."""
    for alter in range(-2, 3):
        tone = Tone((pitch.tone.letter + shift) % 7, alter)
        if tone.pitch_class == pitch.midi % 12:
            return at_midi(tone, pitch.midi)
    return pitch


@st.composite
def played_notes(draw: st.DrawFn, onset: Time, duration: Time, string: int, tune: Tune) -> Note:
    """A note with string and fret, and whatever tablature can say about it."""
    fret = draw(st.integers(0, 24))
    entry = draw(st.sampled_from((None, None, None, "pick", "slide", "tap", "harmonic")))
    above = draw(st.sampled_from((12, 19, 7))) if entry == "harmonic" else fret
    midi = tune.tuning[string - 1] + tune.capo + above
    rare = draw(st.integers(0, 3)) == 0
    sometimes = st.booleans() if rare else st.just(False)
    return Note(
        pitch=respell(plain(midi, draw(st.booleans())), draw(st.sampled_from((0, 0, 0, 1, -1)))),
        onset=onset,
        duration=duration,
        string=string,
        fret=fret,
        finger=draw(st.sampled_from((None, None, 0, 1, 2, 3, 4))),
        entry=entry,
        slurred=draw(sometimes),
        stroke=draw(st.sampled_from((None, "down", "up"))) if entry == "pick" else None,
        bends=draw(st.sampled_from(BENDS)) if rare else (),
        slide_from=draw(st.sampled_from((0, 2, min(0, 1 - fret)))) if rare else 0,
        slide_to=draw(st.sampled_from((0, 4, -fret))) if rare else 0,
        vibrato=draw(sometimes),
        trill=draw(st.sampled_from((0, 2))) if rare else 0,
        dead=draw(sometimes),
        palm_mute=draw(sometimes),
        let_ring=draw(sometimes),
        accent=draw(sometimes),
        staccato=draw(sometimes),
    )


@st.composite
def tunes(draw: st.DrawFn) -> Tune:
    """A tune whose line has string and fret on every note."""
    chart = draw(charts())
    changes: tuple[tuple[Time, float], ...] = ((Fraction(0), draw(st.sampled_from(TEMPOS))),)
    if draw(st.booleans()):
        changes += ((draw(st.sampled_from((chart.length / 2, chart.starts[-2] or Fraction(1, 4)))), 77.0),)
    tune = Tune(
        title=draw(TEXTS),
        chart=chart,
        composer=draw(TEXTS),
        key=draw(st.sampled_from(KEYS)),
        feel=draw(st.sampled_from(FEELS)),
        tempo=TempoMap(changes),
        tuning=draw(st.sampled_from(TUNINGS)),
        capo=draw(st.sampled_from((0, 0, 2))),
    )
    notes: list[Note] = []
    time = draw(st.sampled_from((Fraction(0), Fraction(1, 2), chart.length / 3)))
    for step in draw(st.lists(st.sampled_from(STEPS), max_size=8)):
        if time >= chart.length:
            break
        strings = sorted(draw(st.sets(st.integers(1, len(tune.tuning)), min_size=1, max_size=3)))
        graces = draw(st.sampled_from((0, 0, 0, 1, 2)))
        notes += [
            draw(played_notes(time, Fraction(0), draw(st.sampled_from(strings)), tune)) for _ in range(graces)
        ]
        for string in strings:
            duration = min(draw(st.sampled_from((step, step, step / 2, 2 * step))), chart.length - time)
            notes.append(draw(played_notes(time, duration, string, tune)))
        time += step * draw(st.sampled_from((1, 1, 1, 2, 9)))
    return replace(tune, line=make_line(notes))


@st.composite
def free_tunes(draw: st.DrawFn) -> Tune:
    """A tune whose notes leave their frets open, as scores give them."""
    tune = draw(tunes())
    keep = draw(st.booleans())
    notes = [replace(note, string=note.string if keep else None, fret=None) for note in tune.line.notes]
    return replace(tune, line=make_line(notes))
