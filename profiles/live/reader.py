"""Reads real boxes through SDL; the only module that imports it, and only when asked to.

SDL gives one joystick a number of its own at each plugging in (the instance), which tells two
boxes of one make apart. Buttons, hats and axes are counted from 1 here; SDL counts them from 0
(wiki.libsdl.org, SDL_JoyButtonEvent). No window is opened.
"""

import warnings
from ctypes import c_char_p, c_void_p
from typing import Any

from profiles.live.events import Clock, Event, EventKind, FoundBox, LiveError, Steady
from profiles.text.install import SDL, pip_command

_HINTS = {
    b"SDL_JOYSTICK_ALLOW_BACKGROUND_EVENTS": b"1",
    b"SDL_JOYSTICK_THREAD": b"1",
    b"SDL_NO_SIGNAL_HANDLERS": b"1",
}
"""Read without a window in front; on Windows from a thread; leave Ctrl-C to Python."""


def load_sdl() -> Any:
    """Import SDL. Raises LiveError where it is absent or broken."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            import sdl2
    except ImportError as error:
        raise LiveError(
            "Reading a box needs SDL, which is not installed", "Install it", pip_command(*SDL)
        ) from error
    except (OSError, AttributeError, RuntimeError) as error:
        raise LiveError(
            "SDL is installed but cannot be loaded",
            "Install it again",
            pip_command(*SDL, again=True),
        ) from error
    return sdl2


class SdlReader:
    """Every box plugged in, through SDL; a `Reader`.

    `clock` gives ms; without one SDL's own time stamps are used. `start` is the time of the first
    event, so that a recording can be resumed.
    """

    def __init__(self, clock: Clock | None = None, start: float = 0.0) -> None:
        self._sdl = sdl = load_sdl()
        self._clock = clock
        self._steady = Steady(start)
        self._open: dict[int, tuple[c_void_p, FoundBox]] = {}
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

    def devices(self) -> tuple[FoundBox, ...]:
        """The boxes that are plugged in, in the order of their instances."""
        self._waiting = self.poll()
        return tuple(self._open[instance][1] for instance in sorted(self._open))

    def poll(self) -> list[Event]:
        """What happened since the last call, in order; never waits."""
        found, self._waiting = self._waiting, []
        raw = self._sdl.SDL_Event()
        while self._sdl.SDL_PollEvent(raw):
            event = self._read(raw)
            if event is not None:
                found.append(event)
        return found

    def now(self) -> float:
        """The time in ms, on the same scale as the events'."""
        return self._steady.at(self._clock() if self._clock else float(self._sdl.SDL_GetTicks()))

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

    def _read(self, raw: Any) -> Event | None:
        """One of SDL's events as ours; None for those that are no business of a box."""
        sdl = self._sdl
        kinds = (
            *(sdl.SDL_JOYBUTTONDOWN, sdl.SDL_JOYBUTTONUP, sdl.SDL_JOYHATMOTION),
            *(sdl.SDL_JOYAXISMOTION, sdl.SDL_JOYDEVICEADDED, sdl.SDL_JOYDEVICEREMOVED),
        )
        if raw.type not in kinds:
            return None
        time = self._steady.at(self._clock() if self._clock else float(raw.common.timestamp))
        if raw.type == sdl.SDL_JOYDEVICEADDED:
            return self._open_at(int(raw.jdevice.which), time)
        if raw.type == sdl.SDL_JOYDEVICEREMOVED:
            instance = int(raw.jdevice.which)
            handle, box = self._open.pop(instance, (None, None))
            if handle is None:
                return None
            sdl.SDL_JoystickClose(handle)
            return Event(time, instance, "removed", box=box)
        if raw.type == sdl.SDL_JOYHATMOTION:
            hat = raw.jhat
            return Event(time, int(hat.which), "hat", int(hat.hat) + 1, int(hat.value))
        if raw.type == sdl.SDL_JOYAXISMOTION:
            axis = raw.jaxis
            return Event(time, int(axis.which), "axis", int(axis.axis) + 1, int(axis.value))
        button = raw.jbutton
        kind: EventKind = "down" if button.state else "up"
        return Event(time, int(button.which), kind, int(button.button) + 1)

    def _open_at(self, index: int, time: float) -> Event | None:
        """Open a box; one that is open already, or gone before it could be, is passed over."""
        sdl = self._sdl
        handle = sdl.SDL_JoystickOpen(index)
        if not handle:
            return None
        box = FoundBox(
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
        if box.instance in self._open:
            sdl.SDL_JoystickClose(handle)
            return None
        self._open[box.instance] = (handle, box)
        held = (n for n in range(1, box.buttons + 1) if sdl.SDL_JoystickGetButton(handle, n - 1))
        return Event(time, box.instance, "added", box=box, down=tuple(held))


def _words(raw: bytes | c_char_p | None) -> str:
    """Text of the host's; it may be anything, so it is made inert where it is shown."""
    return raw.decode("utf-8", "replace") if isinstance(raw, bytes) else ""
