/* A computer and a box around a simulated ATmega32U4: enumerates it over USB, closes and
 * opens contacts between its pins, and prints every report it sends.
 *
 * Reads from stdin: "driven", "sensed" and "own" with port bits such as PD1; "banks"; "diodes"
 * with one digit a crossing; then one line of digits a row, one digit a point (1: closed), each
 * lasting MS_PER_ROW. Crossings are numbered along the driven lines, own pins follow, then the
 * places of banks. A bank is a word such as "chain:PF4:PF1:PF0:8:1": a shift-register chain with
 * its latch, clock and data, its length, and 1 where closed contacts are high. Words such as
 * 7=2500 after a row give a channel of the converter so many mV.
 * Prints "descriptor" and "report <row>" lines, bytes in hexadecimal.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <simavr/avr_adc.h>
#include <simavr/avr_ioport.h>
#include <simavr/avr_usb.h>
#include <simavr/sim_avr.h>
#include <simavr/sim_elf.h>

enum { MOST = 64, CYCLES_PER_MS = 16000 };

struct pin {
    char port;
    int bit;
};

struct chain {
    struct pin latch, clock, data;
    int length, is_high, first, at, was_clocked;
};

static avr_t *avr;
static struct chain chains[MOST];
static int chain_count;
static struct pin driven[MOST], sensed[MOST], own[MOST];
static int driven_count, sensed_count, own_count;
static char diodes[MOST * MOST], closed[MOST * MOST];
static unsigned last_pulled = ~0u;
static avr_cycle_count_t next_spread;

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

static void read_banks(void) {
    char line[4096];
    int first = driven_count * sensed_count + own_count;
    if (!fgets(line, sizeof line, stdin)) fail("banks are missing");
    strtok(line, " \n");
    for (char *word = strtok(NULL, " \n"); word; word = strtok(NULL, " \n")) {
        char parts[8][16] = {{0}};
        if (sscanf(word, "chain:%15[^:]:%15[^:]:%15[^:]:%15[^:]:%15[^:]", parts[0], parts[1],
                   parts[2], parts[3], parts[4]) == 5) {
            struct chain chain = {read_pin(parts[0]), read_pin(parts[1]), read_pin(parts[2]),
                                  atoi(parts[3]), atoi(parts[4]), first, 0, 0};
            chains[chain_count++] = chain;
            first += chain.length;
        } else {
            fail("a bank cannot be read");
        }
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
        if (sscanf(word, "%d=%d", &channel, &millivolts) == 2)
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

static void run(unsigned cycles) {
    const avr_cycle_count_t end = avr->cycle + cycles;
    while (avr->cycle < end) {
        int state = avr_run(avr);
        unsigned pulled = 0;
        if (state == cpu_Done || state == cpu_Crashed) fail("the program stopped");
        for (int at = 0; at < driven_count; at++) pulled |= (unsigned)is_pulled(driven[at]) << at;
        /* The simulator forgets levels when the program writes to their port: tell them again. */
        if (pulled != last_pulled || avr->cycle >= next_spread) {
            spread(last_pulled = pulled);
            next_spread = avr->cycle + CYCLES_PER_MS / 16;
        }
        shift_chains();
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

static int enumerate(void) {
    uint8_t bytes[1024];
    int interface = 0, length = 0, size, pipe;
    avr_ioctl(avr, AVR_IOCTL_USB_VBUS, (void *)1);
    run(20 * CYCLES_PER_MS);
    avr_ioctl(avr, AVR_IOCTL_USB_RESET, NULL);
    run(2 * CYCLES_PER_MS);
    control_out(5, 7); /* set address */
    run(2 * CYCLES_PER_MS);
    size = control_in(0x80, 6, 0x0200, 0, bytes, 255); /* configuration */
    pipe = find_hid(bytes, size, &interface, &length);
    control_out(9, 1); /* set configuration */
    size = control_in(0x81, 6, 0x2200, interface, bytes, length); /* report descriptor */
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
        print_bytes("report", row, report, size);
        run(200);
        io.sz = sizeof packet;
    }
}

int main(int count, char **words) {
    static elf_firmware_t firmware;
    static char line[MOST * MOST + 2];
    if (count != 3) fail("wants a program and milliseconds a row");
    const int ms_per_row = atoi(words[2]);
    driven_count = read_pins(driven);
    sensed_count = read_pins(sensed);
    own_count = read_pins(own);
    read_banks();
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
    int pipe = 0;
    for (int row = 0; fgets(line, sizeof line, stdin); row++) {
        memcpy(closed, line, sizeof closed);
        set_voltages(line);
        spread(last_pulled == ~0u ? 0 : last_pulled);
        if (row == 0) {
            pipe = enumerate();
            for (int ms = 0; ms < 20; ms++) {
                run(CYCLES_PER_MS);
                print_reports(pipe, row);
            }
        }
        for (int ms = 0; ms < ms_per_row; ms++) {
            run(CYCLES_PER_MS);
            print_reports(pipe, row);
        }
    }
    return 0;
}
