"""ABC against tunes that nobody here wrote, and against music21's reading of them.

Tunes: the ABC books in music21's corpus, a sample with a fixed seed. Where the two readers differ we
looked up who is right by The abc music standard 2.1 (Dec 2011):

* music21 holds an accidental for its note only unless the file says ``%abc-2.1``; the standard (4.2,
  11.3) holds it to the barline. The comparison says ``%abc-2.1``.
* music21 loses the note behind the signs H, T and their like, and broken rhythm where a sign or a slur
  stands between (``g>.f``, ``g>(fe)``); the standard (4.14, 4.4) keeps both.
* music21 drops the second of two notes of different pitch with a tie between (``B-A``).
* music21 plays repeats without an opening sign from the start of the tune; common practice is from the
  end of the repeat before. The comparison leaves repeats out.
* The bass clef is only a drawing in the standard (4.6); music21 moves such a voice down.
"""

from __future__ import annotations

import random
import re
import warnings
from fractions import Fraction
from pathlib import Path

import pytest

from solowright.errors import FileError
from solowright.files.abc import read_abc

music21 = pytest.importorskip("music21")

READ = 300  # tunes that must go through
COMPARED = 40
# What the two readers read differently, see above.
DISPUTED = re.compile(
    rb"[H-Zh-y][\^_=]*[A-Ga-g]|[)\]}]\s*[<>]|[<>]\s*[^A-Ga-g\^_=\s]|-|!|\bV:|bass|alto|tenor|[&~]"
)


def book_tunes(seed: int) -> list[bytes]:
    """All tunes of music21's ABC books, shuffled."""
    found = []
    for path in sorted(map(Path, music21.corpus.getPaths(fileExtensions=(".abc",)))):
        texts = re.split(rb"(?m)^(?=X:)", path.read_bytes())
        found += [text for text in texts if text.startswith(b"X:")]
    random.Random(seed).shuffle(found)
    return found


@pytest.fixture(scope="module")
def tunes() -> list[bytes]:
    return book_tunes(20)


def test_tunes_of_the_books_are_read(tunes: list[bytes]) -> None:
    refused = []
    for text in tunes[:READ]:
        try:
            tune = read_abc(text, "book.abc")
        except FileError as error:
            refused.append(str(error))
            continue
        assert tune.line.notes and tune.line.notes[-1].end <= tune.chart.length
    # What is refused are files at fault: bars that don't add up, signs that are no ABC.
    assert all(re.search(r"book.abc:\d+:\d+: ", problem) for problem in refused)
    assert len(refused) < READ * 0.15


def without_repeats(text: bytes) -> bytes:
    """The tune's notes in the order of the page: repeats and endings become double barlines."""
    plain = re.sub(rb"\|:|:\||::", b"||", text)
    return b"%abc-2.1\n" + re.sub(rb"(?:\|\s*\[?|\[)[12](?![0-9/:])", b"||", plain)


def music(text: bytes) -> bytes:
    """The lines of music in a tune."""
    return b"\n".join(line for line in text.splitlines() if not re.match(rb"[A-Za-z]:(?![|:])|%", line))


def test_pitches_and_onsets_are_those_that_music21_reads(tunes: list[bytes]) -> None:
    compared = 0
    for text in tunes:
        if compared == COMPARED:
            break
        if DISPUTED.search(music(text)) or re.search(rb"(?m)^[PV]:|^K:.*(bass|clef)", text):
            continue
        written = without_repeats(text)
        try:
            tune = read_abc(written, "book.abc")
        except FileError:
            continue
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            score = music21.converter.parseData(written.decode("latin-1"), format="abc").stripTies()
        theirs = sorted(
            (Fraction(note.offset).limit_denominator(96), pitch.midi)
            for note in score.flatten().notes
            if not note.duration.isGrace and not isinstance(note, music21.harmony.Harmony)
            for pitch in note.pitches
        )
        ours = sorted((note.onset, note.pitch.midi) for note in tune.line.notes if not note.grace)
        assert ours == theirs, text.decode("latin-1")
        compared += 1
    assert compared == COMPARED
