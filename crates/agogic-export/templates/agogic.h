/* Tap or hold: {{ label }}
 *
 * Made by agogic {{ version }}. What it does, tie by tie, stands in RULE.md beside this file; vectors.txt holds the
 * cases that any implementation of it has to pass.
 *
 * How to use it:
 *
 *     static struct agogic machine;
 *     agogic_start(&machine, now);
 *
 *     forever:
 *         for each key that went down or up since the last look:
 *             agogic_event(&machine, key, went_down, now);
 *         while (agogic_deadline(&machine, &when) && when has come)
 *             agogic_passed(&machine, now);
 *         while (agogic_decision(&machine, &decision))
 *             act on it;
 *
 * Feed all events of one instant before you tell that it has passed. Serve a deadline within {{ patience }} of its time.
 * A dual-role key, and what is pressed after it, waits in a queue of yours until its decision is there.
 *
 * Freestanding C99: no heap, no floating-point numbers, no library.
 */
#ifndef AGOGIC_H
#define AGOGIC_H

#include <stdbool.h>
#include <stdint.h>

/* Presses that are followed at once: keys that are down, and dual-role keys that came up undecided. */
#define AGOGIC_SLOTS {{ slots }}

/* Keys are numbered from 0 on; the table in agogic.c names them. */
#define AGOGIC_KEYS {{ keys | length }}

/* Dual-role keys. */
#define AGOGIC_DUAL_KEYS {{ dual }}

/* Times are ticks of {{ tick_words }} in 32 bits, and wrap. */
typedef uint32_t agogic_time;

/* A press that is followed. You need not look inside. */
struct agogic_press {
    uint8_t key;
    uint8_t state;
    uint8_t news;
{% if sequential %}
    uint8_t course;
{% elif keyed %}
    uint8_t contact;
{% endif %}
    uint32_t down;
    uint32_t mark;
{% if learned %}
    int32_t sum;
{% endif %}
};

/* Everything that is known. One of these serves a whole keyboard. */
struct agogic {
    struct agogic_press presses[AGOGIC_SLOTS];
    uint32_t now;
    uint32_t clock;
    uint32_t tick;
    uint32_t swept;
{% if latest %}
    uint32_t latest;
{% endif %}
{% if retap %}
    uint32_t released[AGOGIC_DUAL_KEYS];
{% endif %}
{% if learned %}
    uint8_t previous;
{% endif %}
    uint8_t count;
    uint8_t awake;
};

/* What a press of a dual-role key was. */
struct agogic_decision {
    uint8_t key;
    bool hold;
    agogic_time when;
};

/* Starts afresh: no key is down. */
void agogic_start(struct agogic *machine, agogic_time now);

/* A key went down or up. Returns true if a dual-role key went down and no slot was free: it is a tap at once then. */
bool agogic_event(struct agogic *machine, uint8_t key, bool down, agogic_time when);

/* Whether there is a deadline, and when the next one is. */
bool agogic_deadline(const struct agogic *machine, agogic_time *when);

/* This instant has passed, and no more events of it will come. Does what is due first by then, for one press; there may be
 * more, which agogic_deadline tells. What is not done here is done at the next event. */
void agogic_passed(struct agogic *machine, agogic_time when);

/* Takes a decision that was not read yet, if there is one; those of earlier presses first. */
bool agogic_decision(struct agogic *machine, struct agogic_decision *decision);

#endif
