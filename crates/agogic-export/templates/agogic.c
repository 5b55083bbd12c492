/* Tap or hold: {{ label }}
 *
 * Made by agogic {{ version }}. See agogic.h for how to use it and RULE.md for the whole definition.
 *
 * The rule
{{ definition }}
 *
 * The guards
{{ guards_text }}
 *
 * Ties
{{ ties }}
 */
#include "agogic.h"

/* All times inside are µs on a clock of 32 bits that wraps; differences are taken before they are compared. */
{% if dwell %}
#define CUTOFF {{ cutoff }}u
{% endif %}
{% if span %}
#define SPAN {{ span_us }}u
{% endif %}
{% if retap %}
#define RETAP {{ retap }}u
{% endif %}
{% if lull %}
#define LULL {{ lull }}u
{% endif %}
{% if floor %}
#define FLOOR {{ floor }}u
{% endif %}
{% if bare %}
#define BARE_HOLD {{ bare }}u
{% endif %}
{% if share %}
/* 1 / share: a contact may stay down for {{ numerator }}/{{ denominator }} of its overlap, that is {{ whole }} and {{ part }}/{{ denominator }}. */
#define WHOLE {{ whole }}u
#define PART {{ part }}u
#define DENOMINATOR {{ denominator }}u
{% if not exact %}
/* PART / DENOMINATOR as a fraction of 2^32, rounded down. */
#define FRACTION {{ fraction }}u
{% endif %}
{% endif %}
{% if learned and not sequential %}
/* Log odds in 1/256 nat from which it is a hold. */
#define THRESHOLD ({{ threshold }})
{% endif %}
{% if sequential %}
/* Bounds in 1/256 nat: a hold from the first on, a tap from the second down; at the end a hold from the third on. */
#define HOLD_FROM ({{ hold_bound }})
#define TAP_FROM ({{ tap_bound }})
#define END_FROM ({{ end_bound }})
{% endif %}

/* Times that lie further back than this count as this far back: 67 s. No threshold is as long. */
#define AGE 67108864u

{% if ms %}
/* Time that passes at once counts as at most so many ticks. */
#define LONGEST 2097152u
{% endif %}

/* Of a press. */
#define DOWN 1u  /* the key is down */
#define OPEN 2u  /* it has two roles and is undecided */
#define SAID 4u  /* decided, not read yet; mark holds when */
#define HOLD 8u  /* as a hold */
{% if floor %}
#define WAITS 16u /* a hold if the key stays down until the floor */
{% endif %}
{% if share %}
#define LATE 32u /* came up undecided: down holds when, mark holds the deadline */
{% endif %}
{% if learned and not sequential %}
#define JOINED 32u /* another key went down meanwhile; mark holds when */
#define OPPOSITE 64u /* by the opposite hand */
{% endif %}

/* What happened to an undecided press at the present instant. It is looked at once the instant is over. */
#define OWN_UP 1u
{% if looks_at_ups %}
#define OTHER_UP 2u /* a key that went down meanwhile came up */
#define BRIEF 4u    /* one that went down at this very instant came up again */
{% endif %}
{% if looks_at_downs %}
#define CONTACT 8u  /* another key went down */
{% endif %}
{% if learned %}
#define FACING 16u  /* by the opposite hand */
#define FRESH 32u   /* its own press */
{% endif %}

{% if sequential %}
/* Where the course of a press is: what happened so far, above the bin of the state's clock. */
#define ALONE 0u
#define NEAR 32u
#define FAR 64u
#define INSIDE 96u
#define BIN 31u
{% endif %}

/* Of each key: hand (0 either, 1 left, 2 right), plus 4 times the number of the dual-role key, counted from 1. Change the
 * table to give other keys two roles. */
static const uint8_t traits[AGOGIC_KEYS] = {
{% for key in keys %}
    {{ key.traits }}, /* {{ key.number }} {{ key.name }}{{ key.words }} */
{% endfor %}
};
{% if tables %}

{{ tables }}
{% endif %}

static uint8_t dual_number(uint8_t key) { return (uint8_t)(traits[key] >> 2); }
{% if hands %}

static bool opposite(uint8_t one, uint8_t other) { return ((traits[one] ^ traits[other]) & 3u) == 3u; }
{% endif %}
{% if contacts %}

