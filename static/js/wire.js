// Generated out of the declarations in server/copyroom/room by scripts/generate_wire.py. Do not edit.

/** What a browser may be told. */
export const TO_BROWSER = Object.freeze([
  "findings",
  "exercise",
  "course",
  "plan",
  "plan_texts",
  "advice",
  "course_progress",
  "review",
  "push",
  "halt",
  "shift",
  "closed",
  "sound",
  "class",
  "reveal",
  "welcome",
  "kept",
  "handed_in",
  "renamed",
  "help",
  "removed",
  "refused",
  "alike",
  "room",
  "seats",
  "run",
  "progress",
  "table",
  "tables_before",
  "sheet",
  "cell",
  "proposal",
  "wall",
]);

/** What may be sent to a class, and what each is. */
export const PURPOSES = Object.freeze({
  "listen": {"takes": "none", "shown": true, "grouped": true, "read": false, "practice": false, "composed": true, "silent": false},
  "meet": {"takes": "one", "shown": true, "grouped": true, "read": false, "practice": false, "composed": true, "silent": false},
  "one": {"takes": "one", "shown": true, "grouped": true, "read": false, "practice": false, "composed": true, "silent": false},
  "apart": {"takes": "few", "shown": false, "grouped": true, "read": false, "practice": false, "composed": true, "silent": false},
  "mix": {"takes": "many", "shown": false, "grouped": true, "read": false, "practice": false, "composed": true, "silent": false},
  "words": {"takes": "many", "shown": false, "grouped": false, "read": true, "practice": false, "composed": true, "silent": false},
  "calls": {"takes": "many", "shown": false, "grouped": false, "read": true, "practice": true, "composed": true, "silent": false},
  "sentences": {"takes": "many", "shown": false, "grouped": false, "read": true, "practice": false, "composed": true, "silent": false},
  "contact": {"takes": "many", "shown": false, "grouped": false, "read": true, "practice": true, "composed": true, "silent": false},
  "message": {"takes": "many", "shown": false, "grouped": false, "read": true, "practice": true, "composed": true, "silent": false},
  "own": {"takes": "none", "shown": false, "grouped": true, "read": false, "practice": false, "composed": true, "silent": false},
  "warm-up": {"takes": "many", "shown": false, "grouped": true, "read": false, "practice": false, "composed": false, "silent": false},
  "practise": {"takes": "many", "shown": false, "grouped": true, "read": false, "practice": false, "composed": false, "silent": false},
  "longer": {"takes": "many", "shown": false, "grouped": true, "read": false, "practice": false, "composed": false, "silent": false},
  "together": {"takes": "none", "shown": false, "grouped": false, "read": false, "practice": false, "composed": false, "silent": false},
  "breather": {"takes": "none", "shown": false, "grouped": true, "read": false, "practice": false, "composed": false, "silent": true},
  "close": {"takes": "none", "shown": false, "grouped": true, "read": false, "practice": false, "composed": false, "silent": true},
});

/** The group exercises, by their kind. */
export const EXERCISES = Object.freeze({
  "circles": {"title": "Circles", "hint": "Two or three circles copy at once, each its own sounds at its own speed. They end together.", "in_circles": false},
  "key": {"title": "At the key", "hint": "One sends by hand, the others copy; afterwards all see what was meant, keyed and copied.", "in_circles": false},
  "named": {"title": "Named rounds", "hint": "A sound, a gap to answer, then its name: which sounds are known at once, and which are counted.", "in_circles": true},
  "net": {"title": "A net with fills", "hint": "A message in parts; who missed a group asks for it by the procedure, and gets exactly that.", "in_circles": false},
  "odd": {"title": "The odd one", "hint": "One sound again and again, and a hand goes up when another comes. It trains telling two apart.", "in_circles": true},
  "relay": {"title": "Relay", "hint": "A message goes from one to the next; then all look at where its characters went.", "in_circles": false},
});
