"""Pitch, time, chord, scale, chart, line, tune: plain frozen records, no I/O, no guitar."""
