"""Fixed texts that go out with every board program; see the header of each."""
