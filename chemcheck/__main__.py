"""Run the command line as ``python -m chemcheck``."""

from chemcheck.cli import main

if __name__ == "__main__":
    main()
