"""Reads real boxes through SDL; the only module that imports it, and only when asked to.

SDL gives one joystick a number of its own at each plugging in (the instance), which tells two
boxes of one make apart. Buttons, hats and axes are counted from 1 here; SDL counts them from 0
(wiki.libsdl.org, SDL_JoyButtonEvent). No window is opened.
"""

import warnings
from collections.abc import Callable
from ctypes import c_char_p, c_void_p
from typing import Any

from profiles.live.events import Box, Clock, Event, EventKind, LiveError, Steady

_HINTS = {
    b"SDL_JOYSTICK_ALLOW_BACKGROUND_EVENTS": b"1",
    b"SDL_JOYSTICK_THREAD": b"1",
    b"SDL_NO_SIGNAL_HANDLERS": b"1",
}
"""Read without a window in front; on Windows from a thread; leave Ctrl-C to Python."""

INSTALL = "Install it: pip install 'platebook[live]'"


def load_sdl() -> Any:
    """Import SDL. Raises LiveError where it is absent or broken."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            import sdl2
    except ImportError as error:
        raise LiveError("Reading a box needs SDL, which is not installed", INSTALL) from error
    except (OSError, AttributeError, RuntimeError) as error:
        raise LiveError("SDL is installed but cannot be loaded", _advise_reinstall()) from error
    return sdl2


def _advise_reinstall() -> str:
    return "Install it again: pip install --force-reinstall 'platebook[live]'"


class SdlReader:
    """Every box plugged in, through SDL; a `Reader`.

    `clock` gives ms; left out, SDL's own time stamps are used. `start` is the time of the first
    event, so that a recording can be resumed.
    """

    def __init__(self, clock: Clock | None = None, start: float = 0.0) -> None:
        self._sdl = load_sdl()
        self._clock = clock
        self._steady = Steady(start)
        self._open: dict[int, tuple[c_void_p, Box]] = {}
        self._waiting: list[Event] = []
        self._handlers = self._make_handlers()
        self._start()

    def _start(self) -> None:
        sdl = self._sdl
        for name, value in _HINTS.items():
            sdl.SDL_SetHint(name, value)
        if sdl.SDL_InitSubSystem(sdl.SDL_INIT_JOYSTICK | sdl.SDL_INIT_EVENTS) != 0:
            raise LiveError(
                f"SDL cannot read game controllers: {_words(sdl.SDL_GetError())}",
                "Check that you may read input devices, then try again",
            )
        time = self.now()
        found = [self._open_at(index, time) for index in range(sdl.SDL_NumJoysticks())]
        self._waiting = [event for event in found if event is not None]

    def _make_handlers(self) -> dict[int, Callable[[Any, float], Event | None]]:
        sdl = self._sdl
        return {
            sdl.SDL_JOYBUTTONDOWN: self._read_button,
            sdl.SDL_JOYBUTTONUP: self._read_button,
            sdl.SDL_JOYHATMOTION: self._read_hat,
            sdl.SDL_JOYAXISMOTION: self._read_axis,
            sdl.SDL_JOYDEVICEADDED: self._add,
            sdl.SDL_JOYDEVICEREMOVED: self._remove,
        }

    def devices(self) -> tuple[Box, ...]:
        """The boxes that are plugged in, in the order of their instances."""
        self._waiting.extend(self._drain())
        return tuple(self._open[instance][1] for instance in sorted(self._open))

    def poll(self) -> list[Event]:
        """What happened since the last call, in order; never waits."""
        waiting, self._waiting = self._waiting, []
        return waiting + self._drain()

    def now(self) -> float:
        """The time in ms, on the same scale as the events'."""
        return self._steady.at(self._raw(self._sdl.SDL_GetTicks()))

    def close(self) -> None:
        """Let go of all boxes."""
        for handle, _ in self._open.values():
            self._sdl.SDL_JoystickClose(handle)
        self._open.clear()
        self._sdl.SDL_QuitSubSystem(self._sdl.SDL_INIT_JOYSTICK | self._sdl.SDL_INIT_EVENTS)

    def __enter__(self) -> "SdlReader":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _raw(self, stamp: int) -> float:
        return float(stamp) if self._clock is None else self._clock()

    def _drain(self) -> list[Event]:
        found = []
        raw = self._sdl.SDL_Event()
        while self._sdl.SDL_PollEvent(raw):
            handler = self._handlers.get(raw.type)
            if handler is None:
                continue
            event = handler(raw, self._steady.at(self._raw(raw.common.timestamp)))
            if event is not None:
                found.append(event)
        return found

    def _read_button(self, raw: Any, time: float) -> Event:
        button = raw.jbutton
        kind: EventKind = "down" if button.state else "up"
        return Event(time, int(button.which), kind, int(button.button) + 1)

    def _read_hat(self, raw: Any, time: float) -> Event:
        hat = raw.jhat
        return Event(time, int(hat.which), "hat", int(hat.hat) + 1, int(hat.value))

    def _read_axis(self, raw: Any, time: float) -> Event:
        axis = raw.jaxis
        return Event(time, int(axis.which), "axis", int(axis.axis) + 1, int(axis.value))

    def _add(self, raw: Any, time: float) -> Event | None:
        return self._open_at(int(raw.jdevice.which), time)

    def _open_at(self, index: int, time: float) -> Event | None:
        """Open a box; one that is open already, or gone before it could be, is passed over."""
        handle = self._sdl.SDL_JoystickOpen(index)
        if not handle:
            return None
        box = self._describe(handle)
        if box.instance in self._open:
            self._sdl.SDL_JoystickClose(handle)
            return None
        self._open[box.instance] = (handle, box)
        return Event(time, box.instance, "added", box=box, down=self._held(handle, box))

    def _held(self, handle: c_void_p, box: Box) -> tuple[int, ...]:
        get = self._sdl.SDL_JoystickGetButton
        return tuple(n for n in range(1, box.buttons + 1) if get(handle, n - 1))

    def _remove(self, raw: Any, time: float) -> Event | None:
        instance = int(raw.jdevice.which)
        known = self._open.pop(instance, None)
        if known is None:
            return None
        self._sdl.SDL_JoystickClose(known[0])
        return Event(time, instance, "removed", box=known[1])

    def _describe(self, handle: c_void_p) -> Box:
        sdl = self._sdl
        return Box(
            instance=int(sdl.SDL_JoystickInstanceID(handle)),
            name=_words(sdl.SDL_JoystickName(handle)),
            vendor=f"{sdl.SDL_JoystickGetVendor(handle):04x}",
            product=f"{sdl.SDL_JoystickGetProduct(handle):04x}",
            serial=_words(sdl.SDL_JoystickGetSerial(handle)),
            path=_words(sdl.SDL_JoystickPath(handle)),
            buttons=max(0, int(sdl.SDL_JoystickNumButtons(handle))),
            axes=max(0, int(sdl.SDL_JoystickNumAxes(handle))),
            hats=max(0, int(sdl.SDL_JoystickNumHats(handle))),
        )


def _words(raw: bytes | c_char_p | None) -> str:
    """Text of the host's; it may be anything, so it is made inert where it is shown."""
    return raw.decode("utf-8", "replace") if isinstance(raw, bytes) else ""
