"""Names of contacts: within a device, and within a library."""

from typing import NamedTuple


class Contact(NamedTuple):
    """One contact of one control, by ids."""

    control: str
    contact: str

    def __str__(self) -> str:
        return f"{self.control}.{self.contact}"


class DeviceContact(NamedTuple):
    """One contact of one control of one device, by ids."""

    device: str
    control: str
    contact: str

    def __str__(self) -> str:
        return f"{self.device}/{self.control}.{self.contact}"

    @property
    def short(self) -> str:
        """Control and contact, without the device."""
        return f"{self.control}.{self.contact}"

    @property
    def local(self) -> Contact:
        """The contact within its device."""
        return Contact(self.control, self.contact)
