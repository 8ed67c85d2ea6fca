/* The scanning core of an input box: what it reads and what it reports.
 *
 * Fixed text. Everything about one box is in the tables of box_config.h. This file
 * touches no pin itself: it calls the box_pins_* functions, which the sketch gives for a
 * board and a test gives for a simulated box.
 *
 * Once a tick, box_tick does these steps in this order:
 *   1. every pulser plays its queue by the clock: pulse, gap, next pulse;
 *   2. read every point: each crossing of the matrix, each own pin, each place of a bank;
 *   3. debounce: a point changes when it has read otherwise for BOX_DEBOUNCE ms on end, from the
 *      first reading that differs, so in two readings at least; that all contacts of a control are
 *      open counts once it has lasted for BOX_HOLD ms, for a hand passes gaps between positions;
 *   4. where a point has changed, each condition that begins to hold queues a pulse, where a
 *      control reports edges;
 *   5. rotary channels are decoded by their Gray code, and each full detent queues a pulse.
 *      They are taken undebounced, for contact bounce goes back and forth and cancels out;
 *      only where one step is a whole detent are they debounced, as bounce would be a detent;
 *      Or each detent moves an axis a step, no further than its ends, from its middle on;
 *   6. pulsers that rest begin what was queued;
 *   7. one axis is measured, each in turn; a reading counts where it differs from the last one by
 *      more than the noise, and always at the ends and at rest; its value is reckoned from what
 *      counts;
 *   8. the report is packed again.
 *
 * Pressed contacts read low, so a point is 1 when its contact is closed.
 */
#ifndef BOX_CORE_H
#define BOX_CORE_H

#include <stdint.h>
#include <string.h>

#if defined(__AVR__)
#include <avr/pgmspace.h>
#define BOX_FLASH PROGMEM
#define BOX_BYTE(place) pgm_read_byte(&(place))
#define BOX_WORD(place) pgm_read_word(&(place))
#else
#define BOX_FLASH
#define BOX_BYTE(place) (place)
#define BOX_WORD(place) (place)
#endif

/* A button that is down while `count` conditions, from `first` on, all hold. A condition is
 * twice its point, and one more where the point must be open. */
struct box_follow {
    uint16_t button;
    uint16_t first;
    uint8_t count;
};

/* Conditions that queue a pulse when they begin to hold. */
struct box_edge {
    uint16_t first;
    uint8_t count;
    uint8_t pulser;
    uint8_t slot;
};

/* Conditions that count once all have held for BOX_HOLD ms: a point of its own after those of
 * contacts. */
struct box_waiting {
    uint16_t first;
    uint8_t count;
};

/* A rotary: points of channels A and B, Gray code steps in one detent, its pulser; or, counted on
 * beyond those, its dial. */
struct box_rotary {
    uint16_t a;
    uint16_t b;
    uint8_t steps;
    uint8_t pulser;
};

/* An axis that detents move: the first of its two bytes in the report, and the step of one. */
struct box_dial {
    uint16_t place;
    uint16_t step;
};

/* A pulser: its buttons are box_slots[first_slot] and on. Where it cancels, a slot takes back
 * the other one if that waits last in the queue. */
struct box_pulser {
    uint16_t first_slot;
    uint16_t pulse;
    uint16_t gap;
    uint8_t cancels;
};

/* Places that are read one after another once their bank is loaded: box_places[first] and on. */
struct box_bank {
    uint16_t first;
    uint16_t count;
};

/* How a bank is wired; 0xFF means none.
 *   chain: latch, clock, data; `more` is 1 where closed contacts are high
 *   expander: interrupt, bytes to read, register to read; `more` is the address
 *   multiplexer: the pins that choose a place; `more` is the common one
 *   ladder: its first level and how many; `more` is the pin */
enum { BOX_CHAIN, BOX_EXPANDER, BOX_MULTIPLEXER, BOX_LADDER };

struct box_bank_pins {
    uint8_t kind;
    uint8_t pins[4];
    uint8_t more;
};

/* An axis: the first of its two bytes in the report; readings, of 65535, at its low end, at both
 * ends of its rest and at its high end; whether it is turned round. */
struct box_axis {
    uint16_t place;
    uint16_t low;
    uint16_t rest_low;
    uint16_t rest_high;
    uint16_t high;
    uint8_t reversed;
};

/* Where an axis behind a multiplexer is: its bank, 0xFF for a pin of its own, and its place. */
struct box_lead {
    uint8_t bank;
    uint8_t place;
};

/* An LED that is lit while so many conditions, from `first` on, all hold. Those of pins come
 * first, then those of the LED matrix, each with its row and column. */
