// Generated from server/copyroom/wire by scripts/generate_wire.py. Do not edit.

/**
 * One clock exchange; answered at once by the acknowledgement `ClockOut`.
 * @typedef {Object} ClockIn
 * @property {number} page_ms
 */

/**
 * Take a seat in the room of that code, or take it again with its token.
 * @typedef {Object} JoinIn
 * @property {string} code
 * @property {string} name
 * @property {string} token
 */

/**
 * A console or a wall (by the instructor's cookie) follows a room; "" is the latest one.
 * @typedef {Object} WatchIn
 * @property {string} code
 * @property {"console"|"wall"} view
 */

/**
 * @typedef {Object} ChooseWayIn
 * @property {"typing"|"paper"} way
 */

/**
 * sound: "off" before the tap, "on", "lost" (suspended), "silent" (no sound by choice).
 * @typedef {Object} ReportDeviceIn
 * @property {"off"|"on"|"lost"|"silent"} sound
 * @property {number} uncertainty_ms
 * @property {number} lead_ms
 * @property {boolean} visible
 */

/**
 * @typedef {Object} KeyIn
 * @property {number} at_ms
 * @property {string} [sign]
 * @property {number} [change]
 * @property {number} [before]
 * @property {number} [erase]
 */

/**
 * Strokes numbered from `first`; acknowledged by `kept`. `seat` only from the console (0 = own).
 * @typedef {Object} WriteKeysIn
 * @property {number} push
 * @property {number} first
 * @property {KeyIn[]} keys
 * @property {number} [seat]
 */

/**
 * Symbols [start, stop) of a push that sounded here.
 * @typedef {Object} ReportSoundedIn
 * @property {number} push
 * @property {number[][]} spans
 */

/**
 * @typedef {Object} HandInIn
 * @property {number} push
 * @property {number} [seat]
 */

/**
 * Of a sheet that stays on paper: how many are right, of how many. After the reveal.
 * @typedef {Object} HandInCountIn
 * @property {number} push
 * @property {number} right
 * @property {number} of
 */

/**
 * An event without fields.
 * @typedef {Object} NothingIn
 */

/**
 * @typedef {Object} SetTitleIn
 * @property {string} title
 */

/**
 * @typedef {Object} SetSoundIn
 * @property {number} wpm
 * @property {number} overall_wpm
 * @property {number} pitch_hz
 * @property {number} lead_in_s
 * @property {number} tidy_s
 */

/**
 * `source`: with one loudspeaker, the seat whose browser sounds; 0 is the console.
 * @typedef {Object} SetHearingIn
 * @property {"every"|"loudspeaker"|"headphones"|"home"} way
 * @property {number} source
 */

/**
 * @typedef {Object} SetSymbolsIn
 * @property {string} symbols
 */

/**
 * @typedef {Object} HoldAtDoorIn
 * @property {boolean} on
 */

/**
 * Answered by `proposal`; nothing is sent to learners.
 * @typedef {Object} ComposeIn
 * @property {"listen"|"one"|"meet"|"apart"|"mix"|"words"|"sentences"|"calls"|"contact"|"message"|"own"} purpose
 * @property {string} symbols
 * @property {number} count
 * @property {number} group
 * @property {string} text
 * @property {number} [seed]
 */

/**
 * An empty text is composed from purpose, symbols, count, group and seed. `after` is the run at hand as shown; where the room has another by then, nothing is sent.
 * @typedef {Object} SendTextIn
 * @property {"listen"|"one"|"meet"|"apart"|"mix"|"words"|"sentences"|"calls"|"contact"|"message"|"own"} purpose
 * @property {string} symbols
 * @property {number} count
 * @property {number} group
 * @property {string} text
 * @property {boolean} name_shown
 * @property {boolean} counted
 * @property {number} [seed]
 * @property {number} [after]
 */

/**
 * What is to be done to the run at hand; `push` and `seen` are its number and phase as shown. Where the room has another by then, nothing is done.
 * @typedef {Object} OrderIn
 * @property {number} [push]
 * @property {"counting in"|"sounding"|"paused"|"tidying"|"waiting"|"closed"|"revealed"} [seen]
 */

