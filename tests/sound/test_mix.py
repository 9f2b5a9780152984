from __future__ import annotations

from functools import cache
from random import Random

import numpy as np
import pytest

from solowright.errors import InputError
from solowright.music.line import Note
from solowright.music.time import STRAIGHT, SWING, Feel
from solowright.music.tune import Tune
from solowright.sound.level import loudness, true_peak
from solowright.sound.mix import CEILING, LOUDNESS, STEMS, Mix, mixed, render
from solowright.sound.string import SAMPLE_RATE, Samples
from tests.sound.tunes import F, bar, note, tune, vamp


def wandering_line(quarters: int, seed: int = 3) -> list[Note]:
    random, notes, time, midi = Random(seed), [], F(0), 64
    while time < quarters:
        midi = min(84, max(50, midi + random.choice((-3, -2, -1, 1, 2, 3))))
        length = random.choice((F(1, 2), F(1, 2), F(1, 2), F(1), F(1, 4)))
        if random.random() < 0.9:
            notes.append(note(midi, time, length, slurred=random.random() < 0.3, vibrato=length == 1))
        time += length
    return notes


@cache
def whole(feel: Feel = SWING) -> tuple[Tune, Mix]:
    """Twelve bars with everything a chart can ask of a band."""
    bars = [
        bar("A7"), bar("D7"), bar("A7"), bar("Em7", "A7"), bar("Fmaj7"), bar("B7", "Em7"),
        bar("C#m7b5", "F#7b9"), bar("Bm7", hits=(F(0), F(3, 2), F(3))), bar(pause=True), bar(pause=True),
        bar("E7alt", answer=(F(1), F(3, 2))), bar("A13"),
    ]  # fmt: skip
    played = tune(bars, wandering_line(44), tempo=170, feel=feel)
    return played, render(played)


def onset(sound: Samples, near: int, reach: int = 2000, share: float = 0.02) -> int:
    """The first sample near ``near`` that rises above a share of the local peak."""
    piece = np.abs(sound[near - reach : near + reach])
    return near - reach + int(np.argmax(piece > share * piece.max()))


@pytest.mark.parametrize("feel", [STRAIGHT, SWING])
def test_stems_are_one_length_add_up_and_stay_below_minus_one(feel: Feel) -> None:
    _, mix = whole(feel)
    total = mixed(mix)
    assert tuple(mix.stems) == STEMS
    assert {(len(stem), stem.dtype.name) for stem in mix.stems.values()} == {(len(total), "float32")}
    assert np.allclose(total, np.sum(np.stack(list(mix.stems.values())), axis=0, dtype=float), atol=1e-6)
    for sound in (total, *mix.stems.values()):
        assert true_peak(sound) <= 10 ** (CEILING / 20) * 1.001
        assert abs(float(sound.mean(dtype=np.float64))) < 1e-4
        assert np.isfinite(sound).all() and np.abs(sound).max() > 0.02


@pytest.mark.parametrize("feel", [STRAIGHT, SWING])
def test_the_guitar_stands_a_little_in_front_of_the_band(feel: Feel) -> None:
    _, mix = whole(feel)
    start = round(mix.lead * SAMPLE_RATE)
    assert loudness(mixed(mix)[start:]) == pytest.approx(LOUDNESS, abs=0.5)
    band = sum(stem for name, stem in mix.stems.items() if name != "guitar")
    assert 1 < loudness(mix.stems["guitar"][start:]) - loudness(band[start:]) < 6


def test_the_same_seed_sounds_the_same_and_another_does_not() -> None:
    played, mix = whole()
    again, other = render(played), render(played, seed=2)
    assert all(np.array_equal(mix.stems[name], again.stems[name]) for name in STEMS)
    assert not np.array_equal(mix.stems["bass"], other.stems["bass"])


def test_audio_starts_and_ends_at_nothing() -> None:
    played, mix = whole()
    for part in (mix, render(played, bars=(2, 4), count_in=False)):
        total = mixed(part)
        assert abs(total[0]) < 1e-3 and abs(total[-1]) < 1e-4


@pytest.mark.parametrize("tempo", [60.0, 133.0, 240.0])
def test_bars_and_tempo_give_the_length_they_should(tempo: float) -> None:
    played, _ = whole()
    mix = render(played, bars=(3, 6), tempo=tempo)
    assert mix.lead == pytest.approx(4 * 60 / tempo)
    assert len(mixed(mix)) == round(5 * 4 * 60 / tempo * SAMPLE_RATE)
    assert mix.seconds == pytest.approx(5 * 4 * 60 / tempo, abs=1e-4)


