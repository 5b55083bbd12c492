/* Runs cases through agogic.c on an 8-bit processor. They lie in flash, packed; answers go out on the serial line. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/pgmspace.h>
#include <avr/sleep.h>

#include "agogic.h"

/* What happens, six bytes each: what (1 down, 2 up, 3 wait, 4 a new case, 0 the end), key, time with its lowest byte first. */
#include "cases.h"

static struct agogic machine;
static agogic_time now;

static void put(char letter)
{
    while ((UCSR0A & _BV(UDRE0)) == 0) {
    }
    UDR0 = (uint8_t)letter;
}

static void put_number(uint32_t number)
{
    if (number >= 10u) {
        put_number(number / 10u);
    }
    put((char)('0' + number % 10u));
}

static void put_decision(bool hold, uint8_t key, agogic_time when)
{
    const char *word = hold ? "hold " : "tap ";
    while (*word != '\0') {
        put(*word++);
    }
    put_number(key);
    put(' ');
    put_number(when);
    put('\n');
}

static void told(void)
{
    struct agogic_decision decision;
    while (agogic_decision(&machine, &decision)) {
        put_decision(decision.hold, decision.key, decision.when);
    }
}

static void serve(agogic_time when, bool also)
{
    agogic_time due;
    while (agogic_deadline(&machine, &due)) {
        uint32_t until = when - now;
        uint32_t at = due - now;
        if (until > 0x7fffffffu || at > until || (at == until && !also)) {
            return;
        }
        agogic_passed(&machine, due);
        told();
    }
}

int main(void)
{
    const uint8_t *at = cases;
    bool started = false;
    UBRR0 = 0;
    UCSR0B = _BV(TXEN0);
    for (;; at += 6) {
        uint8_t what = pgm_read_byte(at);
        uint8_t key = pgm_read_byte(at + 1);
        agogic_time when = pgm_read_dword(at + 2);
        if (what == 4 || what == 0) {
            if (at != cases) {
                put('e');
                put('n');
                put('d');
                put('\n');
            }
            started = false;
            if (what == 0) {
                break;
            }
            continue;
        }
        if (!started && what == 3) {
            continue;
        }
        if (!started) {
            agogic_start(&machine, when);
            now = when;
            started = true;
        }
        serve(when, what == 3);
        if (when - now < 0x80000000u) {
            now = when;
        }
        if (what == 3) {
            agogic_passed(&machine, when);
        } else {
            if (agogic_event(&machine, key, what == 1, when)) {
                put_decision(false, key, now);
            }
            told();
        }
    }
    /* The emulator ends where a processor sleeps that nothing can wake. */
    cli();
    sleep_mode();
    return 0;
}
