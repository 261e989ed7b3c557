"""Opens the worktable on this machine's own address and keeps it open until it is stopped."""

from __future__ import annotations

import socket
import sys
import webbrowser
from contextlib import suppress
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING

from kitprep.errors import BadOption, PortTaken

if TYPE_CHECKING:
    from starlette.applications import Starlette
    from uvicorn import Server

ADDRESS = "127.0.0.1"  # this machine only; never a network's


def serve(shelf: Path | None, port: int, open_browser: bool) -> None:
    """Serve the worktable until Ctrl+C.

    Parameters
    ----------
    shelf : Path or None
        The shelf's folder; None for the usual one.
    port : int
        Where; 0 for any that is free.
    open_browser : bool
        Whether to show it in the usual browser.

    Raises
    ------
    BadOption, PortTaken
        If there is no such port, or it is in use.
    """
    from kitprep.worktable.app import create_app
    from kitprep.worktable.guards import own_hosts

    with listening(port) as listener:
        taken = listener.getsockname()[1]
        server = make_server(create_app(shelf, own_hosts(taken)))
        with suppress(KeyboardInterrupt):
            _tell(f"http://{ADDRESS}:{taken}/", open_browser)
            server.run(sockets=[listener])
    sys.stdout.write("\nThe worktable is closed.\n")


def _tell(address: str, open_browser: bool) -> None:
    sys.stdout.write(f"The worktable is open at {address}\nClose it with Ctrl+C in this window.\n")
    sys.stdout.flush()
    if open_browser:
        # Some browsers keep the call that opens them until they are closed.
        Thread(target=webbrowser.open, args=(address,), daemon=True).start()


def make_server(app: Starlette) -> Server:
    """What serves the worktable; it is run with a socket from `listening`."""
    from uvicorn import Config, Server

    return Server(Config(app, ws="none", log_level="warning", access_log=False, server_header=False))


def listening(port: int) -> socket.socket:
    """A socket that listens on this machine's own address; errors as `serve`."""
    if not 0 <= port <= 65_535:
        raise BadOption("--port", str(port), "a port from 1 to 65535, or 0 for any that is free")
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if sys.platform != "win32":  # there it would let two programs share a port
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((ADDRESS, port))
        listener.listen(128)
    except OSError as error:
        listener.close()
        raise PortTaken(port, (error.strerror or str(error)).lower()) from error
    return listener
