/* A computer and a box around a simulated ATmega32U4: enumerates it over USB, closes and
 * opens contacts between its pins, and prints every report it sends.
 *
 * Reads from stdin: "driven", "sensed" and "own" with port bits such as PD1; "banks"; "lights"; "diodes"
 * with one digit a crossing; then one line of digits a row, one digit a point (1: closed), each
 * lasting MS_PER_ROW. Crossings are numbered along the driven lines, own pins follow, then the
 * places of banks, each a word:
 *   chain:LATCH:CLOCK:DATA:LENGTH:HIGH    closed contacts are high where HIGH is 1
 *   expander:ADDRESS:SIZE:PULL:PLACES:INT PULL is its register of pull-ups, -1 for none at all
 *   multiplexer:PIN:SELECT,...:PLACES:CHANNEL  the channel that measures it, empty for none
 *   ladder:CHANNEL:MV,...                 what it reads for each contact, then for none, in mV
 * then "lights", each a pin, with a minus where it is lit low, or PIN/PIN of the LED matrix.
 * Places are counted from 0. Words such as 7=2500 after a row give a channel of the converter so
 * many mV, and 102=2500 place 2 of the multiplexer.
 * "+480" after a row lets so many cycles pass before it; "replug" takes the box off the bus and on again;
 * "@480" lets it begin so many cycles after a scan has begun to read its points. With an address of loop() in flash and one of
 * its last time in memory, as avr-nm tells them, "scans <row> <count> <cycles> <longest> <interval>"
 * follows each row: cycles of a scan and from one to the next, on average.
 * Prints "device", "string", "configuration", "descriptor", "asked" (the report on request) and "report <row>" lines, bytes in
 * hexadecimal; after a report the microseconds since its row began.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <simavr/avr_adc.h>
#include <simavr/avr_ioport.h>
#include <simavr/avr_twi.h>
#include <simavr/avr_usb.h>
#include <simavr/sim_avr.h>
#include <simavr/sim_elf.h>

enum { MOST = 64, CYCLES_PER_MS = 16000, POLLS_PER_MS = 32 };

struct pin {
    char port;
    int bit;
};

struct chain {
    struct pin latch, clock, data;
    int length, is_high, first, at, was_clocked;
};

struct expander {
    int address, size, pull, first, count, places[MOST];
    struct pin interrupt;
    uint8_t registers[256], at, is_chosen, is_named, read[2];
};

struct multiplexer {
    struct pin pin, select[4];
    int selects, first, count, places[MOST], channel;
};

struct ladder {
    int channel, first, count, mv[MOST];
};

struct light {
    struct pin pin, column;
    int is_low;
};

static struct light lights[MOST];
static char lit[MOST];
static int light_count;
static avr_t *avr;
static struct chain chains[MOST];
static struct expander expanders[MOST];
static struct multiplexer multiplexers[MOST];
static struct ladder ladders[MOST];
static int place_mv[MOST];
static int chain_count, expander_count, multiplexer_count, ladder_count;
static struct pin driven[MOST], sensed[MOST], own[MOST];
static int driven_count, sensed_count, own_count;
static char diodes[MOST * MOST], closed[MOST * MOST];
static unsigned last_pulled = ~0u;
static avr_cycle_count_t next_spread;
static int soon;

static void fail(const char *words) {
    fprintf(stderr, "%s\n", words);
    exit(1);
}

static int read_pins(struct pin *pins) {
    char line[1024];
    int count = 0;
    if (!fgets(line, sizeof line, stdin)) fail("pins are missing");
    for (char *word = strtok(line, " \n"); word; word = strtok(NULL, " \n")) {
        if (word[0] != 'P') continue;
        pins[count].port = word[1];
        pins[count++].bit = word[2] - '0';
    }
    return count;
}

static void set_pin(struct pin pin, int level) {
    avr_raise_irq(avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ(pin.port), pin.bit), level);
}

static int is_high(struct pin pin) {
    avr_ioport_state_t state;
    avr_ioctl(avr, AVR_IOCTL_IOPORT_GETSTATE(pin.port), &state);
    return (state.ddr >> pin.bit & 1) && (state.port >> pin.bit & 1);
}

static struct pin read_pin(const char *word) {
    struct pin pin = {word[1], word[2] - '0'};
    return pin;
}

static int read_numbers(char *words, int *numbers) {
    int count = 0;
    for (char *at = words; *at; at += strspn(at, ",")) numbers[count++] = strtol(at, &at, 10);
    return count;
}

static void read_banks(void) {
    static char line[8192], part[6][1024];
    int first = driven_count * sensed_count + own_count;
    char *rest = line;
    if (!fgets(line, sizeof line, stdin)) fail("banks are missing");
    strtok_r(rest, " \n", &rest);
    for (char *word; (word = strtok_r(rest, " \n", &rest));) {
        memset(part, 0, sizeof part);
        char *more = word;
        for (int at = 0; at < 6; at++) {
            char *next = strsep(&more, ":");
            if (next) snprintf(part[at], sizeof part[at], "%s", next);
        }
        if (!strcmp(part[0], "chain")) {
            struct chain one = {read_pin(part[1]), read_pin(part[2]), read_pin(part[3]),
                                atoi(part[4]), atoi(part[5]), first, 0, 0};
            chains[chain_count++] = one;
            first += one.length;
        } else if (!strcmp(part[0], "expander")) {
            struct expander *one = &expanders[expander_count++];
            one->address = atoi(part[1]);
            one->size = atoi(part[2]);
            one->pull = atoi(part[3]);
            one->count = read_numbers(part[4], one->places);
            one->interrupt = read_pin(part[5]);
            one->first = first;
            first += one->count;
        } else if (!strcmp(part[0], "multiplexer")) {
            struct multiplexer *one = &multiplexers[multiplexer_count++];
            one->pin = read_pin(part[1]);
            char *select = part[2];
            for (char *pin; (pin = strsep(&select, ","));) one->select[one->selects++] = read_pin(pin);
            one->count = read_numbers(part[3], one->places);
            one->channel = part[4][0] ? atoi(part[4]) : -1;
            one->first = first;
            first += one->count;
        } else if (!strcmp(part[0], "ladder")) {
            struct ladder *one = &ladders[ladder_count++];
            one->channel = atoi(part[1]);
            one->count = read_numbers(part[2], one->mv) - 1;
            one->first = first;
            first += one->count;
        } else {
            fail("a bank cannot be read");
        }
    }
}

/* A byte of an expander's contacts: low where closed, high where a pull-up holds it. */
static uint8_t read_levels(struct expander *one, int byte) {
    uint8_t levels = one->pull < 0 ? 0xFF : one->registers[one->pull + byte];
    for (int at = 0; at < one->count; at++)
        if (one->places[at] / 8 == byte && closed[one->first + at] == '1')
            levels &= ~(1 << one->places[at] % 8);
    return levels;
}

