/* Starts a program on an emulated Cortex-M0 and gives it files of the host by semihosting: cases.txt to read, answers.txt to
 * write. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

extern uint32_t stack_top, data_from, data_start, data_end, bss_start, bss_end;
extern void initialise_monitor_handles(void);
extern int main(void);

void reset(void);

/* The C library calls these before and after a program; there is nothing to do. */
void _init(void);
void _fini(void);
void _init(void) {}
void _fini(void) {}

static void stop(void) { exit(3); }

__attribute__((section(".vectors"), used)) static void (*const vectors[16])(void) = {
    (void (*)(void))&stack_top, reset, stop, stop, stop, stop, stop, stop, stop, stop, stop, stop, stop, stop, stop, stop,
};

void reset(void)
{
    uint32_t *from = &data_from;
    uint32_t *to;
    for (to = &data_start; to < &data_end;) {
        *to++ = *from++;
    }
    for (to = &bss_start; to < &bss_end;) {
        *to++ = 0;
    }
    initialise_monitor_handles();
    if (freopen("cases.txt", "r", stdin) == NULL || freopen("answers.txt", "w", stdout) == NULL) {
        exit(4);
    }
    exit(main());
}
