"""Devices the host cannot tell apart (USB 2.0, 9.6.1: idVendor, idProduct, iSerialNumber)."""

from profiles.host.identity import Identity, Lookalikes, find_lookalikes


def test_devices_with_numbers_of_their_own_are_fine() -> None:
    assert find_lookalikes({"helm": Identity(0x1209, 1), "radio": Identity(0x1209, 2)}) == []


def test_equal_numbers_without_serial_look_the_same() -> None:
    helm, radio = Identity(0x1209, 1), Identity(0x1209, 1)

    assert [Lookalikes(("helm", "radio"), "same")] == find_lookalikes(
        {"helm": helm, "radio": radio}
    )


def test_an_empty_serial_is_no_serial() -> None:
    assert [Lookalikes(("helm", "radio"), "same")] == find_lookalikes(
        {"helm": Identity(1, 1, ""), "radio": Identity(1, 1)}
    )


def test_serial_numbers_tell_apart_only_for_programs_that_read_them() -> None:
    assert [Lookalikes(("helm", "radio"), "serial")] == find_lookalikes(
        {"helm": Identity(1, 1, "A"), "radio": Identity(1, 1, "B")}
    )


def test_two_of_three_that_share_a_serial_are_named_together() -> None:
    found = find_lookalikes(
        {"a": Identity(1, 1, "S"), "b": Identity(1, 1, "T"), "c": Identity(1, 1, "S")}
    )

    assert [Lookalikes(("a", "c"), "same"), Lookalikes(("a", "b"), "serial")] == found


def test_devices_without_numbers_are_unknown_together() -> None:
    found = find_lookalikes(
        {"a": Identity(None, None), "b": Identity(1, 1), "c": Identity(1, None)}
    )

    assert [Lookalikes(("a", "c"), "unknown")] == found


def test_a_single_device_without_numbers_is_fine() -> None:
    assert find_lookalikes({"a": Identity(None, None)}) == []