/**
 * @typedef {Object} PinIn
 * @property {string} sign
 * @property {number} place
 */

/**
 * Answered by `course`; nothing changes. `signs` "" are all that an examination asks for.
 * @typedef {Object} ShowCourseIn
 * @property {"words"|"unlike"|"traffic"|"own"} emphasis
 * @property {string} signs
 * @property {PinIn[]} pins
 */

/**
 * @typedef {Object} SetCourseIn
 * @property {"words"|"unlike"|"traffic"|"own"} emphasis
 * @property {string} signs
 * @property {PinIn[]} pins
 * @property {number} meetings
 */

/**
 * @typedef {Object} PlanEveningIn
 * @property {number} minutes
 */

/**
 * The steps still wanted, by number, in their new order.
 * @typedef {Object} EditPlanIn
 * @property {number[]} steps
 */

/**
 * @typedef {Object} AddStepIn
 * @property {"introduce"|"mix"} kind
 * @property {string} title
 * @property {string} text
 */

/**
 * @typedef {Object} StepIn
 * @property {number} step
 */

/**
 * @typedef {Object} SendStepIn
 * @property {number} step
 * @property {number} [after]
 */

/**
 * A choice of the advice after run `push`; 0 is the one proposed.
 * @typedef {Object} TakeChoiceIn
 * @property {number} push
 * @property {number} choice
 */

/**
 * Until the next meeting in so many days; seat 0 is the class.
 * @typedef {Object} ShowReviewIn
 * @property {number} days
 * @property {number} seat
 */

/**
 * Each learner is shown their own days until the next meeting.
 * @typedef {Object} GiveReviewIn
 * @property {number} days
 */

/**
 * @typedef {Object} SeatIn
 * @property {number} seat
 */

/**
 * @typedef {Object} RenameIn
 * @property {number} seat
 * @property {string} name
 */

/**
 * @typedef {Object} AddSeatIn
 * @property {string} name
 */

/**
 * `sent` "" = extra marks, `written` "" = missed. Answered by `cell`.
 * @typedef {Object} ShowCellIn
 * @property {string} sent
 * @property {string} written
 * @property {"run"|"evening"|"course"} scope
 */

/**
 * @typedef {Object} PinOut
 * @property {string} sign
 * @property {number} place
 */

/**
 * @typedef {Object} EmphasisOut
 * @property {"words"|"unlike"|"traffic"|"own"} emphasis
 * @property {string} title
 * @property {string} summary
 */

/**
 * @typedef {Object} PlacementOut
 * @property {string} sign
 * @property {string[]} reasons
 * @property {boolean} pinned
 */

/**
 * An order with the reason of each place. `all_signs`: what may be left out or taken in.
 * @typedef {Object} CourseOut
 * @property {"words"|"unlike"|"traffic"|"own"} emphasis
 * @property {EmphasisOut[]} emphases
 * @property {PlacementOut[]} order
 * @property {string} all_signs
 */

/**
 * `push`: 0 not done, -1 done without sound, else the run it became. `text` "": nothing to send.
 * @typedef {Object} StepOut
 * @property {number} step
 * @property {string} kind
 * @property {string} title
 * @property {string} symbols
 * @property {string} text
 * @property {number} sounds
 * @property {number} seconds
 * @property {string} reason
 * @property {number} push
 */

/**
 * The course as chosen, and the evening's steps. `changes`: what the last copies changed, and why.
 * @typedef {Object} PlanOut
 * @property {"words"|"unlike"|"traffic"|"own"} emphasis
 * @property {string} order
 * @property {PinOut[]} pins
 * @property {number} meetings
 * @property {number} review_days
 * @property {number} minutes
 * @property {number} minutes_left
 * @property {number|null} begun_room_ms
 * @property {StepOut[]} steps
 * @property {string[]} changes
 */

/**
 * action: "go on", "repeat", "go back" or "contrast"; `introduce` comes before a text on `symbols`.
 * @typedef {Object} ChoiceOut
 * @property {string} action
 * @property {string} sentence
 * @property {string} introduce
 * @property {string} symbols
 * @property {number} sounds
 * @property {string[]} reasons
 */

