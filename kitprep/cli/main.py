"""`kitprep`, from the words on the command line to the exit code."""

from __future__ import annotations

import io
import os
import sys

from kitprep.cli.exits import OUR_FAULT, STOPPED, exit_code
from kitprep.errors import KitprepError


def main() -> int:
    """Run one command and give its exit code. A user never sees a traceback unless ``--verbose`` asks."""
    from kitprep.cli.app import app

    verbose = "--verbose" in sys.argv[1:]
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A console or file in an old encoding shows "?" for a sign it lacks, and the work goes on.
            stream.reconfigure(errors="replace")
    try:
        # Commands raise SystemExit with their code; falling through means nothing was left to do.
        app(prog_name="kitprep")
    except KitprepError as error:
        sys.stderr.write(f"kitprep: {error}\n")
        return exit_code(error)
    except SystemExit as stop:
        # The command framework turns Ctrl-C into this code itself.
        if stop.code == STOPPED:
            sys.stderr.write("kitprep: stopped; nothing was left half-written.\n")
        raise
    except KeyboardInterrupt:
        sys.stderr.write("kitprep: stopped; nothing was left half-written.\n")
        return STOPPED
    except BrokenPipeError:
        # The reader of our output has gone: what is left to flush must not complain at the very end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except MemoryError:
        sys.stderr.write("kitprep: this machine has too little memory for that; try fewer pages at once.\n")
        return OUR_FAULT
    except Exception as error:
        if verbose:
            raise
        kind = type(error).__name__
        sys.stderr.write(
            f"kitprep: this is a fault in kitprep ({kind}: {error}); "
            "run it again with --verbose before the command to see where.\n"
        )
        return OUR_FAULT
    return 0
