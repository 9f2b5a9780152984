"""Files in and out: the sheet, MusicXML, MIDI and ABC, each a ``read_`` and a ``write_`` by format."""
