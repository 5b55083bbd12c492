"""The typist model and eight policies in numpy, as one would write them by hand.

    python numpy_study.py model.json KEYS SEED > rates.json

model.json comes from the example model_as_json of agogic-typist. All typists go through the session side by side: each
numpy call handles one press of every typist, and the policies look at all presses of dual-role keys at once. Shortcuts,
runs of capitals under one hold and clocks are left out on both sides of the comparison; slips and their corrections are
in. Written apart from the Rust code, from the definitions in its documentation, with a random generator of its own.
"""

import json
import sys
import time

import numpy as np

PLAIN, MIDDLE, START = 0, 1, 2
TAP, HOLDER, TARGET = 0, 1, 2
INTERRUPTED = 4


def sequences(model, traits, n, keys, rng):
    """Which keys each typist presses: slips, corrections and held keys, without times."""
    steps = model["steps"]
    s_code = np.array([s[0] for s in steps])
    s_holder = np.array([-1 if s[1] is None else s[1] for s in steps])
    s_start = np.array([s[2] for s in steps])
    s_length = np.array([s[4] for s in steps])
    s_middle = np.array([s[4] >= 5 and s[3] >= 2 for s in steps])
    near = model["near"]
    near_count = np.array([len(x) for x in near])
    near_table = np.zeros((len(near), max(near_count.max(), 1)), dtype=np.int64)
    for i, row in enumerate(near):
        near_table[i, : len(row)] = row
    const = model["constants"]
    slips, detection = traits["slip_share"], traits["slip_detection"]
    bounds = np.cumsum([const["slip_substitution"], const["slip_omission"], const["slip_insertion"]])
    lag = const["slip_detection_lag"]
    more = lag / (1 + lag)
    digits = np.array(model["digits"])
    hands = np.array(model["hands"])
    dual = np.flatnonzero(model["dual"])
    partner = np.full(len(digits), -1)
    for key in dual:
        partner[key] = next(k for k in dual if digits[k] % 5 == digits[key] % 5 and hands[k] != hands[key])
    holding = np.where(traits["holding_hand"] > 0, "Left", "Right")
    one_hand = traits["one_hand_share"] * (1 - const["adaptation"])

    room = keys + 64
    code = np.zeros((room, n), dtype=np.int16)
    kind = np.zeros((room, n), dtype=np.int8)
    place = np.zeros((room, n), dtype=np.int8)
    length = np.zeros((room, n), dtype=np.int8)
    count = np.zeros(n, dtype=np.int64)

    def emit(who, c, k, p, size):
        who = who[count[who] < room] if len(who) else who
        if np.isscalar(c):
            c = np.full(n, c)
        at = count[who]
        code[at, who], kind[at, who], place[at, who], length[at, who] = c[who], k, p[who], size[who]
        count[who] += 1

    position = np.zeros(n, dtype=np.int64)
    noticed = np.zeros(n, dtype=bool)
    countdown = np.zeros(n, dtype=np.int64)
    written = np.zeros(n, dtype=np.int64)
    resume = np.zeros(n, dtype=np.int64)
    resumed = np.zeros(n, dtype=bool)
    total = len(steps)
    plain = np.full(n, PLAIN)
    begin = np.full(n, START)
    broken = np.full(n, INTERRUPTED)
    while count.min() < keys:
        back = noticed & (countdown == 0)
        if back.any():
            for i in range(written[back].max()):
                who = np.flatnonzero(back & (written > i))
                emit(who, model["backspace"], TAP, begin if i == 0 else plain, broken)
            position[back] = resume[back]
            noticed[back] = False
            resumed[back] = True
        at = position % total
        c, holder, size, starts = s_code[at], s_holder[at], s_length[at], s_start[at]
        p = np.where(starts | resumed, START, np.where(s_middle[at], MIDDLE, PLAIN))
        l = np.where(starts, size, INTERRUPTED)
        resumed[:] = False
        nxt = (position + 1) % total
        draw = rng.random(n)
        slip = ~noticed & (draw < slips)
        sort = np.searchsorted(bounds, draw / slips, side="right")
        letter = (holder < 0) & (size > 0)
        possible = letter & np.where(
            sort == 1, True, np.where(sort == 3, (s_holder[nxt] < 0) & (s_length[nxt] > 0) & ~s_start[nxt], near_count[c] > 0)
        )
        slip &= possible
        used = np.ones(n, dtype=np.int64)
        wrote = np.ones(n, dtype=np.int64)
        held = ~slip & (holder >= 0)
        # Some hold with one hand whatever the target, where no finger is needed twice.
        under = np.where(hands[holder] == holding, holder, partner[holder])
        moved = held & (rng.random(n) < one_hand) & (digits[under] != digits[c])
        holder = np.where(moved, under, holder)
        emit(np.flatnonzero(~slip & ~held), c, TAP, p, l)
        who = np.flatnonzero(held)
        emit(who, holder, HOLDER, p, l)
        emit(who, c, TARGET, plain, l)
        if slip.any():
            pick = np.minimum((rng.random(n) * near_count[c]).astype(np.int64), np.maximum(near_count[c] - 1, 0))
            other = near_table[c, pick]
            emit(np.flatnonzero(slip & (sort == 0)), other, TAP, p, l)
            who = np.flatnonzero(slip & (sort == 2))
            emit(who, other, TAP, p, l)
            emit(who, c, TAP, plain, l)
            who = np.flatnonzero(slip & (sort == 3))
            emit(who, s_code[nxt], TAP, p, l)
            emit(who, c, TAP, plain, l)
            wrote[slip] = np.array([1, 0, 2, 2])[sort[slip]]
            used[slip & (sort == 3)] = 2
            seen = slip & (rng.random(n) < detection)
            noticed |= seen
            resume[seen] = position[seen]
            written[seen] = 0
            wait = np.minimum(np.log(1 - rng.random(n)) / np.log(more), 200) if more > 0 else np.zeros(n)
            countdown[seen] = wait[seen].astype(np.int64) + 1
        written[noticed] += wrote[noticed]
        countdown[noticed] = np.maximum(countdown[noticed] - 1, 0)
        position += used
    return code[:keys], kind[:keys], place[:keys], length[:keys]