/* The two-wire bus: a byte written first names a register, those after it go into it and on. */
static void serve_bus(struct avr_irq_t *irq, uint32_t value, void *param) {
    avr_irq_t *in = avr_io_getirq(avr, AVR_IOCTL_TWI_GETIRQ(0), TWI_IRQ_INPUT);
    avr_twi_msg_irq_t message = {.u.v = value};
    const int what = message.u.twi.msg, address = message.u.twi.addr;
    (void)irq, (void)param;
    /* The simulator takes a clock of the bus for a microsecond; at 400 kHz it is 40 cycles. */
    if (what & (TWI_COND_START | TWI_COND_WRITE | TWI_COND_READ))
        avr->cycle += 9 * (40 - CYCLES_PER_MS / 1000);
    for (struct expander *one = expanders; one < expanders + expander_count; one++) {
        if (what & (TWI_COND_STOP | TWI_COND_START)) one->is_chosen = 0;
        if (what & TWI_COND_START && address >> 1 == one->address) {
            one->is_chosen = 1;
            one->is_named = one->pull < 0;
            if (one->pull < 0) one->at = 0;
            avr_raise_irq(in, avr_twi_irq_msg(TWI_COND_ACK, address, 1));
        }
        if (!one->is_chosen) continue;
        if (what & TWI_COND_WRITE) {
            avr_raise_irq(in, avr_twi_irq_msg(TWI_COND_ACK, address, 1));
            if (!one->is_named) one->at = message.u.twi.data;
            else one->registers[one->at++] = message.u.twi.data;
            one->is_named = 1;
        }
        if (what & TWI_COND_READ) {
            const int port = one->pull < 0 ? 0 : one->size == 2 ? 0x12 : 0x09;
            const int byte = (one->at++ - port) & (one->size - 1);
            one->read[byte] = read_levels(one, byte);
            avr_raise_irq(in, avr_twi_irq_msg(TWI_COND_READ, address, one->read[byte]));
        }
    }
}

