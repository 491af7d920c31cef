"""The page's server: on this machine alone, at an address that nobody can guess."""

import secrets
import socket
import sys
import threading
import webbrowser
from dataclasses import dataclass

import uvicorn

from kinematics.inputs.reading.faults import Fault, InputFaultError
from reports.page.application import application
from reports.page.desk import Desk
from reports.page.guard import Guard

_HERE = "127.0.0.1"
_KEY_BYTES = 24


@dataclass(frozen=True)
class Place:
    """A socket that listens on this machine, and the key that every address begins with."""

    socket: socket.socket
    key: str

    @property
    def host(self) -> str:
        """Machine and port."""
        return f"{_HERE}:{self.socket.getsockname()[1]}"

    @property
    def address(self) -> str:
        """What a browser opens."""
        return f"http://{self.host}/{self.key}/"


def taken_place(port: int) -> Place:
    """Listen at a port, or at any that is free where it is zero; InputFaultError where it is in use."""
    # With the protocol named, asyncio sends each part of an answer at once; else the last one waits some 40 ms, until
    # the browser has acknowledged the one before (RFC 896; RFC 1122, 4.2.3.2).
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    if sys.platform != "win32":
        # A port that was given up a moment ago may be taken again; on Windows the word means something else.
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((_HERE, port))
        listening.listen()  # from here on whoever comes waits, until the server answers
    except OSError as error:
        listening.close()
        text = f"port {port} cannot be used ({error.strerror}); leave --port out to take a free one"
        raise InputFaultError("cornersweep open", [Fault("--port", text)]) from None
    return Place(listening, secrets.token_urlsafe(_KEY_BYTES))


def server_at(place: Place, desk: Desk) -> uvicorn.Server:
    """The server of a desk at a place, ready to run."""
    guarded = Guard(application(desk), place.host, place.key)
    return uvicorn.Server(
        uvicorn.Config(
            guarded, http="h11", ws="none", lifespan="off", log_config=None, access_log=False, server_header=False,
            limit_concurrency=64, timeout_graceful_shutdown=2,
        )
    )  # fmt: skip


def serve(place: Place, desk: Desk, *, browser: bool) -> None:
    """Answer until KeyboardInterrupt, when the person at the keyboard stops it.

    browser: open the page in one, which waits for the first answer.
    """
    if browser:
        threading.Thread(target=_open, args=(place.address,), daemon=True).start()
    server_at(place, desk).run(sockets=[place.socket])


def _open(address: str) -> None:
    """The socket listens already, so that a browser that is quicker than the server waits for it."""
    try:
        opened = webbrowser.open(address)
    except webbrowser.Error:
        opened = False
    if not opened:
        sys.stderr.write("no browser could be opened: open the address above in one\n")