def test_notes_begin_on_their_sample() -> None:
    times = (F(0), F(3, 2), F(3), F(13, 3), F(6), F(29, 4))
    notes = [note(45 + 5 * n, time, F(1, 4)) for n, time in enumerate(times)]
    played = vamp(3, notes, tempo=97, feel=SWING)
    mix = render(played, stems=("guitar", "click"))
    for time in times:
        wanted = round((mix.lead + played.seconds(time)) * SAMPLE_RATE)
        # The pick's edge takes 0.3 ms to rise; the note may not begin before its time.
        assert 0 <= onset(mix.stems["guitar"], wanted) - wanted <= 0.0004 * SAMPLE_RATE


@pytest.mark.parametrize("ratio", [F(1), F(3, 2), F(2), F(3)])
def test_swing_has_its_ratio(ratio: Feel) -> None:
    notes = [note(64 + n % 3, F(n, 2), F(1, 8)) for n in range(8)]
    played = vamp(2, notes, tempo=80, feel=Feel(F(ratio)))
    mix = render(played, stems=("guitar",), count_in=False)
    written = [round(played.seconds(F(n, 2)) * SAMPLE_RATE) for n in range(1, 7)]
    found = [onset(mix.stems["guitar"], near) for near in written]
    long, short = np.diff(found)[1::2].mean(), np.diff(found)[0::2].mean()
    assert long / short == pytest.approx(float(ratio), rel=0.002)


def test_nothing_of_the_band_sounds_in_a_break() -> None:
    played, mix = whole()
    begin, end = (round((mix.lead + played.seconds(F(q))) * SAMPLE_RATE) for q in (32, 40))
    for name in ("bass", "drums", "comping"):
        stem = mix.stems[name]
        assert np.abs(stem[begin - SAMPLE_RATE // 10 : begin]).max() > 0.005
        assert not stem[begin + SAMPLE_RATE // 40 : end].any()
    assert np.abs(mix.stems["brass"][begin + SAMPLE_RATE // 10 : end]).max() == 0
    assert np.abs(mix.stems["guitar"][begin:end]).max() > 0.05


def test_hits_are_struck_on_one_sample() -> None:
    played, mix = whole()
    for hit in (F(28), F(59, 2), F(31)):
        wanted = round((mix.lead + played.seconds(hit)) * SAMPLE_RATE)
        for name in ("bass", "comping"):
            quiet = mix.stems[name][wanted - 8 : wanted].astype(float)
            struck = mix.stems[name][wanted : wanted + 200].astype(float)
            assert np.abs(np.diff(struck)).max() > 4 * np.abs(np.diff(quiet)).max()
        assert 0 <= onset(mix.stems["drums"], wanted, reach=300, share=0.2) - wanted < 40


def test_a_bar_is_played_the_same_in_any_excerpt() -> None:
    played, mix = whole()
    alone = render(played, bars=(5, 6), count_in=False, stems=("bass",)).stems["bass"]
    start = round((mix.lead + played.seconds(F(16))) * SAMPLE_RATE)
    inside = mix.stems["bass"][start : start + len(alone)]
    piece = slice(SAMPLE_RATE // 2, len(alone) - SAMPLE_RATE // 2)
    assert np.corrcoef(alone[piece], inside[piece])[0, 1] > 0.999


def test_parts_with_nothing_to_play_have_no_stem() -> None:
    assert tuple(render(vamp(2), count_in=False).stems) == ("bass", "drums", "comping")
    assert tuple(render(vamp(2), stems=("drums", "brass")).stems) == ("drums",)
    with pytest.raises(InputError, match="nothing to play"):
        render(vamp(2), stems=("brass",))
    with pytest.raises(InputError, match="no stem 'banjo'; choose among guitar, bass"):
        render(vamp(2), stems=("banjo",))


def test_a_bar_too_short_to_measure_is_rendered_too() -> None:
    played = tune([bar("A7", short=F(1, 2)), bar("A7")], [note(60, 0, F(1, 2))], tempo=200)
    tiny = render(played, bars=(1, 1), count_in=False)
    assert 0.1 < true_peak(mixed(tiny)) < 0.9
    assert len(mixed(tiny)) == round(0.15 * SAMPLE_RATE)


@pytest.mark.parametrize("techniques", [
    {"dead": True}, {"palm_mute": True}, {"entry": "harmonic"}, {"entry": "tap"}, {"let_ring": True},
    {"trill": 1}, {"slide_from": -2, "slide_to": -12}, {"vibrato": True, "accent": True, "stroke": "up"},
    {"staccato": True},
])  # fmt: skip
def test_every_technique_sounds_and_never_runs_away(techniques: dict[str, object]) -> None:
    notes = [note(52 + 4 * n, F(n, 2), F(1, 2), **techniques) for n in range(8)]
    guitar = render(vamp(2, notes), stems=("guitar",), count_in=False).stems["guitar"]
    assert np.isfinite(guitar).all()
    for n in range(8):
        start = n * SAMPLE_RATE // 4
        assert 0.01 < np.abs(guitar[start : start + SAMPLE_RATE // 4]).max() <= 1.0
