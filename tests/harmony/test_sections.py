"""Paragraphs and summary: every number in them counted by hand here."""

from __future__ import annotations

from dataclasses import replace

from solowright.demo import bundled_tune
from solowright.harmony import read_line
from solowright.harmony.section_words import bar_list
from solowright.harmony.sections import belongs
from solowright.music.chart import Chart, Section
from tests.harmony.tunes import type_tune

CHART = "Dm7 | G7 | Cmaj7 | % | C7 | F7 | C7 | G7"
LINE = (
    "D4 F4 A4 C5 A4 F4 D4 C4 B3 D4 F4 G4 F4 D4 B3 D4 E4:2 r:2 r:4 "
    "E4 G4 Bb4 C5 Bb4 G4 E4 C4 A3 C4 Eb4 F4 Eb4 C4 A3 F3 r:8"
)


def test_each_section_has_its_paragraph() -> None:
    tune = type_tune(CHART, LINE, key="C")
    bars = tune.chart.bars
    tune = replace(tune, chart=Chart((Section("Changes", bars[:4]), Section("Blues", bars[4:]))))
    changes, blues = read_line(tune).sections
    assert (changes.name, changes.first, changes.last) == ("Changes", 1, 4)
    assert changes.text == (
        "Changes, bars 1–4. Real changes, three chords in four bars. "
        "Dm7–G7–Cmaj7 goes round by fourths. In both bars the line alone lets you hear the changes. "
        "All five targets on strong beats are chord tones. "
        "Guide tones lead by step: F (♭3 of Dm7), F (♭7 of G7), E (3 of Cmaj7). "
        "Devices: chord arpeggios (bars 1–2)."
    )
    assert (blues.character.kind, blues.first, blues.last) == ("blues", 5, 8)
    assert blues.text.startswith("Blues, bars 5–8. Blues ground: dominant sevenths C7, F7 and G7. ")


def test_the_summary_counts_the_whole_solo() -> None:
    reading = read_line(type_tune(CHART, LINE, key="C"))
    assert reading.summary.startswith(
        f"Eight bars, {len(reading.notes)} notes. It is made above all of chord arpeggios"
    )
    assert "In all four bars the line alone lets you hear the changes." in reading.summary
    covered = len({place for device in reading.devices for place in device.notes})
    assert reading.unexplained == len(reading.notes) - covered


def test_neighbouring_bars_are_joined() -> None:
    assert bar_list([7, 1, 2, 3, 3]) == "bars 1–3 and 7"
    assert bar_list([4]) == "bar 4"


def test_an_empty_line_has_nothing_to_sum_up() -> None:
    reading = read_line(type_tune("C", "r:4"))
    assert (reading.summary, reading.sections, reading.guide_tones) == ("", (), ())


def test_a_tension_that_the_symbol_writes_belongs_to_its_chord() -> None:
    notes = read_line(type_tune("F#7#9 | F#7", "A4:8 A4:8", key="A")).notes
    assert [note.degree for note in notes] == ["#9", "#9"]
    assert [belongs(note) for note in notes] == [True, False]


def test_the_demo_counts_every_bar_of_hits_and_one_home() -> None:
    reading = read_line(bundled_tune())
    assert "the band's hits in bars 7, 27–28, 32 and 35–36" in reading.summary
    vamp = next(section for section in reading.sections if section.first == 17)
    assert "home of Bm" not in vamp.text  # Bm7 is the two of the two-five that comes home to A
