"""The way into and out of files: the suffix says the format, and only its module is imported.

A sheet may keep its line in another file (``line: FILE``). Only files in or below the sheet's own
folder are opened for it: sheets are handed around, and one from somebody else must not read elsewhere.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from solowright.errors import FileError, InputError, Problem
from solowright.files.text import nearest
from solowright.files.whole import read_whole, write_whole
from solowright.music.chart import Chart
from solowright.music.line import Line, Note
from solowright.music.pitch import Pitch
from solowright.music.tune import STANDARD_TUNING, Tune
from solowright.music.tuning import tuning_text

# Suffix: the format behind it.
FORMATS = {
    ".solo": "sheet",
    ".musicxml": "MusicXML",
    ".xml": "MusicXML",
    ".mxl": "MusicXML",
    ".mid": "MIDI",
    ".midi": "MIDI",
    ".abc": "ABC",
}
MOST_OCTAVES = 4


def load(
    path: Path | str,
    *,
    chart: Path | str | None = None,
    part: str | None = None,
    octave: int = 0,
    refinger: bool = False,
    remarks: list[Problem] | None = None,
    tuning: tuple[int, ...] | None = None,
    capo: int | None = None,
) -> Tune:
    """The tune in a file.

    ``chart`` names a text file with the chart of a MIDI or ABC file; ``part`` chooses among parts;
    ``octave`` shifts the line by so many octaves; ``refinger`` drops strings, frets, fingers and
    entries, save taps and harmonics, which are part of the sound. ``remarks`` is filled with what a
    MIDI or ABC file holds that was read past.

    ``tuning`` and ``capo`` say how the player's instrument is strung (None: as the file says, or
    standard). A file's own win: a sheet's header, MusicXML's staff, and tablature, which is for the
    tuning it was written for. Where that makes a difference, ``remarks`` says so.

    Raises InputError (FileError with every problem where the file could be opened).
    """
    path = Path(path)
    if chart is not None and _format(path) not in ("MIDI", "ABC"):
        raise InputError(f"{path}: a {_format(path)} file brings its own chart; drop --chart")
    found = [] if remarks is None else remarks
    tune = _read(path, load_chart(chart) if chart is not None else None, part, found, ())
    if octave:
        tune = _shift(tune, octave, path)
    tune = _string_up(tune, path, tuning, capo, found)
    _check_fit(tune, path)
    return _drop_choices(tune) if refinger else tune


def load_chart(path: Path | str) -> Chart:
    """The chart in a text file that holds only a chart part, or in a sheet. Raises InputError."""
    from solowright.files.sheet import read_chart

    return read_chart(read_whole(Path(path)), str(path))


def save(tune: Tune, path: Path | str) -> None:
    """Writes the tune in the format of the suffix, whole or not at all. Raises InputError."""
    path = Path(path)
    write_whole(path, _write(tune, path))


def _format(path: Path) -> str:
    suffix = path.suffix.lower()
    if suffix in FORMATS:
        return FORMATS[suffix]
    if path.is_dir():
        raise InputError(f"{path}: this is a folder; name a file")
    what = "this name has no suffix"
    if suffix:
        what = f"'{suffix}' is not a format known here{nearest(suffix, FORMATS)}"
    raise InputError(f"{path}: {what}; known: {', '.join(FORMATS)}")


def _read(
    path: Path, chart: Chart | None, part: str | None, remarks: list[Problem], through: tuple[Path, ...]
) -> Tune:
    """The tune as the file says it. ``through`` holds the sheets whose lines led here."""
    form, data, file = _format(path), read_whole(path), str(path)
    if form == "MusicXML":
        from solowright.files.musicxml_read import read_musicxml

        return read_musicxml(data, file, part)
    if form == "MIDI":
        from solowright.files.midi_read import read_midi

        return read_midi(data, file, chart, part, remarks)
    if form == "ABC":
        from solowright.files.abc_read import read_abc

        return read_abc(data, file, chart, part, remarks)
    from solowright.files.sheet import read_sheet

    if part is not None:
        raise InputError(f"{path}: a sheet has one part; drop --part")

    def open_line(name: str, over: Chart) -> Tune:
        return _read(_beside(path, name, through), over, None, remarks, (*through, path))

    return read_sheet(data, file, open_line)


def _beside(sheet: Path, name: str, through: tuple[Path, ...]) -> Path:
    """The file that a sheet's ``line:`` names. Raises InputError where it may not be opened."""
    folder = sheet.parent.resolve()
    found = (folder / name).resolve()
    if not found.is_relative_to(folder):
        raise InputError(f"'{name}' is outside the sheet's folder; put the file beside the sheet")
    if any(found == opened.resolve() for opened in (*through, sheet)):
        raise InputError(f"'{name}' leads back to this sheet; name the file that holds the notes")
    return sheet.parent / name


