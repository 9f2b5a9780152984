"""What a chord symbol means, for the command line: tones, upper triads, scales."""

from __future__ import annotations

from solowright.harmony.devices.upper_triad import upper_triads
from solowright.harmony.words import chord_words
from solowright.music.chord import Chord
from solowright.music.scale import scales_over


def chord_json(chord: Chord) -> dict[str, object]:
    """The answer of ``chord --json``: plain lists and dictionaries; ``bass`` is null without a slash."""
    return {
        "symbol": chord.symbol,
        "root": chord.root.name,
        "bass": chord.bass.name if chord.bass else None,
        "pitch_classes": sorted(chord.pitch_classes),
        "degrees": list(chord.degrees),
        "tones": [tone.name for tone in chord.tones],
        "upper_triads": [
            {"triad": triad.name, "degrees": list(triad.degrees)} for triad in upper_triads(chord)
        ],
        "scales": [scale.name for scale in scales_over(chord)],
    }


def chord_text(chord: Chord) -> str:
    """The same for reading."""
    return chord_words(
        chord.symbol,
        [tone.name for tone in chord.tones],
        list(chord.degrees),
        [(triad.name, list(triad.degrees)) for triad in upper_triads(chord)],
        [(scale.name, [tone.name for tone in scale.tones]) for scale in scales_over(chord)],
    )
