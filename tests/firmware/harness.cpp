// A simulated box around the scanning core, to be driven from a test.
//
// Contacts are given as one byte a point (1: closed), so that bounce and encoder noise are
// the caller's. The matrix is simulated here from first principles: the low level of the
// driven line spreads over closed contacts, backwards only where there is no diode, until
// nothing changes. The whole box is simulated once a tick.

#include "box_core.h"

static const uint8_t *sim_closed;
static const uint8_t *sim_diodes;
static uint8_t sim_low_driven[BOX_AT_LEAST_ONE(BOX_DRIVEN_COUNT)];
static uint8_t sim_low_sensed[BOX_AT_LEAST_ONE(BOX_SENSED_COUNT)];
static uint16_t sim_bit;

static uint8_t sim_spread(void) {
    uint8_t changed = 0;
    for (int at = 0; at < BOX_MATRIX_POINTS; at++) {
        uint8_t &driven = sim_low_driven[at / BOX_AT_LEAST_ONE(BOX_SENSED_COUNT)];
        uint8_t &sensed = sim_low_sensed[at % BOX_AT_LEAST_ONE(BOX_SENSED_COUNT)];
        if (!sim_closed[at]) {
            continue;
        }
        if (driven && !sensed) {
            sensed = changed = 1;
        }
        if (sensed && !driven && !sim_diodes[at]) {
            driven = changed = 1;
        }
    }
    return changed;
}

static void box_pins_drive(uint8_t line) { sim_low_driven[line] = 1; }

static void box_pins_release(uint8_t) {
    memset(sim_low_driven, 0, sizeof sim_low_driven);
    memset(sim_low_sensed, 0, sizeof sim_low_sensed);
}

static void box_pins_settle(void) {
    while (sim_spread()) {
    }
}

static uint8_t box_pins_sense(uint8_t line) { return sim_low_sensed[line]; }

static uint8_t box_pins_own(uint8_t place) { return sim_closed[BOX_MATRIX_POINTS + place]; }

static void box_pins_load(uint8_t bank) { sim_bit = bank ? sim_bit : 0; }

static uint8_t box_pins_next(uint8_t, uint8_t) {
    return sim_closed[BOX_MATRIX_POINTS + BOX_OWN_COUNT + sim_bit++];
}

// Readings of the axes, two bytes an axis, most significant first, after the points of each row.
static uint16_t box_pins_measure(uint8_t axis) {
    const uint8_t *place = sim_closed + BOX_POINTS + 2 * axis;
    return (uint16_t)(place[0] << 8 | place[1]);
}

static uint8_t sim_lit[BOX_AT_LEAST_ONE((BOX_LIGHT_COUNT + 7) / 8)];

static void box_pins_show(const uint8_t *lit) { memcpy(sim_lit, lit, sizeof sim_lit); }

extern "C" {

int sim_is_lit(int light) { return box_get(sim_lit, light); }


int sim_points(void) { return BOX_POINTS; }

int sim_lost(void) { return box_lost; }

// Begin with the first row, then tick once for each further row. Whenever the report has
// changed, write the row's number and the report; say how many times that was.
int sim_run(int rows, const uint8_t *closed, const uint8_t *elapsed, const uint8_t *diodes,
            int *when, uint8_t *reports) {
    int changes = 0;
    sim_diodes = diodes;
    for (int row = 0; row < rows; row++) {
        sim_closed = closed + row * (BOX_POINTS + 2 * BOX_AXIS_COUNT);
        uint8_t changed = 1;
        if (row == 0) {
            box_begin();
        } else {
            changed = box_tick(elapsed[row]);
        }
        if (changed) {
            when[changes] = row;
            memcpy(reports + changes * BOX_REPORT_BYTES, box_report, BOX_REPORT_BYTES);
            changes++;
        }
    }
    return changes;
}
}
