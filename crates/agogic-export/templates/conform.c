/* Runs vectors through agogic.c by standard input and output:
 *
 *     cc -std=c99 -O2 agogic.c conform.c -o conform
 *     agogic conform ./conform
 *
 * Lines in:   case NAME | down KEY WHEN | up KEY WHEN | wait WHEN | end
 * Lines out:  case NAME | tap KEY WHEN | hold KEY WHEN | end
 *
 * Times go on from line to line, and deadlines are served only when the machine has asked for them.
 */
#include <stdio.h>
#include <string.h>

#include "agogic.h"

static struct agogic machine;

static void told(void)
{
    struct agogic_decision decision;
    while (agogic_decision(&machine, &decision)) {
        printf("%s %u %lu\n", decision.hold ? "hold" : "tap", decision.key, (unsigned long)decision.when);
    }
}

/* Serves every deadline before `when`, or until it with `also`. */
static void serve(agogic_time now, agogic_time when, bool also)
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

static bool number(const char **text, uint32_t *value)
{
    *value = 0;
    while (**text == ' ') {
        (*text)++;
    }
    if (**text < '0' || **text > '9') {
        return false;
    }
    for (; **text >= '0' && **text <= '9'; (*text)++) {
        *value = *value * 10u + (uint32_t)(**text - '0');
    }
    return true;
}

int main(void)
{
    char line[160];
    agogic_time now = 0;
    bool started = false;
    while (fgets(line, sizeof line, stdin) != NULL) {
        uint32_t key = 0;
        uint32_t when = 0;
        const char *rest = strchr(line, ' ');
        if (strncmp(line, "case", 4) == 0) {
            fputs(line, stdout);
            started = false;
            continue;
        }
        if (strncmp(line, "end", 3) == 0) {
            puts("end");
            fflush(stdout);
            continue;
        }
        if (rest == NULL) {
            continue;
        }
        if (strncmp(line, "wait", 4) == 0) {
            if (!number(&rest, &when) || !started) {
                continue;
            }
            serve(now, when, true);
            agogic_passed(&machine, when);
        } else {
            bool down = strncmp(line, "down", 4) == 0;
            if (!number(&rest, &key) || !number(&rest, &when)) {
                continue;
            }
            if (!started) {
                agogic_start(&machine, when);
                now = when;
                started = true;
            }
            serve(now, when, false);
            if (when - now < 0x80000000u) {
                now = when;
            }
            if (agogic_event(&machine, (uint8_t)key, down, when)) {
                printf("tap %lu %lu\n", (unsigned long)key, (unsigned long)now);
            }
            told();
        }
        if (when - now < 0x80000000u) {
            now = when;
        }
    }
    return 0;
}