/**
 * @typedef {Object} LackOut
 * @property {string} name
 * @property {number[]} missed_days
 * @property {string} never_heard
 */

/**
 * Medians of right answers, from the end of the sound to the key.
 * @typedef {Object} SlowOut
 * @property {string} sign
 * @property {number} median_s
 * @property {number} usual_s
 */

/**
 * What could be done after run `push`, the proposed one first; taken with `take_choice`.
 * @typedef {Object} AdviceOut
 * @property {number} push
 * @property {ChoiceOut[]} choices
 * @property {LackOut[]} lacking
 * @property {SlowOut[]} slow
 */

/**
 * recall: as in EvidenceOut, of the class; seats: [seat, right, sendings, low, high].
 * @typedef {Object} MeetingProgress
 * @property {number} number
 * @property {number} day
 * @property {number} runs
 * @property {((string|number|number|boolean)[])[]} recall
 * @property {((number|number)[])[]} seats
 */

/**
 * @typedef {Object} SeatName
 * @property {number} seat
 * @property {string} name
 */

/**
 * The course so far, meeting by meeting; for the instructor alone.
 * @typedef {Object} CourseProgressOut
 * @property {MeetingProgress[]} meetings
 * @property {SeatName[]} seats
 */

/**
 * Acknowledgement of `clock`; a new epoch is a new server.
 * @typedef {Object} ClockOut
 * @property {number} received_room_ms
 * @property {number} sent_room_ms
 * @property {string} epoch
 */

/**
 * After a pause: symbols from `first` on come so much later than the edges say; the last entry wins.
 * @typedef {Object} Shift
 * @property {number} first
 * @property {number} shift_ms
 */

/**
 * Tones on their way. `edges`: per symbol [on, off, on, off, ...] in ms after the start. `symbols`: the keys of the learner's grid. `shown`: the symbols' names, when they may be seen.
 * @typedef {Object} PushOut
 * @property {number} push
 * @property {"listen"|"one"|"meet"|"apart"|"mix"|"words"|"sentences"|"calls"|"contact"|"message"|"own"} purpose
 * @property {number} start_room_ms
 * @property {number} pitch_hz
 * @property {number[][]} edges
 * @property {Shift[]} shifts
 * @property {string} symbols
 * @property {number} tidy_ms
 * @property {boolean} counted
 * @property {string} shown
 */

/**
 * All sound ends now. `sent`: how many symbols the run has when it was stopped for good.
 * @typedef {Object} HaltOut
 * @property {number} push
 * @property {number} at_room_ms
 * @property {boolean} for_good
 * @property {number} sent
 */

/**
 * A paused run goes on.
 * @typedef {Object} ShiftOut
 * @property {number} push
 * @property {Shift[]} shifts
 */

/**
 * @typedef {Object} ClosedOut
 * @property {number} push
 */

/**
 * A seat's own copy so far. A mark is [sign, at_ms or null].
 * @typedef {Object} CopyOut
 * @property {"typing"|"paper"} way
 * @property {number} kept
 * @property {((string|number|null)[])[]} marks
 * @property {boolean} handed_in
 */

/**
 * A seat's own copy under what was sent. marks : signs of the copy; answers : per mark the index of the sent symbol, or null for an extra mark. sent : symbols of the text that belong to the run (fewer when it was stopped). unheard : indices that this browser did not sound; outside the count. taken : [sent, written, how often], all_right : symbols of which none was lost. own_count : [right, of] of a sheet that stayed on paper, as its writer counted.
 * @typedef {Object} RevealOut
 * @property {number} push
 * @property {string} text
 * @property {number} sent
 * @property {string} marks
 * @property {(number|null)[]} answers
 * @property {number[]} unheard
 * @property {number} right
 * @property {number} of
 * @property {((string|number)[])[]} taken
 * @property {string} all_right
 * @property {number[]|null} own_count
 */

