from __future__ import annotations

from fractions import Fraction
from itertools import pairwise, product
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.errors import InputError
from solowright.music.chart import Bar, Chart, Section
from solowright.music.chord import parse_chord
from solowright.music.time import STRAIGHT, SWING, Meter
from solowright.music.voicing import COMPING_RANGE, held_tones, movement, voice
from solowright.sound.band import BandBar, BandNote, read_bars, silences
from solowright.sound.bass import HIGHEST, LOWEST, bass_line
from solowright.sound.comping import answer, comp
from solowright.sound.drums import DrumStroke, break_hats, drum_part
from solowright.sound.styles import STYLES, Style, choose_style
from tests.sound.tunes import F, bar, tune

SYMBOLS = (
    *("A7", "D7", "Em7", "F#7b9", "Bm7", "C#m7b5", "Fmaj7"),
    *("E7alt", "G/B", "C6", "A7sus4", "Bdim7", "E5", "Gm13"),
)

TELLING = ("3", "b3", "7", "b7", "bb7")

bars_of_chords = st.lists(st.lists(st.sampled_from(SYMBOLS), min_size=1, max_size=2), min_size=1, max_size=10)
styles = st.sampled_from(STYLES)
meters = st.sampled_from((Meter(), Meter(3, 4), Meter(6, 8), Meter(5, 4), Meter(2, 2), Meter(7, 8)))


def read(bars: list[Bar]) -> tuple[BandBar, ...]:
    return read_bars(Chart((Section("A", tuple(bars)),)))


Parts = tuple[tuple[BandNote, ...], tuple[BandNote, ...], tuple[DrumStroke, ...]]


def parts(bars: tuple[BandBar, ...], style: Style, seed: int = 1) -> Parts:
    return (
        bass_line(bars, style, Random(seed)),
        comp(bars, style, Random(seed + 1)),
        drum_part(bars, style, STRAIGHT, Random(seed + 2)),
    )


@settings(max_examples=60, deadline=None)
@given(bars_of_chords, styles, meters)
def test_every_change_has_its_bass_and_its_tones(
    symbols: list[list[str]], style: Style, meter: Meter
) -> None:
    """The root or slash bass on every change; third and seventh in every voicing; all within range."""
    bars = read([bar(*names, meter=meter) for names in symbols])
    bass, comping, _ = parts(bars, style)
    for band_bar in bars[:-1]:
        for harmony in band_bar.harmonies:
            first = harmony.chord.bass or harmony.chord.root
            struck = [n.midi for n in bass if n.onset == harmony.start]
            if harmony.changed:
                assert [midi % 12 for midi in struck] == [first.pitch_class]
            held = {n.midi % 12 for n in comping if n.onset == harmony.start}
            telling = {harmony.chord.tone(d).pitch_class for d in harmony.chord.degrees if d in TELLING}
            assert telling <= held <= harmony.chord.pitch_classes
    assert all(LOWEST <= n.midi <= HIGHEST for n in bass)
    assert all(COMPING_RANGE[0] <= n.midi <= COMPING_RANGE[1] for n in comping)
    assert all(n.onset < n.end <= bars[-1].end for n in (*bass, *comping))


@settings(max_examples=40, deadline=None)
@given(bars_of_chords, styles, meters)
def test_the_bass_plays_one_note_at_a_time(symbols: list[list[str]], style: Style, meter: Meter) -> None:
    bass, _, _ = parts(read([bar(*names, meter=meter) for names in symbols]), style)
    assert all(a.end <= b.onset for a, b in pairwise(bass))


@pytest.mark.parametrize("style", STYLES)
def test_hits_are_struck_together_and_by_nobody_in_between(style: Style) -> None:
    hits = (F(0), F(3, 2), F(3))
    bars = read([bar("A7"), bar("Bm7", "E7", hits=hits), bar("A7")])
    bass, comping, drums = parts(bars, style)
    wanted = {4 + hit for hit in hits}
    assert {n.onset for n in bass if 4 <= n.onset < 8} == wanted
    assert {n.onset for n in comping if 4 <= n.onset < 8} == wanted
    assert {s.onset for s in drums if 4 <= s.onset < 8 and s.piece == "snare"} == wanted
    assert [n.midi % 12 for n in bass if 4 <= n.onset < 8] == [11, 11, 4]  # B, B, then E


