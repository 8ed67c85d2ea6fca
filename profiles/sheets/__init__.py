"""What goes on each printed sheet.

| module | what is there |
|---|---|
| `requests` | what each sheet is asked for with, by the sheet's name; one module a sheet |
| `sheet` | `PrintedSheet`, `Remark`, `Subject`: what a sheet gives, and what it is about |
| `plate_art` | the plate drawn: outline, holes, fronts, screws, fixed words |
| `legends` | the words of each control for a profile |
| `legend` and its neighbours | the sheets |
| `writing` | a sheet as bytes of a format |
"""
