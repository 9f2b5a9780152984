"""The film, decoded again: what is in it, and that picture, sound and captions go together."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import av
import numpy as np
import pytest

from solowright.lesson.scene import HEIGHT, WIDTH, Scene
from solowright.lesson.sounds import play_at
from solowright.lesson.video import FPS, Pass, film_chapters, film_cues, pass_starts
from solowright.music.tune import Tune
from solowright.work import Worked


@pytest.fixture(scope="module")
def passes(steps: Tune) -> list[Pass]:
    played = [play_at(steps, share) for share in (1.0, 0.6)]
    return [Pass(name, p.tempo, p.counted_in) for name, p in zip(("At tempo", "Slowly"), played, strict=True)]


@pytest.fixture(scope="module")
def scene(worked: Worked) -> Scene:
    return Scene(worked)


def test_streams_length_and_frames(pack: Path, passes: list[Pass]) -> None:
    with av.open(str(pack / "film.mp4")) as film:
        picture, sound, text = film.streams.video[0], film.streams.audio[0], film.streams.subtitles[0]
        assert (picture.codec_context.name, sound.codec_context.name) == ("h264", "aac")
        assert (picture.width, picture.height, picture.average_rate) == (WIDTH, HEIGHT, FPS)
        assert text.codec_context.name == "mov_text"
        length = pass_starts(passes)[-1]
        assert float(film.duration or 0) / 1e6 == pytest.approx(length, abs=0.05)
        assert sum(1 for _ in film.decode(picture)) == round(length * FPS)


def test_the_sound_is_the_passes_on_time(pack: Path, passes: list[Pass]) -> None:
    with av.open(str(pack / "film.mp4")) as film:
        heard = np.concatenate([frame.to_ndarray()[0] for frame in film.decode(audio=0)])
    start = round(pass_starts(passes)[1] * 48_000)
    for at, each in ((0, passes[0]), (start, passes[1])):
        want = sum(each.mix.stems.values())
        part = heard[at : at + len(want)]
        size = 1 << 20
        spectrum = np.fft.rfft(want, size).conj() * np.fft.rfft(part, size)
        shift = int(np.argmax(np.fft.irfft(spectrum)))
        assert min(shift, size - shift) < 48, "within a millisecond"


def test_captions_in_the_film_are_those_beside_it(pack: Path, worked: Worked, passes: list[Pass]) -> None:
    cues = film_cues(worked, passes)
    with av.open(str(pack / "film.mp4")) as film:
        stream = film.streams.subtitles[0]
        told = [
            (float(packet.pts * packet.time_base), bytes(packet)[2:].decode("utf-8", "ignore"))
            for packet in film.demux(stream)
            if packet.size > 2 and packet.pts is not None
        ]
    assert len(told) == len(cues)
    for (start, text), cue in zip(told, cues, strict=True):
        assert start == pytest.approx(cue.start, abs=0.001)
        assert text.split()[:3] == cue.text.split()[:3]


def test_captions_are_in_step_in_both_passes(worked: Worked, passes: list[Pass]) -> None:
    starts = pass_starts(passes)
    for cue in film_cues(worked, passes):
        number = 0 if cue.start < starts[1] else 1
        each, tune = passes[number], worked.tune.at_tempo(passes[number].tempo)
        assert cue.start == pytest.approx(starts[number] + each.mix.lead + tune.seconds(cue.note))


def test_chapters_cover_the_film(pack: Path, worked: Worked, passes: list[Pass]) -> None:
    chapters = film_chapters(worked, passes)
    assert [each.name for each in chapters] == [
        "At tempo: Head, bar 1", "At tempo: Tail, bar 3", "Slowly: Head, bar 1", "Slowly: Tail, bar 3",
    ]  # fmt: skip
    assert chapters[0].start == 0 and chapters[-1].end == pytest.approx(pass_starts(passes)[-1])
    assert all(one.end == pytest.approx(other.start) for one, other in pairwise(chapters))
    with av.open(str(pack / "film.mp4")) as film:
        inside = [(each["metadata"]["title"], each["start"]) for each in film.chapters()]
    assert inside == [(each.name, round(each.start * 1000)) for each in chapters]


def test_the_finger_that_plays_is_on_the_neck(worked: Worked, scene: Scene) -> None:
    """While a note sounds a dark dot lies on its string and fret; before the tune none does."""
    notes = worked.tune.line.notes
    for index in (0, 5, 20, len(notes) - 1):
        note = notes[index]
        second = worked.tune.seconds(note.onset) + 0.02
        x, y = scene.spot(index)
        assert _darkest(scene, second, x, y) < 130
        assert _darkest(scene, -1.0, x, y) > 150


def _darkest(scene: Scene, second: float, x: int, y: int) -> int:
    """The darkest brightness in a small square that lies off the strings and digits."""
    return int(scene.draw(second).planes[0][y - 8 : y - 5, x - 2 : x + 3].mean())


def test_the_page_shows_what_sounds_and_what_comes(worked: Worked, scene: Scene) -> None:
    tune = worked.tune
    marked = [scene.mark_at(tune.seconds(note.onset)) for note in tune.line.notes]
    same_row = [(one, other) for one, other in pairwise(marked) if one[1] == other[1]]
    assert len(same_row) >= len(marked) - 4
    assert all(one[0] <= other[0] for one, other in same_row), "the play mark never runs back in a system"


def test_frames_of_a_second_apart_differ_only_while_music_plays(scene: Scene) -> None:
    playing = [scene.draw(second).data for second in (0.2, 1.2)]
    assert (playing[0] != playing[1]).any()
    over = [scene.draw(scene.length + second).data for second in (1.0, 2.0)]
    assert np.array_equal(*over)


def test_the_film_itself_is_the_scene(pack: Path, worked: Worked, passes: list[Pass], scene: Scene) -> None:
    """A frame out of the middle of each pass, decoded, looks as it was drawn (38 dB or better)."""
    starts = pass_starts(passes)
    with av.open(str(pack / "film.mp4")) as film:
        pictures = [frame.to_ndarray(format="yuv420p") for frame in film.decode(video=0)]
    for number, each in enumerate(passes):
        frame = round(starts[number] * FPS) + round((each.mix.lead + 1.5) * FPS)
        second = (frame - round(starts[number] * FPS) + 0.5) / FPS - each.mix.lead
        drawn = scene.draw(second * each.tempo / worked.tune.tempo.first).data[:HEIGHT]
        shown = pictures[frame][:HEIGHT]
        right = slice(None), slice(0, 860)  # beside it stands the heading of the pass
        error = np.mean((drawn[right].astype(float) - shown[right]) ** 2)
        assert 10 * np.log10(255**2 / error) > 38
