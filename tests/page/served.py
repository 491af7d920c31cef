"""The page's server as a browser on this machine meets it, byte by byte and without a socket."""

import asyncio
import json
import shutil
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import unquote_to_bytes

from kinematics.inputs import demo_cars
from reports.page.application import application
from reports.page.bench import Bench
from reports.page.desk import Desk
from reports.page.guard import Guard

HOST, KEY = "127.0.0.1:8300", "a-key-that-nobody-guesses"
OWN = {"host": HOST, "origin": f"http://{HOST}", "sec-fetch-site": "same-origin"}


def laid_open(folder: Path, name: str = "lowered_coupe.toml") -> Path:
    """A demo car's file in a folder of its own."""
    path = folder / "my_car.toml"
    shutil.copy(Path(demo_cars.__file__).parent / name, path)
    return path


@dataclass(frozen=True)
class Answer:
    """What came back; taken: how many parts of a body were read."""

    status: int
    headers: dict[str, str]
    content: bytes
    taken: int

    @property
    def text(self) -> str:
        return self.content.decode("utf-8", "replace")

    def json(self) -> dict:
        return json.loads(self.content)


class Page:
    """What is asked of the page's server; headers are the page's own unless others are given, None leaves one out."""

    def __init__(self, path: Path, **others: Path) -> None:
        self.desk = Desk(Bench(path, **others))
        self.guarded = Guard(application(self.desk), HOST, KEY)

    @classmethod
    def empty(cls, folder: Path) -> "Page":
        """With no car yet; what is begun goes into the folder."""
        page = cls(folder)
        page.desk.bench, page.desk.folder = None, folder
        return page

    @property
    def bench(self) -> Bench:
        return self.desk.on_it

    def request(
        self, method: str, path: str, headers: dict[str, str | None] | None = None, parts: Iterable[bytes] = (b"",)
    ) -> Answer:
        given = {name: value for name, value in (OWN | (headers or {})).items() if value is not None}
        # In a thread of its own: a browser that is driven keeps this one's event loop.
        with ThreadPoolExecutor(1) as thread:
            return thread.submit(asyncio.run, self._request(method, path, given, list(parts))).result()

    async def _request(self, method: str, path: str, headers: dict[str, str], parts: list[bytes]) -> Answer:
        came: list[dict] = []
        taken = 0

        async def receive() -> dict:
            nonlocal taken
            if taken == len(parts):
                return {"type": "http.disconnect"}
            taken += 1
            return {"type": "http.request", "body": parts[taken - 1], "more_body": taken < len(parts)}

        async def send(message: dict) -> None:
            came.append(message)

        # By this version of ASGI a file is sent whole; by earlier ones until the client is gone, as here at once.
        scope = {
            "type": "http", "asgi": {"version": "3.0", "spec_version": "2.4"}, "http_version": "1.1", "method": method,
            "scheme": "http",
            "path": unquote_to_bytes(path).decode("utf-8", "replace"), "raw_path": path.encode(), "query_string": b"",
            "headers": [(name.encode(), value.encode()) for name, value in headers.items()], "root_path": "",
            "server": ("127.0.0.1", 8300), "client": ("127.0.0.1", 50000),
        }  # fmt: skip
        await self.guarded(scope, receive, send)
        told = {name.decode(): value.decode() for name, value in came[0]["headers"]}
        return Answer(came[0]["status"], told, b"".join(one.get("body", b"") for one in came[1:]), taken)

    def get(self, path: str) -> dict:
        answer = self.request("GET", f"/{KEY}/{path}")
        assert answer.status == 200, answer.text
        return answer.json()

    def post(self, path: str, body: object, status: int = 200) -> dict:
        answer = self.request("POST", f"/{KEY}/{path}", parts=[json.dumps(body).encode()])
        assert answer.status == status, answer.text
        return answer.json()