def times(model, traits, n, keys, sequence, rng):
    """When each key goes down and comes up, in microseconds."""
    code, kind, place, length = sequence
    c = model["constants"]
    digits = np.array(model["digits"])
    hands = np.array([{"Left": 1.0, "Right": -1.0}.get(h, 0.0) for h in model["hands"]])
    classes = np.array(model["classes"]).astype(np.int64)
    rarity = np.array(model["rarity"])
    interval, spread, dwell, dwell_spread, hesitation, same_hand, same_finger, gap, word_start, lead, release, lull = (
        traits[name] for name in ("interval_ms", "interval_spread", "dwell_ms", "dwell_spread", "hesitation_share",
                                  "same_hand_effect", "same_finger_effect", "repeat_gap_ms", "word_start_effect",
                                  "lead_ms", "release_ms", "lull_factor"))
    effect = np.zeros((6, n))
    effect[1] = same_hand - c["outward_effect"] / 2
    effect[2] = same_hand + c["outward_effect"] / 2
    effect[3] = same_finger
    log_interval = np.log((interval + c["interval_floor_ms"]) * 1e3)
    log_gap = np.log(gap * 1e3)
    left = c["left_dwell_effect"] / 2
    fingers = [c["little_dwell_effect"], c["ring_dwell_effect"], c["middle_dwell_effect"], 0.0, c["thumb_dwell_effect"]]
    share = lambda d: c["right_finger_share"] if 5 <= d < 9 else 1.0
    of_digit = np.array(
        [share(d) * fingers[d % 5] + (left if d < 5 else -left) if d < 10 else fingers[4] for d in range(11)]
    )
    log_dwell = np.log(dwell * 1e3)
    keep = c["tempo_persistence"]
    new = c["tempo_spread"] * np.sqrt(1 - keep * keep)
    r = c["dwell_interval_correlation"]
    rest = np.sqrt(1 - r * r)
    raised = lambda share, ratio: (lambda odds: odds / (1 + odds))(share / (1 - share) * ratio)
    pauses = np.stack([hesitation, raised(hesitation, c["hesitation_word_start"])])
    log_pause = log_interval + np.log(c["hesitation_factor"])
    lift = np.floor(c["lift_ms"] * 1e3)
    learned = lambda name: c["adaptation"] * np.log(c[name])
    log_lead = np.log(lead * 1e3) + learned("adapted_lead_factor")
    log_release = np.log(release * 1e3) + learned("adapted_release_factor")
    in_order, order_lag = c["in_order_share"], c["in_order_lag_ms"] * 1e3
    gain, half = c["roll_gain_ms"] * 1e3, c["roll_half_ms"] * 1e3
    log_after = np.log(c["after_hold_ms"] * 1e3)
    long_factor = np.log(c["long_dwell_factor"])
    think_factor = np.log(c["think_factor"])
    micros = lambda x: np.maximum(np.floor(np.minimum(np.exp(x), 6e8)), 1.0)

    down = np.zeros((keys, n))
    up = np.zeros((keys, n))
    all_typists = np.arange(n)
    latest = np.full((11, n), -1, dtype=np.int64)
    tempo = np.zeros(n)
    noise = np.zeros(n)
    now = np.zeros(n)
    earliest = np.zeros(n)
    held_for = np.zeros(n)
    for i in range(keys):
        here, what = code[i], kind[i]
        z = rng.standard_normal((4, n))
        u = rng.random((3, n))
        target = what == TARGET
        drawn = ~target
        tempo = np.where(drawn, keep * tempo + new * z[0], tempo)
        noise = np.where(drawn, z[1], noise)
        begins = place[i] == START
        if i == 0:
            cls = np.full(n, 5)
            rare = 0.0
        else:
            cls = classes[code[i - 1], here]
            rare = np.where(begins, 0.0, rarity[code[i - 1], here])
        position = np.where(
            begins,
            word_start + c["word_length_effect"] * (np.minimum(length[i], 8) - 4.0),
            np.where(place[i] == MIDDLE, c["mid_word_effect"], 0.0),
        )
        same = (cls >= 1) & (cls <= 3)
        hand = np.where(same, hands[here] * c["left_hand_effect"] / 2, 0.0)
        log = log_interval + effect[cls, all_typists] + position + hand + c["frequency_effect"] * rare
        again = (cls == 4) & (i > 0)
        held = np.where(again, up[i - 1] - down[i - 1], 0.0)
        log = np.where(again, log_gap + np.where(begins, position, 0.0), log) + c["interval_drift"] / 1000 * i
        step = held + micros(log + tempo + spread * noise)
        pause = u[0] < pauses[begins.astype(np.int64), all_typists]
        step += np.where(pause, micros(log_pause + c["hesitation_spread"] * z[2]), 0.0)
        # The dwell of taps and targets.
        own = log_dwell + of_digit[digits[here]] + c["dwell_drift"] / 1000 * i + dwell_spread * (r * noise + rest * z[3])
        own += np.where(u[1] < c["long_dwell_share"], long_factor, 0.0)
        stay = micros(own)
        start = np.where(target, now + held_for, now + step)
        holder = what == HOLDER
        if holder.any():
            g = rng.standard_normal((2, n))
            wait = np.exp(np.log(lull) + c["lull_spread"] * g[0])
            thinks = np.where(rng.random(n) < c["think_share"], think_factor, 0.0)
            ahead = micros(log_lead + c["lead_spread"] * g[1] + thinks)
            start = np.where(holder, now + np.floor(step * wait), start)
            stay = np.where(holder, ahead, stay)
            held_for = np.where(holder, ahead, held_for)
        # The finger may be busy, and lifts early to be in time.
        at = np.maximum(np.maximum(start, now + (i > 0)), earliest)
        finger = digits[here]
        before = latest[finger, all_typists]
        busy = before >= 0
        row = np.maximum(before, 0)
        released, pressed = up[row, all_typists], down[row, all_typists]
        free = busy & (kind[row, all_typists] != HOLDER)
        released = np.where(free, np.minimum(released, np.maximum(at - lift, pressed + lift)), released)
        up[row[free], all_typists[free]] = released[free]
        at = np.where(busy, np.maximum(at, released + lift), at)
        leave = at + stay
        # What becomes of the overlap of a roll; rolled onto the key before, it mostly waits for that to come up.
        if i > 0:
            rolled = (kind[i - 1] != HOLDER) & (up[i - 1] > at)
            over = np.maximum(up[i - 1] - at, 1.0)
            made = np.maximum(np.floor(c["roll_slope"] * over + gain * over / (over + half)), 1.0)
            up[i - 1] = np.where(rolled, at + made, up[i - 1])
            waits = (kind[i - 1] != HOLDER) & (up[i - 1] > at) & (u[2] < in_order)
            leave = np.where(waits, np.maximum(leave, up[i - 1] + np.floor(u[2] / in_order * order_lag)), leave)
        down[i], up[i] = at, leave
        latest[finger, all_typists] = i
        now = at
        if target.any():
            g = rng.standard_normal((2, n))
            let_go = at + micros(log_release + c["release_spread"] * g[0])
            up[i - 1] = np.where(target, let_go, up[i - 1])
            earliest = np.where(target, let_go + micros(log_after + c["after_hold_spread"] * g[1]), earliest)
    return down, up


