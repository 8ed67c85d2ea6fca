"""The scanning core of an input box: what it reads and what it reports.

Fixed text. Everything about one box is in a `Tables` object. This file touches no pin
itself: it calls a `Pins` object, which the main file gives for a board and a test gives for
a simulated box. It imports nothing, so that a small interpreter can run it.

Once a tick, `BoxScanner.tick` does these steps in this order:

1. every pulser plays its queue by the clock: pulse, gap, next pulse;
2. read every point: each crossing of the matrix, each own pin, each place of a bank. Now and then
   the pins get a pause, in which a main file may call `BoxScanner.play_ahead`, so that a pulse
   ends in time however long the scan;
3. debounce: a point changes when it has read otherwise for the debounce time on end, from the first
   reading that differs, so in two readings at least; that all contacts of a control are open counts
   once it has lasted for the hold time, for a hand passes gaps between positions;
4. where a point has changed, each condition that begins to hold queues a pulse, where a control
   reports edges;
5. rotary channels are decoded by their Gray code, and each full detent queues a pulse.
   They are taken undebounced, for contact bounce goes back and forth and cancels out; only
   where one step is a whole detent are they debounced, as bounce would be a detent;
   Or each detent moves an axis a step, no further than its ends, from its middle on;
6. pulsers that rest begin what was queued;
7. one axis is measured, each in turn; a reading counts where it differs from the last one by more
   than the noise, and always at the ends and at rest; its value is reckoned from what counts;
8. the report is packed again, into the room of the one before the last.

A tick takes no new memory, so that the interpreter never has to stop and tidy up: lists keep their
length, and numbers stay below 2 ** 30, beyond which a small interpreter makes objects of them.

Pressed contacts read low, so a point is 1 when its contact is closed.
"""

CLOCKWISE = 0
ANTICLOCKWISE = 1
NO_BUTTON = 0xFFFF
IDLE = -1
PAUSE = 32

GRAY_STEPS = (0, 1, -1, 0, -1, 0, 0, 1, 1, 0, 0, -1, 0, -1, 1, 0)
"""Steps by old code * 4 + new code; code is A + 2 * B. The order 0, 1, 3, 2 is clockwise."""

GRAY_PLACE = (0, 1, 3, 2)
"""Place of a code in the order 0, 1, 3, 2."""


HAT_POSITIONS = (0, 1, 3, 2, 5, 0, 4, 3, 7, 8, 0, 1, 6, 7, 5, 0)
"""Position of a hat by its ways closed: up 1, right 2, down 4, left 8. Opposite ways cancel."""


class Tables:
    """Everything about one box; times in ms, points and buttons counted from 0."""

    driven_count = 0
    sensed_count = 0
    own_count = 0
    report_bytes = 0
    debounce = 1
    hold = 1
    queue = 1
    follows: tuple[tuple[int, int, int], ...] = ()  # button, first condition, how many
    edges: tuple[tuple[int, int, int, int], ...] = ()  # first condition, how many, pulser, slot
    lights: tuple[tuple[int, int], ...] = ()  # first condition, how many
    waiting: tuple[tuple[int, int], ...] = ()  # first condition, how many
    conditions: tuple[int, ...] = ()  # 2 * point, and 1 more where it must be open
    rotaries: tuple[tuple[int, int, int, int], ...] = ()  # A, B, steps, pulser
    # or, counted on beyond those, its dial
    dials: tuple[tuple[int, int], ...] = ()  # first of two bytes in the report, step
    pulsers: tuple[tuple[int, int, int, int], ...] = ()  # first slot, pulse, gap, cancels
    slots: tuple[int, ...] = ()  # button
    banks: tuple[tuple[int, int], ...] = ()  # first place, how many
    places: tuple[int, ...] = ()  # place in its bank
    hats_at = 0
    hat_count = 0
    noise = 0
    axes: tuple[tuple[int, int, int, int, int, int], ...] = ()
    # first of two bytes in the report; readings, of 65535, at the low end, at both ends of the
    # rest and at the high end; turned round


