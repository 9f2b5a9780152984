"""The finished systems: nothing collides, nothing is cut, every fret is where it belongs."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, groupby

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lxml import etree

from solowright.harmony.reading import Reading, Sentence
from solowright.music.chart import Bar, Chart, Section
from solowright.music.line import Bend, Note, make_line
from solowright.music.pitch import parse_pitch
from solowright.music.time import SWING, Meter, steady
from solowright.music.tune import STANDARD_TUNING, Tune
from solowright.page.engrave import engrave
from tests.page.ink import Ink, Rect, read_ink, read_parts
from tests.page.tunes import at, bar, dense_tune, remarks, respelled, short_tune

# What must stand clear of everything else. Barlines, strings and arcs run past other things.
CLEAR = {
    "chord",
    "bar-number",
    "section",
    "tempo",
    "feel",
    "band",
    "band-word",
    "reason",
    "finger",
    "fret",
    "word",
    "amount",
    "stroke",
    "vibrato",
    "mute",
    "ring",
    "trill",
}
NOTATION = {"layer", "slur", "tie", "clef", "keySig", "meterSig", "gliss"}
NOTATION |= {"ledgerLines above", "ledgerLines below", "staff-line", "barline", "strings"}
TOUCH = 0.15  # points; less is not seen


def meet(a: Rect, b: Rect) -> bool:
    return a[0] + TOUCH < b[2] and b[0] + TOUCH < a[2] and a[1] + TOUCH < b[3] and b[1] + TOUCH < a[3]


def inside(ink: Ink, box: Rect) -> bool:
    return ink.enters((box[0] + TOUCH, box[1] + TOUCH, box[2] - TOUCH, box[3] - TOUCH))


def faults(svg: str) -> list[str]:
    page, inks = read_ink(svg)
    clear = [ink for ink in inks if ink.kind in CLEAR]
    pairs = [(a, b) for a, b in combinations(clear, 2) if meet(a.box, b.box)]
    found = [f"{a.kind} '{a.text}' meets {b.kind} '{b.text}'" for a, b in pairs]
    for ink in inks:
        left, top, right, bottom = ink.box
        if left < page[0] - 0.5 or top < page[1] or right > page[2] + 0.5 or bottom > page[3]:
            found.append(f"{ink.kind} '{ink.text}' leaves the page")
        if ink.kind in NOTATION:
            for other in clear:
                across = ink.kind == "barline" and other.kind in ("ring", "mute")  # dashes may go on
                if not across and inside(ink, other.box):
                    found.append(f"{ink.kind} runs through {other.kind} '{other.text}'")
    parts = read_parts(svg, "notehead", "accid", "rest")
    found += [
        f"{a.kind} meets {b.kind}"
        for a, b in combinations(parts, 2)
        if (a.kind, b.kind) != ("notehead", "notehead") and meet(shrunk(a.box), shrunk(b.box))
    ]
    return found


def shrunk(box: Rect) -> Rect:
    """Less a third of a space all round: accidentals are set as close as their shapes allow."""
    return box[0] + 1.5, box[1] + 1.5, box[2] - 1.5, box[3] - 1.5


def frets_read(svg: str, strings: int) -> list[tuple[int, str]]:
    """(string, text) of every fret from left to right, from top to bottom."""
    _, inks = read_ink(svg)
    _, top, _, bottom = next(ink.box for ink in inks if ink.kind == "strings")
    step = (bottom - top) / (strings - 1)
    placed = []
    for ink in inks:
        if ink.kind == "fret":
            left, high, right, low = ink.box
            placed.append(((left + right) / 2, round(((high + low) / 2 - top) / step) + 1, ink.text))
    return [(string, text) for _, string, text in sorted(placed)]


@pytest.mark.parametrize("make", [short_tune, dense_tune])
@pytest.mark.parametrize("width", [360.0, 500.0, 760.0])
def test_nothing_collides_and_nothing_is_cut(make, width: float) -> None:
    tune = make()
    for system in engrave(tune, remarks(tune), width):
        assert faults(system.svg) == [], f"bars {system.first} to {system.last}"


def test_the_collision_check_sees_a_collision() -> None:
    system = engrave(short_tune())[0]
    box = next(mark.box for mark in system.marks if mark.kind == "chord")
    top = float(etree.fromstring(system.svg.encode()).get("viewBox").split()[1])
    shape = f'<path d="M{box.left} {box.top + top}h20v9z"/>'
    spoiled = system.svg.replace("</svg>", f'<g class="chord" data-text="x">{shape}</g></svg>')
    assert any("meets chord 'x'" in fault for fault in faults(spoiled))


def test_every_bar_stands_in_one_system_in_order() -> None:
    tune = dense_tune()
    systems = engrave(tune)
    numbers = [number for system in systems for number, _, _ in system.bars]
    assert numbers == list(range(14))
    assert (systems[0].first, systems[-1].last) == (0, 13)
    for system in systems:
        edges = [edge for _, left, right in system.bars for edge in (left, right)]
        assert edges == sorted(edges)
        assert edges[-1] <= system.width


def test_frets_stand_on_their_strings_in_time() -> None:
    tune = short_tune()
    read = [fret for system in engrave(tune) for fret in frets_read(system.svg, 6)]
    assert read == [(note.string, str(note.fret)) for note in tune.line.notes]


def test_frets_stand_under_their_notes() -> None:
    tune = dense_tune()
    places = [place for system in engrave(tune) for place in system.notes]
    assert Counter(place.index for place in places) == Counter(range(len(tune.line.notes)))
    for place in places:
        note = tune.line.notes[place.index]
        assert place.fret is not None
        if note.grace or note.trill:
            continue
        centre = (place.fret.left + place.fret.right) / 2
        assert place.head.left - 6.0 <= centre <= place.head.right + 6.0
        assert place.head.bottom < place.fret.top


@pytest.mark.parametrize(
    ("how", "text"),
    [
        ({}, "12"),
        ({"dead": True}, "×"),
        ({"entry": "harmonic"}, "⟨12⟩"),
        ({"trill": 2}, "12(14)"),
    ],
)
def test_what_is_written_for_a_fret(how: dict[str, object], text: str) -> None:
    note = at(2, 12, 0, 2, 1, **how)
    tune = Tune("t", Chart((Section("A", (bar("Am7"),)),)), make_line([note]))
    assert frets_read(engrave(tune)[0].svg, 6) == [(2, text)]


def test_a_tie_is_not_struck_again_and_is_bracketed_on_a_new_system() -> None:
    held = at(3, 5, 3, 22, 1)
    tune = Tune("t", Chart((Section("A", (bar("Am7"),) * 8),)), make_line([held]))
    systems = engrave(tune)
    assert [frets_read(system.svg, 6) for system in systems] == [[(3, "5")], [(3, "(5)")]]
    assert [place.index for system in systems for place in system.notes] == [0]


def test_seven_strings_have_seven_lines() -> None:
    tuning = (*STANDARD_TUNING, 35)
    low = replace(at(6, 0, 0, 4), pitch=parse_pitch("D2"), string=7, fret=3, finger=2)
    tune = Tune("t", Chart((Section("A", (bar("Am7"),)),)), make_line([low]), tuning=tuning)
    assert frets_read(engrave(tune)[0].svg, 7) == [(7, "3")]


def test_letters_name_the_left_and_the_tapping_hand() -> None:
    notes = [at(2, 5, 0, 1, 1), at(2, 7, 1, 1, 3, entry="hammer"), at(2, 5, 2, 1, 1, entry="pull")]
    notes += [at(2, 12, 3, 1, 0, entry="tap"), at(2, 14, 4, 4, 3, entry="slide")]
    tune = Tune("t", Chart((Section("A", (bar("Am7"), bar("D7"))),)), make_line(notes))
    words = [mark.text for mark in engrave(tune)[0].marks if mark.kind == "word"]
    assert words == ["H", "P", "T", "sl."]
    assert sum(mark.kind == "arc" for mark in engrave(tune)[0].marks) == 2


@pytest.mark.parametrize(
    ("semitones", "amount"), [("1/2", "¼"), ("1", "½"), ("2", "full"), ("3", "1½"), ("4", "2")]
)
def test_a_bend_says_how_far(semitones: str, amount: str) -> None:
    note = at(2, 10, 0, 2, 3, bends=(Bend(Fraction(semitones)),))
    tune = Tune("t", Chart((Section("A", (bar("Am7"),)),)), make_line([note]))
    assert [mark.text for mark in engrave(tune)[0].marks if mark.kind == "amount"] == [amount]


def test_chords_are_set_as_in_print() -> None:
    chart = Chart((Section("A", (bar("Bb13b9/D F#m7b5"), bar("Ebmaj7#11 C#dim7"), bar("N.C."))),))
    texts = [mark.text for mark in engrave(Tune("t", chart))[0].marks if mark.kind == "chord"]
    assert texts == ["B♭13♭9/D", "F♯m7♭5", "E♭maj7♯11", "C♯°7", "N.C."]


def test_sections_tempo_and_feel_are_marked() -> None:
    marks = [mark for system in engrave(dense_tune()) for mark in system.marks]
    assert [mark.text for mark in marks if mark.kind == "section"] == ["Pickup", "Vamp", "Bridge"]
    assert [mark.text for mark in marks if mark.kind == "tempo"] == ["♩ = 186"]
    assert not [mark for mark in marks if mark.kind == "feel"]
    swung = [mark for system in engrave(short_tune()) for mark in system.marks]
    assert [mark.text for mark in swung if mark.kind == "feel"] == ["swing"]
    uneven = replace(short_tune(), feel=replace(SWING, ratio=Fraction(3, 2)))
    texts = [mark.text for mark in engrave(uneven)[0].marks if mark.kind == "feel"]
    assert texts == ["Swing eighths 3 : 2"]


def test_the_band_is_told_bar_by_bar() -> None:
    kinds = ("band", "band-word")
    marks = [mark for system in engrave(dense_tune()) for mark in system.marks if mark.kind in kinds]
    told = [text for text, _ in groupby(mark.text for mark in marks if mark.text)]
    assert told == ["hits", "answer", "break", "hits"]


def test_reasons_stand_under_the_bars_that_they_speak_of() -> None:
    tune = short_tune()
    starts = tune.chart.starts
    told = Reading((), (), (), 0, tuple(Sentence(f"about {n}", starts[n], starts[n] + 2) for n in range(8)))
    for system in engrave(tune, told):
        lefts = {f"about {number - 1}": (left, right) for number, left, right in system.bars}
        reasons = {mark.text: mark.box for mark in system.marks if mark.kind == "reason"}
        assert reasons.keys() == lefts.keys()
        for text, box in reasons.items():
            assert lefts[text][0] <= box.left < lefts[text][1]
            assert box.top > max(place.fret.bottom for place in system.notes if place.fret)


def test_a_reason_may_say_anything() -> None:
    tune, words = short_tune(), 'write href="#x" & <use>, "so"'
    told = Reading((), (), (), 0, (Sentence(words, Fraction(0), Fraction(2)),))
    root = etree.fromstring(engrave(tune, told)[0].svg)
    assert words in [element.get("data-text") for element in root.iter()]


def test_identifiers_are_unique_over_all_systems() -> None:
    tune = dense_tune()
    found: Counter[str] = Counter()
    for system in engrave(tune, remarks(tune)):
        root = etree.fromstring(system.svg.encode())
        found.update(element.get("id") for element in root.iter() if element.get("id"))
        links = {element.get("href") for element in root.iter() if element.get("href")}
        assert {f"#{name}" for name in found} >= links
    assert max(found.values()) == 1


def test_dense_bars_get_fewer_to_a_line_and_plain_ones_four() -> None:
    assert [(system.first, system.last) for system in engrave(short_tune())] == [(1, 4), (5, 8)]
    busy = [at(3, 5 + n % 4, Fraction(n, 4), "1/4", 1) for n in range(128)]
    tune = respelled(Tune("t", Chart((Section("A", (bar("Am7"),) * 8),)), make_line(busy)))
    assert max(system.last - system.first + 1 for system in engrave(tune)) == 2


def test_an_empty_chart_and_a_tune_without_notes_or_fingering() -> None:
    assert engrave(Tune("t", Chart(()))) == ()
    rests = engrave(Tune("t", Chart((Section("A", (Bar(), Bar(Meter(3, 4)))),))))
    assert len(rests) == 1
    free = replace(at(2, 5, 0, 4), string=None, fret=None, finger=None)
    system = engrave(Tune("t", Chart((Section("A", (bar("C"),)),)), make_line([free])))[0]
    assert [(place.index, place.fret) for place in system.notes] == [(0, None)]


SYMBOLS = ("Am7", "D13b9", "Gbmaj7#11", "C#m7b5/G", "N.C.", "F7sus4", "BmMaj7", "E7#5#9", "")
MOVES = (
    {},
    {"entry": "hammer"},
    {"entry": "pull"},
    {"entry": "slide"},
    {"entry": "tap"},
    {"entry": "harmonic"},
    {"dead": True},
    {"accent": True, "stroke": "down"},
    {"palm_mute": True},
    {"let_ring": True},
    {"vibrato": True},
    {"trill": 2},
    {"bends": (Bend(Fraction(2)), Bend(Fraction(0), "release"))},
    {"slide_to": -4},
    {"slide_from": -2},
)


@st.composite
def tunes(draw: st.DrawFn) -> Tune:
    bars, notes, start = [], [], Fraction(0)
    for _ in range(draw(st.integers(1, 6))):
        meter = draw(st.sampled_from([Meter(), Meter(3, 4), Meter(6, 8)]))
        written = bar(" ".join(draw(st.lists(st.sampled_from(SYMBOLS), max_size=3))), meter)
        step = draw(st.sampled_from([Fraction(1, 4), Fraction(1, 2), Fraction(1), Fraction(1, 3)]))
        if step == Fraction(1, 3) and meter == Meter(6, 8):
            step = Fraction(1, 2)
        count = int(meter.length / step)
        hits = tuple(n * step for n in sorted(draw(st.sets(st.integers(0, count - 1), max_size=3))))
        bars.append(replace(written, hits=hits, pause=not hits and draw(st.booleans())))
        for n in range(count):
            if draw(st.booleans()):
                onset = start + n * step
                strings = draw(st.sets(st.integers(1, 6), min_size=1, max_size=3))
                how = draw(st.sampled_from(MOVES))
                if draw(st.integers(0, 9)) == 0:
                    notes.append(at(min(strings), draw(st.integers(0, 22)), onset, 0, 1))
                notes += [at(string, draw(st.integers(0, 22)), onset, step, 2, **how) for string in strings]
        start += meter.length
    chart = Chart((Section("Intro", tuple(bars)),))
    return respelled(Tune("t", chart, make_line(notes), tempo=steady(draw(st.integers(40, 260)))))


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(tunes())
def test_generated_tunes_never_collide_and_keep_every_fret(tune: Tune) -> None:
    wanted: Counter[tuple[int | None, str]] = Counter()
    read: Counter[tuple[int, str]] = Counter()
    for note in tune.line.notes:
        wanted[(note.string, fret_text(note))] += 1
    for system in engrave(tune, remarks(tune) if len(tune.chart.bars) > 7 else None):
        assert faults(system.svg) == []
        read.update(frets_read(system.svg, len(STANDARD_TUNING)))
    assert read == wanted


def fret_text(note: Note) -> str:
    if note.dead:
        return "×"
    if note.entry == "harmonic":
        return f"⟨{note.fret}⟩"
    return f"{note.fret}({(note.fret or 0) + note.trill})" if note.trill else str(note.fret)
