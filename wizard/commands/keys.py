"""`tramwright keys`: the keys in force, as the settings file that would say the same."""

from __future__ import annotations

import argparse
import sys

from wizard import exits


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add nothing: there is nothing to set."""


def run(args: argparse.Namespace) -> int:
    """Print the settings; where they are kept goes to standard error. Raises InputRefused."""
    from wizard.config import config_file, keys_in_force, settings_text, thou_wanted

    print(settings_text(keys_in_force(), thou=thou_wanted()))
    print(f"tramwright: these settings are kept in {config_file()}", file=sys.stderr)
    return exits.WITHIN
