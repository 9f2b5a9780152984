"""The film: the tune at tempo and then slowly, as MP4 with captions and chapters.

H.264 picture and AAC sound, captions as a subtitle track (3GPP timed text) that players can switch on;
the same captions go beside it as WebVTT. Each pass is one render of the sound with its count-in, and
the picture is drawn for the middle of every frame.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import av
import numpy as np
from av.subtitles.subtitle import SubtitleSet

from solowright.lesson.captions import Cue, broken, make_cues
from solowright.lesson.scene import HEIGHT, WIDTH, Scene, words
from solowright.music.time import Time
from solowright.neck import Player
from solowright.page.drawing import GREY
from solowright.sound.mix import Mix, mixed
from solowright.work import Worked

FPS = 30
PICTURE = {"preset": "veryfast", "crf": "22", "tune": "animation"}
SOUND_BITS = 128_000  # a second
_MS = Fraction(1, 1000)
_AUDIO_FRAME = 1024
_BT709, _VIDEO_RANGE = 1, 1  # as ITU-T H.273 and the library number them


@dataclass(frozen=True, slots=True)
class Pass:
    """The tune once through: what it is called, its tempo, and its sound."""

    name: str
    tempo: float
    mix: Mix


@dataclass(frozen=True, slots=True)
class Chapter:
    """A stretch of the film with its name, in seconds."""

    start: float
    end: float
    name: str


def pass_starts(passes: Sequence[Pass]) -> list[float]:
    """The second of the film at which each pass begins, and where the last one ends: whole frames."""
    starts = [0.0]
    for each in passes:
        starts.append(starts[-1] + _frames(each) / FPS)
    return starts


def _frames(each: Pass) -> int:
    return -(-round(each.mix.seconds * 1000) * FPS // 1000)


def film_cues(worked: Worked, passes: Sequence[Pass]) -> tuple[Cue, ...]:
    """The captions of the whole film. Raises ValueError for a tune without a reading."""
    if worked.reading is None:
        raise ValueError("captions tell the reading, and there is none")
    cues: list[Cue] = []
    for each, (start, end) in zip(passes, pairwise(pass_starts(passes)), strict=True):
        seconds = _heard(worked, each, start)
        cues += make_cues(worked.tune, worked.reading, seconds, end)
    return tuple(cues)


def _heard(worked: Worked, each: Pass, start: float) -> Callable[[Time], float]:
    tune = worked.tune.at_tempo(each.tempo)
    return lambda time: start + each.mix.lead + tune.seconds(time)


def film_chapters(worked: Worked, passes: Sequence[Pass]) -> tuple[Chapter, ...]:
    """A chapter for each section of each pass; a count-in belongs to what it counts in."""
    chart = worked.tune.chart
    found: list[Chapter] = []
    for each, (start, end) in zip(passes, pairwise(pass_starts(passes)), strict=True):
        seconds = _heard(worked, each, start)
        opened = [seconds(chart.starts[index]) if index else start for index, _ in chart.section_starts]
        rows = zip(chart.section_starts, pairwise([*opened, end]), strict=True)
        for (index, name), (begin, stop) in rows:
            label = f"{each.name}: {name or 'the tune'}, bar {chart.number(index)}"
            found.append(Chapter(begin, stop, label))
    return tuple(found)


def write_video(
    worked: Worked,
    passes: Sequence[Pass],
    path: Path,
    *,
    player: Player | None = None,
    cues: Sequence[Cue] = (),
    drawn: Callable[[float], None] = lambda share: None,
) -> float:
    """Writes the film and gives its seconds. ``drawn`` is told the share that is done, a few times.

    Raises InputError where a rhythm can't be written, OSError where the file can't be.
    """
    scene = Scene(worked, player)
    length = pass_starts(passes)[-1]
    with av.open(str(path), "w", format="mp4", options={"movflags": "+faststart"}) as film:
        picture: Any = film.add_stream("libx264", rate=FPS, options=PICTURE)
        picture.width, picture.height, picture.pix_fmt = WIDTH, HEIGHT, "yuv420p"
        code = picture.codec_context
        code.color_primaries = code.color_trc = code.colorspace = _BT709
        code.color_range = _VIDEO_RANGE
        sound: Any = film.add_stream("aac", rate=passes[0].mix.sample_rate, layout="mono")
        sound.bit_rate = SOUND_BITS
        texts: Any = film.add_stream("mov_text") if cues else None
        if texts is not None:
            texts.codec_context.subtitle_header = _STYLE.encode()
            texts.codec_context.time_base = texts.time_base = _MS
        film.metadata["title"] = worked.tune.title
        chapters: Any = [_chapter(n, each) for n, each in enumerate(film_chapters(worked, passes))]
        film.set_chapters(chapters)
        if texts is not None:
            for cue in cues:
                film.mux(_text(texts, cue))
        blocks = _sound_blocks(passes)
        heard = 0.0
        for number, frame in enumerate(_pictures(scene, worked, passes)):
            while heard <= number / FPS and (block := next(blocks, None)) is not None:
                film.mux(sound.encode(block))
                heard += block.samples / block.sample_rate
            film.mux(picture.encode(frame))
            if number % FPS == 0:
                drawn(number / FPS / length)
        for block in blocks:
            film.mux(sound.encode(block))
        film.mux(picture.encode(None))
        film.mux(sound.encode(None))
    return length


# How captions look where a player doesn't decide: the form that the encoder takes.
_STYLE = """[Script Info]
ScriptType: v4.00+
PlayResX: 1280
PlayResY: 720

