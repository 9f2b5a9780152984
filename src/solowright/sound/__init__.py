"""The sound: a plucked-string guitar voice over a band worked out from the chart, to audio files."""