/* Whether the rule sees this key beside that dual-role one. */
{% if other_hand %}
static bool sees(uint8_t own, uint8_t other) { return opposite(own, other); }
{% else %}
static bool sees(uint8_t own, uint8_t other)
{
    (void)own;
    (void)other;
    return true;
}
{% endif %}
{% endif %}

/* A time, or AGE ago if it lies further back. */
static uint32_t aged(uint32_t now, uint32_t then) { return now - then > AGE ? now - AGE : then; }

{% if span %}

static bool reached(uint32_t time, uint32_t least) { return time >= least; }
{% endif %}
{% if share or learned %}

static uint32_t length(uint32_t from, uint32_t to) { return to - from > AGE ? AGE : to - from; }
{% endif %}
{% if learned %}

/* The bin of a time: up to 8192 µs, then four equal parts of each octave, the last for all beyond 1048576 µs. A bin contains
 * its upper edge. */
static uint8_t bin_of(uint32_t us)
{
    uint8_t octave = 13;
    if (us <= 8192u) {
        return 0;
    }
    if (us > 1048576u) {
        return 29;
    }
    us -= 1u;
    while ((us >> octave) > 1u) {
        octave++;
    }
    us = (us >> (octave - 2)) & 3u;
    us += 1u + 4u * (octave - 13u);
    return us < 29u ? (uint8_t)us : 29;
}
{% endif %}
{% if sequential %}

/* The upper edge of a bin but the last. */
static uint32_t edge(uint8_t bin)
{
    uint32_t quarters;
    if (bin == 0) {
        return 8192u;
    }
    quarters = (bin - 1u) & 3u;
    return (5u + quarters) << (11u + ((bin - 1u) >> 2));
}
{% endif %}

