// The USB side of a box: who it is, the reports it sends, and its last one for whoever asks.
//
// A module of the board core's pluggable USB. The core asks its modules for device and string
// descriptors before it sends its own, so the box has the identity of box_config.h whatever board
// was chosen. What it asks of the port the core decides by itself: build it with USB_CONFIG_POWER.
// Sources: USB 2.0, 9.4.3 and 9.6; USB HID 1.11, 7.1 and 7.2.
#ifndef BOX_USB_H
#define BOX_USB_H

#include <HID.h>
#include <PluggableUSB.h>
#include <USBCore.h>

#if !defined(USBCON)
#error "this board has no native USB: choose an ATmega32U4 board"
#endif

#if USB_CONFIG_POWER != BOX_POWER
#warning "the box will ask for another current than described: build with the Makefile beside it"
#endif

enum { BOX_MAKER_STRING = 1, BOX_NAME_STRING = 2, BOX_SERIAL_STRING = 3 };

static const uint8_t box_device_request = 0x80;

class box_usb : public PluggableUSBModule {
  public:
    box_usb() : PluggableUSBModule(1, 1, endpoints) {
        endpoints[0] = EP_TYPE_INTERRUPT_IN;
        PluggableUSB().plug(this);
    }

    // Keeps a report, and sends it where the host has taken the ones before. Never waits.
    uint8_t send(const uint8_t *report) {
        const uint8_t id = BOX_REPORT_ID;
        const uint8_t flags = SREG;
        cli();
        memcpy(last, report, BOX_REPORT_BYTES);
        SREG = flags;
        if (USB_SendSpace(pluggedEndpoint) == 0 || USB_Send(pluggedEndpoint, &id, 1) < 0) {
            return 0;
        }
        return USB_Send(pluggedEndpoint | TRANSFER_RELEASE, report, BOX_REPORT_BYTES) > 0;
    }

  protected:
    int getInterface(uint8_t *count) {
        *count += 1;
        HIDDescriptor interface = {
            D_INTERFACE(pluggedInterface, 1, USB_DEVICE_CLASS_HUMAN_INTERFACE, HID_SUBCLASS_NONE,
                        HID_PROTOCOL_NONE),
            D_HIDREPORT(sizeof box_descriptor),
            D_ENDPOINT(USB_ENDPOINT_IN(pluggedEndpoint), USB_ENDPOINT_TYPE_INTERRUPT, USB_EP_SIZE,
                       0x01),
        };
        return USB_SendControl(0, &interface, sizeof interface);
    }

    int getDescriptor(USBSetup &setup) {
        if (setup.bmRequestType == REQUEST_DEVICETOHOST_STANDARD_INTERFACE) {
            if (setup.wValueH != HID_REPORT_DESCRIPTOR_TYPE || setup.wIndex != pluggedInterface) {
                return 0;
            }
            return USB_SendControl(TRANSFER_PGM, box_descriptor, sizeof box_descriptor);
        }
#if BOX_HAS_IDENTITY
        if (setup.bmRequestType != box_device_request) {
            return 0;
        }
        if (setup.wValueH == USB_DEVICE_DESCRIPTOR_TYPE) {
            DeviceDescriptor device =
                D_DEVICE(0xEF, 0x02, 0x01, 64, BOX_VENDOR, BOX_PRODUCT, 0x100,
                         BOX_MAKER_COUNT ? BOX_MAKER_STRING : 0, BOX_NAME_STRING,
                         BOX_SERIAL_COUNT ? BOX_SERIAL_STRING : 0, 1);
            return USB_SendControl(0, &device, sizeof device);
        }
        if (setup.wValueH == USB_STRING_DESCRIPTOR_TYPE) {
            switch (setup.wValueL) {
            case BOX_MAKER_STRING:
                return send_words(box_maker, BOX_MAKER_COUNT);
            case BOX_NAME_STRING:
                return send_words(box_name, BOX_NAME_COUNT);
            case BOX_SERIAL_STRING:
                return send_words(box_serial, BOX_SERIAL_COUNT);
            }
        }
#endif
        return 0;
    }

    // Of a box without an identity the core makes a serial number of this: the same for every one,
    // whatever it reports.
    uint8_t getShortName(char *name) {
        memcpy(name, "BOX", 3);
        return 3;
    }

    bool setup(USBSetup &setup) {
        if (setup.wIndex != pluggedInterface) {
            return false;
        }
        if (setup.bmRequestType == REQUEST_DEVICETOHOST_CLASS_INTERFACE) {
            const uint8_t id = BOX_REPORT_ID, protocol = HID_REPORT_PROTOCOL;
            if (setup.bRequest == HID_GET_REPORT && setup.wValueH == HID_REPORT_TYPE_INPUT) {
                USB_SendControl(0, &id, 1);
                return USB_SendControl(0, last, BOX_REPORT_BYTES) >= 0;
            }
            if (setup.bRequest == HID_GET_IDLE || setup.bRequest == HID_GET_PROTOCOL) {
                return USB_SendControl(0, setup.bRequest == HID_GET_IDLE ? &idle : &protocol, 1) > 0;
            }
        }
        if (setup.bmRequestType == REQUEST_HOSTTODEVICE_CLASS_INTERFACE) {
            idle = setup.bRequest == HID_SET_IDLE ? setup.wValueH : idle;
            return setup.bRequest == HID_SET_IDLE || setup.bRequest == HID_SET_PROTOCOL;
        }
        return false;
    }

  private:
#if BOX_HAS_IDENTITY
    static int send_words(const uint16_t *units, uint8_t count) {
        const uint8_t head[2] = {(uint8_t)(2 + 2 * count), USB_STRING_DESCRIPTOR_TYPE};
        USB_SendControl(0, head, sizeof head);
        return 2 + USB_SendControl(TRANSFER_PGM, units, 2 * count);
    }
#endif

    uint8_t endpoints[1];
    uint8_t idle = 0;
    uint8_t last[BOX_AT_LEAST_ONE(BOX_REPORT_BYTES)];
};

static box_usb box_plug;

#endif