/**
 * @typedef {Object} ClassOut
 * @property {string} title
 * @property {"every"|"loudspeaker"|"headphones"|"home"} hearing
 * @property {number} source
 * @property {number} pitch_hz
 * @property {number} wpm
 */

/**
 * @typedef {Object} ReviewRow
 * @property {number} day
 * @property {string} signs
 * @property {string} why
 */

/**
 * What to review from the meeting on; seat 0 is the class. A learner gets no other seat's.
 * @typedef {Object} ReviewOut
 * @property {number} seat
 * @property {number} days
 * @property {number} meeting_day
 * @property {ReviewRow[]} rows
 */

/**
 * @typedef {Object} WelcomeOut
 * @property {string} code
 * @property {number} seat
 * @property {string} name
 * @property {string} token
 * @property {boolean} inside
 * @property {"typing"|"paper"} way
 * @property {boolean} asks_help
 * @property {ClassOut} class
 * @property {PushOut|null} push
 * @property {string} phase
 * @property {HaltOut|null} halt
 * @property {CopyOut|null} copy
 * @property {RevealOut|null} reveal
 * @property {ReviewOut|null} review
 * @property {boolean} [test_mode]
 */

/**
 * This seat's copy holds `kept` strokes, on disk.
 * @typedef {Object} KeptOut
 * @property {number} push
 * @property {number} seat
 * @property {number} kept
 */

/**
 * @typedef {Object} HandedInOut
 * @property {number} push
 * @property {number} seat
 */

/**
 * @typedef {Object} RenamedOut
 * @property {string} name
 */

/**
 * Whether the console shows that this seat cannot hear.
 * @typedef {Object} HelpOut
 * @property {boolean} asks
 */

/**
 * Something ended for this reason.
 * @typedef {Object} SentenceOut
 * @property {string} sentence
 */

/**
 * Something was refused for this reason. about: the event that asked for it; none spoke of the disk.
 * @typedef {Object} RefusedOut
 * @property {string} sentence
 * @property {string} [about]
 */

/**
 * @typedef {Object} SoundOut
 * @property {number} wpm
 * @property {number} overall_wpm
 * @property {number} pitch_hz
 * @property {number} lead_in_s
 * @property {number} tidy_s
 */

/**
 * @typedef {Object} RunSummary
 * @property {number} push
 * @property {string} title
 * @property {"listen"|"one"|"meet"|"apart"|"mix"|"words"|"sentences"|"calls"|"contact"|"message"|"own"} purpose
 * @property {string} symbols
 * @property {boolean} counted
 * @property {number} right
 * @property {number} of
 * @property {number} settled_anew
 */

/**
 * `day` counts local days since 1970-01-01.
 * @typedef {Object} MeetingOut
 * @property {number} day
 * @property {number} runs
 */

/**
 * `runs` are those of the last meeting, the one at hand.
 * @typedef {Object} RoomOut
 * @property {string} code
 * @property {string} title
 * @property {SoundOut} sound
 * @property {"every"|"loudspeaker"|"headphones"|"home"} hearing
 * @property {number} source
 * @property {string} symbols
 * @property {boolean} hold_at_door
 * @property {string} alike
 * @property {MeetingOut[]} meetings
 * @property {RunSummary[]} runs
 */

/**
 * @typedef {Object} SeatOut
 * @property {number} seat
 * @property {string} name
 * @property {"typing"|"paper"} way
 * @property {boolean} device
 * @property {boolean} inside
 * @property {boolean} here
 * @property {"off"|"on"|"lost"|"silent"} sound
 * @property {number} uncertainty_ms
 * @property {boolean} visible
 * @property {boolean} asks_help
 */

/**
 * @typedef {Object} SeatsOut
 * @property {SeatOut[]} seats
 */

/**
 * @typedef {Object} RunDetail
 * @property {number} push
 * @property {"listen"|"one"|"meet"|"apart"|"mix"|"words"|"sentences"|"calls"|"contact"|"message"|"own"} purpose
 * @property {number} start_room_ms
 * @property {number} pitch_hz
 * @property {number[][]} edges
 * @property {Shift[]} shifts
 * @property {string} symbols
 * @property {number} tidy_ms
 * @property {boolean} counted
 * @property {string} shown
 * @property {string} title
 * @property {string} text
 * @property {string} phase
 * @property {number} wpm
 * @property {number} overall_wpm
 * @property {number[]} start_ms
 * @property {number[]} end_ms
 * @property {number|null} halted_room_ms
 * @property {number} sent
 */