/* Levels at the pins of expanders' interrupts, multiplexers and ladders. */
static void set_banks(void) {
    for (struct expander *one = expanders; one < expanders + expander_count; one++) {
        int has_changed = 0;
        const int alarm = one->size == 2 ? 0x04 : 0x02; /* the register of watched pins */
        for (int byte = 0; byte < one->size; byte++) {
            const uint8_t watched = one->pull < 0 ? 0xFF : one->registers[alarm + byte];
            has_changed |= (read_levels(one, byte) ^ one->read[byte]) & watched;
        }
        if (one->interrupt.port) set_pin(one->interrupt, !has_changed);
    }
    for (struct multiplexer *one = multiplexers; one < multiplexers + multiplexer_count; one++) {
        int place = 0, is_closed = 0;
        for (int at = 0; at < one->selects; at++) place |= is_high(one->select[at]) << at;
        for (int at = 0; at < one->count; at++)
            if (one->places[at] == place) is_closed = closed[one->first + at] == '1';
        set_pin(one->pin, !is_closed);
        if (one->channel >= 0)
            avr_raise_irq(avr_io_getirq(avr, AVR_IOCTL_ADC_GETIRQ, ADC_IRQ_ADC0 + one->channel),
                          (uint32_t)place_mv[place]);
    }
    for (struct ladder *one = ladders; one < ladders + ladder_count; one++) {
        int at = 0;
        while (at < one->count && closed[one->first + at] != '1') at++;
        avr_raise_irq(avr_io_getirq(avr, AVR_IOCTL_ADC_GETIRQ, ADC_IRQ_ADC0 + one->channel),
                      (uint32_t)one->mv[at]);
    }
}

/* The first bit is at the output while the latch is low; each rise of the clock brings the next. */
static void shift_chains(void) {
    for (struct chain *one = chains; one < chains + chain_count; one++) {
        int clocked = is_high(one->clock), level = 0;
        if (!is_high(one->latch)) one->at = 0;
        else if (clocked && !one->was_clocked) one->at++;
        if (one->at < one->length)
            level = (closed[one->first + one->at] == '1') == one->is_high;
        set_pin(one->data, level);
        one->was_clocked = clocked;
    }
}

static int is_pulled(struct pin pin) {
    avr_ioport_state_t state;
    avr_ioctl(avr, AVR_IOCTL_IOPORT_GETSTATE(pin.port), &state);
    return (state.ddr >> pin.bit & 1) && !(state.port >> pin.bit & 1);
}

static void set_voltages(char *words) {
    for (char *word = strtok(words, " \n"); word; word = strtok(NULL, " \n")) {
        int channel, millivolts;
        if (sscanf(word, "%d=%d", &channel, &millivolts) != 2) continue;
        if (channel >= 100)
            place_mv[channel - 100] = millivolts;
        else
            avr_raise_irq(avr_io_getirq(avr, AVR_IOCTL_ADC_GETIRQ, channel), millivolts);
    }
}

