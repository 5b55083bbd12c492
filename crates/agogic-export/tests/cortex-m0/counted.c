/* Counts the instructions of each call by the system timer. The emulator counts instructions in place of time, so a number of
 * ticks is a number of instructions; how many stand for one is measured on instructions that do nothing. */
#include <stdint.h>
#include <stdio.h>

#define COUNTING
#include "counted.h"

#define CONTROL (*(volatile uint32_t *)0xe000e010u)
#define RELOAD (*(volatile uint32_t *)0xe000e014u)
#define CURRENT (*(volatile uint32_t *)0xe000e018u)

#define TEN(x) x x x x x x x x x x

static uint32_t worst[4];
static uint32_t calls[4];
static uint32_t nothing;

static uint32_t since(uint32_t before) { return (before - CURRENT) & 0xffffffu; }

static void count(unsigned which, uint32_t ticks)
{
    calls[which]++;
    if (ticks > worst[which]) {
        worst[which] = ticks;
    }
}

bool counted_event(struct agogic *machine, uint8_t key, bool down, agogic_time when)
{
    uint32_t before = CURRENT;
    bool result = agogic_event(machine, key, down, when);
    count(0, since(before));
    return result;
}

void counted_passed(struct agogic *machine, agogic_time when)
{
    uint32_t before = CURRENT;
    agogic_passed(machine, when);
    count(1, since(before));
}

bool counted_deadline(const struct agogic *machine, agogic_time *when)
{
    uint32_t before = CURRENT;
    bool result = agogic_deadline(machine, when);
    count(2, since(before));
    return result;
}

bool counted_decision(struct agogic *machine, struct agogic_decision *decision)
{
    uint32_t before = CURRENT;
    bool result = agogic_decision(machine, decision);
    count(3, since(before));
    return result;
}

int main(void)
{
    static const char *const names[4] = {"event", "passed", "deadline", "decision"};
    uint32_t before;
    uint32_t of_hundred;
    uint32_t of_thousand;
    unsigned which;
    FILE *counts;
    RELOAD = 0xffffffu;
    CURRENT = 0;
    CONTROL = 5;
    before = CURRENT;
    nothing = since(before);
    before = CURRENT;
    __asm__ volatile(TEN(TEN("nop\n")));
    of_hundred = since(before);
    before = CURRENT;
    __asm__ volatile(TEN(TEN(TEN("nop\n"))));
    of_thousand = since(before);
    counted_main();
    counts = fopen("counts.txt", "w");
    if (counts == NULL) {
        return 5;
    }
    /* Ticks of 900 instructions, of none, and of the worst call of each kind. */
    fprintf(counts, "ticks %lu %lu\n", (unsigned long)(of_thousand - of_hundred), (unsigned long)nothing);
    for (which = 0; which < 4; which++) {
        fprintf(counts, "%s %lu %lu\n", names[which], (unsigned long)worst[which], (unsigned long)calls[which]);
    }
    fclose(counts);
    return 0;
}
