"""Run the command line with ``python -m drumwright``."""

from drumwright.cli.main import main

if __name__ == "__main__":
    main()