[V4+ Styles]
Format: Name, Fontname, Fontsize, PrimaryColour, SecondaryColour, OutlineColour, BackColour, Bold, Italic, \
Underline, StrikeOut, ScaleX, ScaleY, Spacing, Angle, BorderStyle, Outline, Shadow, Alignment, MarginL, \
MarginR, MarginV, Encoding
Style: Default,Sans,36,&Hffffff,&Hffffff,&H0,&H0,0,0,0,0,100,100,0,0,1,1,0,2,10,10,10,0

[Events]
Format: Layer, Start, End, Style, Name, MarginL, MarginR, MarginV, Effect, Text
"""


def _text(stream: Any, cue: Cue) -> Any:
    """A caption as a packet."""
    start, end = round(cue.start * 1000), round(cue.end * 1000)
    text = broken(cue.text).replace("\n", "\\N")
    event = f"0,0,Default,,0,0,0,,{text}".encode()
    packet = stream.codec_context.encode_subtitle(SubtitleSet.create(event, 0, end - start, start))
    packet.stream, packet.time_base = stream, _MS
    packet.pts = packet.dts = start
    packet.duration = end - start
    return packet


def _chapter(number: int, chapter: Chapter) -> dict[str, Any]:
    start, end = round(chapter.start * 1000), round(chapter.end * 1000)
    return {"id": number, "start": start, "end": end, "time_base": _MS, "metadata": {"title": chapter.name}}


def _sound_blocks(passes: Sequence[Pass]) -> Iterator[Any]:
    """The sound of all passes in the encoder's frames, each filled up to whole pictures."""
    rate = passes[0].mix.sample_rate
    lengths = [_frames(each) * rate // FPS for each in passes]
    whole = [np.pad(mixed(each.mix), (0, length)) for each, length in zip(passes, lengths, strict=True)]
    samples = np.concatenate([sound[:length] for sound, length in zip(whole, lengths, strict=True)])
    for start in range(0, len(samples), _AUDIO_FRAME):
        block = np.ascontiguousarray(samples[start : start + _AUDIO_FRAME], np.float32).reshape(1, -1)
        frame = av.AudioFrame.from_ndarray(block, format="fltp", layout="mono")
        frame.sample_rate, frame.pts, frame.time_base = rate, start, Fraction(1, rate)
        yield frame


def _pictures(scene: Scene, worked: Worked, passes: Sequence[Pass]) -> Iterator[Any]:
    number = 0
    for each in passes:
        heading = words(f"{each.name}: {each.tempo:.0f} quarter notes a minute", 16.0, "sans", GREY)
        speed = each.tempo / worked.tune.tempo.first
        for index in range(_frames(each)):
            second = ((index + 0.5) / FPS - each.mix.lead) * speed
            frame = av.VideoFrame.from_ndarray(scene.draw(second, heading).data, format="yuv420p")
            frame.pts, frame.time_base = number, Fraction(1, FPS)
            yield frame
            number += 1
