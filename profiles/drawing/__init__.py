"""A drawing board of few verbs in millimetres, and the writers of every format.

Knows nothing of devices. Lengths are mm, angles degrees, y points up; units are converted only
inside the writers.

| module | what is there |
|---|---|
| `recorder` | `Recorder` with the verbs; `Drawing`, its measures and transforms; `replay` |
| `surface` | what a writer implements; `Written`, `Loss` |
| `document` | `Page`, `Document`: what a writer is handed |
| `geometry`, `paths`, `shapes` | the frozen values drawings are made of |
| `style`, `weights` | inks and lettering; line widths with a meaning |
| `marks` | arrow heads, crosses, centre marks, signs for kinds: all paths |
| `paper`, `tiling` | sizes and units; large drawings over several pages |
| `frame`, `layout` | what every sheet has; drawings at true scale on paper, numbered |
| `tables` | tables and paragraphs over several sheets |
| `model3d`, `digits` | slabs with openings and engraved numbers, as STL and 3MF |
| `ruler`, `titleblock`, `cautions`, `fitting` | parts of a sheet |
| `pdf`, `svg`, `dxf`, `png`, `terminal` | the writers; each loads its library when it writes |
"""
