"""A rule written again from its page alone, to see whether the page says enough.

    agogic conform --vectors vectors.txt python3 stranger.py RULE.md

Two rules are here: `overlap-share` and `evidence`, each with any guards. Numbers and tables are read from the page. Nothing of
the source in C or of `rule.json` was used. A case is read to its end; then each press is decided as a whole.
"""

import re
import sys

FOREVER = 1 << 60


class Page:
    """What the page says, as numbers."""

    def __init__(self, text):
        self.tick = int(re.search(r"a tick being (\d+) µs", text)[1])
        self.slots = int(re.search(r"There are (\d+) slots", text)[1])
        self.hand, self.dual = {}, set()
        for number, hand, roles in re.findall(r"^\| (\d+) \| \w+ \| (left|right|either) \| (one|two) \|$", text, re.M):
            self.hand[int(number)] = hand
            if roles == "two":
                self.dual.add(int(number))
        guards = text.split("## The guards")[1].split("\n## ")[0]

        def ms(pattern):
            found = re.search(pattern, guards)
            return round(float(found[1]) * 1000) if found else None

        self.retap = ms(r"- retap: the same key came up less than ([\d.]+) ms")
        self.lull = ms(r"- lull: any key went down less than ([\d.]+) ms")
        self.floor = ms(r"- floor: no hold unless the key is down for at least ([\d.]+) ms")
        self.bare = ms(r"- bare hold: a key that is down and undecided ([\d.]+) ms")
        self.other_hand = "- other hand:" in guards
        share = re.search(r"overlap \* 1000000 >= (\d+)", text)
        self.share = int(share[1]) if share else None
        threshold = re.search(r"a hold if the sum is at least (-?\d+)", text)
        self.threshold = int(threshold[1]) if threshold else None
        self.tables, self.edges = {}, []
        for name, body in re.findall(r"^### Table `(\w+)`\n\n((?:\|.*\n)+)", text, re.M):
            rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in body.splitlines()]
            columns = rows[0][3:]
            self.tables[name] = {
                column: {row[0]: int(row[3 + at]) for row in rows[2:]} for at, column in enumerate(columns)
            }
            self.edges = [int(row[2]) for row in rows[2:] if row[2]]

    def opposite(self, one, other):
        return {self.hand[one], self.hand[other]} == {"left", "right"}

    def bin(self, time):
        return str(sum(edge < time for edge in self.edges))


class Press:
    def __init__(self, key, down, order):
        self.key, self.down, self.up, self.order = key, down, FOREVER, order


def decide(page, presses, at):
    """Role and time of a press, and whether a guard decided it at its beginning."""
    own = presses[at]
    before = presses[at - 1] if at > 0 else None
    same = [press for press in presses[:at] if press.key == own.key]
    if page.retap is not None and same and own.down - same[-1].up < page.retap:
        return "tap", own.down, True
    if page.lull is not None and before and own.down - before.down < page.lull:
        return "tap", own.down, True
    sees = lambda other: not page.other_hand or page.opposite(own.key, other.key)
    carried = any(press.up > own.down and sees(press) for press in presses[:at])
    contacts = [press for press in presses[at + 1:] if press.down < own.up and sees(press)]
    if page.share is not None:
        role, when = overlap_share(page, own, contacts)
    else:
        role, when = evidence(page, own, contacts, carried, before)
    if page.bare is not None and when > own.down + page.bare and own.up >= own.down + page.bare:
        role, when = "hold", own.down + page.bare
    if page.floor is not None:
        if own.up < own.down + page.floor:
            role, when = "tap", own.up if role == "hold" else min(when, own.up)
        elif role == "hold":
            when = max(when, own.down + page.floor)
    return role, when, False


def overlap_share(page, own, contacts):
    r, holds, last = own.up, [], own.up
    for contact in contacts:
        c, u = contact.down, contact.up
        overlap = min(r, u) - c
        if overlap * 1000000 >= page.share * (u - c):
            holds.append(u)
        else:
            last = max(last, c + (r - c) * 1000000 // page.share)
    return ("hold", min(holds)) if holds else ("tap", last)


def evidence(page, own, contacts, carried, before):
    lull = "first" if before is None else page.bin(own.down - before.down)
    total = page.tables["lull"]["a key still down" if carried else "nothing carried over"][lull]
    first_release = min([own.up] + [contact.up for contact in contacts])
    if not contacts:
        total += page.tables["lead"]["alone dwell"][page.bin(own.up - own.down)]
    else:
        first = contacts[0].down
        facing = any(page.opposite(own.key, contact.key) for contact in contacts if contact.down == first)
        enclosed = any(contact.up <= own.up for contact in contacts)
        kind = ("enclosed " if enclosed else "rolled ") + ("opposite " if facing else "near ")
        total += page.tables["lead"][kind + "lead"][page.bin(first - own.down)]
        total += page.tables["overlap"][kind + "overlap"][page.bin(first_release - first)]
    return ("hold" if total >= page.threshold else "tap"), first_release


class Case:
    """Key events of a case as presses, mishaps left out."""

    def __init__(self, page):
        self.page, self.presses, self.told = page, [], []
        self.now = self.clock = None

    def time(self, when, passed=False):
        if self.clock is None:
            if passed:
                return
            self.clock, self.ticks = when, when
        ahead = (when - self.clock) % (1 << 32)
        if ahead < 1 << 31:
            self.clock, self.ticks = when, self.ticks + ahead
            us = self.ticks * self.page.tick + (self.page.tick - 1 if passed else 0)
            self.now = us if self.now is None else max(self.now, us)

    def down(self, key, when):
        self.time(when)
        if key not in self.page.hand or self.find(key):
            return
        if self.taken() >= self.page.slots:
            if key in self.page.dual:
                self.told.append(("tap", key, self.now))
            return
        self.presses.append(Press(key, self.now, len(self.presses)))

    def up(self, key, when):
        self.time(when)
        press = self.find(key)
        if press:
            press.up = self.now

    def find(self, key):
        return next((press for press in self.presses if press.key == key and press.up == FOREVER), None)

    def taken(self):
        taken = 0
        for at, press in enumerate(self.presses):
            if press.up == FOREVER:
                taken += 1
            elif press.key in self.page.dual:
                _, when, at_once = decide(self.page, self.presses, at)
                taken += not at_once and when >= self.now
        return taken

    def end(self):
        for at, press in enumerate(self.presses):
            if press.key in self.page.dual:
                role, when, _ = decide(self.page, self.presses, at)
                self.told.append((role, press.key, when))
        for role, key, when in sorted(self.told, key=lambda told: told[2]):
            if self.now is not None and when <= self.now:
                print(role, key, when // self.page.tick % (1 << 32))


def main():
    page = Page(open(sys.argv[1], encoding="utf-8").read())
    case = None
    for line in sys.stdin:
        words = line.split()
        if words[0] == "case":
            case = Case(page)
            print(line, end="")
        elif words[0] == "down":
            case.down(int(words[1]), int(words[2]))
        elif words[0] == "up":
            case.up(int(words[1]), int(words[2]))
        elif words[0] == "wait":
            case.time(int(words[1]), passed=True)
        else:
            case.end()
            print("end")


main()