class Pins:
    """The pins of a board; each method is given by whoever runs the core."""

    def drive(self, line: int) -> None:
        """Pull a driven line low and wait until the sensed lines have settled."""
        raise NotImplementedError

    def release(self, line: int) -> None:
        """Let a driven line float."""
        raise NotImplementedError

    def sense(self, line: int) -> int:
        """1 where a sensed line is low."""
        raise NotImplementedError

    def own(self, place: int) -> int:
        """1 where an own pin is low."""
        raise NotImplementedError

    def load(self, bank: int) -> None:
        """Load a bank, such as a shift-register chain."""
        raise NotImplementedError

    def next(self, bank: int, place: int) -> int:
        """1 where the contact at this place of the bank, the next to be read, is closed."""
        raise NotImplementedError

    def measure(self, axis: int) -> int:
        """The reading of an axis, 0 to 65535."""
        raise NotImplementedError

    def pause(self) -> None:
        """After each driven line, and after some places of a bank: time for
        `BoxScanner.play_ahead`."""

    def show(self, lit: list[bool]) -> None:
        """Once a tick, for each LED whether it is lit."""
        raise NotImplementedError


def scale_to_end(part: int, whole: int) -> int:
    """part * 32767 // whole, for numbers of 16 bits, in steps of 24: 32767 is 255 * 128 + 127."""
    most, left = part * 255 // whole, part * 255 % whole
    return most * 128 + (left * 128 + part * 127) // whole


class Pulser:
    """Plays queued slots one after the other: pulse, gap, next pulse."""

    def __init__(self, pulse: int, gap: int, cancels: int, limit: int) -> None:
        self.pulse = pulse
        self.gap = gap
        self.cancels = cancels
        self.limit = limit
        self.queue = [0] * limit  # slots that wait, from the head on, round its end
        self.head = 0
        self.count = 0
        self.active = IDLE
        self.left = 0
        self.is_playing = False

    def add(self, slot: int) -> bool:
        """Queue a slot, or take back the last one that goes the other way; False where full."""
        last = (self.head + self.count - 1) % self.limit
        if self.cancels and self.count and self.queue[last] != slot:
            self.count -= 1
            return True
        if self.count == self.limit:
            return False
        self.queue[(self.head + self.count) % self.limit] = slot
        self.count += 1
        return True

    def play(self, elapsed: int) -> bool:
        """Let `elapsed` ms pass. Says whether a pulse begins or ends."""
        self.left = max(self.left - elapsed, 0)
        if self.left:
            return False
        if self.active != IDLE:
            self.active = IDLE
            self.left = self.gap
            return True
        if self.count:
            self.active = self.queue[self.head]
            self.head = (self.head + 1) % self.limit
            self.count -= 1
            self.left = self.pulse
            return True
        return False

    def is_at_rest(self) -> bool:
        """Whether nothing plays, waits or rests after a pulse."""
        return self.active == IDLE and not self.left and not self.count