/* The low level of the pulled lines spreads over closed contacts until nothing changes. */
static void spread(unsigned pulled) {
    char low_driven[MOST], low_sensed[MOST] = {0};
    int changed = 1;
    for (int at = 0; at < driven_count; at++) low_driven[at] = pulled >> at & 1;
    while (changed) {
        changed = 0;
        for (int at = 0; at < driven_count * sensed_count; at++) {
            char *d = &low_driven[at / sensed_count], *s = &low_sensed[at % sensed_count];
            if (closed[at] != '1') continue;
            if (*d && !*s) *s = changed = 1;
            if (*s && !*d && diodes[at] != '1') *d = changed = 1;
        }
    }
    for (int at = 0; at < sensed_count; at++) set_pin(sensed[at], !low_sensed[at]);
    for (int at = 0; at < own_count; at++)
        set_pin(own[at], closed[driven_count * sensed_count + at] != '1');
}

/* LEDs that are lit at this moment: of a pin, or of a row that is high and a column that is low. */
static void see_lights(void) {
    for (int at = 0; at < light_count; at++) {
        const struct light *one = &lights[at];
        if (one->column.port)
            lit[at] |= is_high(one->pin) && is_pulled(one->column);
        else
            lit[at] = is_high(one->pin) != one->is_low;
    }
}

/* Calls of loop() that took the time for a scan: whoever calls it finds its last time changed. */
static unsigned loop_at, time_at, read_at, scan_count, scan_time;
static avr_cycle_count_t loop_begun, first_scan, last_scan, scan_cycles, longest_scan, row_begun;

static void watch_scans(void) {
    if (!loop_at || avr->pc != loop_at) return;
    const unsigned time = avr->data[time_at] | avr->data[time_at + 1] << 8;
    if (time != scan_time && loop_begun) {
        const avr_cycle_count_t took = avr->cycle - loop_begun;
        if (!scan_count++) first_scan = loop_begun;
        last_scan = loop_begun;
        scan_cycles += took;
        if (took > longest_scan) longest_scan = took;
    }
    scan_time = time;
    loop_begun = avr->cycle;
}

static void print_scans(int row) {
    if (scan_count > 1)
        printf("scans %d %u %.1f %u %.1f\n", row, scan_count, (double)scan_cycles / scan_count,
               (unsigned)longest_scan, (double)(last_scan - first_scan) / (scan_count - 1));
    scan_count = 0;
    scan_cycles = longest_scan = 0;
}

/* Whether a direction or an output of ports B to F is another one: PINx, DDRx, PORTx from 0x23 on. */
static int have_ports_changed(void) {
    static uint8_t last[15];
    uint8_t now[15];
    memcpy(now, avr->data + 0x23, sizeof now);
    for (int at = 0; at < 15; at += 3) now[at] = 0;
    if (!memcmp(now, last, sizeof now)) return 0;
    memcpy(last, now, sizeof now);
    return 1;
}

static void run(unsigned cycles) {
    const avr_cycle_count_t end = avr->cycle + cycles;
    while (avr->cycle < end) {
        watch_scans();
        int state = avr_run(avr);
        if (state == cpu_Done || state == cpu_Crashed) fail("the program stopped");
        const int has_changed = have_ports_changed();
        if (!has_changed && avr->cycle < next_spread) continue;
        /* The simulator forgets levels when the program writes to their port: tell them again, and
         * for a while after a change, for more is then written, the same levels too. */
        unsigned pulled = 0;
        for (int at = 0; at < driven_count; at++) pulled |= (unsigned)is_pulled(driven[at]) << at;
        soon = has_changed ? (multiplexer_count ? 40 : 12) : soon ? soon - 1 : 0;
        spread(last_pulled = pulled);
        next_spread = avr->cycle + (soon ? 4 : CYCLES_PER_MS / 16);
        see_lights();
        shift_chains();
        set_banks();
    }
}

static int transfer(uint32_t what, int pipe, uint8_t *bytes, int size) {
    for (int tries = 0; tries < 4000; tries++) {
        struct avr_io_usb io = {(uint8_t)pipe, (uint32_t)size, bytes};
        int done = avr_ioctl(avr, what, &io);
        if (done == AVR_IOCTL_USB_OK) return (int)io.sz;
        if (done == AVR_IOCTL_USB_STALL) fail("a request was refused");
        run(400);
    }
    fail("a request was never answered");
    return 0;
}

