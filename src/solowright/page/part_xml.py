"""A part for the band as MusicXML 4.0: what ``part_score`` writes, for a player who wants it in a program.

Notes are written in the reader's key and say how far they sound from there; cues are cue notes, beats to be
kept are slash bars, rhythms that the band strikes stand in words as in the guitar's file.
"""

from __future__ import annotations

from lxml import etree

from solowright.files.musicxml_write import write_musicxml
from solowright.page.part_score import PartScore


def part_musicxml(score: PartScore) -> bytes:
    """The part as a MusicXML file, UTF-8. Raises InputError where a rhythm is too fine to be written."""
    root = etree.fromstring(write_musicxml(score.tune))
    measures = root.findall("part/measure")
    _inside(root, "part-list/score-part/part-name").text = score.part.title
    _set_attributes(_inside(measures[0], "attributes"), score)
    for bar in score.cues:
        for note in measures[bar].findall("note"):
            if note.find("pitch") is not None:
                _make_cue(note)
    plain = [
        bar in score.slashes and not (score.tune.chart.bars[bar].hits or score.tune.chart.bars[bar].answer)
        for bar in range(len(measures))
    ]
    for bar, measure in enumerate(measures):
        before = bar > 0 and plain[bar - 1]
        if plain[bar] != before:
            _turn_slashes(measure, "start" if plain[bar] else "stop")
    etree.indent(root)
    written: bytes = etree.tostring(root.getroottree(), xml_declaration=True, encoding="UTF-8")
    return written


def _set_attributes(attributes: etree._Element, score: PartScore) -> None:
    """The reader's clef, and how far the part sounds below what is written."""
    part, clef = score.part, _inside(attributes, "clef")
    _inside(clef, "sign").text = part.clef
    _inside(clef, "line").text = "4" if part.clef == "F" else "2"
    clef.remove(_inside(clef, "clef-octave-change"))
    for details in attributes.findall("staff-details"):
        attributes.remove(details)
    if part.semitones:
        transpose = etree.SubElement(attributes, "transpose")
        etree.SubElement(transpose, "diatonic").text = str(-score.steps)
        etree.SubElement(transpose, "chromatic").text = str(-part.semitones)


def _make_cue(note: etree._Element) -> None:
    for tie in note.findall("tie"):
        note.remove(tie)
    note.insert(0, etree.Element("cue"))
    chord = note.find("chord")
    if chord is not None:
        note.remove(chord)
        note.insert(1, chord)


def _turn_slashes(measure: etree._Element, way: str) -> None:
    attributes = measure.find("attributes")
    if attributes is None:
        attributes = etree.Element("attributes")
        measure.insert(0, attributes)
    style = etree.SubElement(attributes, "measure-style")
    etree.SubElement(style, "slash", {"type": way, "use-stems": "no"})


def _inside(element: etree._Element, path: str) -> etree._Element:
    """What the guitar's file always holds."""
    found = element.find(path)
    assert found is not None, path
    return found
