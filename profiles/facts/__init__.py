"""What each contact is, reports, needs and looks like, resolved once for every room above.

- `device`: one device by itself
- `survey`: the devices and linked profiles of a library, each worked out once
"""
