"""Standard MIDI Files in and out: the door to the ``midi_*`` modules."""

from solowright.files.midi_read import read_midi
from solowright.files.midi_write import write_midi

__all__ = ["read_midi", "write_midi"]
