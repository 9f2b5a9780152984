"""How a tune comes onto the desk: typed anew, brought as a file, or copied from the demo; and the list."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from time import monotonic

from solowright.desk.bars import MOST_BARS
from solowright.desk.edit_facts import read_int, read_text
from solowright.desk.folder import digest, list_names, read_tune_file
from solowright.desk.state import Json, State
from solowright.desk.tunes import Tunes
from solowright.desk.worked import find_arc, work_out
from solowright.errors import FileError, InputError
from solowright.files.load import FORMATS, load
from solowright.files.sheet import read_sheet, write_sheet
from solowright.files.text import split_lines
from solowright.music.tune import Tune

MOST_NEW_BARS = 256
MOST_NOTES = 10_000  # of a tune that is brought: more is no solo, and would keep the desk busy for long
PATIENCE = 2.0  # seconds for pictures that were never drawn


def list_cards(tunes: Tunes) -> list[Json]:
    """A card for every tune: what it is, and the picture of its arc. A tune that can't be read or played
    has its ``problem`` instead.

    Cards are kept by the file's content. Where many are new, those that don't come within ``PATIENCE``
    have no picture yet; it is drawn when the list is asked for again.
    """
    until = monotonic() + PATIENCE
    return [_card(tunes, name, until) for name in list_names(tunes.folder)]


def _card(tunes: Tunes, name: str, until: float) -> Json:
    try:
        seen = digest(read_tune_file(tunes.folder, name))
        facts = tunes.history.card(seen)
        if facts is None:
            state = tunes.open(name).state
            facts = _facts(state)
            if monotonic() < until:
                facts["arc"] = _picture(state)
                tunes.history.keep_card(seen, facts)
    except InputError as error:
        blank = {"title": name, "composer": "", "bars": 0, "tempo": 0, "arc": [], "sections": []}
        return {"name": name, **blank, "problem": str(error)}
    return {"name": name, **facts}


def _facts(state: State) -> Json:
    tune = state.tune
    chart = tune.chart
    starts = chart.section_starts
    ends = [index for index, _ in starts[1:]] + [len(chart.bars)]
    return {
        "title": tune.title,
        "composer": tune.composer,
        "bars": len(chart.bars),
        "tempo": tune.tempo.first,
        "arc": [],
        "sections": [
            {"name": name, "first": chart.number(index), "last": chart.number(end - 1)}
            for (index, name), end in zip(starts, ends, strict=True)
        ],
    }


def _picture(state: State) -> Sequence[float]:
    """How intense each bar is, 0 to 1."""
    return [round(value, 3) for value in find_arc(state)["curves"]["intensity"]]


def make_new(tunes: Tunes, wishes: Json) -> str:
    """A new tune from its title, key, meter, tempo, feel, and its chart or so many empty bars."""
    title = " ".join(read_text(wishes, "title", 200).split())
    if not title:
        raise InputError("a tune needs a title; type one")
    head = [f"title: {title}"]
    for name in ("composer", "key", "meter", "feel", "tempo"):
        value = wishes.get(name)
        if value not in (None, ""):
            head.append(f"{name}: {_one_line(value)}")
    chart = read_text(wishes, "chart") if wishes.get("chart") else ""
    if not chart.strip():
        bars = read_int(wishes, "bars", 1, MOST_NEW_BARS) if wishes.get("bars") is not None else 8
        chart = "\n".join("| N.C. |" if row == 0 else "| . |" for row in range(bars))
    if any(line.text.strip().lower().startswith("line:") for line in split_lines(chart)):
        raise InputError("type the chords only; the notes are typed bar by bar afterwards")
    sheet = "\n".join([*head, "", chart, "", "line:", ""]).encode()
    try:
        tune = read_sheet(sheet, "the new tune")
    except FileError as error:
        raise InputError(_without_place(error)) from None
    player = tunes.see_profile().player
    if player.tuning is not None:
        tune = replace(tune, tuning=player.tuning)
    tune = replace(tune, capo=tune.capo if player.capo is None else player.capo)
    return tunes.add(title, write_sheet(tune))


def _without_place(error: FileError) -> str:
    return error.problems[0].text


def _one_line(value: object) -> str:
    return " ".join(str(value).split())[:200]


def add_upload(tunes: Tunes, name: str, data: bytes, chart: str | None) -> str:
    """A tune from a file's bytes; ``chart`` is the typed chart of a MIDI or ABC file without one.

    Raises InputError (FileError with every problem) for what can't be read or played.
    """
    plain = Path(name.replace("\\", "/")).name
    suffix = Path(plain).suffix.lower()
    if suffix not in FORMATS:
        raise InputError(f"'{plain[:60]}' is not a kind of file known here; bring {', '.join(FORMATS)}")
    with tempfile.TemporaryDirectory(prefix="solowright-") as space:
        file = Path(space) / f"{_file_stem(plain)}{suffix}"
        file.write_bytes(data)
        chart_file = None
        if chart and chart.strip():
            chart_file = Path(space) / "chart.txt"
            chart_file.write_text(chart, encoding="utf-8")
        try:
            player = tunes.see_profile().player
            tune = load(file, chart=chart_file, tuning=player.tuning, capo=player.capo)
        except InputError as error:
            raise _named(error, space) from None
    return _take(tunes, tune, data if suffix == ".solo" and b"line:" in data else None)


def _file_stem(plain: str) -> str:
    stem = "".join(sign if sign.isalnum() or sign in " -_." else "-" for sign in Path(plain).stem)
    return stem.strip(". ")[:80] or "tune"


def _named(error: InputError, space: str) -> InputError:
    """The error without the place where the file was kept meanwhile."""
    if isinstance(error, FileError):
        return FileError(tuple(type(p)(Path(p.file).name, p.line, p.column, p.text) for p in error.problems))
    return InputError(str(error).replace(f"{space}/", "").replace(space, ""))


def add_demo(tunes: Tunes) -> str:
    """A copy of the bundled tune."""
    from solowright.demo import bundled_tune

    return _take(tunes, bundled_tune(), None)


def _take(tunes: Tunes, tune: Tune, sheet: bytes | None) -> str:
    """Puts a tune into the folder, after it was worked out once: what can't be played is refused here."""
    bars, notes = len(tune.chart.bars), len(tune.line.notes)
    if bars > MOST_BARS or notes > MOST_NOTES:
        raise InputError(
            f"this tune has {bars} bars and {notes} notes; the desk takes {MOST_BARS} and {MOST_NOTES} at "
            "most, so bring the solo alone"
        )
    work_out(State(tune, player=tunes.profile.player))
    return tunes.add(tune.title or "tune", sheet if sheet is not None else write_sheet(tune))
