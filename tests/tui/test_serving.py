"""The screen in a browser of this machine: only with the key, only from its own page."""

import signal
import subprocess
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

from tests.conftest import ROOT, Run
from tests.needs import need_module

SECONDS = 20
"""After which a screen that does not answer is given up."""


@asynccontextmanager
async def served(folder: Path) -> AsyncIterator[tuple[Any, Any]]:
    """The server on a library, and a client with the cookies of a browser."""
    need_module("textual_serve")
    from aiohttp import ClientSession, CookieJar, web

    from profiles.tui.serving import LocalServer

    server = LocalServer(folder)
    runner = web.AppRunner(await server._make_app())
    await runner.setup()
    await web.TCPSite(runner, server.host, server.port).start()
    try:
        async with ClientSession(cookie_jar=CookieJar(unsafe=True)) as client:
            yield server, client
    finally:
        await runner.cleanup()


async def test_only_the_address_that_was_told_opens_the_screen(folder: Path) -> None:
    """A page of another site cannot reach it, nor a name that leads here from elsewhere."""
    async with served(folder) as (server, client):
        plain = server.public_url
        assert (await client.get(plain)).status == 403
        assert (await client.get(f"{plain}/?key=wrong")).status == 403
        assert (await client.get(f"{plain}/ws")).status == 403
        for name, value in (("Origin", "http://elsewhere.example"), ("Host", "elsewhere.example")):
            found = await client.get(server.address, headers={name: value})
            assert found.status == 403, name
        assert (await client.get(plain)).status == 403, "a refusal leaves no key behind"
        page = await client.get(server.address)
        assert page.status == 200
        assert "Strict" in page.headers["Set-Cookie"]
        assert "HttpOnly" in page.headers["Set-Cookie"]
        assert (await client.get(plain)).status == 200, "the cookie is the key from then on"


async def test_the_page_loads_nothing_from_elsewhere(folder: Path) -> None:
    async with served(folder) as (server, client):
        text = await (await client.get(server.address)).text()
        for part in text.split('"'):
            assert "://" not in part or server.public_url.partition("://")[2] in part


async def test_the_server_listens_to_this_machine_alone(folder: Path) -> None:
    async with served(folder) as (server, _):
        assert server.host == "127.0.0.1"
        assert server.address.startswith(f"http://{server.host}:")


async def test_the_same_screen_comes_through_and_takes_keys(folder: Path) -> None:
    """What the browser's terminal is sent has the plate; keys act, the last one ends it."""
    need_module("textual_serve")
    from aiohttp import ClientSession, CookieJar

    command = [sys.executable, "-m", "profiles", "open", str(folder), "--web"]
    pipes: dict[str, Any] = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    with subprocess.Popen(command, text=True, cwd=ROOT, **pipes) as server:
        try:
            assert server.stdout is not None
            address = server.stdout.readline().strip()
            async with ClientSession(cookie_jar=CookieJar(unsafe=True)) as client:
                await client.get(address)
                plain = address.partition("/?")[0]
                socket = await client.ws_connect(f"{plain}/ws?width=100&height=30")
                assert "HORN" in await read_until(socket, "HORN")
                for key, words in (("2", "[2 Findings]"), ("1", "[1 Plate]"), ("x", "1 unsaved")):
                    await socket.send_json(["stdin", key])
                    assert words in await read_until(socket, words)
                await socket.send_json(["stdin", "q"])
                assert "Not saved yet" in await read_until(socket, "Not saved yet")
                await socket.send_json(["stdin", "w"])
                while not socket.closed:
                    await socket.receive(timeout=SECONDS)
        finally:
            server.send_signal(signal.SIGINT)
            _, told = server.communicate(timeout=SECONDS)
    assert "in a browser of this machine" in told
    assert server.returncode == 0


async def read_until(socket: Any, words: str) -> str:
    """What is sent until some words are in it."""
    text = ""
    while words not in text:
        text += (await socket.receive(timeout=SECONDS)).data.decode("utf-8", "replace")
    return text


def test_a_port_goes_with_web_alone(platebook: Run, folder: Path) -> None:
    done = platebook("open", folder, "--port", "8080")
    assert done.code == 2
    assert "--port goes with --web" in done.err
