"""The short name of each device, for a bracket on the page."""

from __future__ import annotations

from collections.abc import Callable

from solowright.harmony.fact_words import away_words, moves_words, names_of, number_of, place_of, sixth_chord
from solowright.harmony.words import Facts, printed, printed_chord, scale_words, tone_words

SHORT = {
    "enclosure": "enclosure", "chromatic-run": "chromatic", "sequence": "sequence", "trill": "trill",
    "double-stop": "double stop", "chord-punch": "chord punch", "harmonics": "harmonics",
    "ringing-run": "let ring", "pedal": "pedal", "common-tone": "common tone", "band-hit": "with the hits",
    "slide-into-hit": "slide to hit", "answer": "answer",
}  # fmt: skip


def short_name(kind: str, facts: Facts) -> str:
    """The device in a word or two, for a bracket: ``F♯m over Dmaj7``, ``Cm7 link``, ``with the hits``."""
    if kind in SHORT:
        return SHORT[kind]
    return _SHORT[kind](facts)


def _short_shift(facts: Facts) -> str:
    shape = str(facts["shape"])
    return f"{f'{shape}s' if shape[0].isalpha() else 'shape'} {moves_words(number_of(facts, 'interval'))}"


_SHORT: dict[str, Callable[[Facts], str]] = {
    "chord-arpeggio": lambda facts: printed_chord(facts["chord"]),
    "upper-triad": lambda facts: f"{printed(str(facts['triad']))} over {printed_chord(facts['over'])}",
    "superimposed-chord": lambda facts: (
        sixth_chord(facts) or "–".join(map(printed_chord, names_of(facts, "chords")))
    ),
    "scale-run": lambda facts: (
        scale_words(facts["scale"]) if facts["scale"] else f"{facts['direction']} by step"
    ),
    "pentatonic-run": lambda facts: scale_words(facts["scale"]),
    "blues-cell": lambda facts: scale_words(facts["scale"]),
    "shape-shift": _short_shift,
    "half-step-link": lambda facts: f"{printed_chord(facts['through'])} link",
    "open-string-figure": lambda facts: f"open {tone_words(facts['open'])}",
    "transposed-phrase": lambda facts: (
        f"as bar {place_of(facts, 'of')['bar']}, {away_words(number_of(facts, 'interval'))}"
    ),
    "varied-echo": lambda facts: f"bar {place_of(facts, 'of')['bar']} again",
}
