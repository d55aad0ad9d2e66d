"""``python -m generators.cli``."""

from generators.cli import main

main()
