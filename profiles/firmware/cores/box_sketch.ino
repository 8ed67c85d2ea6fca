// The pins of an 8-bit AVR board, and USB. What the box does stands in box_core.h, what is
// wired where in box_config.h. Needs the board core alone: HID.h comes with it.

#include <Arduino.h>
#include <HID.h>

#include "box_core.h"

#if !defined(USBCON)
#error "this board has no native USB: choose an ATmega32U4 board"
#endif

// After a wait (a sleeping host) a tick counts as no longer than this, ms.
static const uint16_t box_longest_tick = 3;

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

static uint8_t box_is_low(const box_port &port) { return (*port.input & port.mask) ? 0 : 1; }

static void box_pins_drive(uint8_t line) {
    // The output register of a floating pin is low already (pinMode INPUT clears it).
    pinMode(BOX_BYTE(box_driven_pins[line]), OUTPUT);
}

static void box_pins_release(uint8_t line) { pinMode(BOX_BYTE(box_driven_pins[line]), INPUT); }

static void box_pins_settle(void) { delayMicroseconds(BOX_SETTLE); }

static uint8_t box_pins_sense(uint8_t line) { return box_is_low(box_sensed_ports[line]); }

static uint8_t box_pins_own(uint8_t place) { return box_is_low(box_own_ports[place]); }

#if BOX_BANK_COUNT
// Parallel-in, serial-out registers: load while the latch is low; the first bit is then at
// the output, each rise of the clock brings the next.
static void box_pins_load(uint8_t bank) {
    const uint8_t latch = BOX_BYTE(box_bank_wires[bank].latch);
    digitalWrite(latch, LOW);
    delayMicroseconds(BOX_SETTLE);
    digitalWrite(latch, HIGH);
}

static uint8_t box_pins_next(uint8_t bank, uint8_t) {
    const uint8_t is_high = digitalRead(BOX_BYTE(box_bank_wires[bank].data)) == HIGH;
    const uint8_t clock = BOX_BYTE(box_bank_wires[bank].clock);
    digitalWrite(clock, HIGH);
    digitalWrite(clock, LOW);
    return is_high == BOX_BYTE(box_bank_wires[bank].is_high);
}

static void box_open_banks(void) {
    for (uint8_t bank = 0; bank < BOX_BANK_COUNT; bank++) {
        pinMode(BOX_BYTE(box_bank_wires[bank].latch), OUTPUT);
        digitalWrite(BOX_BYTE(box_bank_wires[bank].latch), HIGH);
        pinMode(BOX_BYTE(box_bank_wires[bank].clock), OUTPUT);
        digitalWrite(BOX_BYTE(box_bank_wires[bank].clock), LOW);
        pinMode(BOX_BYTE(box_bank_wires[bank].data), INPUT_PULLUP);
    }
}
#else
static void box_pins_load(uint8_t) {}
static uint8_t box_pins_next(uint8_t, uint8_t) { return 0; }
static void box_open_banks(void) {}
#endif

// The converter has 10 bits; its top bits fill those that it lacks.
static uint16_t box_pins_measure(uint8_t axis) {
    const uint16_t reading = (uint16_t)analogRead(BOX_BYTE(box_axis_pins[axis]));
    return (uint16_t)(reading << 6 | reading >> 4);
}

// Tells the HID part of the board core about the box before USB starts.
struct box_usb {
    box_usb() {
        static HIDSubDescriptor node(box_descriptor, sizeof box_descriptor);
        HID().AppendDescriptor(&node);
    }
};
static box_usb box_usb_registration;

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
        digitalWrite(BOX_BYTE(box_led_pins[at]), HIGH);
    }
    box_open_banks();
}

static uint16_t box_last_time;
static uint8_t box_unsent = 1;

void setup() {
    box_open_pins();
    delay(10); // let the pull-ups charge the wires
    box_begin();
    box_last_time = (uint16_t)millis();
}

void loop() {
    const uint16_t now = (uint16_t)millis();
    uint16_t elapsed = (uint16_t)(now - box_last_time);
    if (elapsed == 0) {
        return;
    }
    box_last_time = now;
    if (elapsed > box_longest_tick) {
        elapsed = box_longest_tick;
    }
    if (box_tick(elapsed)) {
        box_unsent = 1;
    }
    if (box_unsent && HID().SendReport(BOX_REPORT_ID, box_report, BOX_REPORT_BYTES) > 0) {
        box_unsent = 0;
    }
}
