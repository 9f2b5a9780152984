"""MusicXML to a tune: which part and staff is read, repeats, what other parts say."""

from __future__ import annotations

import pytest

from solowright.errors import FileError
from tests.files.scores import (
    CLEF,
    START,
    bar_line,
    barline,
    harmony,
    note,
    part,
    played,
    read,
    rehearsal,
    rest,
    score,
    sign,
    symbols,
    words,
)

WHOLE = note("C4", 16)


def test_the_first_part_with_notes_is_read_and_others_by_number_id_or_name() -> None:
    more = part(note("E5", 16), id_="P2") + part(note("G5", 16), id_="P3")
    data = score(rest(16), names=("Choir", "Flute", "Oboe d'amore"), more=more)
    assert played(read(data)) == "E5@0+4"
    for name in ("3", "P3", "oboe d'amore"):
        assert played(read(data, name)) == "G5@0+4"


def test_a_guitar_part_is_preferred_and_a_bass_is_no_guitar() -> None:
    more = part(note("E2", 16), id_="P2") + part(note("G4", 16), id_="P3")
    assert played(read(score(WHOLE, names=("Voice", "Bass Guitar", "Guitar 1"), more=more))) == "G4@0+4"
    tab = START.replace("<sign>G</sign><line>2</line>", "<sign>TAB</sign><line>5</line>")
    more = part(note("D4", 16), id_="P2", start=tab)
    assert played(read(score(WHOLE, names=("Voice", "Lead"), more=more))) == "D4@0+4"


def test_a_missing_part_names_those_that_are_there() -> None:
    with pytest.raises(FileError, match="there is no part 'Tuba'; choose one of: 1 Guitar"):
        read(score(WHOLE), "Tuba")


def test_percussion_is_refused_with_a_word() -> None:
    hit = "<note><unpitched/><duration>16</duration></note>"
    drums = START.replace("<sign>G</sign><line>2</line>", "<sign>percussion</sign>")
    with pytest.raises(FileError, match="every part is percussion"):
        read(score(hit, start=drums, names=("Drums",)))
    more = part(WHOLE, id_="P2")
    data = score(hit, start=drums, names=("Drums", "Guitar"), more=more)
    assert played(read(data)) == "C4@0+4"
    with pytest.raises(FileError, match="part 'Drums' is percussion; choose another of: 1 Drums, 2 Guitar"):
        read(data, "1")


def test_notation_and_tablature_of_one_music_are_read_once() -> None:
    clefs = '<staves>2</staves><clef number="1"><sign>G</sign></clef><clef number="2"><sign>TAB</sign></clef>'
    tuning = '<staff-details number="2"><capo>2</capo></staff-details>'
    start = START.replace(CLEF, clefs + tuning)
    finger = "<fingering>3</fingering>"
    upper = note("D4", 8, finger, after="<staff>1</staff>") + note("E4", 8, after="<staff>1</staff>")
    place = "<string>2</string><fret>1</fret>"
    lower = note("D4", 8, place, after="<voice>5</voice><staff>2</staff>")
    hammer = '<string>2</string><fret>3</fret><hammer-on type="stop"/>'
    lower += note("E4", 8, hammer, after="<voice>5</voice><staff>2</staff>")
    tune = read(score(upper + "<backup><duration>16</duration></backup>" + lower, start=start))
    assert played(tune) == "D4@0+2 E4@2+2"
    first, second = tune.line.notes
    assert (first.string, first.fret, first.finger) == (2, 1, 3)
    assert (second.string, second.fret, second.entry) == (2, 3, "hammer")
    assert tune.capo == 2


def test_of_a_piano_part_the_upper_staff_is_read() -> None:
    upper = note("E5", 16, after="<staff>1</staff>")
    lower = note("C3", 16, after="<voice>2</voice><staff>2</staff>")
    assert played(read(score(upper + "<backup><duration>16</duration></backup>" + lower))) == "E5@0+4"


def test_cues_and_slashes_are_not_played() -> None:
    tune = read(score(note("C5", 8, before="<cue/>") + note("B4", 4, after="<notehead>slash</notehead>")
                      + note("D4", 4)))  # fmt: skip
    assert played(tune) == "D4@3+1"


def test_chords_and_directions_of_the_first_part_reach_the_part_that_is_read() -> None:
    fast = rehearsal("Solo") + '<sound tempo="200"/>'
    more = part(note("G4", 16), id_="P2")
    tune = read(score(fast + harmony("G", "dominant") + WHOLE, names=("Voice", "Horn"), more=more), "2")
    assert (played(tune), symbols(tune)) == ("G4@0+4", "G7@0")
    assert tune.tempo.first == 200 and tune.chart.sections[0].name == "Solo"


def test_repeats_and_endings_are_played_out() -> None:
    first = barline('<ending number="1" type="start"/>') + note("D4", 16)
    first += barline('<ending number="1" type="stop"/><repeat direction="backward"/>')
    second = barline('<ending number="2" type="start"/>') + note("E4", 16)
    assert bar_line(read(score(WHOLE, first, second))) == "C4 | D4 | C4 | E4"


@pytest.mark.parametrize(
    ("segno", "jump", "fine"),
    [
        ('<sound segno="s"/>', words("D.S.", '<sound dalsegno="s"/>'), '<sound fine="yes"/>'),
        (sign("segno"), words("D.S. al Fine"), words("Fine")),
        ('<barline segno="s"><segno/></barline>', '<sound dalsegno="s"/>', words("FINE")),
    ],
)
def test_jumps_by_sound_by_sign_and_by_word(segno: str, jump: str, fine: str) -> None:
    data = score(note("C4", 16), segno + note("D4", 16) + fine, note("E4", 16) + jump)
    assert bar_line(read(data)) == "C4 | D4 | E4 | D4"


def test_bare_coda_signs_are_way_out_and_way_in() -> None:
    coda = sign("coda")
    data = score(note("C4", 16) + coda, note("D4", 16) + words("D.C. al Coda"), coda + note("E4", 16))
    assert bar_line(read(data)) == "C4 | D4 | C4 | E4"


def test_notes_may_belong_to_one_passage_only() -> None:
    twice = note("C4", 8) + note("D4", 8).replace("<note>", '<note time-only="2">')
    assert bar_line(read(score(twice + barline('<repeat direction="backward"/>')))) == "C4 | C4 D4"


def test_a_chord_held_at_the_start_of_a_repeat_is_the_written_one() -> None:
    forward = barline('<repeat direction="forward"/>')
    back = barline('<repeat direction="backward"/>')
    last = harmony("G", "dominant") + WHOLE + back
    tune = read(score(harmony("C", "major") + WHOLE, forward + WHOLE, last))
    assert symbols(tune) == "C@0 G7@8 C@12 G7@16"


def test_tempo_goes_back_with_da_capo() -> None:
    slow, fast = '<sound tempo="90"/>', '<sound tempo="180"/>'
    tune = read(score(slow + WHOLE, fast + WHOLE, WHOLE + '<sound dacapo="yes"/>'))
    assert tune.tempo.changes[:3] == ((0, 90.0), (4, 180.0), (12, 90.0))