static void setup(int type, int request, int value, int index, int length) {
    uint8_t bytes[8] = {type, request, value & 255, value >> 8, index & 255, index >> 8,
                        length & 255, length >> 8};
    transfer(AVR_IOCTL_USB_SETUP, 0, bytes, 8);
    run(CYCLES_PER_MS / 4); /* the simulator would hand an early reader the request itself */
}

static int control_in(int type, int request, int value, int index, uint8_t *bytes, int length) {
    int total = 0, got;
    setup(type, request, value, index, length);
    do {
        got = transfer(AVR_IOCTL_USB_READ, 0, bytes + total, 64);
        total += got;
    } while (got == 64 && total < length);
    transfer(AVR_IOCTL_USB_WRITE, 0, NULL, 0);
    return total;
}

static void control_out(int request, int value) {
    uint8_t none[64];
    setup(0, request, value, 0, 0);
    transfer(AVR_IOCTL_USB_READ, 0, none, 64);
}

static void read_lights(void) {
    char line[4096];
    if (!fgets(line, sizeof line, stdin)) fail("lights are missing");
    strtok(line, " \n");
    for (char *word; (word = strtok(NULL, " \n"));) {
        struct light one = {read_pin(word), {0, 0}, word[3] == '-'};
        if (word[3] == '/') one.column = read_pin(word + 4);
        lights[light_count++] = one;
    }
}

static void print_lights(int row) {
    if (!light_count) return;
    printf("lit %d ", row);
    for (int at = 0; at < light_count; at++) printf("%c", lit[at] ? '1' : '0');
    printf("\n");
    memset(lit, 0, sizeof lit);
}

static void print_bytes(const char *name, int row, const uint8_t *bytes, int size) {
    printf("%s %d ", name, row);
    for (int at = 0; at < size; at++) printf("%02x", bytes[at]);
    printf("\n");
}

/* Finds the HID interface in the configuration: its number, endpoint and descriptor size. */
static int find_hid(const uint8_t *bytes, int size, int *interface, int *length) {
    int is_hid = 0;
    for (int at = 0; at + 1 < size && bytes[at]; at += bytes[at]) {
        if (bytes[at + 1] == 4) {
            is_hid = bytes[at + 5] == 3;
            if (is_hid) *interface = bytes[at + 2];
        }
        if (is_hid && bytes[at + 1] == 0x21) *length = bytes[at + 7] | bytes[at + 8] << 8;
        if (is_hid && bytes[at + 1] == 5) return bytes[at + 2] & 15;
    }
    fail("the board shows no HID interface");
    return 0;
}

static int hid_interface;

static int enumerate(void) {
    uint8_t bytes[1024];
    int length = 0, size, pipe;
    avr_ioctl(avr, AVR_IOCTL_USB_VBUS, (void *)0);
    run(20 * CYCLES_PER_MS);
    avr_ioctl(avr, AVR_IOCTL_USB_VBUS, (void *)1);
    run(20 * CYCLES_PER_MS);
    avr_ioctl(avr, AVR_IOCTL_USB_RESET, NULL);
    run(2 * CYCLES_PER_MS);
    control_out(5, 7); /* set address */
    run(2 * CYCLES_PER_MS);
    size = control_in(0x80, 6, 0x0100, 0, bytes, 18);
    print_bytes("device", 0, bytes, size);
    for (int at = 14; at < 17; at++) { /* maker, product and serial number */
        uint8_t words[256];
        if (!bytes[at]) continue;
        print_bytes("string", at, words, control_in(0x80, 6, 0x0300 | bytes[at], 0x0409, words, 255));
    }
    size = control_in(0x80, 6, 0x0200, 0, bytes, 255);
    print_bytes("configuration", 0, bytes, size);
    pipe = find_hid(bytes, size, &hid_interface, &length);
    control_out(9, 1); /* set configuration */
    size = control_in(0x81, 6, 0x2200, hid_interface, bytes, length); /* report descriptor */
    print_bytes("descriptor", 0, bytes, size);
    return pipe;
}

