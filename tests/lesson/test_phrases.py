"""The pieces that a solo is taught in."""

from __future__ import annotations

from itertools import pairwise

from solowright.demo import bundled_tune
from solowright.lesson.phrases import LONGEST, find_phrases, sentences_in
from solowright.music.tune import Tune
from solowright.work import Worked
from tests.page.tunes import dense_tune, short_tune


def test_every_sounding_note_is_taught_once() -> None:
    for tune in (bundled_tune(), short_tune(), dense_tune()):
        places = [place for phrase in find_phrases(tune) for place in phrase.notes]
        assert places == sorted(set(places))
        assert set(places) == {n for n, note in enumerate(tune.line.notes) if not note.dead}


def test_pieces_are_short_whole_bars_in_order() -> None:
    phrases = find_phrases(bundled_tune())
    assert [phrase.number for phrase in phrases] == list(range(1, len(phrases) + 1))
    assert all(phrase.last - phrase.first <= LONGEST for phrase in phrases)
    assert all(one.start < other.start and one.last <= other.last for one, other in pairwise(phrases))


def test_the_demo_is_cut_where_it_breathes() -> None:
    """By hand: rests after bars 2, 4, 8, 17 and 26; the landing of the bridge belongs to the bridge."""
    bars = [(phrase.first, phrase.last) for phrase in find_phrases(bundled_tune())]
    assert bars[:3] == [(1, 2), (3, 4), (5, 8)]
    assert (13, 17) in bars and (25, 26) in bars


def test_a_new_section_is_a_new_piece(steps: Tune) -> None:
    assert [(phrase.section, phrase.bars) for phrase in find_phrases(steps)] == [
        ("Head", "bars 1–2"), ("Tail", "bars 3–4"),
    ]  # fmt: skip


def test_each_sentence_is_said_in_its_piece(worked: Worked) -> None:
    assert worked.reading is not None
    told = [text for phrase in find_phrases(worked.tune) for text in sentences_in(worked.reading, phrase)]
    assert told == list(worked.reading.sentences)
