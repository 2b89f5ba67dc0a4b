"""Run the command line with ``python -m ease.cli``."""

from .app import main

if __name__ == "__main__":
    main()