struct box_light {
    uint16_t first;
    uint8_t count;
};

struct box_light_place {
    uint8_t row;
    uint8_t column;
};

#include "box_config.h"

#define BOX_MATRIX_POINTS (BOX_DRIVEN_COUNT * BOX_SENSED_COUNT)
#define BOX_POINTS (BOX_MATRIX_POINTS + BOX_OWN_COUNT + BOX_PLACE_COUNT)
#define BOX_STATES (BOX_POINTS + BOX_WAITING_COUNT)
#define BOX_STATE_BYTES ((BOX_STATES + 7) / 8)
#define BOX_AT_LEAST_ONE(count) ((count) ? (count) : 1)

/* What is inlined is told, not left to the compiler, so that what a scan does takes as long in every
 * box: its times are a table of Platebook. */
#define BOX_INLINE static inline __attribute__((always_inline))
#define BOX_CALLED static __attribute__((noinline))

enum { BOX_CLOCKWISE = 0, BOX_ANTICLOCKWISE = 1 };
#define BOX_NO_BUTTON 0xFFFFu
#define BOX_IDLE 0xFFu

/* The pins, given by whoever includes this file. */
BOX_CALLED void box_pins_drive(uint8_t line);
BOX_CALLED void box_pins_release(uint8_t line);
static void box_pins_settle(void);
BOX_INLINE uint8_t box_pins_sense(uint8_t line);
BOX_INLINE uint8_t box_pins_own(uint8_t place);
BOX_CALLED void box_pins_load(uint8_t bank);
BOX_CALLED uint8_t box_pins_next(uint8_t bank, uint8_t place);
BOX_CALLED uint16_t box_pins_measure(uint8_t axis); /* 0 to 65535 */
BOX_CALLED void box_pins_show(const uint8_t *lit);  /* once a tick, a bit for each LED */

/* What a pulser is doing: the slots that wait, the one that plays, and the time left. */
struct box_pulser_state {
    uint8_t queue[BOX_QUEUE];
    uint8_t head;
    uint8_t count;
    uint8_t active;
    uint16_t left;
};

struct box_rotary_state {
    uint8_t code;
    uint8_t rest;
    int8_t sum;
};

static uint8_t box_raw[BOX_AT_LEAST_ONE(BOX_STATE_BYTES)];
static uint8_t box_state[BOX_AT_LEAST_ONE(BOX_STATE_BYTES)];
static uint8_t box_before[BOX_AT_LEAST_ONE(BOX_STATE_BYTES)];
static uint16_t box_differs[BOX_AT_LEAST_ONE(BOX_STATES)]; /* 0, or 1 and the ms it differs */
static box_pulser_state box_pulser_states[BOX_AT_LEAST_ONE(BOX_PULSER_COUNT)];
static box_rotary_state box_rotary_states[BOX_AT_LEAST_ONE(BOX_ROTARY_COUNT)];
static uint16_t box_readings[BOX_AT_LEAST_ONE(BOX_AXIS_COUNT)];
static int16_t box_axis_values[BOX_AT_LEAST_ONE(BOX_AXIS_COUNT)];
static int16_t box_dial_values[BOX_AT_LEAST_ONE(BOX_DIAL_COUNT)];
static uint8_t box_measured; /* the axis whose turn it is */
static uint8_t box_report[BOX_AT_LEAST_ONE(BOX_REPORT_BYTES)];
static uint16_t box_lost; /* pulses that found their queue full */

/* Steps by old code * 4 + new code; code is A + 2 * B. The order 0, 1, 3, 2 is clockwise.
 * A jump over a code says nothing of the direction and counts as nothing. */
static const int8_t box_gray_steps[16] BOX_FLASH = {
    0, 1, -1, 0, /* from 0 */
    -1, 0, 0, 1, /* from 1 */
    1, 0, 0, -1, /* from 2 */
    0, -1, 1, 0, /* from 3 */
};

/* Place of a code in the order 0, 1, 3, 2. */
static const uint8_t box_gray_place[4] BOX_FLASH = {0, 1, 3, 2};

/* Position of a hat by its ways closed: up 1, right 2, down 4, left 8. Opposite ways cancel. */
static const uint8_t box_hat_positions[16] BOX_FLASH = {
    0, 1, 3, 2, 5, 0, 4, 3, 7, 8, 0, 1, 6, 7, 5, 0,
};

/* An 8-bit chip shifts one place at a time: a look into a table is faster. */
static const uint8_t box_masks[8] BOX_FLASH = {1, 2, 4, 8, 16, 32, 64, 128};

