"""What goes on each printed sheet.

| module | what is there |
|---|---|
| `sheet` | `Order`, `PrintedSheet`, `Remark`: what a sheet is asked for with and gives |
| `registry` | every sheet by its name, with its formats; one module a sheet |
| `plate_art` | the plate drawn: outline, holes, fronts, screws, fixed words |
| `legends` | the words of each control for a profile |
| `legend` and its neighbours | the sheets |
| `writing` | a sheet as bytes of a format |
"""
