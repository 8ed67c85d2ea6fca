// The pins of an 8-bit AVR board. What the box does is in box_core.h, its USB side in box_usb.h,
// what is wired where in box_config.h. Needs the board core alone: HID.h comes with it.

#include <Arduino.h>

#include "box_core.h"
#include "box_usb.h"

// A report is sent again after so long, ms: whoever opens the box late sees how its controls stand.
static const uint16_t box_send_again = 250;

struct box_port {
    volatile uint8_t *input;
    uint8_t mask;
};

static box_port box_sensed_ports[BOX_AT_LEAST_ONE(BOX_SENSED_COUNT)];
static box_port box_own_ports[BOX_AT_LEAST_ONE(BOX_OWN_COUNT)];

static box_port box_open_input(uint8_t pin) {
    pinMode(pin, INPUT_PULLUP);
    box_port port = {portInputRegister(digitalPinToPort(pin)), digitalPinToBitMask(pin)};
    return port;
}

BOX_INLINE uint8_t box_is_low(const box_port &port) { return (*port.input & port.mask) ? 0 : 1; }

// A pin written or read without the board core's look at timers, which takes most of its time.
BOX_INLINE void box_write(uint8_t pin, uint8_t level) {
    volatile uint8_t *const output = portOutputRegister(digitalPinToPort(pin));
    const uint8_t mask = digitalPinToBitMask(pin), before = SREG;
    cli();
    *output = level ? *output | mask : *output & (uint8_t)~mask;
    SREG = before;
}

#if BOX_BANK_COUNT
BOX_INLINE uint8_t box_read(uint8_t pin) {
    return (*portInputRegister(digitalPinToPort(pin)) & digitalPinToBitMask(pin)) ? HIGH : LOW;
}
#endif

BOX_CALLED void box_pins_drive(uint8_t line) {
    // The output register of a floating pin is low already (pinMode INPUT clears it).
    pinMode(BOX_BYTE(box_driven_pins[line]), OUTPUT);
}

BOX_CALLED void box_pins_release(uint8_t line) { pinMode(BOX_BYTE(box_driven_pins[line]), INPUT); }

static void box_pins_settle(void) { delayMicroseconds(BOX_SETTLE); }

BOX_INLINE uint8_t box_pins_sense(uint8_t line) { return box_is_low(box_sensed_ports[line]); }

BOX_INLINE uint8_t box_pins_own(uint8_t place) { return box_is_low(box_own_ports[place]); }

#if BOX_HAS_EXPANDER
// The chip's two-wire bus as its only master. Each step waits for the hardware, but not for ever:
// a wire that comes off must not stop the box.
static volatile uint8_t box_bus_state;
static const uint8_t box_bus_waits = 0xF8; // the chip's own word for no state

ISR(TWI_vect) {
    box_bus_state = TWSR & 0xF8;
    TWCR = _BV(TWEN); // the state stays until the next step
}

static uint8_t box_bus_step(uint8_t control) {
    box_bus_state = box_bus_waits;
    TWCR = (uint8_t)(control | _BV(TWINT) | _BV(TWEN) | _BV(TWIE));
    for (uint8_t tries = 255; tries; tries--) {
        if (box_bus_state != box_bus_waits) {
            return box_bus_state;
        }
        delayMicroseconds(1);
    }
    TWCR = 0;
    return 0;
}

// Sends a byte; says whether it was acknowledged, be it an address to write or to read, or data.
static uint8_t box_bus_send(uint8_t byte) {
    TWDR = byte;
    const uint8_t state = box_bus_step(0);
    return state == 0x18 || state == 0x28 || state == 0x40;
}

static uint8_t box_bus_start(uint8_t address, uint8_t reads) {
    const uint8_t state = box_bus_step(_BV(TWSTA));
    const uint8_t has_started = state == 0x08 || state == 0x10; // or started again
    return has_started && box_bus_send((uint8_t)(address << 1 | reads));
}

static void box_bus_stop(void) {
    TWCR = _BV(TWINT) | _BV(TWEN) | _BV(TWSTO);
    for (uint8_t tries = 255; tries && (TWCR & _BV(TWSTO)); tries--) {
    }
}

// box_setup: address, how many bytes, those bytes; again until an address of 0.
static void box_set_up_expanders(void) {
    for (uint16_t at = 0; BOX_BYTE(box_setup[at]);) {
        uint8_t goes_on = box_bus_start(BOX_BYTE(box_setup[at]), 0);
        const uint8_t count = BOX_BYTE(box_setup[at + 1]);
        for (uint8_t byte = 0; byte < count && goes_on; byte++) {
            goes_on = box_bus_send(BOX_BYTE(box_setup[at + 2 + byte]));
        }
        box_bus_stop();
        at = (uint16_t)(at + 2 + count);
    }
}

