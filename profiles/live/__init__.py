"""Talking to a real box: reading it, testing it, diagnosing its wiring.

- `events`, `reader`, `buttons`: what boxes say, through SDL, and which input a host's button is
- `lines`, `recording`: the recording of a test, on disk
- `plan`, `session`, `verdict`: what is asked, what was heard, how it is judged
- `build`, `forward`: the box as soldered, and what it would report
- `chains`: the order in which each planned wire passes its contacts
- `realign`, `following`: hands that lost step; what is asked once all steps were done
- `large`: few words and a picture of where, to be read from afar
- `faults`, `hypotheses`, `evidence`, `search`, `diagnosis`: which wiring error explains a recording
- `question`, `words`: the one measurement that decides; faults and steps in words
- `behaviour`, `discovery`: a box without a file: its controls by what they do, named one by one
- `learn`, `show`, `quiz`, `measurements`: what else a box can be pressed for
- `outcome`, `report`: what a test comes to, and its report
"""
