"""The bundled tune worked from end to end, into a folder that opens in a browser."""

from __future__ import annotations

import shutil
import tempfile
from dataclasses import replace
from html import escape
from importlib.resources import as_file, files
from pathlib import Path
from typing import TYPE_CHECKING

from solowright.errors import InputError
from solowright.files.load import load, save
from solowright.music.tune import Tune
from solowright.work import Step, Worked, work_out

if TYPE_CHECKING:
    from solowright.page.engrave import System

STEPS = ("fingering", "reading", "engraving", "shaping", "playing", "playing slowly", "writing")
SLOW = 0.6  # of show tempo
_SHEET = "tramline-nine.solo"
# file name, what a listener gets
_AUDIO = (
    ("with-band", "The solo with the band"),
    ("band-only", "The band alone, to play along"),
    ("guitar-only", "The guitar alone"),
    ("slow", "Everything at 60 % of the tempo"),
)


def bundled_tune() -> Tune:
    """The demo tune, from its sheet in the package."""
    with as_file(files("solowright") / "tunes" / _SHEET) as path:
        return load(path)


def make_demo(folder: Path, step: Step = lambda: None) -> Path:
    """Fills ``folder`` with booklet, pages, audio, MusicXML, MIDI and ``index.html``; gives its path.

    Everything is made beside the folder first, so a run that is stopped leaves nothing behind.
    Raises InputError where the folder can't be written.
    """
    folder = folder.resolve()
    if folder.exists() and not folder.is_dir():
        raise InputError(f"{folder}: this is a file; name a folder")
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".demo-", dir=folder.parent) as space:
            draft = Path(space) / folder.name
            draft.mkdir()
            _fill(draft, step)
            shutil.copytree(draft, folder, dirs_exist_ok=True)
    except OSError as error:
        raise InputError(f"{folder}: can't be written ({error.strerror}); choose another folder") from None
    step()
    return folder / "index.html"


def _fill(folder: Path, step: Step) -> None:
    from solowright.page.booklet import booklet
    from solowright.page.engrave import engrave

    worked = work_out(bundled_tune(), step=step)
    for suffix in (".solo", ".musicxml", ".mid"):
        save(worked.tune, folder / f"tramline-nine{suffix}")
    (folder / "booklet.pdf").write_bytes(booklet(worked.tune, worked.reading, worked.fingering))
    systems = engrave(worked.tune, worked.reading)
    (folder / "pages").mkdir()
    for number, system in enumerate(systems, 1):
        (folder / "pages" / f"system-{number:02}.svg").write_text(system.svg, "utf-8")
    step()
    _write_shape(worked, folder)
    step()
    _write_audio(worked.tune, folder, step)
    labels = [escape(_label(worked, system)) for system in systems]
    (folder / "index.html").write_text(_index(worked, labels), "utf-8")


def _write_shape(worked: Worked, folder: Path) -> None:
    """The arc, the practice sheet, and the band's parts."""
    from solowright.form import work_out_arc
    from solowright.page.arc_figure import draw_arc
    from solowright.page.part_score import PARTS
    from solowright.page.parts import part_pdf
    from solowright.practice import make_course
    from solowright.practice.sheet import practice_sheet

    assert worked.reading is not None, "the demo is worked out with its reasons"
    arc = work_out_arc(worked.tune, worked.fingering, worked.reading)
    (folder / "arc.svg").write_text(draw_arc(worked.tune, arc), "utf-8")
    course = make_course(worked.tune, worked.fingering.paths[0])
    (folder / "practice.pdf").write_bytes(practice_sheet(worked.tune, course))
    (folder / "parts").mkdir()
    for part in PARTS:
        (folder / "parts" / f"{part.name}.pdf").write_bytes(part_pdf(worked.tune, arc, part))


def _write_audio(tune: Tune, folder: Path, step: Step) -> None:
    from solowright.sound.audio import write_audio
    from solowright.sound.mix import render

    full = render(tune)
    band = {name: sound for name, sound in full.stems.items() if name != "guitar"}
    alone = {name: sound for name, sound in full.stems.items() if name in ("guitar", "click")}
    step()
    slow = render(tune, tempo=SLOW * tune.tempo.first)
    step()
    mixes = (full, replace(full, stems=band), replace(full, stems=alone), slow)
    for (name, _), mix in zip(_AUDIO, mixes, strict=True):
        write_audio(mix, folder / f"{name}.ogg")
    write_audio(full, folder / "with-band.wav")


