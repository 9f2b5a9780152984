from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.errors import InputError
from solowright.music.line import Note
from solowright.sound.excerpt import choose
from solowright.sound.hands import Action, place_hands
from solowright.sound.string import SAMPLE_RATE
from tests.sound.tunes import F, note, vamp


def hands(*notes: Note, bars: tuple[int, int] | None = None) -> dict[int, tuple[Action, ...]]:
    return place_hands(choose(vamp(8, list(notes), tempo=120), bars, None, False))


def in_order(placed: dict[int, tuple[Action, ...]]) -> list[Action]:
    return sorted((a for actions in placed.values() for a in actions), key=lambda a: a.start)


raw_notes = st.tuples(st.integers(40, 88), st.integers(0, 60), st.integers(1, 8))


@settings(max_examples=40, deadline=None)
@given(st.lists(raw_notes, min_size=1, max_size=25))
def test_every_note_sounds_in_its_place_and_one_a_string_at_a_time(raw: list[tuple[int, int, int]]) -> None:
    by_onset: dict[int, list[tuple[int, int, int]]] = {}
    for item in raw:
        by_onset.setdefault(item[1], []).append(item)
    notes = [note(m, F(on, 2), F(length, 4)) for group in by_onset.values() for m, on, length in group[:6]]
    placed = hands(*notes)
    actions = in_order(placed)
    assert sorted(a.note.pitch.midi for a in actions) == sorted(n.pitch.midi for n in notes)
    assert all(a.start == round(float(a.note.onset) * SAMPLE_RATE / 2) for a in actions)
    for string_actions in placed.values():
        assert all(a.stop <= b.start and a.start < b.start for a, b in pairwise(string_actions))


def test_a_written_string_stands_and_a_taken_one_gives_way() -> None:
    placed = hands(note(64, 0, 1, string=3, fret=9), note(69, 0, 1, string=3, fret=14))
    assert placed[3][0].note.pitch.midi == 69  # the higher comes first in the line
    assert sum(len(actions) for actions in placed.values()) == 2


def test_a_slur_needs_a_string_that_sounds() -> None:
    run = in_order(hands(note(64, 0, 1, string=3), note(66, 1, 1, string=3, entry="hammer"),
                         note(64, 2, 1, string=3, slurred=True)))  # fmt: skip
    assert [a.entry for a in run] == ["pick", "hammer", "pull"]
    held = in_order(hands(note(64, 0, F(19, 20), string=3), note(66, 1, 1, string=3, entry="hammer")))
    assert held[0].stop == held[1].start  # 25 ms too early, as written: the finger stays
    gap = in_order(hands(note(66, 0, 1, string=3), note(64, 2, 1, string=3, entry="pull"),
                         note(69, 4, 1, string=2, entry="slide")))  # fmt: skip
    assert [a.entry for a in gap] == ["pick", "pick", "pick"]


def test_graces_come_before_the_beat_and_in_the_room_there_is() -> None:
    early = in_order(hands(note(62, 2, 0, string=2), note(64, 2, 1, string=2)))
    assert early[1].start == SAMPLE_RATE
    assert 0.04 < (early[1].start - early[0].start) / SAMPLE_RATE < 0.07
    at_once = in_order(hands(note(62, 0, 0, string=2), note(64, 0, 1, string=2)))
    assert at_once[0].start == 0 < at_once[1].start < 0.07 * SAMPLE_RATE


def test_only_notes_that_begin_in_the_bars_are_played() -> None:
    placed = in_order(hands(note(60, 3, 3), note(62, 6, 1), note(64, 8, 1), bars=(2, 2)))
    assert [(a.note.pitch.midi, a.start) for a in placed] == [(62, SAMPLE_RATE)]


def test_more_notes_than_strings_are_refused_with_their_place() -> None:
    with pytest.raises(InputError, match="bar 2 beat 1: 7 notes together on 6 strings"):
        hands(*(note(50 + 3 * n, 4, 1) for n in range(7)))