/* The press is decided. */
static void say(struct agogic_press *press, bool hold, uint32_t when)
{
{% if floor %}
{% if share %}
    if (hold && (press->state & LATE) == 0 && when - press->down < FLOOR) {
{% else %}
    if (hold && when - press->down < FLOOR) {
{% endif %}
        /* It falls when the key has been down for the floor, and not before. */
        press->state |= WAITS;
        return;
    }
{% endif %}
    press->state = (uint8_t)((press->state & DOWN) | SAID | (hold ? HOLD : 0u));
    press->mark = when;
}
{% if earliest %}

/* The first key that went down after press `at`, before `until`, and is down still; the number of presses if there is none. */
static unsigned contact_of(const struct agogic *machine, unsigned at, uint32_t until)
{
    const struct agogic_press *own = &machine->presses[at];
    unsigned other = at + 1u;
    for (; other < machine->count; other++) {
        const struct agogic_press *press = &machine->presses[other];
        if ((press->state & DOWN) != 0 && (int32_t)(press->down - until) < 0 && sees(own->key, press->key)) {
            break;
        }
    }
    return other;
}
{% endif %}
{% if share %}
{% if exact %}

/* How long a contact may be down and still make a hold, if its overlap is `covered`: covered / share, rounded down. */
static uint32_t longest(uint32_t covered) { return covered * WHOLE + covered * PART / DENOMINATOR; }
{% else %}

/* The upper 32 bits of a product. */
static uint32_t upper(uint32_t a, uint32_t b)
{
    uint32_t low = (a & 0xffffu) * (b & 0xffffu);
    uint32_t middle = (a >> 16) * (b & 0xffffu) + (low >> 16);
    uint32_t other = (a & 0xffffu) * (b >> 16) + (middle & 0xffffu);
    return (a >> 16) * (b >> 16) + (middle >> 16) + (other >> 16);
}

/* How long a contact may be down and still make a hold, if its overlap is `covered`: covered / share, rounded down. */
static uint32_t longest(uint32_t covered)
{
    /* By the fraction it comes out right or too small by one, which what is left over tells. */
    uint32_t more = upper(covered, FRACTION);
    if (covered * PART - more * DENOMINATOR >= DENOMINATOR) {
        more++;
    }
    return covered * WHOLE + more;
}
{% endif %}
{% endif %}
{% if keyed %}

/* The place of a key in the tables of keys: {{ named }} keys have their own, all others share one, and the last is for none. */
static uint8_t slot_of(uint8_t key)
{
    if (key >= AGOGIC_KEYS) {
        return {{ named + 1 }};
    }
    return key < {{ named }}u ? key : {{ named }};
}
{% if pairs %}

/* The row of a dual-role key in the tables of pairs; {{ rows_most }} if it has none. */
static uint8_t row_of(uint8_t key)
{
    uint8_t row = 0;
    while (row < {{ rows }}u && rows[row] != key) {
        row++;
    }
    return row < {{ rows }}u ? row : {{ rows_most }};
}
{% endif %}

/* What the key of the first contact says. */
static int32_t of_contact(uint8_t own, uint8_t contact)
{
    int32_t sum = 0;
{% if has_contact %}
    sum += entry_of_contact(slot_of(contact));
{% endif %}
{% if has_own_contact %}
    if (row_of(own) < {{ rows_most }}u && contact < {{ writing }}u) {
        sum += entry_of_own_contact(row_of(own) * {{ writing }}u + contact);
    }
{% endif %}
    (void)own;
    (void)contact;
    return sum;
}
{% endif %}
{% if sequential %}

/* Adds an entry, and decides if a bound is reached; the bound of holds is looked at first. */
static void add(struct agogic_press *press, int32_t entry, uint32_t now)
{
    press->sum += entry;
    if (press->sum >= HOLD_FROM) {
        say(press, true, now);
    } else if (press->sum <= TAP_FROM) {
        say(press, false, now);
    }
}
{% endif %}
{% if learned %}

/* The instant of the own press is over: what is known by then. */
static void start(struct agogic *machine, unsigned at)
{
    struct agogic_press *press = &machine->presses[at];
    uint8_t bin = (uint8_t)(press->sum & 31);
    uint8_t carried = 0;
    unsigned other;
    int32_t sum;
    for (other = 0; other < at; other++) {
        if ((machine->presses[other].state & DOWN) != 0 && sees(press->key, machine->presses[other].key)) {
            carried = 1;
        }
    }
{% if keyed %}
    {
        uint8_t previous = slot_of((uint8_t)(press->sum >> 5));
        sum = CONSTANT + {{ 'lull_table[carried][bin]' if sequential else 'entry_of_lull(carried * 31u + bin)' }};
{% if has_own %}
        sum += entry_of_own(slot_of(press->key));
{% endif %}
{% if has_previous %}
        sum += entry_of_previous(previous);
{% endif %}
{% if has_own_previous %}
        if (row_of(press->key) < {{ rows_most }}u) {
            sum += entry_of_own_previous(row_of(press->key) * {{ named + 2 }}u + previous);
        }
{% endif %}
        (void)previous;
    }
{% else %}
    sum = lull_table[carried][bin];
{% endif %}
{% if sequential %}
    press->course = ALONE;
    press->sum = 0;
    add(press, sum, machine->now);
{% else %}
    press->sum = sum;
{% endif %}
}
{% endif %}
{% if looks_at_downs %}

/* Another key went down at this instant. */
{% if first %}
static void contact(struct agogic *machine, struct agogic_press *press) { say(press, true, machine->now); }
{% elif sequential %}
static void contact(struct agogic *machine, struct agogic_press *press, bool facing)
{
    uint8_t bin = press->course & BIN;
    int32_t entry;
    if ((press->course & INSIDE) != ALONE) {
        return;
    }
    entry = course_table[facing ? 2 : 1][bin];
{% if keyed %}
    entry += of_contact(press->key, (uint8_t)press->mark);
{% endif %}
    press->course = facing ? FAR : NEAR;
    press->mark = machine->now;
    add(press, entry, machine->now);
}
{% else %}
static void contact(struct agogic *machine, struct agogic_press *press, bool facing)
{
    if ((press->state & JOINED) == 0) {
        press->state = (uint8_t)(press->state | (facing ? JOINED | OPPOSITE : JOINED));
        press->mark = machine->now;
    }
}
{% endif %}
{% endif %}
{% if learned and not sequential %}

/* The first release: everything is known. */
static void decide(struct agogic *machine, struct agogic_press *press, bool enclosed)
{
    uint32_t now = machine->now;
    int32_t sum = press->sum;
    if ((press->state & JOINED) == 0) {
        sum += lead_entry(bin_of(length(press->down, now)));
    } else {
        /* Rolled or enclosed, near or opposite hand. */
        uint8_t kind = (uint8_t)((enclosed ? 2u : 0u) + ((press->state & OPPOSITE) != 0 ? 1u : 0u));
        sum += lead_entry((1u + kind) * 30u + bin_of(length(press->down, press->mark)));
        sum += overlap_entry(kind * 30u + bin_of(length(press->mark, now)));
{% if keyed %}
        sum += of_contact(press->key, press->contact);
{% endif %}
    }
    say(press, sum >= THRESHOLD, now);
}
{% endif %}
{% if looks_at_ups %}

/* A key that went down meanwhile came up at this instant. */
{% if sequential %}
static void other_up(struct agogic *machine, struct agogic_press *press)
{
    uint8_t state = press->course & INSIDE;
    uint8_t bin = press->course & BIN;
    if (state == NEAR || state == FAR) {
        press->course = INSIDE;
        press->mark = machine->now;
        add(press, course_table[state == NEAR ? 5 : 8][bin], machine->now);
    }
}
{% elif learned %}
static void other_up(struct agogic *machine, struct agogic_press *press) { decide(machine, press, true); }
{% else %}
static void other_up(struct agogic *machine, struct agogic_press *press) { say(press, true, machine->now); }
{% endif %}
{% endif %}

/* The key itself came up at this instant, and no key of the instant made it a hold. */
static void own_up(struct agogic *machine, unsigned at)
{
    struct agogic_press *press = &machine->presses[at];
{% if floor or sequential or not learned %}
    uint32_t now = machine->now;
{% endif %}
{% if floor %}
    if (now - press->down < FLOOR || (press->state & WAITS) != 0) {
        say(press, now - press->down >= FLOOR, now);
        return;
    }
{% endif %}
{% if dwell %}
    say(press, now - press->down >= CUTOFF, now);
{% elif span %}
    {
        unsigned other = contact_of(machine, at, now);
        say(press, other < machine->count && reached(now - machine->presses[other].down, SPAN), now);
    }
{% elif share %}
    {
        /* Of the keys that are down still the first can wait longest. */
        unsigned other = contact_of(machine, at, now);
        uint32_t covered = other < machine->count ? length(machine->presses[other].down, now) : 0;
        uint32_t more = longest(covered) - covered;
        if (more == 0) {
            say(press, false, now);
            return;
        }
{% if bare %}
        if (now - press->down == BARE_HOLD) {
            say(press, true, now);
            return;
        }
{% endif %}
        press->state |= LATE;
        press->down = now;
        press->mark = now + more;
    }
{% elif sequential %}
    {
        static const uint8_t row[4] = {0, 4, 7, 10};
        add(press, course_table[row[press->course >> 5]][press->course & BIN], now);
        if ((press->state & OPEN) != 0) {
            say(press, press->sum >= END_FROM, now);
        }
    }
{% elif learned %}
    decide(machine, press, false);
{% else %}
    say(press, false, now);
{% endif %}
}
{% if contacts %}

/* Whether the rule still has to speak about a press. */
static bool undecided(const struct agogic_press *press)
{
{% if floor %}
    return (press->state & (OPEN | WAITS)) == OPEN;
{% else %}
    return (press->state & OPEN) != 0;
{% endif %}
}
{% endif %}

/* The present instant is over: what happened in it, in the order of ties. Other keys come up, then the key itself, then others
 * go down. */
static void instant(struct agogic *machine, unsigned at)
{
    struct agogic_press *press = &machine->presses[at];
    uint8_t news = press->news;
    press->news = 0;
{% if learned %}
    if ((news & FRESH) != 0) {
        start(machine, at);
    }
{% endif %}
{% if looks_at_ups %}
    if ((news & OTHER_UP) != 0 && undecided(press)) {
        other_up(machine, press);
    }
{% endif %}
    if ((news & OWN_UP) != 0) {
        if ((press->state & OPEN) != 0) {
            own_up(machine, at);
        }
        return;
    }
{% if looks_at_downs %}
    if ((news & CONTACT) != 0 && undecided(press)) {
{% if first %}
        contact(machine, press);
{% else %}
        contact(machine, press, (news & FACING) != 0);
{% endif %}
    }
{% endif %}
{% if looks_at_ups %}
    if ((news & BRIEF) != 0 && undecided(press)) {
        other_up(machine, press);
    }
{% endif %}
}
{% if sequential %}

/* When the present bin passes, as long as nothing happens. The last one does not. */
static bool rule_due(const struct agogic_press *press, uint32_t *when)
{
    uint8_t bin = press->course & BIN;
    if (bin == 29) {
        return false;
    }
    *when = ((press->course & INSIDE) == ALONE ? press->down : press->mark) + edge(bin);
    return true;
}

/* It has passed. */
static void pass_bin(struct agogic_press *press, uint32_t when)
{
    static const uint8_t row[4] = {3, 6, 9, 11};
    uint8_t bin = press->course & BIN;
    uint8_t state = press->course >> 5;
    press->course++;
    add(press, course_table[row[state]][bin], when);
}
{% endif %}

/* The next deadline of a press that is undecided. */
static bool due(const struct agogic *machine, unsigned at, uint32_t *when)
{
{% if dwell or share or sequential or floor or bare %}
    const struct agogic_press *press = &machine->presses[at];
{% endif %}
{% if dwell or span or sequential %}
    bool any = false;
{% endif %}
{% if span %}
    unsigned other;
{% endif %}
{% if bare %}
    uint32_t late = press->down + BARE_HOLD;
{% endif %}
{% if floor %}
    if ((press->state & WAITS) != 0) {
        *when = press->down + FLOOR;
        return true;
    }
{% endif %}
{% if share %}
    if ((press->state & LATE) != 0) {
        *when = press->mark;
        return true;
    }
{% endif %}
{% if dwell %}
    *when = press->down + CUTOFF;
    any = true;
{% elif span %}
    other = contact_of(machine, at, machine->now + 1u);
    if (other < machine->count) {
        *when = machine->presses[other].down + SPAN;
        any = true;
    }
{% elif sequential %}
    any = rule_due(press, when);
{% endif %}
{% if bare and (dwell or span or sequential) %}
    if (!any || (int32_t)(late - *when) < 0) {
        *when = late;
        any = true;
    }
{% elif bare %}
    *when = late;
    return true;
{% endif %}
{% if dwell or span or sequential %}
    return any;
{% elif not bare %}
{% if not (share or floor) %}
    (void)machine;
    (void)at;
    (void)when;
{% endif %}
    return false;
{% endif %}
}

/* A deadline of a press has come, after all events of its instant. */
static void deadline(struct agogic *machine, unsigned at, uint32_t when)
{
    struct agogic_press *press = &machine->presses[at];
{% if sequential %}
    /* The rule speaks before the guards. */
    uint32_t of_rule;
    if (undecided(press) && rule_due(press, &of_rule) && of_rule == when) {
        pass_bin(press, when);
        return;
    }
    say(press, true, when);
{% elif share %}
    /* No contact came up in time; or else the key was down for long enough. */
    say(press, (press->state & LATE) == 0, when);
{% else %}
    say(press, true, when);
{% endif %}
}

/* The press that has something due first, and when; the number of presses if none has. What happened at the present instant is
 * due at once. */
static unsigned earliest(const struct agogic *machine, uint32_t *when)
{
    unsigned first = machine->count;
    unsigned at;
    for (at = 0; at < machine->count; at++) {
        uint32_t own = machine->now;
        if ((machine->presses[at].state & OPEN) != 0 && (machine->presses[at].news != 0 || due(machine, at, &own))
            && (first == machine->count || (int32_t)(own - *when) < 0)) {
            first = at;
            *when = own;
        }
    }
    return first;
}

/* Does what is due first, up to `until`; false if nothing is. */
static bool step(struct agogic *machine, uint32_t until)
{
    uint32_t when = until;
    unsigned at = earliest(machine, &when);
    if (at == machine->count || (int32_t)(when - until) > 0) {
        return false;
    }
    machine->now = when;
    if (machine->presses[at].news != 0) {
        instant(machine, at);
    } else {
        deadline(machine, at, when);
    }
    return true;
}

/* Moves times that lie far back up to where they still count as long ago, so that none of them wraps. */
static void sweep(struct agogic *machine)
{
    unsigned at;
    for (at = 0; at < machine->count; at++) {
        struct agogic_press *press = &machine->presses[at];
        press->down = aged(machine->now, press->down);
{% if learned %}
        if ((press->state & SAID) == 0) {
            press->mark = aged(machine->now, press->mark);
        }
{% endif %}
    }
{% if latest %}
    machine->latest = aged(machine->now, machine->latest);
{% endif %}
{% if retap %}
    for (at = 0; at < AGOGIC_DUAL_KEYS; at++) {
        machine->released[at] = aged(machine->now, machine->released[at]);
    }
{% endif %}
    machine->swept = machine->now;
    if (machine->count == 0 && machine->awake > 0) {
        machine->awake--;
    }
}

/* Time goes on to `when`, whose events are still to come; or, if it is `over`, does what is due first. Time that goes back
 * stands still. */
static void go_on(struct agogic *machine, agogic_time when, bool over)
{
    uint32_t passed = when - machine->clock;
    uint32_t to = machine->now;
    if (passed <= 0x7fffffffu) {
{% if ms %}
        passed = (passed > LONGEST ? LONGEST : passed) * 1000u;
{% endif %}
        machine->clock = when;
        machine->tick += passed;
        passed = machine->tick{{ " + (over ? 999u : 0u)" if ms }};
        if ((int32_t)(passed - to) > 0) {
            to = passed;
        }
    }
    if (over) {
        if (step(machine, to)) {
            return;
        }
    } else if (to != machine->now) {
        while (step(machine, to - 1u)) {
        }
    }
    machine->now = to;
    if (to - machine->swept >= AGE) {
        sweep(machine);
    }
}

/* Forgets a press; the others move up. */
static void forget(struct agogic *machine, unsigned at)
{
    machine->count--;
    for (; at < machine->count; at++) {
        /* Volatile, or else compilers make a call of a library of it. */
        volatile struct agogic_press *to = &machine->presses[at];
        *to = machine->presses[at + 1u];
    }
}

/* The press of that key that is down; the number of presses if there is none. */
static unsigned find(const struct agogic *machine, uint8_t key)
{
    unsigned at = 0;
    while (at < machine->count && (machine->presses[at].key != key || (machine->presses[at].state & DOWN) == 0)) {
        at++;
    }
    return at;
}

static void went_down(struct agogic *machine, uint8_t key)
{
    struct agogic_press *press = &machine->presses[machine->count];
    uint32_t now = machine->now;
{% if looks_at_downs %}
    unsigned at;
    for (at = 0; at < machine->count; at++) {
        struct agogic_press *own = &machine->presses[at];
        if (undecided(own) && (own->state & DOWN) != 0 && sees(own->key, key)) {
{% if learned %}
            /* Of several at one instant one of the opposite hand is the first{% if keyed %}, then the first by number{% endif %}. */
            bool facing = opposite(own->key, key);
{% if keyed %}
            bool before = (own->news & CONTACT) != 0;
            bool faced = (own->news & FACING) != 0;
{% if sequential %}
            if ((own->course & INSIDE) == ALONE || (own->news & FRESH) != 0) {
                if (!before || (facing && !faced) || (facing == faced && key < own->mark)) {
                    own->mark = key;
                }
            }
{% else %}
            if ((own->state & JOINED) == 0) {
                if (!before || (facing && !faced) || (facing == faced && key < own->contact)) {
                    own->contact = key;
                }
            }
{% endif %}
{% endif %}
            own->news = (uint8_t)(own->news | (facing ? CONTACT | FACING : CONTACT));
{% else %}
            own->news |= CONTACT;
{% endif %}
        }
    }
{% endif %}
    machine->count++;
    press->key = key;
    press->state = DOWN;
    press->news = 0;
    press->down = now;
    press->mark = now;
{% if sequential %}
    press->course = ALONE;
{% endif %}
    if (dual_number(key) != 0) {
        press->state = DOWN | OPEN;
{% if learned %}
        press->news = FRESH;
        press->sum = (int32_t)(machine->previous < AGOGIC_KEYS ? bin_of(length(machine->latest, now)) : 30u);
        press->sum += (int32_t)machine->previous * 32;
{% endif %}
{% if retap and lull %}
        if (now - machine->released[dual_number(key) - 1u] < RETAP || now - machine->latest < LULL) {
{% elif retap %}
        if (now - machine->released[dual_number(key) - 1u] < RETAP) {
{% elif lull %}
        if (now - machine->latest < LULL) {
{% endif %}
{% if retap or lull %}
{% if learned %}
            press->news = 0;
{% endif %}
            say(press, false, now);
        }
{% endif %}
    }
{% if latest %}
    machine->latest = now;
{% endif %}
{% if learned %}
    machine->previous = key;
{% endif %}
}

static void went_up(struct agogic *machine, unsigned at)
{
    struct agogic_press *press = &machine->presses[at];
{% if looks_at_ups %}
    unsigned own;
    for (own = 0; own < at; own++) {
        struct agogic_press *dual = &machine->presses[own];
        if (undecided(dual) && sees(dual->key, press->key)) {
{% if share %}
            if ((dual->state & LATE) != 0) {
                /* Overlap at least the share of its dwell? */
                uint32_t covered = length(press->down, dual->down);
                if ((int32_t)(dual->down - press->down) > 0
                    && covered + (machine->now - dual->down) <= longest(covered)) {
                    dual->news |= OTHER_UP;
                }
                continue;
            }
{% endif %}
{% if span %}
            if (!reached(machine->now - press->down, SPAN)) {
                continue;
            }
{% endif %}
            dual->news = (uint8_t)(dual->news | (press->down == machine->now ? BRIEF : OTHER_UP));
        }
    }
{% endif %}
    press->state &= (uint8_t)~DOWN;
{% if retap %}
    if (dual_number(press->key) != 0) {
        machine->released[dual_number(press->key) - 1u] = machine->now;
    }
{% endif %}
    if ((press->state & OPEN) != 0) {
        press->news |= OWN_UP;
    } else if ((press->state & SAID) == 0) {
        forget(machine, at);
    }
}

void agogic_start(struct agogic *machine, agogic_time now)
{
{% if retap %}
    unsigned dual;
    for (dual = 0; dual < AGOGIC_DUAL_KEYS; dual++) {
        machine->released[dual] = 0u - AGE;
    }
{% endif %}
{% if latest %}
    machine->latest = 0u - AGE;
{% endif %}
{% if learned %}
    machine->previous = AGOGIC_KEYS;
{% endif %}
    machine->now = 0;
    machine->tick = 0;
    machine->clock = now;
    machine->swept = 0;
    machine->count = 0;
    machine->awake = 0;
}

bool agogic_event(struct agogic *machine, uint8_t key, bool down, agogic_time when)
{
    unsigned at;
    if (machine->awake == 0) {
        /* Nothing is followed, and nothing that is remembered is younger than AGE. */
        machine->clock = when;
        machine->now += AGE;
        machine->tick = machine->now;
    }
    go_on(machine, when, false);
    machine->awake = 2;
    if (key >= AGOGIC_KEYS) {
        return false;
    }
    at = find(machine, key);
    if (!down && at < machine->count) {
        went_up(machine, at);
    } else if (down && at == machine->count) {
        if (machine->count == AGOGIC_SLOTS) {
            return dual_number(key) != 0;
        }
        went_down(machine, key);
    }
    return false;
}

{% if ms %}
/* Whole milliseconds, without a division: small processors have none. */
static uint32_t milliseconds(uint32_t us)
{
    uint32_t whole = 0;
    uint32_t bit = 2097152u;
    for (; bit != 0; bit >>= 1) {
        if (us >= bit * 1000u) {
            us -= bit * 1000u;
            whole |= bit;
        }
    }
    return whole;
}

{% endif %}
/* A time inside as a time of the caller. */
static agogic_time told(const struct agogic *machine, uint32_t when)
{
{% if ms %}
    /* A time that has passed would be negative. */
    return machine->clock + milliseconds(when - machine->tick + 1048576000u) - 1048576u;
{% else %}
    return machine->clock + (when - machine->tick);
{% endif %}
}

bool agogic_deadline(const struct agogic *machine, agogic_time *when)
{
    uint32_t sweeps = machine->swept + AGE;
    uint32_t next;
    if (machine->awake == 0) {
        return false;
    }
    if (earliest(machine, &next) == machine->count || (int32_t)(sweeps - next) < 0) {
        next = sweeps;
    }
    *when = told(machine, next);
    return true;
}

void agogic_passed(struct agogic *machine, agogic_time when)
{
    if (machine->awake != 0) {
        go_on(machine, when, true);
    }
}

bool agogic_decision(struct agogic *machine, struct agogic_decision *decision)
{
    struct agogic_press *press = machine->presses;
    unsigned at;
    for (at = 0; at < machine->count; at++, press++) {
        if ((press->state & SAID) != 0) {
            decision->key = press->key;
            decision->hold = (press->state & HOLD) != 0;
            decision->when = told(machine, press->mark);
            press->state &= DOWN;
            if (press->state == 0) {
                forget(machine, at);
            }
            return true;
        }
    }
    return false;
}