/**
 * @typedef {Object} RunOut
 * @property {RunDetail|null} run
 */

/**
 * heard_from: the first sound that the seat heard, later than 0 for a late joiner; -1 for none yet.
 * @typedef {Object} CopyProgress
 * @property {number} seat
 * @property {"typing"|"paper"} way
 * @property {number} written
 * @property {number|null} last_at_ms
 * @property {number} heard
 * @property {number} heard_from
 * @property {boolean} handed_in
 * @property {number[]|null} own_count
 */

/**
 * answered, right: per sent symbol, how many learners wrote something, and the right thing.
 * @typedef {Object} ProgressOut
 * @property {number} push
 * @property {string} phase
 * @property {CopyProgress[]} copies
 * @property {number[]} answered
 * @property {number[]} right
 */

/**
 * Cells [sent, written, count] over 0: sent "" = extra mark, written "" = missed, "_" = blank.
 * @typedef {Object} TableOut
 * @property {number} push
 * @property {((string|number)[])[]} run
 * @property {number} run_copies
 * @property {((string|number)[])[]} evening
 * @property {((string|number)[])[]} course
 * @property {boolean} final
 */

/**
 * A pair worth teaching: `sent` heard as `written`, n of so many sendings, and the other way round.
 * @typedef {Object} PairOut
 * @property {string} sent
 * @property {string} written
 * @property {number} n
 * @property {number} sendings
 * @property {number} learners
 * @property {number} back
 * @property {number} back_sendings
 */

/**
 * recall: [sign, right, sendings, low, high, enough] per symbol; `enough` False: too few copies.
 * @typedef {Object} EvidenceOut
 * @property {number} copies
 * @property {((string|number|number|boolean)[])[]} recall
 * @property {PairOut[]} pairs
 * @property {boolean} enough
 */

/**
 * What the tables say, with how sure it is; told when copies became final.
 * @typedef {Object} FindingsOut
 * @property {number} push
 * @property {EvidenceOut} run
 * @property {EvidenceOut} evening
 * @property {EvidenceOut} course
 */

/**
 * One learner's sheets of this evening, for the instructor alone.
 * @typedef {Object} SheetOut
 * @property {number} seat
 * @property {string} name
 * @property {RevealOut[]} sheets
 * @property {((string|number|number|boolean)[])[]} recall
 */

/**
 * @typedef {Object} Sending
 * @property {number} push
 * @property {number} seat
 * @property {string} name
 * @property {number|null} place
 * @property {string} around
 */

/**
 * @typedef {Object} CellOut
 * @property {string} sent
 * @property {string} written
 * @property {"run"|"evening"|"course"} scope
 * @property {Sending[]} sendings
 * @property {number} all
 */

/**
 * @typedef {Object} ProposalOut
 * @property {string} text
 * @property {number} sounds
 * @property {number} seconds
 */

/**
 * No names, and nothing of the text before the reveal. start_ms: per symbol, when names are shown.
 * @typedef {Object} WallOut
 * @property {string} code
 * @property {string} title
 * @property {number} here
 * @property {string} phase
 * @property {string} prompt
 * @property {number} start_room_ms
 * @property {number} end_room_ms
 * @property {number} end_tidy_room_ms
 * @property {string} shown
 * @property {number[]} start_ms
 * @property {boolean} counted
 * @property {PairOut[]} pairs
 * @property {number} written
 * @property {number} expected
 * @property {string} symbols
 * @property {((string|number)[])[]} cells
 * @property {number} copies
 * @property {string} text
 */

