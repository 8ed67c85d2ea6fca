"""Geometry of the faceplate: legibility, spacing, and where each label goes.

Everything here is pure and in millimetres; the origin is the plate's lower left from the front.

* `shapes`: boxes, discs, rounded boxes and the distances between them.
* `legibility`: capital heights for a viewing distance, strokes, contrast.
* `spacing`: recommended separations, and what is wrong with a layout.
* `fit`: one text in a width and a height: wrap, condense, shrink, never too small.
* `label_requests`, `free_space`, `candidates`, `choose`, `search`, `placement`: all labels of a
  plate placed together.
* `rows`, `order`: rows of controls, strip cells, reading order, moves between controls.
* `mass`: what a plate weighs.
* `outlines`, `labels`: from a device of the model to all of the above.
"""