BOX_INLINE uint8_t box_get(const uint8_t *bits, uint16_t at) {
    return (bits[at >> 3] & BOX_BYTE(box_masks[at & 7])) ? 1 : 0;
}

BOX_INLINE void box_put(uint8_t *bits, uint16_t at, uint8_t value) {
    const uint8_t mask = BOX_BYTE(box_masks[at & 7]);
    if (value) {
        bits[at >> 3] |= mask;
    } else {
        bits[at >> 3] &= (uint8_t)~mask;
    }
}

BOX_CALLED uint8_t box_holds(const uint8_t *bits, uint16_t first, uint8_t count) {
    for (uint8_t at = 0; at < count; at++) {
        const uint16_t condition = BOX_WORD(box_conditions[first + at]);
        if (box_get(bits, condition >> 1) == (condition & 1)) {
            return 0;
        }
    }
    return 1;
}

BOX_CALLED void box_read_waiting(void) {
    for (uint16_t at = 0; at < BOX_WAITING_COUNT; at++) {
        const uint16_t first = BOX_WORD(box_waits[at].first);
        const uint8_t holds = box_holds(box_state, first, BOX_BYTE(box_waits[at].count));
        box_put(box_raw, BOX_POINTS + at, holds);
    }
}

BOX_CALLED void box_read_points(void) {
    uint16_t point = 0;
    for (uint8_t line = 0; line < BOX_DRIVEN_COUNT; line++) {
        box_pins_drive(line);
        box_pins_settle();
        for (uint8_t sensed = 0; sensed < BOX_SENSED_COUNT; sensed++) {
            box_put(box_raw, point++, box_pins_sense(sensed));
        }
        box_pins_release(line);
    }
    for (uint8_t place = 0; place < BOX_OWN_COUNT; place++) {
        box_put(box_raw, point++, box_pins_own(place));
    }
    for (uint8_t bank = 0; bank < BOX_BANK_COUNT; bank++) {
        const uint16_t first = BOX_WORD(box_banks[bank].first);
        box_pins_load(bank);
        for (uint16_t at = 0; at < BOX_WORD(box_banks[bank].count); at++) {
            box_put(box_raw, point++, box_pins_next(bank, BOX_BYTE(box_places[first + at])));
        }
    }
    box_read_waiting();
}

/* Says whether any point changed. */
BOX_CALLED uint8_t box_debounce(uint16_t elapsed) {
    uint8_t changed = 0;
    for (uint16_t point = 0; point < BOX_STATES; point++) {
        const uint8_t now = box_get(box_raw, point);
        if (now == box_get(box_state, point)) {
            box_differs[point] = 0;
            continue;
        }
        if (box_differs[point] == 0) {
            box_differs[point] = 1;
            continue;
        }
        const uint32_t differs = (uint32_t)box_differs[point] + elapsed;
        if (differs > (point < BOX_POINTS ? BOX_DEBOUNCE : BOX_HOLD)) {
            box_put(box_state, point, now);
            box_differs[point] = 0;
            changed = 1;
        } else {
            box_differs[point] = (uint16_t)differs;
        }
    }
    return changed;
}

BOX_INLINE uint16_t box_slot_button(uint8_t pulser, uint8_t slot) {
    return BOX_WORD(box_slots[BOX_WORD(box_pulsers[pulser].first_slot) + slot]);
}

BOX_CALLED void box_queue_pulse(uint8_t pulser, uint8_t slot) {
    box_pulser_state *state = &box_pulser_states[pulser];
    if (box_slot_button(pulser, slot) == BOX_NO_BUTTON) {
        return;
    }
    if (state->count && BOX_BYTE(box_pulsers[pulser].cancels)) {
        const uint8_t last = (uint8_t)(state->head + state->count - 1) % BOX_QUEUE;
        if (state->queue[last] != slot) {
            state->count--;
            return;
        }
    }
    if (state->count == BOX_QUEUE) {
        box_lost++;
        return;
    }
    state->queue[(uint8_t)(state->head + state->count) % BOX_QUEUE] = slot;
    state->count++;
}

BOX_CALLED void box_find_edges(void) {
    for (uint16_t at = 0; at < BOX_EDGE_COUNT; at++) {
        const uint16_t first = BOX_WORD(box_edges[at].first);
        const uint8_t count = BOX_BYTE(box_edges[at].count);
        if (box_holds(box_state, first, count) && !box_holds(box_before, first, count)) {
            box_queue_pulse(BOX_BYTE(box_edges[at].pulser), BOX_BYTE(box_edges[at].slot));
        }
    }
    memcpy(box_before, box_state, sizeof box_before);
}

