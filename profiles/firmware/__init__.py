"""Programs for the board inside the box, written from its description."""