def _write(tune: Tune, path: Path) -> bytes:
    """The tune in the format of the path's suffix."""
    form = _format(path)
    if form == "MusicXML":
        from solowright.files.musicxml_pack import pack_mxl
        from solowright.files.musicxml_write import write_musicxml

        score = write_musicxml(tune)
        return pack_mxl(score) if path.suffix.lower() == ".mxl" else score
    if form == "MIDI":
        from solowright.files.midi_write import write_midi

        return write_midi(tune)
    if form == "ABC":
        from solowright.files.abc_write import write_abc

        return write_abc(tune)
    from solowright.files.sheet import write_sheet

    return write_sheet(tune)


def _string_up(
    tune: Tune, path: Path, tuning: tuple[int, ...] | None, capo: int | None, remarks: list[Problem]
) -> Tune:
    """The tune on the player's instrument, as far as the file leaves that open."""
    if (tuning or tune.tuning, tune.capo if capo is None else capo) == (tune.tuning, tune.capo):
        return tune
    if any(note.string is not None or note.fret is not None for note in tune.line.notes):
        stated = frozenset(("tuning", "capo"))
    elif _format(path) == "sheet":
        from solowright.files.sheet import stated_keys

        stated = stated_keys(read_whole(path), str(path))
    else:
        stated = frozenset(
            key for key, own in (("tuning", tune.tuning != STANDARD_TUNING), ("capo", tune.capo)) if own
        )
    if tuning is not None and tuning != tune.tuning:
        if "tuning" in stated:
            text = f"the file's own tuning ({tuning_text(tune.tuning)}) counts, not the player's"
            remarks.append(Problem(str(path), 0, 0, text))
        else:
            tune = replace(tune, tuning=tuning)
    if capo is not None and capo != tune.capo:
        if "capo" in stated:
            own = f"capo at fret {tune.capo}" if tune.capo else "neck without a capo"
            remarks.append(Problem(str(path), 0, 0, f"the file's own {own} counts, not the player's"))
        else:
            tune = replace(tune, capo=capo)
    return tune


def _shift(tune: Tune, octaves: int, path: Path) -> Tune:
    """The line ``octaves`` higher."""
    if abs(octaves) > MOST_OCTAVES:
        raise InputError(f"--octave {octaves} is too far; give {-MOST_OCTAVES} to {MOST_OCTAVES}")

    def shift(note: Note) -> Note:
        pitch = Pitch(note.pitch.tone, note.pitch.octave + octaves)
        if not 0 <= pitch.midi <= 127:
            raise InputError(
                f"{path}: {tune.chart.place(note.onset)}: {note.pitch.name} shifted by {octaves} "
                "octaves can't sound; give a smaller --octave"
            )
        return replace(note, pitch=pitch)

    return replace(tune, line=Line(tuple(shift(note) for note in tune.line.notes)))


def _check_fit(tune: Tune, path: Path) -> None:
    """A line must lie inside its chart."""
    length = tune.chart.length
    outside = [
        note for note in tune.line.notes if note.onset < 0 or note.onset >= length or note.end > length
    ]
    if outside:
        bars = len(tune.chart.bars)
        what = (
            f"the line goes on after the chart's {bars} bars (the first note beyond begins at "
            f"{tune.chart.place(outside[0].onset)}); lengthen the chart, or cut the line"
        )
        raise FileError((Problem(str(path), 0, 0, what),))


def _drop_choices(tune: Tune) -> Tune:
    def drop(note: Note) -> Note:
        entry = note.entry if note.entry in ("tap", "harmonic") else None
        return replace(note, string=None, fret=None, finger=None, entry=entry, stroke=None)

    return replace(tune, line=Line(tuple(map(drop, tune.line.notes))))
