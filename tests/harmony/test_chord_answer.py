from __future__ import annotations

from solowright.harmony.chord_answer import chord_json, chord_text
from solowright.music.chord import parse_chord


def test_the_answer_holds_tones_upper_triads_and_scales() -> None:
    answer = chord_json(parse_chord("Am7/D"))
    assert (answer["symbol"], answer["root"], answer["bass"]) == ("Am7/D", "A", "D")
    assert answer["pitch_classes"] == [0, 2, 4, 7, 9]
    assert answer["degrees"] == ["1", "b3", "5", "b7"]
    triads = answer["upper_triads"]
    scales = answer["scales"]
    assert isinstance(triads, list)
    assert isinstance(scales, list)
    assert {"triad": "C", "degrees": ["b3", "5", "b7"]} in triads
    assert scales[0] == "A dorian"
    assert chord_json(parse_chord("C"))["bass"] is None


def test_the_words_spell_the_chord_and_say_what_lies_over_it() -> None:
    lines = chord_text(parse_chord("Gbm7")).splitlines()
    assert lines[0] == "G♭m7: G♭ (1), B♭♭ (♭3), D♭ (5), F♭ (♭7)"
    assert "Triads over it, and what they give:" in lines
    assert any(line.split() == ["G♭", "dorian", "G♭", "A♭", "B♭♭", "C♭", "D♭", "E♭", "F♭"] for line in lines)
