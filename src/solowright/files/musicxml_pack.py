"""Compressed MusicXML (``.mxl``): the score in a zip archive, named by ``META-INF/container.xml``.

Source: MusicXML 4.0, "Compressed .mxl files". The media type comes first and uncompressed, and the
times are fixed, so that equal scores give equal files.
"""

from __future__ import annotations

import io
import zipfile

_SCORE = "score.musicxml"
_MEDIA_TYPE = "application/vnd.recordare.musicxml"
_CONTAINER = f"""<?xml version="1.0" encoding="UTF-8"?>
<container>
  <rootfiles>
    <rootfile full-path="{_SCORE}" media-type="{_MEDIA_TYPE}+xml"/>
  </rootfiles>
</container>
"""
_NO_DATE = (1980, 1, 1, 0, 0, 0)  # the earliest a zip archive can say


def pack_mxl(score: bytes) -> bytes:
    """A MusicXML file as the bytes of an ``.mxl`` file."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(zipfile.ZipInfo("mimetype", _NO_DATE), _MEDIA_TYPE)
        for name, data in (("META-INF/container.xml", _CONTAINER.encode()), (_SCORE, score)):
            archive.writestr(zipfile.ZipInfo(name, _NO_DATE), data, zipfile.ZIP_DEFLATED)
    return packed.getvalue()
