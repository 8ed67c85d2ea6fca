"""Type faces: widths, heights and the letters they carry, without loading a font library."""
