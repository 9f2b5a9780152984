"""Directions, sounds and barlines: where sections begin, how fast, what is repeated, what the band does.

A section begins at a rehearsal mark, or at words that name one. ``hit 1 2.5``, ``break`` and ``answer``
are read as the sheet writes them. Jumps are taken from ``<sound>``, else from the trade's plain words.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction

from lxml import etree

from solowright.errors import InputError
from solowright.files.musicxml_notes import TYPES, read_integer, read_number
from solowright.files.repeats import Signs
from solowright.files.text import NUMBER, parse_number
from solowright.music.time import EIGHTH, FASTEST, SIXTEENTH, SLOWEST, Feel, Time

_SECTION_WORDS = re.compile(
    r"(?:pre-?)?(?:intro(?:duction)?|verses?|chorus|refrain|bridge|interlude|trio|vamp|solos?|head|outro|"
    r"tag|turnaround|ending|shout|release|groove|theme)(?:\s+(?:\d{1,2}|[A-H]|I{1,3}))?",
    re.IGNORECASE,
)
_SILENT = re.compile(r"n\.?\s?c\.?|no chord|tacet", re.IGNORECASE)
_BAND = re.compile(rf"(hits?|answers?|break)((?:\s+(?:{NUMBER}))*)", re.IGNORECASE)
_TO_START = re.compile(r"d\.?\s?c\.?(?![a-z])|da capo", re.IGNORECASE)
_TO_SEGNO = re.compile(r"d\.?\s?s\.?(?![a-z])|dal segno", re.IGNORECASE)
_TO_CODA = re.compile(r"to coda", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Direction:
    """What the directions of one bar say; beats of the band count from 1 as players count them."""

    section: str = ""
    tempos: tuple[tuple[Time, float], ...] = ()
    feel: Feel | None = None
    hits: tuple[Fraction, ...] = ()
    pause: bool = False
    answered: bool = False
    answer: tuple[Fraction, ...] = ()
    codas: int = 0  # coda signs that don't say whether they are the way out or the way in


def read_direction(
    element: etree._Element, at: Time, direction: Direction, signs: Signs
) -> tuple[Direction, Signs, bool]:
    """Adds one ``<direction>`` or ``<sound>`` to what the bar says.

    Returns with it whether the words say that there is no chord from here. Raises InputError.
    """
    sound = element if element.tag == "sound" else element.find("sound")
    silent = False
    jumps = signs
    if sound is not None:
        jumps = _read_jumps(sound, signs)
        direction = _read_swing(sound, direction)
    direction = _read_tempo(element, sound, at, direction)
    for mark in element.iterfind("direction-type/*"):
        text = " ".join("".join(map(str, mark.itertext())).split())
        if mark.tag == "rehearsal" and text:
            direction = replace(direction, section=text)
        elif mark.tag == "segno" and jumps.segno is None and jumps.to_segno is None:
            jumps = replace(jumps, segno="segno")
        elif mark.tag == "coda" and jumps.coda is None and jumps.to_coda is None:
            direction = replace(direction, codas=direction.codas + 1)
        elif mark.tag == "words" and text:
            silent = silent or bool(_SILENT.fullmatch(text))
            direction, jumps = _read_words(text, direction, jumps, said=jumps != signs)
    return direction, jumps, silent


def _read_words(text: str, direction: Direction, signs: Signs, said: bool) -> tuple[Direction, Signs]:
    band = _BAND.fullmatch(text)
    if band:
        # Three decimals stand for the twenty-fourths that a copyist could mean.
        found = (parse_number(beat) for beat in band[2].split())
        beats = tuple(beat.limit_denominator(24) for beat in found if beat is not None)
        if band[1].lower() == "break":
            return replace(direction, pause=True), signs
        if band[1].lower().startswith("answer"):
            return replace(direction, answered=True, answer=_with_beats(direction.answer, beats)), signs
        return replace(direction, hits=_with_beats(direction.hits, beats)), signs
    if _SECTION_WORDS.fullmatch(text) and not direction.section:
        return replace(direction, section=text.title() if text.isupper() else text), signs
    if said:  # <sound> has told already, and more exactly
        return direction, signs
    if _TO_CODA.match(text):
        return direction, replace(signs, to_coda="coda")
    if _TO_START.match(text):
        return direction, replace(signs, to_start=True)
    if _TO_SEGNO.match(text):
        return direction, replace(signs, to_segno="segno")
    if text.lower().strip(" .") == "fine":
        return direction, replace(signs, fine=True)
    if text.lower().strip(" .") == "coda":
        return direction, replace(signs, coda="coda")
    return direction, signs


def _with_beats(held: tuple[Fraction, ...], beats: tuple[Fraction, ...]) -> tuple[Fraction, ...]:
    """Beats in order, each once: some programs write the same words under every staff."""
    return tuple(sorted({*held, *beats}))


def _read_jumps(sound: etree._Element, signs: Signs) -> Signs:
    if sound.get("dacapo") == "yes":
        signs = replace(signs, to_start=True)
    if sound.get("fine") is not None:
        signs = replace(signs, fine=True)
    return replace(
        signs,
        segno=sound.get("segno", signs.segno),
        coda=sound.get("coda", signs.coda),
        to_segno=sound.get("dalsegno", signs.to_segno),
        to_coda=sound.get("tocoda", signs.to_coda),
    )


def _read_swing(sound: etree._Element, direction: Direction) -> Direction:
    swing = sound.find("swing")
    if swing is None or direction.feel is not None:
        return direction
    if swing.find("straight") is not None:
        return replace(direction, feel=Feel())
    first = read_integer(swing.findtext("first"), "swing")
    second = read_integer(swing.findtext("second"), "swing")
    if first < 1 or second < 1 or max(first, second) > 100 * min(first, second):
        raise InputError(f"a swing of {first} to {second} can't be played; write one such as 2 to 1")
    unit = SIXTEENTH if (swing.findtext("swing-type") or "eighth").strip() == "16th" else EIGHTH
    return replace(direction, feel=Feel(Fraction(first, second), unit))


def _read_tempo(
    element: etree._Element, sound: etree._Element | None, at: Time, direction: Direction
) -> Direction:
    bpm: Fraction | None = None
    if sound is not None and sound.get("tempo") is not None:
        bpm = read_number(sound.get("tempo"), "tempo")
    else:
        metronome = element.find("direction-type/metronome")
        bpm = None if metronome is None else _read_metronome(metronome)
    if bpm is None:
        return direction
    if not SLOWEST <= bpm <= FASTEST:
        raise InputError(f"a tempo of {float(bpm):g} can't be played; write {SLOWEST:g} to {FASTEST:g}")
    return replace(direction, tempos=(*direction.tempos, (at, float(bpm))))


def _read_metronome(element: etree._Element) -> Fraction | None:
    """Quarters a minute; None where the mark gives a relation or a word in place of a number."""
    unit = TYPES.get((element.findtext("beat-unit") or "").strip())
    found = re.search(r"\d{1,4}(?:\.\d{1,6})?", element.findtext("per-minute") or "")
    if unit is None or not found:
        return None
    dots = min(len(element.findall("beat-unit-dot")), 4)
    return Fraction(found[0]) * unit * (2 - Fraction(1, 1 << dots))


def read_barline(element: etree._Element, signs: Signs) -> Signs:
    """Adds the repeats, endings and signs of a ``<barline>`` to a bar's. Raises InputError."""
    for child in element.iterchildren(etree.Element):
        if child.tag == "repeat" and child.get("direction") == "forward":
            signs = replace(signs, forward=True)
        elif child.tag == "repeat" and child.get("direction") == "backward":
            times = read_integer(child.get("times", "2"), "times")
            signs = replace(signs, backward=max(2, times))
        elif child.tag == "ending" and child.get("type") == "start":
            text = child.get("number") or ""
            numbers = re.findall(r"\d{1,3}", text) or re.findall(r"\d{1,3}", child.text or "") or ["1"]
            signs = replace(signs, ending=tuple(map(int, numbers)))
        elif child.tag == "ending":
            signs = replace(signs, ending_stop=True)
        elif child.tag == "segno" and signs.segno is None:
            signs = replace(signs, segno=element.get("segno", "segno"))
        elif child.tag == "coda" and signs.coda is None and signs.to_coda is None:
            signs = replace(signs, coda=element.get("coda", "coda"))
    return signs


def settle_codas(directions: tuple[Direction, ...], signs: tuple[Signs, ...]) -> tuple[Signs, ...]:
    """Tells the way out from the way in where coda signs stand alone: the first leaves, the last arrives."""
    bare = [index for index, direction in enumerate(directions) if direction.codas]
    settled = list(signs)
    if bare and not any(sign.coda for sign in signs):
        settled[bare[-1]] = replace(settled[bare[-1]], coda="coda")
        bare = bare[:-1]
    if bare and not any(sign.to_coda for sign in signs):
        settled[bare[0]] = replace(settled[bare[0]], to_coda="coda")
    return tuple(settled)