BOX_INLINE uint8_t box_rotary_code(uint8_t at) {
    const uint8_t *bits = BOX_BYTE(box_rotaries[at].steps) == 1 ? box_state : box_raw;
    const uint8_t a = box_get(bits, BOX_WORD(box_rotaries[at].a));
    const uint8_t b = box_get(bits, BOX_WORD(box_rotaries[at].b));
    return (uint8_t)(a | (b << 1));
}

static void box_take_detent(uint8_t at, uint8_t way) {
    const uint8_t pulser = BOX_BYTE(box_rotaries[at].pulser);
    if (pulser < BOX_PULSER_COUNT) {
        box_queue_pulse(pulser, way);
        return;
    }
    const uint8_t dial = (uint8_t)(pulser - BOX_PULSER_COUNT);
    const int32_t step = BOX_WORD(box_dials[dial].step);
    const int32_t value = box_dial_values[dial] + (way == BOX_CLOCKWISE ? step : -step);
    box_dial_values[dial] = (int16_t)(value > 32767 ? 32767 : value < -32767 ? -32767 : value);
}

/* A detent ends where the knob rests: as many Gray code steps from its rest at power-up as
 * a multiple of the steps of a detent. Half a detent or more counts, so one lost step is
 * forgiven. */
BOX_CALLED void box_decode_rotary(uint8_t at) {
    box_rotary_state *state = &box_rotary_states[at];
    const uint8_t code = box_rotary_code(at);
    const uint8_t steps = BOX_BYTE(box_rotaries[at].steps);
    const uint8_t turn = (uint8_t)(state->code * 4 + code);
    if (code == state->code) {
        return;
    }
    state->code = code;
    state->sum = (int8_t)(state->sum + (int8_t)BOX_BYTE(box_gray_steps[turn]));
    const uint8_t from_rest = (uint8_t)(BOX_BYTE(box_gray_place[code]) - state->rest) & 3;
    if (from_rest % steps) {
        return;
    }
    if (state->sum * 2 >= steps) {
        box_take_detent(at, BOX_CLOCKWISE);
    } else if (state->sum * 2 <= -(int8_t)steps) {
        box_take_detent(at, BOX_ANTICLOCKWISE);
    }
    state->sum = 0;
}

BOX_CALLED void box_play_pulsers(uint16_t elapsed) {
    for (uint8_t at = 0; at < BOX_PULSER_COUNT; at++) {
        box_pulser_state *state = &box_pulser_states[at];
        state->left = state->left > elapsed ? (uint16_t)(state->left - elapsed) : 0;
        if (state->left) {
            continue;
        }
        if (state->active != BOX_IDLE) {
            state->active = BOX_IDLE;
            state->left = BOX_WORD(box_pulsers[at].gap);
        } else if (state->count) {
            state->active = state->queue[state->head];
            state->head = (uint8_t)((state->head + 1) % BOX_QUEUE);
            state->count--;
            state->left = BOX_WORD(box_pulsers[at].pulse);
        }
    }
}

/* The value of an axis: -32767 at its low end, 0 at rest, 32767 at its high end. */
static int16_t box_axis_value(uint8_t at) {
    const uint16_t reading = box_readings[at];
    const uint16_t low = BOX_WORD(box_axes[at].low), high = BOX_WORD(box_axes[at].high);
    const uint16_t rest_low = BOX_WORD(box_axes[at].rest_low);
    const uint16_t rest_high = BOX_WORD(box_axes[at].rest_high);
    int32_t value = 0;
    if (reading <= low) {
        value = -32767;
    } else if (reading >= high) {
        value = 32767;
    } else if (reading < rest_low) {
        value = -(int32_t)((uint32_t)(rest_low - reading) * 32767u / (uint16_t)(rest_low - low));
    } else if (reading > rest_high) {
        value = (int32_t)((uint32_t)(reading - rest_high) * 32767u / (uint16_t)(high - rest_high));
    }
    return (int16_t)(BOX_BYTE(box_axes[at].reversed) ? -value : value);
}

BOX_CALLED void box_measure(uint8_t at) {
    const uint16_t low = BOX_WORD(box_axes[at].low), high = BOX_WORD(box_axes[at].high);
    const uint16_t rest_low = BOX_WORD(box_axes[at].rest_low);
    const uint16_t rest_high = BOX_WORD(box_axes[at].rest_high);
    uint16_t reading = box_pins_measure(at);
    const uint16_t last = box_readings[at];
    const uint16_t moved = reading > last ? reading - last : last - reading;
    if (reading <= low || reading >= high || (reading >= rest_low && reading <= rest_high) ||
        moved > BOX_NOISE) {
        box_readings[at] = reading;
    }
    box_axis_values[at] = box_axis_value(at);
}