/**
 * What a browser may send, by event name.
 * @typedef {Object} ToServer
 * @property {JoinIn} join
 * @property {WatchIn} watch
 * @property {ChooseWayIn} choose_way
 * @property {ReportDeviceIn} report_device
 * @property {WriteKeysIn} write_keys
 * @property {ReportSoundedIn} report_sounded
 * @property {HandInIn} hand_in
 * @property {HandInCountIn} hand_in_count
 * @property {NothingIn} cannot_hear
 * @property {NothingIn} hear_now
 * @property {NothingIn} open_meeting
 * @property {SetTitleIn} set_title
 * @property {SetSoundIn} set_sound
 * @property {SetHearingIn} set_hearing
 * @property {SetSymbolsIn} set_symbols
 * @property {HoldAtDoorIn} hold_at_door
 * @property {ComposeIn} compose
 * @property {SendTextIn} send_text
 * @property {OrderIn} pause
 * @property {OrderIn} go_on
 * @property {OrderIn} stop
 * @property {OrderIn} repeat
 * @property {OrderIn} close
 * @property {OrderIn} reveal
 * @property {SeatIn} let_in
 * @property {RenameIn} rename
 * @property {SeatIn} remove_seat
 * @property {AddSeatIn} add_seat
 * @property {SeatIn} seen_help
 * @property {ShowCellIn} show_cell
 * @property {ShowCourseIn} show_course
 * @property {SetCourseIn} set_course
 * @property {PlanEveningIn} plan_evening
 * @property {EditPlanIn} edit_plan
 * @property {AddStepIn} add_step
 * @property {SendStepIn} send_step
 * @property {StepIn} mark_step
 * @property {TakeChoiceIn} take_choice
 * @property {ShowReviewIn} show_review
 * @property {GiveReviewIn} give_review
 * @property {NothingIn} show_progress
 * @property {SeatIn} show_sheet
 */

/**
 * What a browser may be told, by event name.
 * @typedef {Object} ToBrowser
 * @property {WelcomeOut} welcome
 * @property {ClassOut} class
 * @property {PushOut} push
 * @property {HaltOut} halt
 * @property {ShiftOut} shift
 * @property {KeptOut} kept
 * @property {HandedInOut} handed_in
 * @property {ClosedOut} closed
 * @property {RevealOut} reveal
 * @property {RenamedOut} renamed
 * @property {HelpOut} help
 * @property {SentenceOut} removed
 * @property {RefusedOut} refused
 * @property {RoomOut} room
 * @property {SeatsOut} seats
 * @property {RunOut} run
 * @property {ProgressOut} progress
 * @property {TableOut} table
 * @property {FindingsOut} findings
 * @property {SheetOut} sheet
 * @property {PlanOut} plan
 * @property {AdviceOut} advice
 * @property {CourseOut} course
 * @property {ReviewOut} review
 * @property {CourseProgressOut} course_progress
 * @property {CellOut} cell
 * @property {ProposalOut} proposal
 * @property {WallOut} wall
 */

export const TO_SERVER = Object.freeze([
  "join",
  "watch",
  "choose_way",
  "report_device",
  "write_keys",
  "report_sounded",
  "hand_in",
  "hand_in_count",
  "cannot_hear",
  "hear_now",
  "open_meeting",
  "set_title",
  "set_sound",
  "set_hearing",
  "set_symbols",
  "hold_at_door",
  "compose",
  "send_text",
  "pause",
  "go_on",
  "stop",
  "repeat",
  "close",
  "reveal",
  "let_in",
  "rename",
  "remove_seat",
  "add_seat",
  "seen_help",
  "show_cell",
  "show_course",
  "set_course",
  "plan_evening",
  "edit_plan",
  "add_step",
  "send_step",
  "mark_step",
  "take_choice",
  "show_review",
  "give_review",
  "show_progress",
  "show_sheet",
]);

export const TO_BROWSER = Object.freeze([
  "welcome",
  "class",
  "push",
  "halt",
  "shift",
  "kept",
  "handed_in",
  "closed",
  "reveal",
  "renamed",
  "help",
  "removed",
  "refused",
  "room",
  "seats",
  "run",
  "progress",
  "table",
  "findings",
  "sheet",
  "plan",
  "advice",
  "course",
  "review",
  "course_progress",
  "cell",
  "proposal",
  "wall",
]);
