"""``python -m solowright``: the command line."""

from solowright.cli import main

main()
