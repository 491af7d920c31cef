"""Who may speak to the page's server: only the page itself, by its key, under its own address, and in few words.

Other sites in the same browser can send requests to this machine. They do not know the key, their `Origin` is not ours,
and a name of theirs that leads to 127.0.0.1 shows in `Host`.
"""

import hmac
from collections.abc import Sequence
from dataclasses import dataclass

from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_BYTES = 2_000_000  # of what is posted: twice the largest file that is read
_HEADERS: Sequence[tuple[bytes, bytes]] = (
    (
        b"content-security-policy",
        b"default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
        b"base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    ),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cache-control", b"no-store"),
)


@dataclass(frozen=True)
class Refused:
    """Why a request is not answered: the status and the words for it."""

    status: int
    words: str


class Guard:
    """What stands before an application. host: such as "127.0.0.1:8000"; key: what every address begins with."""

    def __init__(self, application: ASGIApp, host: str, key: str) -> None:
        self._application = application
        self._host, self._key = host, key

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Hand a request on without its key, or refuse it; every answer forbids the browser what the page needs not."""
        if scope["type"] != "http":
            return

        async def send_guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                message = {**message, "headers": [*message.get("headers", ()), *_HEADERS]}
            await send(message)

        refused = self._refused(scope)
        if refused is not None:
            await PlainTextResponse(refused.words, refused.status)(scope, receive, send_guarded)
            return
        path = scope["path"].removeprefix(f"/{self._key}")
        await self._application({**scope, "path": path, "raw_path": path.encode()}, receive, send_guarded)

    def _refused(self, scope: Scope) -> Refused | None:
        """Why a request is not answered; None where it is."""
        headers = {name.decode("latin-1"): value.decode("latin-1") for name, value in scope["headers"]}
        if headers.get("host") != self._host:
            return Refused(421, "This is not the page's address.")
        first = scope["path"].split("/")[1] if scope["path"].startswith("/") else ""
        if not hmac.compare_digest(first.encode(), self._key.encode()):
            return Refused(404, "The address is not whole: it must hold the key that cornersweep printed.")
        return self._from_elsewhere(scope["method"], headers) or _too_large(headers.get("content-length"))

    def _from_elsewhere(self, method: str, headers: dict[str, str]) -> Refused | None:
        """Whether another site asks. What changes nothing may come without an origin, as browsers send it."""
        own = f"http://{self._host}"
        origin = headers.get("origin", own if method in ("GET", "HEAD") else "")
        if origin == own and headers.get("sec-fetch-site", "none") in ("none", "same-origin"):
            return None
        return Refused(403, "Only the page itself may ask.")


def _too_large(length: str | None) -> Refused | None:
    """Whether more is announced than is taken; what is not announced is counted as it is read."""
    if length is None or (length.isascii() and length.isdigit() and int(length) <= MOST_BYTES):
        return None
    return Refused(413, f"More than {MOST_BYTES} bytes were posted.")
