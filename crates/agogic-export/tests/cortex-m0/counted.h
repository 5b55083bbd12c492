/* Puts a count around every call that the runner makes. */
#ifndef COUNTED_H
#define COUNTED_H

#include "agogic.h"

bool counted_event(struct agogic *machine, uint8_t key, bool down, agogic_time when);
bool counted_deadline(const struct agogic *machine, agogic_time *when);
void counted_passed(struct agogic *machine, agogic_time when);
bool counted_decision(struct agogic *machine, struct agogic_decision *decision);
int counted_main(void);

#ifndef COUNTING
#define agogic_event(machine, key, down, when) counted_event(machine, key, down, when)
#define agogic_deadline(machine, when) counted_deadline(machine, when)
#define agogic_passed(machine, when) counted_passed(machine, when)
#define agogic_decision(machine, decision) counted_decision(machine, decision)
#define main(arguments) counted_main(arguments)
#endif

#endif