@pytest.mark.parametrize("style", STYLES)
def test_a_break_is_silent_but_for_hits_written_in_it(style: Style) -> None:
    bars = read([bar("A7"), bar("D7", pause=True), bar("D7", pause=True, hits=(F(0),)), bar("A7"), bar("A7")])
    for part in parts(bars, style):
        assert not [n for n in part if 4 <= n.onset < 8 or 8 < n.onset < 12]
        assert [n for n in part if n.onset == 8]
    assert silences(bars) == ((4, 8), (9, 12))


def test_without_a_chord_there_is_no_harmony_and_the_drums_go_on() -> None:
    bass, comping, drums = parts(read([bar("N.C."), bar("A7"), bar("A7")]), "rock")
    assert min(n.onset for n in (*bass, *comping)) == 4
    assert min(s.onset for s in drums) == 0


def test_the_ending_is_struck_once_and_held() -> None:
    bass, comping, drums = parts(read([bar("D7"), bar("A7")]), "walking")
    assert [(n.onset, n.end) for n in bass if n.onset >= 4] == [(4, 8)]
    assert {(n.onset, n.end) for n in comping if n.onset >= 4} == {(4, 8)}
    assert {s.onset for s in drums if s.onset >= 4} == {4}


def test_a_pickup_belongs_to_the_soloist() -> None:
    bars = read_bars(tune([bar("A7", short=F(1)), bar("A7"), bar("D7")], pickup=True).chart)
    for part in parts(bars, "rock"):
        assert min(n.onset for n in part) == 1


def test_answers_keep_their_written_rhythm_with_the_chord_of_the_moment() -> None:
    bars = read([bar("A7", "D7", answer=(F(1), F(5, 2))), bar("A7")])
    notes = answer(bars)
    assert {n.onset for n in notes} == {1, F(5, 2)}
    assert {n.midi % 12 for n in notes if n.onset == 1} == set(held_tones(parse_chord("A7")))


def test_a_section_opens_with_a_crash_after_a_fill() -> None:
    chart = Chart((Section("A", (bar("A7"), bar("A7"))), Section("B", (bar("D7"), bar("D7")))))
    for style, seed in product(STYLES, range(5)):
        drums = drum_part(read_bars(chart), style, STRAIGHT, Random(seed))
        assert [s.onset for s in drums if s.piece == "crash"] == [0, 8, 12]  # 12: the last bar's hit
        toms = [s.onset for s in drums if s.piece == "tom"]
        assert toms and all(6 <= onset < 8 for onset in toms)


def test_swing_rides_the_skipped_note_and_straight_keeps_eighths() -> None:
    bars = read([bar("A7"), bar("A7")])
    ride = [s.onset for s in parts(bars, "walking")[2] if s.piece == "ride" and s.onset < 4]
    assert ride == [1, F(3, 2), 2, 3, F(7, 2)]  # the section's crash stands on one
    hats = [s.onset for s in parts(bars, "rock")[2] if s.piece == "hat" and 0 < s.onset < 4]
    assert sorted(hats) == [F(n, 2) for n in range(1, 8)]


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.sampled_from(("A7", "D7", "E7")), min_size=1, max_size=4), styles, meters, st.integers(0, 99)
)
def test_no_bar_is_played_four_times_running(
    symbols: list[str], style: Style, meter: Meter, seed: int
) -> None:
    """A vamp on one bar, which gives no reason to change anything."""
    bars = read([bar(*symbols, meter=meter) for _ in range(24)])
    for part in parts(bars, style, seed):
        shapes = [
            sorted(
                (n.onset - b.start, n.piece)
                if isinstance(n, DrumStroke)
                else (n.onset - b.start, n.midi, n.end - b.start, n.dead)
                for n in part
                if b.start <= n.onset < b.end
            )
            for b in bars[1:-1]  # the first opens with a crash, the last is the ending
        ]
        assert all(len({str(shape) for shape in shapes[i : i + 4]}) > 1 for i in range(len(shapes) - 3))


