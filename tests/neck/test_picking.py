"""The hand with the pick: how soon it can tap, tap again, and pick again."""

from fractions import Fraction
from math import log2

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.neck import Player, find_top_tempo, finger, fret_distance, gap
from solowright.neck.picking import PICKED_AT, ROOM
from tests.neck.lines import lock, run_midi

SIXTEENTH = Fraction(1, 4)
PLAYER = Player()
TIMING = PLAYER.timing
E4 = 64
TO_NECK = TIMING.lift + TIMING.bit * log2(2 * (PICKED_AT * PLAYER.scale - fret_distance(12)) / gap(12))
BACK = TIMING.lift + TIMING.bit * log2(2 * (PICKED_AT * PLAYER.scale - fret_distance(12)) / ROOM)
ALONG = TIMING.lift + TIMING.bit * log2(2 * (fret_distance(19) - fret_distance(7)) / gap(19))


def lick(text, bpm=160, lasts=SIXTEENTH):
    """Frets of the top string with the way in: ``p`` pick, ``h`` hammer-on, ``o`` pull-off, ``t`` tap, none
    where it is left open."""
    entries = {"p": "pick", "h": "hammer", "o": "pull", "t": "tap"}
    words = [(entries.get(word[0]), int(word.lstrip("phot"))) for word in text.split()]
    tune = run_midi([E4 + fret for _, fret in words], lasts, bpm)
    for index, (entry, fret) in enumerate(words):
        tune = lock(tune, index, string=1, fret=fret, entry=entry)
    return tune


@pytest.mark.parametrize(
    ("text", "needed", "sixteenths"),
    [
        ("t12 o5 t12 o5", TIMING.tap, 2),
        ("t12 t12 t12", TIMING.tap, 1),
        ("t7 o0 t19", ALONG, 2),  # along the neck: further than a tap takes anyhow
        ("p5 t12", TO_NECK, 1),
        ("p5 h7 t12", TO_NECK, 2),
        ("t12 p5", BACK, 1),
    ],
)
def test_the_limit_is_what_the_picking_hand_needs(text, needed, sixteenths):
    assert find_top_tempo(lick(text)) == pytest.approx(15 * sixteenths / needed)


def test_slurs_between_give_the_hand_its_time():
    """Tap, pull-off, hammer-on: three notes to each tap, so the fretting hand is what ends it."""
    assert find_top_tempo(lick("t12 o5 h8 t12 o5 h8")) == pytest.approx(15 / TIMING.finger)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("t12 t12", "tapped at fret 12 94 ms after the tap before (10.7 taps a second)"),
        ("p5 t12", "tapped at fret 12 94 ms after the pick's last stroke; "
                   "the hand has to come from the strings to the neck"),
        ("t12 p5", "picked 94 ms after the last tap; the hand has to come back from the neck"),
    ],
)
def test_the_crux_names_the_tap(text, words):
    assert finger(lick(text)).crux.why == words


ways = st.lists(st.sampled_from(["t12", "t15", "o5", "o3", "h8", "5", "8"]), min_size=2, max_size=8)


@settings(max_examples=40, deadline=None)
@given(ways, st.floats(0.3, 0.99))
def test_slower_is_never_less_playable(words, share):
    """Taps with whatever the fretting hand may do between them."""
    words = [word if word[0] not in "oh" or (n and words[n - 1][0] == "t") else word[1:]
             for n, word in enumerate(words)]
    words = [word if word[0] != "h" else word[1:] for word in words]
    tune = lick(" ".join(words), 240)
    top = find_top_tempo(tune)
    assert finger(tune.at_tempo(min(240, top) * share)).limit_tempo >= min(240, top) * share * (1 - 1e-6)
