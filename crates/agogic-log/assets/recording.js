"use strict";
// What every page that records shares: the clock, the keys of this keyboard, and prompted attempts.
const recording = (() => {
  // A row of what was seen: [session, time in ms, code, edge, intent, target].
  const [CODE, INTENT, TARGET] = [2, 4, 5];

  // The step of the clock: the smallest advance in 40 ms of looking.
  function clockStep() {
    let step = Infinity, before = performance.now();
    const end = before + 40;
    while (before < end) {
      const now = performance.now();
      if (now > before) { step = Math.min(step, now - before); before = now; }
    }
    return step;
  }

  // When an event happened: the browser's stamp where it is on the same clock, which is nearer to the key
  // than the time at which this script gets to run.
  function when(event) {
    const now = performance.now();
    return event.timeStamp > 0 && event.timeStamp <= now && now - event.timeStamp < 1000 ? event.timeStamp : now;
  }

  const hasCode = event => /^[A-Za-z0-9]+$/.test(event.code) && event.code !== "Unidentified";

  const marks = { Minus: "-", Equal: "=", BracketLeft: "[", BracketRight: "]", Backslash: "\\", Semicolon: ";",
    Quote: "'", Backquote: "`", Comma: ",", Period: ".", Slash: "/", Space: " " };
  const writes = code => /^(Key[A-Z]|Digit[0-9]|Intl[A-Z][A-Za-z]*)$/.test(code) || code in marks;
  // What a key gives where it is named after what it gives: the characters behind the W3C codes.
  const named = code => marks[code] || code.replace(/^(Key|Digit)/, "").toLowerCase();

  // Fingers as typing courses teach them, column by column.
  const rows = [
    ["digit row", ["Digit1 Backquote", "Digit2", "Digit3", "Digit4 Digit5", "Digit6 Digit7", "Digit8", "Digit9",
      "Digit0 Minus Equal"]],
    ["upper row", ["KeyQ", "KeyW", "KeyE", "KeyR KeyT", "KeyY KeyU", "KeyI", "KeyO",
      "KeyP BracketLeft BracketRight Backslash"]],
    ["home row", ["KeyA", "KeyS", "KeyD", "KeyF KeyG", "KeyH KeyJ", "KeyK", "KeyL", "Semicolon Quote"]],
    ["lower row", ["KeyZ", "KeyX", "KeyC", "KeyV KeyB", "KeyN KeyM", "Comma", "Period", "Slash"]],
  ];
  const fingers = ["left little", "left ring", "left middle", "left index", "right index", "right middle", "right ring",
    "right little"];
  // Where a key lies, in words; blank for keys that are not in these rows.
  function place(code) {
    if (code === "Space") return "thumb";
    for (const [row, columns] of rows) {
      const at = columns.findIndex(keys => keys.split(" ").includes(code));
      if (at >= 0) return `${fingers[at]} finger, ${row}`;
    }
    return "";
  }

  // What the keys of this keyboard give: asked of the browser where it tells, and learned from what is typed.
  function keyboard() {
    const gives = new Map();
    const ready = (async () => {
      try {
        const map = await navigator.keyboard.getLayoutMap();
        for (const [code, character] of map) if (writes(code) && !gives.has(code)) gives.set(code, character);
      } catch { /* this browser does not tell; typing will */ }
    })();
    const plain = text => text.length && [...text].length === 1 ? text.toLowerCase() : "";
    return {
      ready,
      learn(event) {
        const shifted = event.shiftKey || event.ctrlKey || event.altKey || event.metaKey;
        const character = plain(event.key || "");
        if (!shifted && character && writes(event.code)) gives.set(event.code, character);
      },
      knows: code => gives.has(code),
      // The name on the key, for a prompt.
      shown(code) {
        if (code === "Space") return "the space bar";
        if (!writes(code)) return code;
        const character = gives.get(code) || named(code);
        const upper = character.toUpperCase();
        return [...upper].length === 1 ? upper : character;
      },
      // The key that gives a character; the one named after it where none is known to.
      keyOf(code) {
        const wanted = named(code);
        for (const [own, character] of gives) if (character === wanted) return own;
        return code;
      },
      // Whether an event is of the key that was asked for: by its place, or, as long as it is not known what that key
      // gives, by the name that was shown.
      is(event, code) {
        return event.code === code || !gives.has(code) && plain(event.key || "") === named(code);
      },
      // Whether an event is of the key that gives the character after which a code is named.
      gave(event, code) {
        const character = plain(event.key || "");
        const latin = /^[!-~]$/.test(character);
        return latin ? character === named(code) : event.code === this.keyOf(code);
      },
    };
  }

  // A prompted gesture: hold one key, press another while it is down where one is named, and let go. `item.holds(event)`
  // and `item.targets(event)` say whether an event is of the key that was asked for; `item.target` is that key.
  // What was not done as asked says nothing of what was meant: its rows are marked and their meaning is unknown.
  function attempt(item) {
    let held = null, done = false, wrong = false;
    const seen = [];
    const reject = () => {
      for (const row of seen) [row[INTENT], row[TARGET]] = ["rejected", ""];
      return false;
    };
    return {
      begun: () => seen.length > 0,
      // Takes in a press; `isDown` says whether a key is down.
      press(row, event, isDown) {
        seen.push(row);
        if (!held && item.holds(event)) {
          held = row;
          [row[INTENT], row[TARGET]] = ["hold", ""];
        } else if (held && item.target && !done && item.targets(event) && isDown(held[CODE])) {
          done = true;
          row[INTENT] = "tap";
          held[TARGET] = row[CODE];
        } else {
          wrong = true;
        }
      },
      // All keys are up: whether it was done as asked.
      end: () => held && !wrong && (done || !item.target) ? true : reject(),
      // It was broken off.
      abandon: reject,
      rows: () => seen,
    };
  }

  return { clockStep, when, hasCode, writes, place, keyboard, attempt };
})();