static uint8_t box_read_expander(uint8_t bank, uint16_t *closed) {
    const uint8_t address = BOX_BYTE(box_bank_wires[bank].more);
    const uint8_t size = BOX_BYTE(box_bank_wires[bank].pins[1]);
    const uint8_t command = BOX_BYTE(box_bank_wires[bank].pins[2]);
    uint16_t levels = 0;
    uint8_t goes_on = 1;
    if (command != 0xFF) {
        goes_on = box_bus_start(address, 0) && box_bus_send(command);
    }
    goes_on = goes_on && box_bus_start(address, 1);
    for (uint8_t byte = 0; byte < size && goes_on; byte++) {
        const uint8_t is_last = byte + 1 == size;
        goes_on = box_bus_step(is_last ? 0 : _BV(TWEA)) == (is_last ? 0x58 : 0x50);
        levels |= (uint16_t)((uint16_t)TWDR << (8 * byte));
    }
    box_bus_stop();
    if (goes_on) {
        *closed = (uint16_t)~levels;
    }
    return goes_on;
}

// Where its interrupt is wired an expander is read after a change, and now and then besides, for
// a change may have come just as it was read.
static void box_load_expander(uint8_t bank, uint16_t *closed) {
    static uint8_t scans[BOX_BANK_COUNT];
    const uint8_t interrupt = BOX_BYTE(box_bank_wires[bank].pins[0]);
    if (interrupt != 0xFF && ++scans[bank] % 32 && box_read(interrupt) == HIGH) {
        return;
    }
    if (!box_read_expander(bank, closed)) {
        box_set_up_expanders(); // it may have lost its power
    }
}
#endif

#if BOX_BANK_COUNT
// Contacts of the places that a bank gives all at once.
static uint16_t box_closed[BOX_BANK_COUNT];

#if BOX_HAS_LADDER
static void box_load_ladder(uint8_t bank, uint16_t *closed) {
    const uint16_t reading = (uint16_t)analogRead(BOX_BYTE(box_bank_wires[bank].more));
    const uint8_t first = BOX_BYTE(box_bank_wires[bank].pins[0]);
    const uint8_t count = BOX_BYTE(box_bank_wires[bank].pins[1]);
    uint8_t place = 0;
    while (place < count && reading >= BOX_WORD(box_levels[first + place])) {
        place++;
    }
    *closed = place < count ? (uint16_t)(1u << place) : 0;
}
#endif

// Leads the common pin of a multiplexer to a place.
BOX_CALLED void box_choose(uint8_t bank, uint8_t place) {
    for (uint8_t bit = 0; bit < 4; bit++) {
        const uint8_t pin = BOX_BYTE(box_bank_wires[bank].pins[bit]);
        if (pin != 0xFF) {
            box_write(pin, (place >> bit) & 1 ? HIGH : LOW);
        }
    }
    delayMicroseconds(BOX_SETTLE);
}

BOX_CALLED void box_pins_load(uint8_t bank) {
    switch (BOX_BYTE(box_bank_wires[bank].kind)) {
    case BOX_CHAIN: {
        // Parallel-in, serial-out registers: load while the latch is low; the first bit is then
        // at the output, each rise of the clock brings the next.
        const uint8_t latch = BOX_BYTE(box_bank_wires[bank].pins[0]);
        box_write(latch, LOW);
        delayMicroseconds(BOX_SETTLE);
        box_write(latch, HIGH);
        break;
    }
#if BOX_HAS_EXPANDER
    case BOX_EXPANDER:
        box_load_expander(bank, &box_closed[bank]);
        break;
#endif
#if BOX_HAS_LADDER
    case BOX_LADDER:
        box_load_ladder(bank, &box_closed[bank]);
        break;
#endif
    }
}

BOX_CALLED uint8_t box_pins_next(uint8_t bank, uint8_t place) {
    const uint8_t more = BOX_BYTE(box_bank_wires[bank].more);
    switch (BOX_BYTE(box_bank_wires[bank].kind)) {
    case BOX_CHAIN: {
        const uint8_t is_high = box_read(BOX_BYTE(box_bank_wires[bank].pins[2])) == HIGH;
        const uint8_t clock = BOX_BYTE(box_bank_wires[bank].pins[1]);
        box_write(clock, HIGH);
        box_write(clock, LOW);
        return is_high == more;
    }
    case BOX_MULTIPLEXER:
        box_choose(bank, place);
        return box_read(more) == LOW;
    default:
        return (box_closed[bank] >> place) & 1;
    }
}

static void box_open_banks(void) {
    for (uint8_t bank = 0; bank < BOX_BANK_COUNT; bank++) {
        const uint8_t kind = BOX_BYTE(box_bank_wires[bank].kind);
        for (uint8_t at = 0; at < 4; at++) {
            const uint8_t pin = BOX_BYTE(box_bank_wires[bank].pins[at]);
            const uint8_t is_output = kind == BOX_CHAIN ? at < 2 : kind == BOX_MULTIPLEXER;
            if (is_output && pin != 0xFF) {
                digitalWrite(pin, kind == BOX_CHAIN && at == 0 ? HIGH : LOW);
                pinMode(pin, OUTPUT);
            }
        }
        if (kind == BOX_CHAIN) {
            pinMode(BOX_BYTE(box_bank_wires[bank].pins[2]), INPUT_PULLUP);
        } else if (kind == BOX_MULTIPLEXER && BOX_WORD(box_banks[bank].count)) {
            pinMode(BOX_BYTE(box_bank_wires[bank].more), INPUT_PULLUP);
        } else if (kind == BOX_EXPANDER && BOX_BYTE(box_bank_wires[bank].pins[0]) != 0xFF) {
            pinMode(BOX_BYTE(box_bank_wires[bank].pins[0]), INPUT_PULLUP);
        }
    }
#if BOX_HAS_EXPANDER
    TWBR = (F_CPU / 400000L - 16) / 2; // 400 kHz
    box_set_up_expanders();
#endif
}
#else
BOX_CALLED void box_pins_load(uint8_t) {}
BOX_CALLED uint8_t box_pins_next(uint8_t, uint8_t) { return 0; }
static void box_open_banks(void) {}
#endif

