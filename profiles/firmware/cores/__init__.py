"""Fixed texts that go out with all firmware; see the header of each."""
