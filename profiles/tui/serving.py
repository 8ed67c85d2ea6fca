"""The same screen in a browser of this machine, by the toolkit's own server.

Whoever may talk to the screen may write the library, so only this machine's own browser may: the
server listens to 127.0.0.1 alone, refuses requests that name another host or come from the pages of
another site, and wants the key of the address that it told, kept in a cookie of this site alone.
The page loads nothing from anywhere else.
"""

import hmac
import secrets
import shlex
import socket
import subprocess
import sys
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

from aiohttp import web
from textual_serve.server import Server

HOST = "127.0.0.1"
COOKIE = "platebook-key"

LAST_MOMENT = 1.0
"""Seconds that open screens are waited for at the end before they are told to end."""

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


class LocalServer(Server):  # type: ignore[misc, unused-ignore]
    """Serves one library's screen to the browser that has the key."""

    def __init__(self, folder: Path, port: int = 0) -> None:
        words = [sys.executable, "-m", "profiles", "open", str(folder.resolve())]
        command = subprocess.list2cmdline(words) if sys.platform == "win32" else shlex.join(words)
        port = port or find_port()
        super().__init__(
            command,
            HOST,
            port,
            "Platebook",
            templates_path=Path(__file__).parent / "web",
        )
        self.key = secrets.token_urlsafe(24)

    @property
    def address(self) -> str:
        """What to open in the browser."""
        return f"{self.public_url}/?key={self.key}"

    async def _make_app(self) -> web.Application:
        app = await super()._make_app()
        app.middlewares.append(self._make_guard())
        return app

    def _make_guard(self) -> Any:
        own = self.public_url.removeprefix("http://")

        @web.middleware
        async def guard(request: web.Request, handler: Handler) -> web.StreamResponse:
            given = request.query.get("key", request.cookies.get(COOKIE, ""))
            is_ours = request.headers.get("Origin", self.public_url) == self.public_url
            is_known = hmac.compare_digest(given.encode(), self.key.encode())
            if request.host != own or not is_ours or not is_known:
                raise web.HTTPForbidden(text="Open the address that `platebook open --web` told.")
            response = await handler(request)
            if not response.prepared:
                response.set_cookie(COOKIE, self.key, httponly=True, samesite="Strict")
            return response

        return guard

    async def on_startup(self, app: web.Application) -> None:
        """Say nothing yet: nobody listens so far."""

    def serve(self, debug: bool = False) -> None:
        """Serve until Ctrl+C; screens that are open then are ended, unsaved work is kept."""

        def tell(*_words: object) -> None:
            sys.stdout.write(f"{self.address}\n")
            sys.stdout.flush()
            sys.stderr.write("Open this address in a browser of this machine; Ctrl+C ends it.\n")

        web.run_app(
            self._make_app(),
            host=self.host,
            port=self.port,
            print=tell,
            access_log=None,
            shutdown_timeout=LAST_MOMENT,
        )


def find_port() -> int:
    """A port that is free now."""
    with socket.socket() as found:
        found.bind((HOST, 0))
        return int(found.getsockname()[1])


def serve_screen(folder: Path, port: int = 0) -> int:
    """Serve the screen until it is ended; returns the exit code."""
    LocalServer(folder, port).serve()
    return 0