@pytest.mark.parametrize("style", STYLES)
def test_styles_differ_and_repeat_with_their_seed(style: Style) -> None:
    bars = read([bar("A7"), bar("D7"), bar("Em7", "A7"), bar("Dmaj7"), bar("A7")])
    assert parts(bars, style) == parts(bars, style)
    for other in STYLES:
        if other != style:
            for mine, theirs in zip(parts(bars, style), parts(bars, other), strict=True):
                assert mine != theirs


def test_what_marks_each_style() -> None:
    bars = read([bar("A7") for _ in range(9)])
    played = {style: parts(bars, style) for style in STYLES}
    middle = bars[3:8]

    def onsets(style: Style, part: int, what: str | None = None) -> set[Fraction]:
        """Where in the bar something is played, over bars 4 to 8."""
        return {
            n.onset - b.start
            for n in played[style][part]
            for b in middle
            if b.start <= n.onset < b.end and what in (None, getattr(n, "piece", None))
        }

    assert onsets("walking", 0) == {0, 1, 2, 3}
    assert onsets("two-feel", 0) >= {0, 2} and 1 not in onsets("two-feel", 0)
    assert onsets("shuffle", 0) == {F(3 * n + k, 3) for n in range(4) for k in (0, 2)}
    assert onsets("rock", 0) <= {F(n, 2) for n in range(8)}
    assert onsets("bossa", 0) == {0, F(3, 2), 2, F(7, 2)}
    assert {time % F(1, 2) for time in onsets("funk", 0)} == {0, F(1, 4)}
    for style in ("shuffle", "rock", "funk"):
        assert onsets(style, 2, "snare") >= {1, 3}
    assert onsets("bossa", 2, "rim") == {0, 1, F(3, 2), F(5, 2), 3}  # the clave, over two bars
    assert not onsets("bossa", 2, "snare")


def test_a_style_goes_with_the_feel_unless_named() -> None:
    assert (choose_style(None, STRAIGHT), choose_style(None, SWING)) == ("rock", "walking")
    assert choose_style("bossa", SWING) == "bossa"
    with pytest.raises(InputError, match="there is no style 'polka'; choose among walking, two-feel"):
        choose_style("polka", SWING)


def test_a_hi_hat_can_keep_the_break() -> None:
    bars = read([bar("A7"), bar(pause=True), bar(pause=True, hits=(F(0),)), bar("A7")])
    assert [(s.onset, s.piece) for s in break_hats(bars)] == [(5, "hat"), (7, "hat")]


def test_voices_move_far_less_than_root_positions_would() -> None:
    """Over 200 progressions, against the same tones stacked from the root up, in the octave nearest to the
    chord before. A single change may move more: voices are kept in the middle, and from rubbing."""
    chance = Random(1)
    smooth = stacked = 0.0
    for _ in range(200):
        before = root_before = voice(parse_chord(chance.choice(SYMBOLS)), ())
        for symbol in chance.choices(SYMBOLS, k=8):
            chord = parse_chord(symbol)
            after = voice(chord, before)
            stack = [min(m for m in range(52, 64) if m % 12 == chord.root.pitch_class)]
            for tone in held_tones(chord):
                stack.append(next(m for m in range(stack[-1] + 1, stack[-1] + 13) if m % 12 == tone))
            octaves = [tuple(midi + 12 * up for midi in stack[1:]) for up in (-1, 0, 1)]
            root = min(octaves, key=lambda notes: movement(root_before, notes))
            smooth, stacked = smooth + movement(before, after), stacked + movement(root_before, root)
            before, root_before = after, root
    assert smooth < 0.5 * stacked  # 0.32 when this was written


def test_voices_move_far_less_round_the_circle_of_fifths() -> None:
    """Second, fifth, first through six keys: never more than two semitones a voice in any change."""
    roots = ("Em7", "A7", "Dmaj7", "Dm7", "G7", "Cmaj7", "Cm7", "F7", "Bbmaj7")
    before = voice(parse_chord(roots[0]), ())
    for symbol in roots[1:]:
        after = voice(parse_chord(symbol), before)
        assert all(abs(a - b) <= 2 for a, b in zip(before, after, strict=True)), symbol
        before = after


def test_movement_pairs_voices_in_order() -> None:
    assert movement((60, 64, 67), (60, 65, 69)) == 3
    assert movement((60, 67), (60, 64, 67)) == 3
    assert movement((), (60,)) == 0
