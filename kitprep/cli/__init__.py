"""The command line: reads options, calls one job, shows the report."""

from kitprep.cli.main import main

__all__ = ["main"]