BOX_CALLED void box_pack_report(void) {
    memset(box_report, 0, sizeof box_report);
    for (uint16_t at = 0; at < BOX_FOLLOW_COUNT; at++) {
        const uint16_t first = BOX_WORD(box_follows[at].first);
        if (box_holds(box_state, first, BOX_BYTE(box_follows[at].count))) {
            box_put(box_report, BOX_WORD(box_follows[at].button), 1);
        }
    }
    for (uint8_t at = 0; at < BOX_PULSER_COUNT; at++) {
        if (box_pulser_states[at].active != BOX_IDLE) {
            box_put(box_report, box_slot_button(at, box_pulser_states[at].active), 1);
        }
    }
    for (uint8_t hat = 0; hat < BOX_HAT_COUNT; hat++) {
        uint8_t *byte = &box_report[BOX_HATS_AT + hat / 2];
        const uint8_t shift = (uint8_t)(hat % 2 * 4);
        const uint8_t position = BOX_BYTE(box_hat_positions[(*byte >> shift) & 15]);
        *byte = (uint8_t)((*byte & ~(15 << shift)) | (position << shift));
    }
    for (uint8_t at = 0; at < BOX_AXIS_COUNT; at++) {
        const uint16_t value = (uint16_t)box_axis_values[at];
        box_report[BOX_WORD(box_axes[at].place)] = (uint8_t)value;
        box_report[BOX_WORD(box_axes[at].place) + 1] = (uint8_t)(value >> 8);
    }
    for (uint8_t at = 0; at < BOX_DIAL_COUNT; at++) {
        const uint16_t value = (uint16_t)box_dial_values[at];
        box_report[BOX_WORD(box_dials[at].place)] = (uint8_t)value;
        box_report[BOX_WORD(box_dials[at].place) + 1] = (uint8_t)(value >> 8);
    }
}

BOX_CALLED void box_show_lights(void) {
    static uint8_t lit[BOX_AT_LEAST_ONE((BOX_LIGHT_COUNT + 7) / 8)];
    for (uint8_t at = 0; at < BOX_LIGHT_COUNT; at++) {
        const uint16_t first = BOX_WORD(box_lights[at].first);
        box_put(lit, at, box_holds(box_state, first, BOX_BYTE(box_lights[at].count)));
    }
    box_pins_show(lit);
}

/* Take the box as it is found at power-up: what is on then is on, and no edge is reported. */
static void box_begin(void) {
    box_read_points();
    memcpy(box_state, box_raw, sizeof box_state);
    box_read_waiting();
    memcpy(box_state, box_raw, sizeof box_state);
    memcpy(box_before, box_raw, sizeof box_before);
    memset(box_differs, 0, sizeof box_differs);
    memset(box_pulser_states, 0, sizeof box_pulser_states);
    memset(box_dial_values, 0, sizeof box_dial_values);
    for (uint8_t at = 0; at < BOX_PULSER_COUNT; at++) {
        box_pulser_states[at].active = BOX_IDLE;
    }
    for (uint8_t at = 0; at < BOX_ROTARY_COUNT; at++) {
        box_rotary_states[at].code = box_rotary_code(at);
        box_rotary_states[at].rest = BOX_BYTE(box_gray_place[box_rotary_states[at].code]);
        box_rotary_states[at].sum = 0;
    }
    for (uint8_t at = 0; at < BOX_AXIS_COUNT; at++) {
        box_readings[at] = box_pins_measure(at);
        box_axis_values[at] = box_axis_value(at);
    }
    box_measured = 0;
    box_lost = 0;
    box_pack_report();
    box_show_lights();
}

/* One round. `elapsed` is the time since the last one, ms. Says whether the report changed. */
static uint8_t box_tick(uint16_t elapsed) {
    uint8_t last[sizeof box_report];
    memcpy(last, box_report, sizeof last);
    box_play_pulsers(elapsed);
    box_read_points();
    if (memcmp(box_raw, box_state, sizeof box_raw)) {
        if (box_debounce(elapsed)) {
            box_find_edges();
        }
    } else {
        memset(box_differs, 0, sizeof box_differs);
    }
    for (uint8_t at = 0; at < BOX_ROTARY_COUNT; at++) {
        box_decode_rotary(at);
    }
    box_play_pulsers(0);
    if (BOX_AXIS_COUNT) {
        box_measure(box_measured);
        box_measured = (uint8_t)((box_measured + 1) % BOX_AT_LEAST_ONE(BOX_AXIS_COUNT));
    }
    box_pack_report();
    box_show_lights();
    return memcmp(last, box_report, sizeof last) != 0;
}

#endif