static void print_reports(int pipe, int row) {
    static uint8_t report[512];
    static int size;
    uint8_t packet[64];
    struct avr_io_usb io = {(uint8_t)pipe, sizeof packet, packet};
    while (avr_ioctl(avr, AVR_IOCTL_USB_READ, &io) == AVR_IOCTL_USB_OK && io.sz) {
        memcpy(report, packet, io.sz);
        size = (int)io.sz;
        printf("report %d ", row);
        for (int at = 0; at < size; at++) printf("%02x", report[at]);
        printf(" %u\n", (unsigned)((avr->cycle - row_begun) / (CYCLES_PER_MS / 1000)));
        run(200);
        io.sz = sizeof packet;
    }
}

int main(int count, char **words) {
    static elf_firmware_t firmware;
    static char line[MOST * MOST + 2];
    if (count < 3) fail("wants a program, milliseconds a row, and when reports are first read");
    const int late = count > 3 ? atoi(words[3]) : 0;
    if (count > 5) {
        loop_at = (unsigned)strtoul(words[4], NULL, 16);
        time_at = (unsigned)strtoul(words[5], NULL, 16) & 0xFFFF;
        read_at = count > 6 ? (unsigned)strtoul(words[6], NULL, 16) : 0;
    }
    const int ms_per_row = atoi(words[2]);
    driven_count = read_pins(driven);
    sensed_count = read_pins(sensed);
    own_count = read_pins(own);
    read_banks();
    read_lights();
    if (!fgets(diodes, sizeof diodes, stdin)) fail("diodes are missing");
    if (elf_read_firmware(words[1], &firmware)) fail("the program cannot be read");
    avr = avr_make_mcu_by_name("atmega32u4");
    if (!avr) fail("the simulator knows no ATmega32U4");
    avr_init(avr);
    avr->log = LOG_NONE;
    avr->frequency = 16000000;
    avr->vcc = avr->avcc = avr->aref = 5000;
    avr_load_firmware(avr, &firmware);
    avr->frequency = 16000000;
    avr->vcc = avr->avcc = avr->aref = 5000;
    avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_TWI_GETIRQ(0), TWI_IRQ_OUTPUT), serve_bus,
                            NULL);
    int pipe = 0;
    for (int row = 0; fgets(line, sizeof line, stdin); row++) {
        const char *wait = strchr(line, '+');
        for (int left = wait ? atoi(wait + 1) : 0; left > 0; left -= CYCLES_PER_MS) {
            run((unsigned)(left < CYCLES_PER_MS ? left : CYCLES_PER_MS));
            print_reports(pipe, row - 1);
        }
        if (strstr(line, "replug")) pipe = enumerate();
        const char *place = strchr(line, '@');
        if (place && !read_at) fail("where a scan begins is not known");
        for (int tries = 0; place && avr->pc != read_at; tries++) {
            if (tries > 100 * CYCLES_PER_MS) fail("no scan begins");
            run(1);
        }
        if (place) run((unsigned)atoi(place + 1));
        memcpy(closed, line, sizeof closed);
        set_voltages(line);
        row_begun = avr->cycle;
        spread(last_pulled == ~0u ? 0 : last_pulled);
        if (row == 0) {
            pipe = enumerate();
            run((unsigned)late * CYCLES_PER_MS);
            for (int ms = 0; ms < 20; ms++) {
                run(CYCLES_PER_MS);
                print_reports(pipe, row);
            }
        }
        for (int part = 0; part < ms_per_row * POLLS_PER_MS; part++) {
            run(CYCLES_PER_MS / POLLS_PER_MS);
            print_reports(pipe, row);
        }
        print_lights(row);
        print_scans(row);
    }
    uint8_t asked[512];
    print_bytes("asked", 0, asked, control_in(0xa1, 1, 0x0101, hid_interface, asked, 256));
    return 0;
}
