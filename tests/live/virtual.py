"""Boxes plugged into SDL's own virtual joystick driver; needs neither hardware nor a display."""

from ctypes import byref
from types import TracebackType
from typing import Any

from profiles.live.reader import load_sdl


class VirtualBox:
    """One box that a test presses; it is plugged in while the `with` block runs."""

    def __init__(
        self,
        buttons: int = 8,
        *,
        name: str = "Bench box",
        vendor: int = 0x1209,
        product: int = 0x0001,
        axes: int = 0,
        hats: int = 0,
    ) -> None:
        self.sdl: Any = load_sdl()
        desc = self.sdl.SDL_VirtualJoystickDesc()
        desc.version = self.sdl.SDL_VIRTUAL_JOYSTICK_DESC_VERSION
        desc.type = self.sdl.SDL_JOYSTICK_TYPE_UNKNOWN
        desc.nbuttons, desc.naxes, desc.nhats = buttons, axes, hats
        desc.vendor_id, desc.product_id = vendor, product
        self._name = name.encode()
        desc.name = self._name
        self._desc = desc
        self.instance = -1
        self._handle: Any = None

    def __enter__(self) -> "VirtualBox":
        sdl = self.sdl
        index = sdl.SDL_JoystickAttachVirtualEx(byref(self._desc))
        assert index >= 0, sdl.SDL_GetError()
        self.instance = sdl.SDL_JoystickGetDeviceInstanceID(index)
        self._handle = sdl.SDL_JoystickOpen(index)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.unplug()

    def set(self, number: int, down: bool) -> None:
        """Put a button (counted from 1) down or up."""
        self.sdl.SDL_JoystickSetVirtualButton(self._handle, number - 1, int(down))
        self.sdl.SDL_JoystickUpdate()

    def turn_hat(self, number: int, value: int) -> None:
        """Put a hat somewhere."""
        self.sdl.SDL_JoystickSetVirtualHat(self._handle, number - 1, value)
        self.sdl.SDL_JoystickUpdate()

    def move_axis(self, number: int, value: int) -> None:
        """Put an axis somewhere."""
        self.sdl.SDL_JoystickSetVirtualAxis(self._handle, number - 1, value)
        self.sdl.SDL_JoystickUpdate()

    def unplug(self) -> None:
        """Take the box away; nothing happens the second time."""
        if self._handle is None:
            return
        sdl = self.sdl
        for index in range(sdl.SDL_NumJoysticks()):
            if sdl.SDL_JoystickGetDeviceInstanceID(index) == self.instance:
                sdl.SDL_JoystickDetachVirtual(index)
                break
        sdl.SDL_JoystickClose(self._handle)
        self._handle = None
        sdl.SDL_JoystickUpdate()
