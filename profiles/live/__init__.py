"""Talking to a real box: reading it, testing it, diagnosing its wiring.

- `events`, `reader`, `buttons`: what boxes say, through SDL, and which input a host's button is
- `lines`, `recording`: the recording of a test, on disk
- `plan`, `session`, `verdict`, `sitting`: what is asked, what was heard, how it is judged
- `model`, `forward`: the box as described and as soldered, and what it would report
- `faults`, `hypotheses`, `evidence`, `search`, `diagnosis`: which wiring error explains a recording
- `question`, `words`: the one measurement that decides; faults in words
- `learn`, `show`, `showing`, `quiz`, `statistics`: what else a box can be pressed for
- `boxes`, `series`, `prompt`: boxes chosen, recordings of one box, words beside a step
"""
