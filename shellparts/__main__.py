"""The command line, as ``python -m shellparts``."""

from shellparts.cli import main

if __name__ == "__main__":
    main(prog_name="shellparts")
