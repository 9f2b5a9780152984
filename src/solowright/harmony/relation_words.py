"""What is said about how a passage stands to the band and to what was played before."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby
from typing import cast

from solowright.harmony.fact_words import (
    away_words,
    count_words,
    degrees_in_prose,
    names_of,
    number_of,
    place_of,
    times_words,
)
from solowright.harmony.words import Facts, degree_words, listed, printed_chord, tone_words

UPBEAT = 3.5  # from which beat of a bar in four a phrase only leads into the next bar


def slide_into_hit(facts: Facts, turn: int) -> str:
    """A slide that ends on a hit."""
    return f"a slide into {tone_words(facts['target'])}, on the band's hit"


def band_hit(facts: Facts, turn: int) -> str:
    """Notes on the band's hits."""
    head = f"with the band, {count_words(number_of(facts, 'hits'))} hits in a row"
    notes = [tone_words(name) for name in names_of(facts, "notes")]
    if not notes:
        return f"{head}: {_strikes(facts)}"
    degrees = listed(degrees_in_prose(names_of(facts, "degrees")))
    if len(notes) == 1:
        degrees = degree_words(names_of(facts, "degrees")[0])
    return f"{head}, on {listed(notes)}, the {degrees} of {printed_chord(facts['over'])}"


def _strikes(facts: Facts) -> str:
    """What is struck on each hit: ``C♯–G twice, then a full A7``."""
    strikes: list[str] = []
    struck, full = cast("list[list[str]]", facts["struck"]), cast("list[bool]", facts["full"])
    for names, chord, whole in zip(struck, names_of(facts, "chords"), full, strict=True):
        strikes.append(f"a full {printed_chord(chord)}" if whole else "–".join(map(tone_words, names)))
    rows = [(strike, len(list(group))) for strike, group in groupby(strikes)]
    words = [strike if count == 1 else f"{strike} {times_words(count)}" for strike, count in rows]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])}, then {words[-1]}"


def on_hits(sentence: str, facts: Facts) -> str:
    """The sentence about a device, with the hits of the band that it falls on."""
    return f"{sentence.removesuffix('.')}; all on the band's {count_words(number_of(facts, 'hits'))} hits."


def answer(facts: Facts, turn: int) -> str:
    """Room left for the band, or a reply to it."""
    bar = place_of(facts, "to")["bar"]
    if facts["how"] == "answered":
        return f"the line leaves room, and the band answers in bar {bar}"
    if facts["how"] == "replies":
        return f"the line comes back in reply to the band's answer in bar {bar}"
    return f"the line waits for the band in bar {bar}, then replies"


def _earlier(facts: Facts) -> str:
    """What an echo says again."""
    of = place_of(facts, "of")
    if facts["part"] == "bar":
        return f"bar {of['bar']}"
    if facts["part"] == "figure":
        return f"the figure that opened bar {of['bar']}"
    if not of["bar"]:
        return "the phrase that began in the pickup"
    late = "that began at the end " if of["beat"] >= UPBEAT else ""
    return f"the phrase {late}of bar {of['bar']}"


def transposed_phrase(facts: Facts, turn: int) -> str:
    """What was played before, at another pitch."""
    return f"{_earlier(facts)} again, {away_words(number_of(facts, 'interval'))}{_goes_on(facts)}"


def _goes_on(facts: Facts) -> str:
    """Where the line goes in the rest of the bar."""
    then = cast("Mapping[str, object] | None", facts.get("then"))
    if then is None:
        return ""
    degree = f"the {degree_words(str(then['degree']))} of {printed_chord(then['over'])}"
    return f", then {then['direction']} to {tone_words(then['note'])}, {degree}"


def varied_echo(facts: Facts, turn: int) -> str:
    """What was played before, as it was or a little changed."""
    changed, left_out = number_of(facts, "changed"), number_of(facts, "left_out")
    if not changed and not left_out:
        return f"{_earlier(facts)} again, note for note{_goes_on(facts)}"
    what = "changed" if changed else "left out"
    count = changed or left_out
    notes = "note" if count == 1 else "notes"
    return f"{_earlier(facts)} comes back with {count_words(count)} {notes} {what}"
