"""What operating systems and their interfaces make of the inputs a box reports.

- `evdev`, `evdev_names`: Linux event codes of HID buttons, and the indices they get
- `axes`: Linux codes of axes and hats, and which collide
- `interfaces`: every host interface, its limits, and the index of each input in it
- `identity`: devices the host cannot tell apart
- `hid_items`, `descriptor`: HID report descriptors, written and read item by item
- `descriptor_listing`: a descriptor for people
- `device_view`: the door from the model to all of these
"""