class BoxScanner:
    """One box: begin once, then tick for ever and send `report` whenever it changes."""

    def __init__(self, tables: Tables, pins: Pins) -> None:
        self.tables = tables
        self.pins = pins
        self.raw: list[int] = []
        self.state: list[int] = []
        self.before: list[int] = []
        self.points = 0  # of contacts; after those one for each condition that must last
        self.differs: list[int] = []  # 0, or 1 and the ms a point differs
        self.changed: list[int] = []  # points that have just changed, the first `changes` of them
        self.changes = 0
        self.codes: list[int] = []
        self.rests: list[int] = []
        self.sums: list[int] = []
        self.pulsers: list[Pulser] = []
        self.playing: list[Pulser] = []  # the first `play_count` of them
        self.play_count = 0
        self.readings: list[int] = []
        self.values: list[int] = []
        self.dials: list[int] = []
        self.measured = 0
        self.ahead = 0
        self.is_busy = False
        self.is_changed = False
        self.report = bytearray(tables.report_bytes)
        self.spare = bytearray(tables.report_bytes)
        self.lit = [False] * len(tables.lights)
        self.lost = 0

    def begin(self) -> None:
        """Take the box as it is found: what is on is on, and no edge is reported."""
        tables = self.tables
        crossings = tables.driven_count * tables.sensed_count
        self.points = crossings + tables.own_count + len(tables.places)
        self.raw = [0] * (self.points + len(tables.waiting))
        self.state = list(self.raw)
        self.read_points()
        self.state = list(self.raw)
        self.read_waiting()
        self.state = list(self.raw)
        self.before = list(self.raw)
        self.differs = [0] * len(self.raw)
        self.changed = [0] * len(self.raw)
        self.pulsers = [Pulser(row[1], row[2], row[3], tables.queue) for row in tables.pulsers]
        self.playing = list(self.pulsers)
        self.play_count = 0
        self.codes = [self.read_code(row) for row in tables.rotaries]
        self.rests = [GRAY_PLACE[code] for code in self.codes]
        self.sums = [0] * len(self.codes)
        self.dials = [0] * len(tables.dials)
        self.readings = [self.pins.measure(at) for at in range(len(tables.axes))]
        self.values = [self.axis_value(at) for at in range(len(tables.axes))]
        self.measured = 0
        self.lost = 0
        self.pack_report()
        self.show_lights()

    def tick(self, elapsed: int) -> bool:
        """One round; `elapsed` is the time since the last one. Says whether the report changed."""
        self.is_changed = False
        for at in range(self.play_count):
            self.playing[at].play(elapsed - self.ahead)
        self.ahead = 0
        self.read_points()
        if self.is_busy or self.raw != self.state:
            self.debounce(elapsed)
            if self.changes:
                self.find_edges()
        for at in range(len(self.codes)):
            self.decode_rotary(at)
        if self.play_count:
            self.pins.pause()
            self.begin_pulses()
        if self.readings:
            self.measure_axis(self.measured)
            self.measured = (self.measured + 1) % len(self.readings)
        self.pack_report()
        self.show_lights()
        return self.is_changed

    def play_ahead(self, elapsed: int) -> None:
        """During a scan: let pulses begin and end by the clock; the next tick leaves this time out.
        The report is packed again where one does."""
        self.ahead += elapsed
        changes = False
        for at in range(self.play_count):
            changes = self.playing[at].play(elapsed) or changes
        if changes:
            self.pack_report()

    def begin_pulses(self) -> None:
        """Let pulsers that rest begin what was queued; those with nothing left to do are done."""
        kept = 0
        for at in range(self.play_count):
            pulser = self.playing[at]
            pulser.play(0)
            pulser.is_playing = not pulser.is_at_rest()
            if pulser.is_playing:
                self.playing[kept] = pulser
                kept += 1
        self.play_count = kept

    def read_points(self) -> None:
        """Every point: crossings line by line, then own pins, then places of banks."""
        pins, tables, raw = self.pins, self.tables, self.raw
        point = 0
        for line in range(tables.driven_count):
            pins.drive(line)
            for sensed in range(tables.sensed_count):
                raw[point] = pins.sense(sensed)
                point += 1
            pins.release(line)
            pins.pause()
        for place in range(tables.own_count):
            raw[point] = pins.own(place)
            point += 1
        for bank in range(len(tables.banks)):
            first, count = tables.banks[bank]
            pins.load(bank)
            for at in range(first, first + count):
                raw[point] = pins.next(bank, tables.places[at])
                point += 1
                if point % PAUSE == 0:
                    pins.pause()
        self.read_waiting()

    def read_waiting(self) -> None:
        """The points after those of contacts: conditions that must last for the hold time."""
        for at in range(len(self.tables.waiting)):
            first, count = self.tables.waiting[at]
            self.raw[self.points + at] = 1 if self.holds(self.state, first, count) else 0

    def debounce(self, elapsed: int) -> None:
        """Change each point that has read otherwise long enough; busy as long as one differs."""
        raw, state, differs = self.raw, self.state, self.differs
        self.changes = 0
        self.is_busy = False
        for point in range(len(raw)):
            if raw[point] == state[point]:
                differs[point] = 0
                continue
            if not differs[point]:
                differs[point] = 1
                self.is_busy = True
                continue
            differs[point] += elapsed
            limit = self.tables.debounce if point < self.points else self.tables.hold
            if differs[point] <= limit:
                self.is_busy = True
                continue
            state[point] = raw[point]
            differs[point] = 0
            self.changed[self.changes] = point
            self.changes += 1

    def find_edges(self) -> None:
        """Queue a pulse for each change that a control reports as one."""
        for first, count, pulser, slot in self.tables.edges:
            if self.holds(self.state, first, count) and not self.holds(self.before, first, count):
                self.queue_pulse(pulser, slot)
        for at in range(self.changes):
            self.before[self.changed[at]] = self.state[self.changed[at]]

    def holds(self, points: list[int], first: int, count: int) -> bool:
        """Whether so many conditions, from the first on, all hold."""
        for at in range(first, first + count):
            condition = self.tables.conditions[at]
            if points[condition >> 1] == condition & 1:
                return False
        return True

    def queue_pulse(self, pulser: int, slot: int) -> None:
        """Queue a pulse unless the slot has no button; a full queue loses it."""
        if self.find_button(pulser, slot) == NO_BUTTON:
            return
        one = self.pulsers[pulser]
        if not one.add(slot):
            self.lost += 1
        if not one.is_playing:
            one.is_playing = True
            self.playing[self.play_count] = one
            self.play_count += 1

    def find_button(self, pulser: int, slot: int) -> int:
        """The button of a pulser's slot."""
        return self.tables.slots[self.tables.pulsers[pulser][0] + slot]

    def read_code(self, rotary: tuple[int, int, int, int]) -> int:
        """The Gray code a rotary shows: A + 2 * B."""
        points = self.state if rotary[2] == 1 else self.raw
        return points[rotary[0]] | points[rotary[1]] << 1

    def decode_rotary(self, at: int) -> None:
        """Count Gray code steps; queue a pulse where a detent ends.

        A detent ends where the knob rests: as many steps from its rest at power-up as a
        multiple of the steps of a detent. Half a detent or more counts, so one lost step is
        forgiven.
        """
        rotary = self.tables.rotaries[at]
        code, old, steps = self.read_code(rotary), self.codes[at], rotary[2]
        if code == old:
            return
        self.codes[at] = code
        self.sums[at] += GRAY_STEPS[old * 4 + code]
        if (GRAY_PLACE[code] - self.rests[at]) % 4 % steps:
            return
        if self.sums[at] * 2 >= steps:
            self.take_detent(rotary[3], CLOCKWISE)
        elif self.sums[at] * 2 <= -steps:
            self.take_detent(rotary[3], ANTICLOCKWISE)
        self.sums[at] = 0

    def take_detent(self, pulser: int, way: int) -> None:
        """Queue a pulse, or move a dial by a step, no further than its ends."""
        dial = pulser - len(self.pulsers)
        if not 0 <= dial < len(self.dials):
            self.queue_pulse(pulser, way)
            return
        step = self.tables.dials[dial][1]
        value = self.dials[dial] + (step if way == CLOCKWISE else -step)
        self.dials[dial] = max(-32767, min(value, 32767))

    def measure_axis(self, at: int) -> None:
        """Measure an axis; noise around the last reading counts for nothing."""
        _, low, rest_low, rest_high, high, _ = self.tables.axes[at]
        reading = self.pins.measure(at)
        is_fixed = reading <= low or reading >= high or rest_low <= reading <= rest_high
        if is_fixed or abs(reading - self.readings[at]) > self.tables.noise:
            self.readings[at] = reading
        self.values[at] = self.axis_value(at)

    def axis_value(self, at: int) -> int:
        """The value of an axis: -32767 at its low end, 0 at rest, 32767 at its high end."""
        _, low, rest_low, rest_high, high, reversed_ = self.tables.axes[at]
        reading, value = self.readings[at], 0
        if reading <= low:
            value = -32767
        elif reading >= high:
            value = 32767
        elif reading < rest_low:
            value = -scale_to_end(rest_low - reading, rest_low - low)
        elif reading > rest_high:
            value = scale_to_end(reading - rest_high, high - rest_high)
        return -value if reversed_ else value

    def show_lights(self) -> None:
        """Tell the pins what each LED shows."""
        for at in range(len(self.lit)):
            first, count = self.tables.lights[at]
            self.lit[at] = self.holds(self.state, first, count)
        self.pins.show(self.lit)

    def pack_report(self) -> None:
        """The report: one bit a button, button 1 in bit 0 of byte 0; then hats, then axes."""
        report = self.spare
        for at in range(len(report)):
            report[at] = 0
        for button, first, count in self.tables.follows:
            if self.holds(self.state, first, count):
                report[button >> 3] |= 1 << (button & 7)
        for at in range(len(self.pulsers)):
            slot = self.pulsers[at].active
            if slot != IDLE:
                button = self.find_button(at, slot)
                report[button >> 3] |= 1 << (button & 7)
        for hat in range(self.tables.hat_count):
            place, shift = self.tables.hats_at + hat // 2, hat % 2 * 4
            position = HAT_POSITIONS[report[place] >> shift & 15]
            report[place] = report[place] & ~(15 << shift) | position << shift
        for at in range(len(self.readings)):
            value, place = self.values[at], self.tables.axes[at][0]
            report[place] = value & 255
            report[place + 1] = value >> 8 & 255
        for at in range(len(self.dials)):
            place = self.tables.dials[at][0]
            report[place] = self.dials[at] & 255
            report[place + 1] = self.dials[at] >> 8 & 255
        self.spare = self.report
        self.report = report
        if report != self.spare:
            self.is_changed = True