def _label(worked: Worked, system: System) -> str:
    """What a system shows, for those who can't see it: its bars and the reasons under them."""
    chart = worked.tune.chart
    start, end = chart.starts[chart.index(system.first)], chart.starts[chart.index(system.last) + 1]
    sentences = worked.reading.sentences if worked.reading else ()
    reasons = [sentence.text for sentence in sentences if start <= sentence.start < end]
    return " ".join([f"Notation and tablature, bars {system.first} to {system.last}.", *reasons])


def _index(worked: Worked, labels: list[str]) -> str:
    from solowright.page.booklet import CAUTION, limit_words
    from solowright.page.part_score import PARTS

    tune = worked.tune
    players = "\n".join(
        f'<figure><figcaption>{escape(text)}</figcaption><audio controls preload="none" src="{name}.ogg">'
        f"</audio></figure>"
        for name, text in _AUDIO
    )
    pages = "\n".join(
        f'<a href="pages/system-{number:02}.svg"><img src="pages/system-{number:02}.svg" alt="{label}"></a>'
        for number, label in enumerate(labels, 1)
    )
    return _PAGE.format(
        title=escape(tune.title),
        composer=escape(tune.composer),
        facts=escape(" ".join(limit_words(worked.fingering))),
        players=players,
        pages=pages,
        parts="\n".join(
            f'<li><a href="parts/{part.name}.pdf">Part: {escape(part.title)}</a></li>' for part in PARTS
        ),
        caution=escape(CAUTION),
    )


_PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>
  :root {{ color: #1b1b1b; background: #fff; font: 1rem/1.5 "Source Sans 3", system-ui, sans-serif; }}
  body {{ max-width: 60rem; margin: 0 auto; padding: 2rem 1rem 4rem; }}
  h1 {{ font-size: 2rem; line-height: 1.2; margin: 0; }}
  p {{ max-width: 44rem; }}
  .by, figcaption, footer {{ color: #555; }}
  .players {{ display: grid; gap: 1rem; margin: 2rem 0; }}
  .players {{ grid-template-columns: repeat(auto-fit, minmax(min(22rem, 100%), 1fr)); }}
  figure {{ margin: 0; }}
  audio {{ width: 100%; margin-top: .25rem; }}
  ul {{ list-style: none; padding: 0; display: flex; flex-wrap: wrap; gap: .5rem 1.5rem; }}
  a {{ color: #0072b2; }}
  a:focus-visible, audio:focus-visible {{ outline: 3px solid #d55e00; outline-offset: 2px; }}
  .pages, .arc {{ margin-top: 2rem; overflow-x: auto; }}
  .pages img, .arc img {{ display: block; width: 100%; min-width: 40rem; height: auto; margin: 0 0 1.5rem; }}
  @media print {{ .players, ul {{ display: none; }} .pages img {{ break-inside: avoid; }} }}
</style>
</head>
<body>
<header>
<h1>{title}</h1>
<p class="by">{composer}</p>
<p>{facts}</p>
</header>
<section class="players" aria-label="Audio">
{players}
</section>
<ul>
<li><a href="booklet.pdf">Booklet (PDF)</a></li>
<li><a href="practice.pdf">Practice sheet (PDF)</a></li>
{parts}
<li><a href="tramline-nine.musicxml">MusicXML</a></li>
<li><a href="tramline-nine.mid">MIDI</a></li>
<li><a href="tramline-nine.solo">Sheet</a></li>
<li><a href="with-band.wav">Audio, uncompressed</a></li>
</ul>
<section class="arc" aria-label="How it builds">
<img src="arc.svg" alt="How the solo builds over its bars: intensity, register, pace, load, tension, flash.">
</section>
<section class="pages" aria-label="The solo">
{pages}
</section>
<footer><p>{caution}</p></footer>
</body>
</html>
"""
