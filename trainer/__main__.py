"""Runs the command line as ``python -m trainer``."""

from __future__ import annotations

from trainer.cli.main import main

if __name__ == "__main__":
    main()
