"""``python -m revdiff``."""

from revdiff.cli.main import main

main()