def judge(model, sequence, down, up):
    """False holds, missed holds and mean delays of taps of eight policies."""
    code, kind, _, _ = sequence
    keys, n = code.shape
    # Typist by typist in a row.
    down, up = down.T.ravel(), up.T.ravel()
    hold_meant = (kind.T == HOLDER).ravel()
    dual = np.array(model["dual"])[code.T]
    # The session was cut off there: a key held at that moment has no target yet.
    dual[:, -1] = False
    dual = dual.ravel()
    typist = np.repeat(np.arange(n), keys)
    index = np.flatnonzero(dual)
    press, release = down[index], up[index]
    own = release - press
    meant = hold_meant[index]
    never = np.full(len(index), np.inf)
    first, enclosed = never.copy(), never.copy()
    shares = {0.8: (never.copy(), own.copy()), 0.6: (never.copy(), own.copy())}
    spans = {80: never.copy(), 40: never.copy()}
    open_ = np.arange(len(index))
    j = 0
    while len(open_):
        j += 1
        other = index[open_] + j
        inside = other < len(down)
        other = np.minimum(other, len(down) - 1)
        inside &= (typist[other] == typist[index[open_]]) & (down[other] < release[open_])
        open_, other = open_[inside], other[inside]
        at, end, dwell = down[other] - press[open_], up[other] - press[open_], own[open_]
        first[open_] = np.minimum(first[open_], at)
        within = end <= dwell
        enclosed[open_[within]] = np.minimum(enclosed[open_[within]], end[within])
        for share, (when, settled) in shares.items():
            deadline = at + np.floor((dwell - at) / share)
            fits = within | (end <= deadline)
            when[open_[fits]] = np.minimum(when[open_[fits]], end[fits])
            late = open_[~fits]
            settled[late] = np.maximum(settled[late], deadline[~fits])
        for span, when in spans.items():
            fits = np.minimum(end, dwell) - at >= span * 1e3
            when[open_[fits]] = np.minimum(when[open_[fits]], at[fits] + span * 1e3)
    decisions = {f"dwell-cutoff {cut}": (np.where(own >= cut * 1e3, cut * 1e3, np.inf), own) for cut in (200, 250)}
    decisions["first-contact"] = (first, own)
    decisions["enclosed"] = (enclosed, own)
    decisions.update({f"overlap-share {share}": pair for share, pair in shares.items()})
    decisions.update({f"overlap-span {span}": (when, own) for span, when in spans.items()})
    found = {}
    for name, (when, otherwise) in decisions.items():
        hold = np.isfinite(when)
        after = np.where(hold, when, otherwise)
        found[name] = {
            "false_holds": 1000 * (hold & ~meant).sum() / (~meant).sum(),
            "missed_holds": 100 * (~hold & meant).sum() / meant.sum(),
            "tap_delay": after[~meant].mean() / 1e3,
            "tap_delay_sd": after[~meant].std() / 1e3,
            "taps": int((~meant).sum()),
            "holds": int(meant.sum()),
        }
    return found


def main():
    path, keys, seed = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
    with open(path) as file:
        model = json.load(file)
    assert model["dwell_family"] == "LogNormal" and not any(s[5] for s in model["steps"])
    rng = np.random.Generator(np.random.SFC64(seed))
    traits = dict(zip(model["traits"], np.array(model["typists"]).T))
    n = len(model["typists"])
    clock = time.process_time()
    sequence = sequences(model, traits, n, keys, rng)
    marks = [time.process_time()]
    down, up = times(model, traits, n, keys, sequence, rng)
    marks.append(time.process_time())
    found = judge(model, sequence, down, up)
    marks.append(time.process_time())
    names = ["sequences_s", "times_s", "policies_s"]
    parts = dict(zip(names, np.diff([clock, *marks])))
    json.dump({"numpy": np.__version__, "cpu_s": marks[-1] - clock, **parts, "keystrokes": n * keys, "rates": found}, sys.stdout)


main()
