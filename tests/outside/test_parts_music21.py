"""Parts against music21 (BSD, version 9 or later): its own transposition of chart and notes, its reading
of what sounds; and against the MusicXML 4.0 schema (see ``test_musicxml_schema``)."""

from __future__ import annotations

from typing import Any

import pytest
from lxml import etree

from solowright.demo import bundled_tune
from solowright.page.part_score import PARTS, Part, write_part
from solowright.page.part_xml import part_musicxml
from tests.outside.test_musicxml_schema import schema  # noqa: F401  (a fixture)

music21: Any = pytest.importorskip("music21")
# What a B flat trumpet and an E flat alto saxophone read over concert pitch, by music21's instruments.
INSTRUMENTS = {"b-flat": "Trumpet", "e-flat": "AltoSaxophone"}


def plain_name(name: str) -> str:
    return name.replace("-", "b")


@pytest.mark.parametrize("part", [part for part in PARTS if part.semitones], ids=lambda part: part.name)
def test_key_and_roots_are_music21_s_transposition(part: Part) -> None:
    tune = bundled_tune()
    sounds = getattr(music21.instrument, INSTRUMENTS[part.name])().transposition
    written = sounds.reverse()
    assert written.semitones == part.semitones
    read = write_part(tune, part).tune
    key = music21.key.Key(tune.key.tonic.name).transpose(written)
    assert plain_name(key.tonic.name) == read.key.tonic.name
    assert key.sharps == read.key.fifths
    for (_, _, chord), (_, _, other) in zip(tune.chart.spans, read.chart.spans, strict=True):
        assert chord is not None and other is not None
        root = music21.pitch.Pitch(chord.root.name.replace("b", "-")).transpose(written)
        assert plain_name(root.name) == other.root.name


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part.name)
def test_what_music21_hears_is_concert_pitch(part: Part) -> None:
    score = write_part(bundled_tune(), part)
    heard = music21.converter.parseData(part_musicxml(score).decode(), format="musicxml").toSoundingPitch()
    sounding = sorted(
        (round(float(element.getOffsetInHierarchy(heard)), 4), pitch.midi)
        for element in heard.recurse().notes
        if "Harmony" not in element.classes
        for pitch in element.pitches
    )
    wanted = sorted(
        (round(float(note.onset), 4), note.pitch.midi - part.semitones) for note in score.tune.line.notes
    )
    assert sounding == wanted
    assert len(sounding) > 20


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part.name)
def test_parts_are_valid_musicxml(part: Part, schema: etree.XMLSchema) -> None:  # noqa: F811
    written = etree.fromstring(part_musicxml(write_part(bundled_tune(), part)))
    schema.assertValid(written)
    clef = written.findtext("part/measure/attributes/clef/sign")
    assert clef == part.clef
    cues = written.findall("part/measure/note/cue")
    assert len(cues) == 20  # the guitar's two bars of break