// The converter has 10 bits; its top bits fill those that it lacks.
BOX_CALLED uint16_t box_pins_measure(uint8_t axis) {
#if BOX_BANK_COUNT && BOX_AXIS_COUNT
    if (BOX_BYTE(box_axis_leads[axis].bank) != 0xFF) {
        box_choose(BOX_BYTE(box_axis_leads[axis].bank), BOX_BYTE(box_axis_leads[axis].place));
    }
#endif
    const uint16_t reading = (uint16_t)analogRead(BOX_BYTE(box_axis_pins[axis]));
    return (uint16_t)(reading << 6 | reading >> 4);
}

// One row of the LED matrix is lit at a time: its pin high, the columns of its lit LEDs low.
BOX_CALLED void box_pins_show(const uint8_t *lit) {
    for (uint8_t at = 0; at < BOX_LED_COUNT; at++) {
        const uint8_t is_high = box_get(lit, at) != BOX_BYTE(box_light_low[at]);
        box_write(BOX_BYTE(box_led_pins[at]), is_high ? HIGH : LOW);
    }
#if BOX_LIGHT_ROWS
    static uint8_t row;
    box_write(BOX_BYTE(box_light_row_pins[row]), LOW);
    row = (uint8_t)((row + 1) % BOX_LIGHT_ROWS);
    for (uint8_t column = 0; column < BOX_LIGHT_COLUMNS; column++) {
        uint8_t is_lit = 0;
        for (uint8_t at = BOX_LED_COUNT; at < BOX_LIGHT_COUNT; at++) {
            is_lit |= BOX_BYTE(box_light_places[at].row) == row &&
                      BOX_BYTE(box_light_places[at].column) == column && box_get(lit, at);
        }
        box_write(BOX_BYTE(box_light_column_pins[column]), is_lit ? LOW : HIGH);
    }
    box_write(BOX_BYTE(box_light_row_pins[row]), HIGH);
#endif
}

static void box_open_pins(void) {
    for (uint8_t at = 0; at < BOX_DRIVEN_COUNT; at++) {
        pinMode(BOX_BYTE(box_driven_pins[at]), INPUT);
    }
    for (uint8_t at = 0; at < BOX_SENSED_COUNT; at++) {
        box_sensed_ports[at] = box_open_input(BOX_BYTE(box_sensed_pins[at]));
    }
    for (uint8_t at = 0; at < BOX_OWN_COUNT; at++) {
        box_own_ports[at] = box_open_input(BOX_BYTE(box_own_pins[at]));
    }
    for (uint8_t at = 0; at < BOX_LOW_COUNT; at++) {
        digitalWrite(BOX_BYTE(box_low_pins[at]), LOW);
        pinMode(BOX_BYTE(box_low_pins[at]), OUTPUT);
    }
    for (uint8_t at = 0; at < BOX_LED_COUNT; at++) {
        pinMode(BOX_BYTE(box_led_pins[at]), OUTPUT);
        digitalWrite(BOX_BYTE(box_led_pins[at]), BOX_BYTE(box_light_low[at]) ? HIGH : LOW);
    }
    for (uint8_t at = 0; at < BOX_LIGHT_ROWS; at++) {
        pinMode(BOX_BYTE(box_light_row_pins[at]), OUTPUT);
    }
    for (uint8_t at = 0; at < BOX_LIGHT_COLUMNS; at++) {
        digitalWrite(BOX_BYTE(box_light_column_pins[at]), HIGH);
        pinMode(BOX_BYTE(box_light_column_pins[at]), OUTPUT);
    }
    box_open_banks();
}

static uint16_t box_last_time;
static uint16_t box_last_sent;
static uint8_t box_unsent = 1;

void setup() {
    box_open_pins();
    delay(10); // let the pull-ups charge the wires
    box_begin();
    box_last_time = (uint16_t)millis();
}

void loop() {
    const uint16_t now = (uint16_t)millis();
    const uint16_t elapsed = (uint16_t)(now - box_last_time);
    if (elapsed == 0) {
        return;
    }
    box_last_time = now;
    if (box_tick(elapsed)) {
        box_unsent = 1;
    }
    if ((uint16_t)(now - box_last_sent) >= box_send_again) {
        box_unsent = 1;
    }
    if (box_unsent && box_plug.send(box_report)) {
        box_unsent = 0;
        box_last_sent = now;
    }
}
