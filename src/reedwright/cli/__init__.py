"""The commands: parse, call a use case, print."""

import argparse

__all__ = ["parser"]


def parser() -> argparse.ArgumentParser:
    """Return the parser of the whole command line."""
    return argparse.ArgumentParser(prog="reedwright")
