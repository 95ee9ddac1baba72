// Generated out of the declarations in server/copyroom/room by scripts/generate_wire.py. Do not edit.

/**
 * Ask for a text to look at before it is sent, answered by `proposal`. Changes nothing.
 */
export interface ComposeIn {
  purpose: "listen" | "meet" | "one" | "apart" | "mix" | "words" | "calls" | "sentences" | "contact" | "message" | "own";
  symbols: string;
  count: number;
  group: number;
  text: string;
  seed?: number;
  about?: "" | "camp" | "radio" | "map" | "weather" | "boats" | "own";
}

/**
 * Send a run. An empty `text` is composed from purpose, symbols, count, group and seed.
 *
 * The room settles the text, the start and the run's number before the event is kept. `after` is the run at
 * hand as the console showed it; where the room has another by then, nothing is sent. `title` is somebody's
 * own; "" says that purpose and symbols name the run. `named`: each sound is named after a gap, as a new one
 * is met; a journal that does not say so is of a program whose meetings showed the name beside the sound.
 */
export interface SendTextIn {
  purpose: "listen" | "meet" | "one" | "apart" | "mix" | "words" | "calls" | "sentences" | "contact" | "message" | "own" | "warm-up" | "practise" | "longer" | "together";
  symbols: string;
  count: number;
  group: number;
  text: string;
  name_shown: boolean;
  counted: boolean;
  seed?: number;
  after?: number;
  about?: "" | "camp" | "radio" | "map" | "weather" | "boats" | "own";
}

/**
 * Send a step of the plan. Kept as the SendText that it becomes.
 */
export interface SendStepIn {
  step: number;
  after?: number;
}

/**
 * Send the last text again, as a run of its own. Kept as the SendText that it becomes.
 */
export interface RepeatIn {
  push?: number;
  seen?: "counting in" | "sounding" | "paused" | "stopped" | "tidying" | "waiting" | "closed" | "revealed" | "";
}

/**
 * All sound ends at once; the run can go on.
 */
export interface PauseIn {
  push?: number;
  seen?: "counting in" | "sounding" | "paused" | "stopped" | "tidying" | "waiting" | "closed" | "revealed" | "";
}

/**
 * A paused run, or one just stopped, goes on with the symbol that was cut off, when the room sets.
 */
export interface GoOnIn {
  push?: number;
  seen?: "counting in" | "sounding" | "paused" | "stopped" | "tidying" | "waiting" | "closed" | "revealed" | "";
}

/**
 * All sound ends at once, for good; what did not sound is not part of the run.
 *
 * Before its first sound it is cancelled, as if it had not been sent.
 */
export interface StopIn {
  push?: number;
  seen?: "counting in" | "sounding" | "paused" | "stopped" | "tidying" | "waiting" | "closed" | "revealed" | "";
}

/**
 * End the run: copies are final, and the result stands.
 */
export interface CloseIn {
  push?: number;
  seen?: "counting in" | "sounding" | "paused" | "stopped" | "tidying" | "waiting" | "closed" | "revealed" | "";
}

/**
 * Show each learner their own copy under what was sent, and the wall the class table.
 *
 * away : who cannot be shown theirs yet, and may still bring what they wrote in time.
 */
export interface RevealIn {
  push?: number;
  seen?: "counting in" | "sounding" | "paused" | "stopped" | "tidying" | "waiting" | "closed" | "revealed" | "";
}

/**
 * Symbols of a closed run from `first` on are not to count; for one seat, or for all (0).
 *
 * The room gives it a number, by which it can be brought back.
 */
export interface SetAsideIn {
  push: number;
  seat: number;
  first: number;
  reason: string;
}

/**
 * What was set aside under this number counts again; `push` is the run that it was of.
 */
export interface BringBackIn {
  aside: number;
}

/**
 * The instructor wants this symbol at that place of the course, from 0.
 */
export interface Pin {
  sign: string;
  place: number;
}

/**
 * Choose the course: an emphasis, or an own order ("own"). The room settles the order it leads to.
 *
 * `signs` "" are all that an examination asks for. `most_new`: sounds an evening, 0 as the course needs.
 */
export interface SetCourseIn {
  emphasis: "words" | "unlike" | "traffic" | "own";
  signs: string;
  pins: Pin[];
  meetings: number;
  most_new?: number;
}

/**
 * Ask for a plan of so many minutes. Kept as the SetPlan that it becomes.
 */
export interface PlanEveningIn {
  minutes: number;
  seed?: number;
}

/**
 * The steps still wanted, by number, in their new order.
 */
export interface EditPlanIn {
  steps: number[];
}

/**
 * A step of the instructor's own, next in the plan; `title` "" says that purpose and symbols name it.
 *
 * The room settles the step before the event is kept.
 */
export interface AddStepIn {
  purpose: "listen" | "meet" | "one" | "apart" | "mix" | "words" | "calls" | "sentences" | "contact" | "message" | "own";
  symbols: string;
  text: string;
  title?: string;
}

/**
 * A step is done without sending.
 */
export interface MarkStepIn {
  step: number;
}

/**
 * Put a choice of the advice after run `push` next in the plan, and `send` it; 0 is the one proposed.
 *
 * Kept as the SetPlan that it becomes, and the SendText of its first step.
 */
export interface TakeChoiceIn {
  push: number;
  choice: number;
  send: boolean;
}

/**
 * Show each learner what to review until the next meeting, in so many days.
 */
export interface GiveReviewIn {
  days: number;
}

/**
 * A console or a wall (by the instructor's cookie) follows a room; the code "" is the latest one.
 */
export interface WatchIn {
  code: string;
  view: "console" | "wall";
}

/**
 * Ask for the sendings behind one cell of the table: `sent` "" = extra marks, `written` "" = missed.
 *
 * Answered by `cell`.
 */
export interface ShowCellIn {
  sent: string;
  written: string;
  scope: "run" | "evening" | "course";
}

/**
 * Ask for one learner's sheets of this evening; answered by `sheet`.
 */
export interface ShowSheetIn {
  seat: number;
}

/**
 * Ask for the course so far, meeting by meeting; answered by `course_progress`.
 */
export interface ShowProgressIn {
}

/**
 * Ask for an order with its reasons; answered by `course`. `signs` "": all that is examined.
 */
export interface ShowCourseIn {
  emphasis: "words" | "unlike" | "traffic" | "own";
  signs: string;
  pins: Pin[];
}

/**
 * Ask what to review until the next meeting in so many days; seat 0 is the class.
 */
export interface ShowReviewIn {
  days: number;
  seat: number;
}

/**
 * Take a seat, or take it again with its token. A new one gets `fresh_token` and the next number.
 */
export interface JoinIn {
  code: string;
  name: string;
  token: string;
}

/**
 * Type while listening, or write on paper and key the sheet in afterwards.
 */
export interface ChooseWayIn {
  way: "typing" | "paper";
}

/**
 * How a browser stands: its sound, how sure its clock is, how much lead it needs.
 *
 * sound: "off" before the tap, "on", "lost" (suspended), "silent" (no sound by choice).
 */
export interface ReportDeviceIn {
  sound: "off" | "on" | "lost" | "silent";
  uncertainty_ms: number;
  lead_ms: number;
  visible: boolean;
}

/**
 * A learner asks for help with the sound.
 */
export interface CannotHearIn {
}

/**
 * A learner who asked for help with the sound hears it now.
 */
export interface HearNowIn {
}

/**
 * The instructor has seen to a learner who could not hear.
 */
export interface SeenHelpIn {
  seat: number;
}

/**
 * Let a newcomer in who waits at the door.
 */
export interface LetInIn {
  seat: number;
}

/**
 * Give a seat another nickname.
 */
export interface RenameIn {
  seat: number;
  name: string;
}

/**
 * Take seats out. Their copies leave every figure with them, and their names and strokes the journal.
 *
 * The room adds the seats that had been made one with them.
 */
export interface RemoveSeatsIn {
  seats: number[];
}

/**
 * Two seats are one learner's, who came back with another device: `seat` becomes a part of `into`.
 */
export interface MakeOneIn {
  seat: number;
  into: number;
}

/**
 * That was a mistake: `seat` stands for itself again, with what it had brought along.
 */
export interface MakeTwoIn {
  seat: number;
}

/**
 * Take the seats long away off the console's list. Copies stay; who comes back is on it again.
 */
export interface ClearAwayIn {
}

/**
 * A seat without a device: its paper sheets are keyed in at the console.
 */
export interface AddSeatIn {
  name: string;
}

/**
 * One stroke of a learner's copy, `at_ms` after its push's start.
 *
 * A plain stroke writes `sign` at the end. In the tidy-up time, and on paper copies, a stroke may
 * also change the mark at place `change`, insert before place `before`, or erase place `erase`.
 */
export interface Key {
  at_ms: number;
  sign?: string;
  change?: number;
  before?: number;
  erase?: number;
}

/**
 * Strokes `first`, `first + 1`, ... of a seat's copy; numbers already known change nothing.
 *
 * Acknowledged by `kept`.
 */
export interface WriteKeysIn {
  push: number;
  first: number;
  keys: Key[];
  seat?: number;
}

/**
 * Symbols [start, stop) that this seat's browser sounded (or passed in silence, on purpose).
 */
export interface ReportSoundedIn {
  push: number;
  spans: [number, number][];
}

/**
 * The copy is finished: nothing more will be tidied or keyed in.
 */
export interface HandInIn {
  push: number;
  seat?: number;
}

/**
 * Who wrote on paper has compared their sheet with what was shown: so many right of so many.
 *
 * After the reveal. The sheet itself stays on paper.
 */
export interface HandInCountIn {
  push: number;
  right: number;
  of: number;
  seat?: number;
}

/**
 * Begin a group exercise; `after` as in SendText. The room settles chance and start.
 */
export interface StartExerciseIn {
  kind: string;
  setup: Record<string, unknown>;
  seed?: number;
  after?: number;
}

/**
 * A group exercise, next in the plan. The room settles how long it takes.
 */
export interface AddExerciseIn {
  kind: string;
  setup: Record<string, unknown>;
}

/**
 * Pass over the turn at hand. within : of several exercises that go on at once, the one that is meant.
 */
export interface SkipTurnIn {
  push?: number;
  seen?: "counting in" | "sounding" | "paused" | "stopped" | "tidying" | "waiting" | "closed" | "revealed" | "";
  within?: number;
}

/**
 * What one learner has to do is another's from now on.
 */
export interface HandOverIn {
  push?: number;
  seen?: "counting in" | "sounding" | "paused" | "stopped" | "tidying" | "waiting" | "closed" | "revealed" | "";
  seat?: number;
  to?: number;
}

/**
 * A new evening of the course begins: its runs make a table of their own.
 */
export interface OpenMeetingIn {
}

/**
 * What the class is called.
 */
export interface SetTitleIn {
  title: string;
}

/**
 * Sound settings of the class, from the next push on.
 */
export interface SetSoundIn {
  wpm: number;
  overall_wpm: number;
  pitch_hz: number;
  lead_in_s: number;
  tidy_s: number;
}

/**
 * How the class hears; `source`: with one loudspeaker, the seat whose browser sounds (0: the console).
 */
export interface SetHearingIn {
  way: "every" | "loudspeaker" | "headphones" | "home";
  source: number;
}

/**
 * The symbols in play, so far introduced.
 */
export interface SetSymbolsIn {
  symbols: string;
}

/**
 * The class's own words, as they were pasted; "" for none. Kept as the words found in it.
 */
export interface KeepWordsIn {
  words: string;
}

/**
 * Whether signs outside the recommendation may be sent.
 */
export interface AllowAdditionsIn {
  on: boolean;
}

/**
 * Whether newcomers wait at the door until they are let in.
 */
export interface HoldAtDoorIn {
  on: boolean;
}

/**
 * Whether the door is shut: no newcomers at all; who has a seat comes in as ever.
 */
export interface ShutDoorIn {
  on: boolean;
}

/**
 * How many learners are expected. When so many are in, the door shuts by itself.
 */
export interface SetClassSizeIn {
  size: number;
}

/**
 * The warm-up is over, or not wanted: the text that counts begins.
 */
export interface BeginCheckIn {
  push: number;
}

/**
 * A candidate's copy as it stands now.
 */
export interface WriteCheckIn {
  push: number;
  copy: string;
}

/**
 * A copy is handed in, with the answers to questions; a sheet of paper by the console.
 */
export interface HandInCheckIn {
  push: number;
  copy: string;
  answers: string[];
  seat?: number;
}

/**
 * The examiner decides otherwise of one symbol, or of the answer to a question, and says why.
 *
 * number : of the marker's decision, or of the question. undo : the examiner's decision falls away again.
 */
export interface OverruleCheckIn {
  seat: number;
  push: number;
  number: number;
  right: boolean;
  reason: string;
  of_question: boolean;
  undo: boolean;
}

/**
 * This learner is in that circle from the next start on.
 */
export interface MoveToCircleIn {
  seat: number;
  circle: number;
}

/**
 * Tones `first`, `first + 1`, ... of a turn, [on, off, on, off, ...] in ms after its start.
 *
 * Numbers already known change nothing. Acknowledged by `kept` in what the page is shown.
 */
export interface KeyEdgesIn {
  turn: number;
  first: number;
  edges: number[];
}

/**
 * Its sender has sent it all. Kept as the TurnOver that it becomes.
 */
export interface SentAllIn {
  turn: number;
}

/**
 * What its sender is about to key, said before the first tone.
 */
export interface SayTextIn {
  turn: number;
  text: string;
}

/**
 * Its sender sends this word of the text once more, counted from 0: it is meant twice then.
 */
export interface WordAgainIn {
  turn: number;
  word: number;
}

/**
 * Its sender, or the instructor, lets the others see the hand of that turn; or not any more.
 */
export interface ShowFistIn {
  turn: number;
  on: boolean;
  seat?: number;
}

/**
 * What a learner takes the sound of a round for, or a blank. Only the first one counts.
 */
export interface AnswerSoundIn {
  push: number;
  place: number;
  sign: string;
  at_ms: number;
}

/**
 * After its name: what should have stood there. It counts nowhere.
 */
export interface PutRightIn {
  push: number;
  place: number;
  sign: string;
}

/**
 * A station asks another for what it misses. The room settles what it asks for.
 *
 * to : the part asked, -1 where nobody can tell. had : how many of the groups the asker had.
 */
export interface AskFillIn {
  text: string;
}

/**
 * The station that was asked answers. `extra`: groups in it that were not asked for.
 */
export interface AnswerFillIn {
  text: string;
}

/**
 * A station has counted every part and gives its R.
 */
export interface ReceiptNetIn {
}

/**
 * This station keys its question, or the answer that is waited for; nobody else sends meanwhile.
 */
export interface TakeNetKeyIn {
}

/**
 * It gives the key back; whatever was keyed comes to nothing.
 */
export interface LeaveNetKeyIn {
}

/**
 * A hand is raised, so long after the push's start; the same moment again is the same hand.
 */
export interface RaiseHandIn {
  push: number;
  at_ms: number;
}

/**
 * The machine sends what this station has, now and whenever it comes to it: there is no key.
 */
export interface RelayByMachineIn {
  seat?: number;
}

/**
 * This learner's part falls away: the next one gets what the one before had.
 */
export interface PassOverStationIn {
  seat: number;
}

/**
 * Of several chains this one is on the wall.
 */
export interface ShowRelayChainIn {
  chain: number;
}

/**
 * One clock exchange; answered at once by the acknowledgement `ClockOut`.
 */
export interface Clock {
  page_ms: number;
}

/**
 * A pair worth teaching: `sent` heard as `written`, n of so many sendings, and the other way round.
 */
export interface PairOut {
  sent: string;
  written: string;
  n: number;
  sendings: number;
  learners: number;
  back: number;
  back_sendings: number;
  lost: number;
}

/**
 * recall: [sign, right, sendings, low, high, enough] per symbol; `enough` False: too few copies.
 *
 * unseen: sounds of which too little was copied to say that they are mixed up with nothing.
 */
export interface EvidenceOut {
  recall: ((string | number | number | boolean)[])[];
  pairs: PairOut[];
  enough: boolean;
  unseen: string;
}

/**
 * What the tables say, with how sure it is; told when copies became final.
 */
export interface FindingsOut {
  push: number;
  run: EvidenceOut;
  evening: EvidenceOut;
  course: EvidenceOut;
}

/**
 * The exercise at hand as this audience is shown it; `shown` null: there is nothing to show any more.
 *
 * `shown` is what the kind's own file declares for the audience.
 */
export interface ExerciseOut {
  run: number;
  kind: string;
  shown: unknown;
}

export interface EmphasisOut {
  emphasis: string;
  title: string;
  summary: string;
}

export interface ExtentOut {
  title: string;
  signs: string;
}

export interface PlacementOut {
  sign: string;
  reasons: string[];
  pinned: boolean;
}

/**
 * An order with the reason of each place. `all_signs`: what may be left out or taken in.
 *
 * extents : what a course may cover; most_new : new symbols a meeting, at most; held : meetings
 * before this one.
 */
export interface CourseOut {
  emphases: EmphasisOut[];
  extents: ExtentOut[];
  order: PlacementOut[];
  all_signs: string;
  most_new: number;
  held: number;
}

export interface PinOut {
  sign: string;
  place: number;
}

/**
 * `push`: 0 not done, -1 done without sound, else the run it became. `sounds` 0: nothing to send.
 *
 * `kind`, `setup`: of a group exercise, which names the step then.
 */
export interface StepOut {
  step: number;
  kind: string;
  setup: Record<string, unknown>;
  purpose: "listen" | "meet" | "one" | "apart" | "mix" | "words" | "calls" | "sentences" | "contact" | "message" | "own" | "warm-up" | "practise" | "longer" | "together" | "breather" | "close";
  title: string;
  symbols: string;
  sounds: number;
  seconds: number;
  reason: string;
  push: number;
}

/**
 * The course as chosen, and the evening's steps. `changes`: what the last copies changed, and why.
 */
export interface PlanOut {
  emphasis: "words" | "unlike" | "traffic" | "own";
  order: string;
  pins: PinOut[];
  meetings: number;
  most_new: number;
  review_days: number;
  minutes: number;
  begun_room_ms: number | null;
  steps: StepOut[];
  changes: string[];
}

/**
 * What the plan's steps send, by their numbers.
 */
export interface PlanTexts {
  texts: Record<string, string>;
}

/**
 * `introduce` comes before a text on `symbols`; `named`: each name follows its answer.
 *
 * about, learners: the sounds, and the names of those, that it is for; both empty where it is for all.
 */
export interface ChoiceOut {
  action: "begin" | "sound" | "ask" | "catch up" | "newest" | "stuck" | "contrast" | "support" | "go on" | "faster" | "repeat" | "go back";
  sentence: string;
  introduce: string;
  symbols: string;
  sounds: number;
  named: boolean;
  about: string;
  learners: string[];
  reasons: string[];
}

/**
 * A group exercise that would help, with what it is begun with.
 */
export interface TogetherOut {
  kind: string;
  setup: Record<string, unknown>;
}

export interface LackOut {
  name: string;
  missed_days: number[];
  never_heard: string;
}

/**
 * Medians of right answers, from the end of the sound to the key.
 */
export interface SlowOut {
  sign: string;
  median_s: number;
  usual_s: number;
}

/**
 * What could be done after run `push`, the proposed one first; taken with `take_choice`.
 */
export interface AdviceOut {
  push: number;
  choices: ChoiceOut[];
  together: TogetherOut[];
  lacking: LackOut[];
  slow: SlowOut[];
}

/**
 * recall: as in EvidenceOut, of the class; seats: [seat, sounds known, of all, low, high], 0: all.
 */
export interface MeetingProgress {
  number: number;
  day: number;
  recall: ((string | number | number | boolean)[])[];
  seats: ((number | number)[])[];
}

/**
 * What is believed of today at a speed that was copied at; seats: as in MeetingProgress.
 */
export interface SpeedProgress {
  wpm: number;
  overall_wpm: number;
  seats: ((number | number)[])[];
}

export interface SeatName {
  seat: number;
  name: string;
}

/**
 * The course so far, meeting by meeting; for the instructor alone.
 */
export interface CourseProgressOut {
  meetings: MeetingProgress[];
  speeds: SpeedProgress[];
  seats: SeatName[];
}

export interface ReviewRow {
  day: number;
  signs: string;
  why: string;
}

/**
 * What to review from the meeting on; seat 0 is the class. A learner gets no other seat's.
 */
export interface ReviewOut {
  seat: number;
  days: number;
  meeting_day: number;
  rows: ReviewRow[];
}

/**
 * After a pause: symbols from `first` on come so much later than the edges say; the last entry wins.
 */
export interface Shift {
  first: number;
  shift_ms: number;
}

/**
 * Tones on their way: the first of them.
 */
export interface PushOut {
  push: number;
  kind: string;
  within: number;
  purpose: "listen" | "meet" | "one" | "apart" | "mix" | "words" | "calls" | "sentences" | "contact" | "message" | "own" | "warm-up" | "practise" | "longer" | "together";
  counted: boolean;
  phase: string;
  start_room_ms: number;
  halted_room_ms: number | null;
  sent: number;
  lasts_ms: number;
  tidy_ms: number;
  pitch_hz: number;
  shown: string;
  edges?: number[][];
  sounds?: number;
  end_ms?: number;
  shifts?: Shift[];
  symbols?: string;
  begins_room_ms?: number;
  ends_room_ms?: number;
  tidy_ends_room_ms?: number;
  title?: string;
  text?: string;
  wpm?: number;
  overall_wpm?: number;
}

/**
 * More tones of a push, as of symbol `first`, some seconds before they sound.
 */
export interface MoreOut {
  push: number;
  first: number;
  edges: number[][];
}

/**
 * All sound ends now. `sent`: how many symbols the run has when it was stopped for good.
 */
export interface HaltOut {
  push: number;
  at_room_ms: number;
  for_good: boolean;
  sent: number;
}

/**
 * A paused run goes on.
 */
export interface ShiftOut {
  push: number;
  shifts: Shift[];
}

export interface ClosedOut {
  push: number;
}

/**
 * A part of a run for this page alone to sound. `edges` as in PushOut; `shifts` is empty.
 *
 * `first`: the number of its first sound in the run, by which what sounded is reported; -1: it is not.
 */
export interface SoundPartOut {
  push: number;
  part: number;
  first: number;
  start_room_ms: number;
  pitch_hz: number;
  edges: number[][];
  shifts: Shift[];
}

export interface ClassOut {
  title: string;
  hearing: "every" | "loudspeaker" | "headphones" | "home";
  source: number;
  pitch_hz: number;
  wpm: number;
}

/**
 * A seat's own copy under what was sent.
 *
 * marks : signs of the copy; answers : per mark the index of the sent symbol, or null for an extra mark.
 * sent : symbols of the text that belong to the run (fewer when it was stopped).
 * unheard : indices that this browser did not sound; outside the count.
 * taken : [sent, written, how often], all_right : symbols of which none was lost.
 * late : written in time, come after this was shown; outside the count.
 * own_count : [right, of] of a sheet that stayed on paper, as its writer counted.
 */
export interface RevealOut {
  push: number;
  text: string;
  sent: number;
  marks: string;
  answers: (number | null)[];
  unheard: number[];
  right: number;
  of: number;
  taken: ((string | number)[])[];
  all_right: string;
  own_count: number[] | null;
  late: string;
  aside_from: number | null;
  aside_why: string;
}

/**
 * A seat's own copy so far. A mark is [sign, at_ms or null].
 */
export interface CopyOut {
  way: "typing" | "paper";
  kept: number;
  marks: ((string | number | null)[])[];
  handed_in: boolean;
}

/**
 * All that a learner's page needs to begin, or to go on after a break.
 */
export interface WelcomeOut {
  code: string;
  seat: number;
  name: string;
  token: string;
  inside: boolean;
  way: "typing" | "paper";
  asks_help: boolean;
  class: ClassOut;
  push: PushOut | null;
  copy: CopyOut | null;
  reveal: RevealOut | null;
  exercise: ExerciseOut | null;
  review: ReviewOut | null;
  test_mode: boolean;
}

/**
 * This seat's copy holds `kept` strokes, on disk.
 */
export interface KeptOut {
  push: number;
  seat: number;
  kept: number;
}

export interface HandedInOut {
  push: number;
  seat: number;
}

export interface RenamedOut {
  name: string;
}

/**
 * Whether the console shows that this seat cannot hear.
 */
export interface HelpOut {
  asks: boolean;
}

/**
 * Something ended for this reason.
 */
export interface SentenceOut {
  sentence: string;
}

/**
 * Something was refused for this reason. about: the event that asked for it; none spoke of the disk.
 */
export interface RefusedOut {
  sentence: string;
  about: string;
}

/**
 * All signs, those that sound alike beside each other. It never changes, so it is told once.
 */
export interface Alike {
  order: string;
}

export interface SoundOut {
  wpm: number;
  overall_wpm: number;
  pitch_hz: number;
  lead_in_s: number;
  tidy_s: number;
}

/**
 * `day` counts local days since 1970-01-01.
 */
export interface MeetingOut {
  day: number;
  runs: number;
}

/**
 * What of a run does not count: symbols from `first` on, for one seat or for all (0, name "").
 */
export interface AsideOut {
  aside: number;
  seat: number;
  name: string;
  first: number;
  reason: string;
}

export interface RunSummary {
  push: number;
  title: string;
  purpose: "listen" | "meet" | "one" | "apart" | "mix" | "words" | "calls" | "sentences" | "contact" | "message" | "own" | "warm-up" | "practise" | "longer" | "together";
  symbols: string;
  counted: boolean;
  right: number;
  of: number;
  settled_anew: number;
  sent: number;
  asides: AsideOut[];
}

/**
 * `runs` are those of the last meeting, the one at hand; what is within one counts there.
 *
 * own_words : the class's own list, one space between them.
 */
export interface RoomOut {
  code: string;
  title: string;
  sound: SoundOut;
  hearing: "every" | "loudspeaker" | "headphones" | "home";
  source: number;
  symbols: string;
  additions: boolean;
  own_words: string;
  hold_at_door: boolean;
  class_size: number;
  shut: "" | "by hand" | "full";
  meetings: MeetingOut[];
  runs: RunSummary[];
}

/**
 * `not_met`: known sounds that others have met and this learner has not.
 *
 * same_as : the seat of somebody away whose nickname this newcomer asked for, 0 for none.
 * parts : [seat, name] of those that were made one with it.
 */
export interface SeatOut {
  seat: number;
  name: string;
  way: "typing" | "paper";
  device: boolean;
  inside: boolean;
  here: boolean;
  sound: "off" | "on" | "lost" | "silent";
  uncertainty_ms: number;
  visible: boolean;
  asks_help: boolean;
  long_away: boolean;
  not_met: string;
  same_as: number;
  parts: ((number | string)[])[];
}

export interface SeatsOut {
  seats: SeatOut[];
}

/**
 * A run as pages know it: one shape for all, each told it without what it must not know.
 *
 * kind : of exercise; within : the run that it is a part of, 0 for none.
 * sent : how many symbols it has; fewer than there are edges when it was stopped for good.
 * lasts_ms : how long it goes on where it has no edges; 0: until it is ended.
 * shown : the symbols' names, when they may be seen.
 * edges : per symbol [on, off, on, off, ...] in ms after the start; for whoever sounds it or draws it. A
 * learner is told the first of them; the others come as MoreOut.
 * sounds : how many there are in all; end_ms : when the last of them ends.
 * symbols : the keys of a learner's grid. begins_, ends_, tidy_ends_room_ms : for a page without edges.
 * text, title : for the instructor, and once they may be seen.
 */
export interface RunShape {
  push: number;
  kind: string;
  within: number;
  purpose: "listen" | "meet" | "one" | "apart" | "mix" | "words" | "calls" | "sentences" | "contact" | "message" | "own" | "warm-up" | "practise" | "longer" | "together";
  counted: boolean;
  phase: string;
  start_room_ms: number;
  halted_room_ms: number | null;
  sent: number;
  lasts_ms: number;
  tidy_ms: number;
  pitch_hz: number;
  shown: string;
  edges?: number[][];
  sounds?: number;
  end_ms?: number;
  shifts?: Shift[];
  symbols?: string;
  begins_room_ms?: number;
  ends_room_ms?: number;
  tidy_ends_room_ms?: number;
  title?: string;
  text?: string;
  wpm?: number;
  overall_wpm?: number;
}

export interface RunOut {
  run: RunShape | null;
}

/**
 * heard_from: the first sound that the seat heard, later than 0 for a late joiner; -1 for none yet.
 */
export interface CopyProgress {
  seat: number;
  way: "typing" | "paper";
  written: number;
  last_at_ms: number | null;
  heard: number;
  heard_from: number;
  handed_in: boolean;
  own_count: number[] | null;
}

/**
 * answered, right: per sent symbol, how many learners wrote something, and the right thing.
 */
export interface ProgressOut {
  push: number;
  copies: CopyProgress[];
  answered: number[];
  right: number[];
}

/**
 * The class table of the run at hand.
 *
 * cells : [sent, written, count] over 0: sent "" = extra mark, written "" = missed, "_" = blank.
 * counted : it is a part of the evening's table and the course's.
 */
export interface TableOut {
  push: number;
  cells: ((string | number)[])[];
  copies: number;
  counted: boolean;
  final: boolean;
}

/**
 * The evening's table and the course's, without what is at hand. They change when a run is over.
 */
export interface TablesBefore {
  evening: ((string | number)[])[];
  course: ((string | number)[])[];
}

/**
 * One learner's sheets of this evening, for the instructor alone.
 */
export interface SheetOut {
  name: string;
  sheets: RevealOut[];
}

export interface Sending {
  push: number;
  seat: number;
  name: string;
  place: number | null;
  around: string;
}

export interface CellOut {
  sent: string;
  written: string;
  scope: "run" | "evening" | "course";
  sendings: Sending[];
  all: number;
}

export interface ProposalOut {
  text: string;
  sounds: number;
  seconds: number;
}

/**
 * No names, and nothing of the text before the reveal. `written`: of `expected` sounds so far.
 */
export interface WallOut {
  code: string;
  title: string;
  here: number;
  run: RunShape | null;
  pairs: PairOut[];
  written: number;
  expected: number;
  cells: ((string | number)[])[];
  copies: number;
}

/**
 * One way to pass.
 */
export interface CheckPassing {
  kind: "errors" | "unbroken" | "questions" | "share" | "words";
  amount: number;
  of: number;
}

/**
 * A form, as `core.checks.Form` has it; `letter` to `signal`: counted characters that each is worth.
 */
export interface CheckForm {
  key: string;
  title: string;
  source: string;
  text: "words" | "contact" | "letters" | "figures" | "mixed";
  speeds_wpm: number[];
  speed_is: "counted" | "keying";
  minutes: number;
  counted: number;
  words: number;
  letter: number;
  figure: number;
  punctuation: number;
  signal: number;
  required: string;
  alphabet: string;
  figures: number;
  character_wpm: number;
  warm_up_s: number;
  tidy_s: number;
  passes: CheckPassing[];
  forgives_extra: boolean;
  note: string;
  edited: boolean;
}

/**
 * What is arranged for one candidate. 0: as for all.
 *
 * by : how it is sent to them; a lamp or vibration only where dots come at 7.2 wpm or slower.
 * more_tidy_s : beside the form's time to tidy up.
 */
export interface CheckFor {
  seat: number;
  pitch_hz: number;
  character_wpm: number;
  by: "sound" | "lamp" | "vibration";
  more_tidy_s: number;
}

/**
 * A form at one of its speeds, and who sits it: [] all who are here.
 *
 * text, warm_up, questions, seats : as drawn when it begins.
 */
export interface CheckSetup {
  form: CheckForm;
  wpm: number;
  candidates: number[];
  arranged: CheckFor[];
}

/**
 * One way to pass, what the copy comes to by it, and whether that is enough.
 */
export interface CheckWay {
  said: string;
  met: boolean;
}

/**
 * What the examiner decided of one decision, or of one question.
 */
export interface CheckOverruled {
  number: number;
  right: boolean;
  reason: string;
}

/**
 * A marked copy, a character a decision.
 *
 * sent, written : signs, a space for none. verdicts : r right, w wrong, m missing, x too many, f forgiven.
 * run_from, run_to : decisions of the longest unbroken stretch.
 */
export interface CheckResult {
  meets: boolean;
  ways: CheckWay[];
  sent: string;
  written: string;
  verdicts: string;
  run_from: number;
  run_to: number;
  overruled: CheckOverruled[];
}

/**
 * A question, what was said in the text, what was answered, and whether it counts.
 */
export interface CheckAnswer {
  question: string;
  expected: string;
  given: string;
  right: boolean;
  overruled: string;
}

/**
 * A candidate's page; `sits` False: others sit a check.
 *
 * flashes : edges of the next seconds, for a lamp or vibration, from `flashes_room_ms`. signals : those that
 * have no key of their own. questions : once the text has sounded. result, answers : when it is shown.
 */
export interface CheckForLearner {
  title: string;
  stage: "warming up" | "ready" | "sounding" | "tidying" | "over";
  sits: boolean;
  on_paper: boolean;
  handed_in: boolean;
  paused: boolean;
  copy: string;
  begins_room_ms: number;
  ends_room_ms: number;
  by: string;
  flashes: number[][];
  flashes_room_ms: number;
  signals: string;
  questions: string[];
  text: string;
  result: CheckResult | null;
  answers: CheckAnswer[];
}

/**
 * One who sits it, for the examiner. `written`: how many signs so far.
 */
export interface CheckCandidate {
  seat: number;
  name: string;
  on_paper: boolean;
  handed_in: boolean;
  written: number;
  pace: string;
  arranged: CheckFor;
  copy: string;
  result: CheckResult | null;
  answers: CheckAnswer[];
}

/**
 * `text`: once it has sounded; missed: symbols of it that came to nobody in time.
 */
export interface CheckForConsole {
  form: CheckForm;
  wpm: number;
  pace: string;
  stage: "warming up" | "ready" | "sounding" | "tidying" | "over";
  begins_room_ms: number;
  ends_room_ms: number;
  text: string;
  missed: number;
  revealed: boolean;
  day: number;
  candidates: CheckCandidate[];
}

/**
 * No names, no copy, no result.
 */
export interface CheckForWall {
  title: string;
  source: string;
  stage: "warming up" | "ready" | "sounding" | "tidying" | "over";
  paused: boolean;
  begins_room_ms: number;
  ends_room_ms: number;
  handed_in: number;
  of: number;
}

/**
 * A circle with its run, and who is in it next time. `inner`: what its own exercise shows.
 */
export interface CircleForConsole {
  name: string;
  sign: "window" | "door" | "stage";
  push: number;
  seats: number[];
  next: number[];
  inner: ExerciseOut | null;
}

/**
 * All circles, in their order.
 */
export interface CirclesForConsole {
  circles: CircleForConsole[];
}

/**
 * Where this learner sits, and from the next start on. `circle` 0: in none.
 */
export interface CirclesForLearner {
  circle: number;
  name: string;
  sign: string;
  next_name: string;
  begins_room_ms: number;
}

/**
 * A circle without learners' names; `cells` and `text` only once they were shown. does : its exercise.
 */
export interface CircleForWall {
  name: string;
  sign: "window" | "door" | "stage";
  learners: number;
  does: string;
  symbols: string;
  cells: ((string | number)[])[];
  text: string;
}

/**
 * All circles; they end together.
 */
export interface CirclesForWall {
  circles: CircleForWall[];
  begins_room_ms: number;
  ends_room_ms: number;
  phase: string;
}

/**
 * Where a circle sits, what it copies, how fast; or an exercise of its own instead, with its setup.
 *
 * text, overall_as_sent_wpm : settled by the room.
 */
export interface CircleChosen {
  name: string;
  sign: "window" | "door" | "stage";
  purpose: "apart" | "mix" | "words" | "calls";
  symbols: string;
  wpm: number;
  overall_wpm: number;
  kind: string;
  setup: Record<string, unknown>;
}

/**
 * The circles and how long they copy; `dealt`: per circle the seats in it.
 */
export interface CirclesChosen {
  circles: CircleChosen[];
  lasts_s: number;
}

/**
 * One column of meant, keyed and copied; "" where there is nothing.
 *
 * copied : by this learner; for the console what most wrote.
 * most, right : how many wrote that, and how many what was keyed.
 * word : another word begins with it.
 */
export interface KeyColumn {
  meant: string;
  keyed: string;
  copied: string;
  word: boolean;
  most: number;
  right: number;
}

/**
 * Where the turns stand. `seat` sends, or sent last; times are room time.
 *
 * stage : "keying", which the time makes "coming" before its start; "writing": the others finish their
 * copies; "shown": what came of it is shown; "over": and nobody comes after it.
 * ends_room_ms : when the turn's time is over; null once it is, and in a pause.
 * held : its sender's page is away. late : tones that came too late to be heard.
 */
export interface TurnForAll {
  turn: number;
  stage: string;
  seat: number;
  sender: string;
  next: string[];
  copiers: number;
  start_room_ms: number;
  ends_room_ms: number | null;
  gap_s: number;
  delay_ms: number;
  paused: boolean;
  held: boolean;
  late: number;
}

/**
 * A symbol as it was keyed: [on, off, on, off, ...] in dits after `at`, its beginning in the turn.
 */
export interface KeyedLetter {
  sign: string;
  at: number;
  edges: number[];
  ends_word: boolean;
}

/**
 * The lengths of one kind, in dits: each, their median and middle half, and what is meant.
 */
export interface FistLine {
  name: string;
  ideal: number;
  dits: number[];
  median: number;
  low: number;
  high: number;
  is_worst: boolean;
}

/**
 * A hand: its letters, its five kinds of lengths, the one thing to mend, and what is good.
 *
 * dit_ms : its own dit, which all else is measured by.
 */
export interface HandOut {
  letters: KeyedLetter[];
  lines: FistLine[];
  dit_ms: number;
  wpm: number;
  ratio: number | null;
  spread: number;
  advice: string;
  praise: string;
}

/**
 * What came of a turn: `right` of the `of` sounds heard here; `hand` where this page may see it.
 */
export interface TurnResult {
  turn: number;
  seat: number;
  sender: string;
  columns: KeyColumn[];
  right: number;
  of: number;
  hand: HandOut | null;
  hand_shown: boolean;
}

/**
 * `text`, `kept`, `says`: for the sender, what to key, how many tones are kept, whether to say it first.
 *
 * place : turns to one's own, 0 for the present one, -1 for none.
 */
export interface KeyForLearner {
  now: TurnForAll;
  text: string;
  kept: number;
  says: boolean;
  place: number;
  result: TurnResult | null;
}

/**
 * `text`: what is meant; `queue`: seats that send next; `result`: of this turn once it is read.
 */
export interface KeyForConsole {
  now: TurnForAll;
  text: string;
  queue: number[];
  result: TurnResult | null;
}

/**
 * `result` without columns: how it was copied stands on no wall beside a name.
 */
export interface KeyForWall {
  now: TurnForAll;
  hand: HandOut | null;
}

/**
 * Who sends, what, and how long a turn may take.
 *
 * senders : in order; none: all who are here with a device.
 * text : drawn "groups" or "words" of known symbols, one "given" to all, or "said" by each beforehand.
 * order, texts, delay_ms : settled.
 */
export interface KeySetup {
  senders: number[];
  text: "groups" | "words" | "given" | "said";
  given: string;
  groups: number;
  turn_s: number;
  gap_s: number;
}

/**
 * symbols: which sounds, "" for those that the class knows; lean: which of them come twice as often.
 */
export interface NamedSetup {
  symbols: string;
  lean: string;
  rounds: number;
  gap_s: number;
  voice: boolean;
  by_turns: boolean;
}

/**
 * Whose turn it is, now or later.
 */
export interface NamedTurn {
  seat: number;
  name: string;
}

/**
 * The round at hand, the same for all: `round` is 1 for the first, 0 before it.
 *
 * sound_, gap_, over_, next_room_ms : when the sound begins, the gap, its end, and the next sound.
 * meets, asks : a sound is met in these rounds; there is something to be answered.
 * held : "" while it goes on; else none of them holds until it does.
 * gap_ms : how long a gap is, without a pause in it.
 * name : what sounded; "" until the audience may know.
 */
export interface NamedRound {
  push: number;
  round: number;
  rounds: number;
  step: "" | "sound" | "say" | "name";
  held: "" | "paused" | "stopped";
  voice: boolean;
  by_turns: boolean;
  meets: boolean;
  asks: boolean;
  turns: NamedTurn[];
  start_room_ms: number;
  sound_room_ms: number;
  gap_room_ms: number;
  over_room_ms: number;
  next_room_ms: number;
  gap_ms: number;
  name: string;
  over: boolean;
}

/**
 * answers: the learner's own first ones, a space where there is none; right: what was put right since.
 *
 * sent : what sounded, when the run is over.
 */
export interface NamedForLearner {
  push: number;
  round: number;
  rounds: number;
  step: "" | "sound" | "say" | "name";
  held: "" | "paused" | "stopped";
  voice: boolean;
  by_turns: boolean;
  meets: boolean;
  asks: boolean;
  turns: NamedTurn[];
  start_room_ms: number;
  sound_room_ms: number;
  gap_room_ms: number;
  over_room_ms: number;
  next_room_ms: number;
  gap_ms: number;
  name: string;
  over: boolean;
  symbols: string;
  on_paper: boolean;
  answers: string;
  right: string;
  sent: string;
}

/**
 * How the class answered one symbol. dots: [time in ms, how often] of right answers, in steps.
 *
 * median_ms and the quartiles are null where the answers are too few.
 */
export interface NamedResponse {
  sign: string;
  asked: number;
  right: number;
  another: number;
  blank: number;
  median_ms: number | null;
  low_ms: number | null;
  high_ms: number | null;
  dots: number[][];
  slow: boolean;
  mixed: boolean;
}

/**
 * answered: the seats with an answer to this round; bars: per round [asked, right, another, blank].
 */
export interface NamedForConsole {
  push: number;
  round: number;
  rounds: number;
  step: "" | "sound" | "say" | "name";
  held: "" | "paused" | "stopped";
  voice: boolean;
  by_turns: boolean;
  meets: boolean;
  asks: boolean;
  turns: NamedTurn[];
  start_room_ms: number;
  sound_room_ms: number;
  gap_room_ms: number;
  over_room_ms: number;
  next_room_ms: number;
  gap_ms: number;
  name: string;
  over: boolean;
  symbols: string;
  answered: number[];
  bars: number[][];
  responses: NamedResponse[];
}

/**
 * answered: how many have; responses: of the class, once the run is shown.
 */
export interface NamedForWall {
  push: number;
  round: number;
  rounds: number;
  step: "" | "sound" | "say" | "name";
  held: "" | "paused" | "stopped";
  voice: boolean;
  by_turns: boolean;
  meets: boolean;
  asks: boolean;
  turns: NamedTurn[];
  start_room_ms: number;
  sound_room_ms: number;
  gap_room_ms: number;
  over_room_ms: number;
  next_room_ms: number;
  gap_ms: number;
  name: string;
  over: boolean;
  answered: number;
  responses: NamedResponse[];
}

/**
 * The turn at hand: who asks whom, as indices of stations; `to` -1: nobody can tell.
 *
 * stage : "asked", until `answer_by_room_ms`; "void": nobody can answer that; "answered". `sounded_room_ms`:
 * until then the question, or the answer, sounds; `question_ms`: from asking to the question's last sound.
 * text, form, named, groups, said, fault : of the question; empty where they are not for this page.
 */
export interface NetTurn {
  asker: number;
  to: number;
  stage: string;
  sounded_room_ms: number;
  answer_by_room_ms: number;
  question_ms: number;
  text: string;
  said: string;
  form: string;
  named: string[];
  groups: number[];
  fault: string;
}

/**
 * Which station keys now, and whether it answers; read: it has sent it all, and that is being read.
 */
export interface NetHand {
  station: number;
  answers: boolean;
  read: boolean;
}

/**
 * A question or answer as it was sent, the right form where it was wrong; `marked`: differing words.
 *
 * asked, had : groups asked for, and of them those that the asker had. extra : given, and not asked for.
 */
export interface NetExchange {
  call: string;
  text: string;
  marked: number[];
  right: string;
  right_marked: number[];
  fault: string;
  asked: number;
  had: number;
  extra: number;
}

/**
 * The net's, nobody's own: groups in place, fills asked, groups repeated unneeded, wrong forms.
 */
export interface NetFigures {
  in_place: number;
  of: number;
  fills: number;
  unneeded: number;
  wrong: number;
  start_room_ms: number;
  complete_room_ms: number;
}

/**
 * One part as a learner has it: a letter a group (`states`), and the group. `sent`: at the end.
 */
export interface NetRow {
  call: string;
  name: string;
  states: string;
  groups: string[];
  sent: string[];
}

/**
 * One's own stretch at the key. Times are room time.
 *
 * ends_room_ms : when its time is over; null in a pause. text : what to key.
 * kept : how many tones the room holds; late : how many came too late to be heard.
 */
export interface AtKeyOut {
  turn: number;
  start_room_ms: number;
  ends_room_ms: number | null;
  delay_ms: number;
  paused: boolean;
  late: number;
  kept: number;
  text: string;
}

/**
 * station : one's own index, -1 for who only copies along. own : the parts that are theirs.
 *
 * at : index of the part that is sent. last : one's own last question, where it was wrong.
 * figures : the net's, when it is over: the more pages, the more often they would be reckoned.
 * hand : who keys; key : for who does. unclear : one's own line as it was read, where that was not sure.
 */
export interface NetForLearner {
  phase: "parts" | "fills" | "complete";
  station: number;
  own: number[];
  at: number;
  run: number;
  rows: NetRow[];
  turn: NetTurn | null;
  receipted: boolean;
  last: NetExchange | null;
  figures: NetFigures | null;
  hand: NetHand | null;
  key: AtKeyOut | null;
  unclear: string;
  exchanges: NetExchange[];
}

/**
 * A station on the console: a letter a group for every part in turn.
 */
export interface NetStation {
  call: string;
  seat: number;
  name: string;
  here: boolean;
  groups: string[];
  states: string[];
  in_place: number;
  receipted: boolean;
}

/**
 * Who is no station, and copies along.
 */
export interface NetCopier {
  seat: number;
  name: string;
}

/**
 * expected : the answer that is right. late : tones of a hand that came too late to be heard.
 */
export interface NetForConsole {
  phase: "parts" | "fills" | "complete";
  at: number;
  stations: NetStation[];
  copiers: NetCopier[];
  turn: NetTurn | null;
  expected: string;
  hand: NetHand | null;
  unclear: string;
  late: number;
  figures: NetFigures;
  exchanges: NetExchange[];
}

/**
 * A station on the wall: its call, how many groups it has; its part at the end.
 */
export interface NetOnWire {
  call: string;
  in_place: number;
  receipted: boolean;
  groups: string[];
}

/**
 * No names, and no text before the end.
 */
export interface NetForWall {
  phase: "parts" | "fills" | "complete";
  at: number;
  of: number;
  stations: NetOnWire[];
  turn: NetTurn | null;
  hand: NetHand | null;
  figures: NetFigures;
}

/**
 * Groups of one part that the noise takes from one learner.
 */
export interface NetLost {
  seat: number;
  part: number;
  groups: number[];
}

/**
 * A message in parts; `stations`: whose they are, empty: drawn from those here; `parts` 0: as many.
 *
 * chance : of each group to be lost in the noise; 0: missing is only what was not written.
 * symbols : known ones; "": the class's. known, holders (a seat a part, 0: the server), calls, texts, lost :
 * settled by the room.
 */
export interface NetSetup {
  stations: number[];
  parts: number;
  groups: number;
  made_of: "groups" | "words";
  chance: number;
  symbols: string;
}

/**
 * One row: its pair, and which of its sounds are odd, the first one is 0.
 */
export interface OddDrawn {
  pair: string;
  at: number[];
}

/**
 * Pairs, rows of each, sounds in a row, and the silence after the longer sound of the pair.
 *
 * pairs : none: what this class mixes up, both ways round. drawn : the rows, in order.
 */
export interface OddSetup {
  pairs: string[];
  rows: number;
  sounds: number;
  gap_s: number;
}

/**
 * An own hand, and the sound that it is for; null: for none.
 */
export interface OddHand {
  at_ms: number;
  place: number | null;
}

/**
 * What a row was: `odd_at` are places in the whole run.
 */
export interface OddRow {
  odd: string;
  often: string;
  odd_at: number[];
}

/**
 * What the class made of a pair; of all of them where `odd` is "".
 *
 * reactions_s : from the sound's end to the hand, hits only, the shortest first, whoever's they are.
 */
export interface OddLine {
  odd: string;
  often: string;
  hits: number;
  of_odd: number;
  alarms: number;
  of_same: number;
  enough: boolean;
  d: number;
  low: number;
  high: number;
  reactions_s: number[];
  median_s: number | null;
}

/**
 * How many sounds each row has, and the own hands.
 *
 * rows, unheard : once it is shown, what the rows were, and the places that did not sound here.
 */
export interface OddForLearner {
  lengths: number[];
  hands: OddHand[];
  rows: OddRow[];
  unheard: number[];
}

/**
 * The rows, and how many hands went up at each sound.
 *
 * lines : when it is closed. listened, silent : how many heard of it, and never raised a hand.
 */
export interface OddForConsole {
  lengths: number[];
  rows: OddRow[];
  hands: number[];
  lines: OddLine[];
  listened: number;
  silent: number;
}

/**
 * Times only, until it is shown.
 *
 * stage : what was done to it: "", "paused", "stopped", "closed" or "revealed".
 */
export interface OddForWall {
  lengths: number[];
  starts_room_ms: number[];
  end_room_ms: number;
  stage: string;
  lines: OddLine[];
}

/**
 * What travels, and along whom.
 *
 * what : an own `text`, or one drawn from `symbols` ("": the known ones), `sounds` long.
 * left_out : who of those present has no part. parallel : chains at once, 0: so many that nobody waits long.
 * names : stand beside the stations, on wall and phones too. message, chains : what is drawn.
 * by_hand : each keys what they have, but for those with `no_key`; turn_s : they may take so long.
 * delay_ms : settled.
 */
export interface RelaySetup {
  what: "own" | "groups" | "words" | "message";
  text: string;
  symbols: string;
  sounds: number;
  left_out: number[];
  parallel: number;
  names: boolean;
  by_hand: boolean;
  no_key: number[];
  turn_s: number;
}

/**
 * A station as a row of the table.
 *
 * status : "waits", "copies", "held" (its learner is away), "passed", "nothing", "skipped" or "cut".
 * copied : the station whose version it got, 0: the message. name : "" where names are not shown.
 * signs, kinds, in_place : its version, per column, as core.relay has it; empty before the time for it.
 * keyed_ : the same of what was keyed of it; empty where the machine sent it.
 */
export interface RelayStation {
  station: number;
  name: string;
  status: string;
  copied: number;
  signs: string;
  kinds: string;
  in_place: number;
  keyed_signs: string;
  keyed_kinds: string;
  keyed_in_place: number;
}

/**
 * A chain with its tracks. columns : the message, " " where one was added; words : where one begins.
 *
 * keys : the station at the key, 0: the machine sends; held : its page is away.
 */
export interface RelayPath {
  chain: number;
  over: boolean;
  keys: number;
  held: boolean;
  stations: RelayStation[];
  columns: string;
  words: number[];
}

/**
 * A learner's own place, and who is at it.
 *
 * role : "copies", "keys", "waits", "passed", or "none" for who has no part.
 * station, stations : the own number, and how many there are.
 * at : the station that copies, 0 when all have; copied : the one whose version it gets; held : it is away.
 * keys : the station that sends by hand, 0: the machine; key_held : it is away. key : for who is that.
 * turns, about_s : stations before one's own turn, and how long they take, about.
 * came, passed, path : what came in, what was passed on, and the whole way, once all are shown it.
 */
export interface RelayForLearner {
  chain: number;
  chains: number;
  role: "copies" | "keys" | "waits" | "passed" | "none";
  station: number;
  stations: number;
  at: number;
  at_name: string;
  copied: number;
  held: boolean;
  keys: number;
  key_held: boolean;
  key: AtKeyOut | null;
  turns: number;
  about_s: number;
  push: number;
  closed: boolean;
  shown: boolean;
  came: string;
  passed: string;
  path: RelayPath | null;
}

/**
 * Stations and how far the message is; once all are shown it, the way of one chain.
 */
export interface RelayForWall {
  paths: RelayPath[];
  chain: number;
  closed: boolean;
  shown: boolean;
}

/**
 * All of it, as it comes. seats, pushes : per chain and station whose it is, and the run sent to it.
 *
 * by_hand : stations key; late : tones that came too late to be heard.
 */
export interface RelayForConsole {
  message: string;
  paths: RelayPath[];
  seats: number[][];
  pushes: number[][];
  chain: number;
  names: boolean;
  shown: boolean;
  by_hand: boolean;
  late: number;
}

export interface ToServer {
  compose: ComposeIn;
  send_text: SendTextIn;
  send_step: SendStepIn;
  repeat: RepeatIn;
  pause: PauseIn;
  go_on: GoOnIn;
  stop: StopIn;
  close: CloseIn;
  reveal: RevealIn;
  set_aside: SetAsideIn;
  bring_back: BringBackIn;
  set_course: SetCourseIn;
  plan_evening: PlanEveningIn;
  edit_plan: EditPlanIn;
  add_step: AddStepIn;
  mark_step: MarkStepIn;
  take_choice: TakeChoiceIn;
  give_review: GiveReviewIn;
  watch: WatchIn;
  show_cell: ShowCellIn;
  show_sheet: ShowSheetIn;
  show_progress: ShowProgressIn;
  show_course: ShowCourseIn;
  show_review: ShowReviewIn;
  join: JoinIn;
  choose_way: ChooseWayIn;
  report_device: ReportDeviceIn;
  cannot_hear: CannotHearIn;
  hear_now: HearNowIn;
  seen_help: SeenHelpIn;
  let_in: LetInIn;
  rename: RenameIn;
  remove_seats: RemoveSeatsIn;
  make_one: MakeOneIn;
  make_two: MakeTwoIn;
  clear_away: ClearAwayIn;
  add_seat: AddSeatIn;
  write_keys: WriteKeysIn;
  report_sounded: ReportSoundedIn;
  hand_in: HandInIn;
  hand_in_count: HandInCountIn;
  start_exercise: StartExerciseIn;
  add_exercise: AddExerciseIn;
  skip_turn: SkipTurnIn;
  hand_over: HandOverIn;
  open_meeting: OpenMeetingIn;
  set_title: SetTitleIn;
  set_sound: SetSoundIn;
  set_hearing: SetHearingIn;
  set_symbols: SetSymbolsIn;
  keep_words: KeepWordsIn;
  allow_additions: AllowAdditionsIn;
  hold_at_door: HoldAtDoorIn;
  shut_door: ShutDoorIn;
  set_class_size: SetClassSizeIn;
  begin_check: BeginCheckIn;
  write_check: WriteCheckIn;
  hand_in_check: HandInCheckIn;
  overrule_check: OverruleCheckIn;
  move_to_circle: MoveToCircleIn;
  key_edges: KeyEdgesIn;
  sent_all: SentAllIn;
  say_text: SayTextIn;
  word_again: WordAgainIn;
  show_fist: ShowFistIn;
  answer_sound: AnswerSoundIn;
  put_right: PutRightIn;
  ask_fill: AskFillIn;
  answer_fill: AnswerFillIn;
  receipt_net: ReceiptNetIn;
  take_net_key: TakeNetKeyIn;
  leave_net_key: LeaveNetKeyIn;
  raise_hand: RaiseHandIn;
  relay_by_machine: RelayByMachineIn;
  pass_over_station: PassOverStationIn;
  show_relay_chain: ShowRelayChainIn;
  clock: Clock;
}

export interface ToBrowser {
  findings: FindingsOut;
  exercise: ExerciseOut;
  course: CourseOut;
  plan: PlanOut;
  plan_texts: PlanTexts;
  advice: AdviceOut;
  course_progress: CourseProgressOut;
  review: ReviewOut;
  push: PushOut;
  more: MoreOut;
  halt: HaltOut;
  shift: ShiftOut;
  closed: ClosedOut;
  sound: SoundPartOut;
  class: ClassOut;
  reveal: RevealOut;
  welcome: WelcomeOut;
  kept: KeptOut;
  handed_in: HandedInOut;
  renamed: RenamedOut;
  help: HelpOut;
  removed: SentenceOut;
  refused: RefusedOut;
  alike: Alike;
  room: RoomOut;
  seats: SeatsOut;
  run: RunOut;
  progress: ProgressOut;
  table: TableOut;
  tables_before: TablesBefore;
  sheet: SheetOut;
  cell: CellOut;
  proposal: ProposalOut;
  wall: WallOut;
}

export const TO_BROWSER: readonly (keyof ToBrowser)[];
export interface Traits {
  takes: "none" | "one" | "few" | "many";
  shown: boolean;
  grouped: boolean;
  read: boolean;
  practice: boolean;
  composed: boolean;
  silent: boolean;
}

export const PURPOSES: Readonly<Record<"listen" | "meet" | "one" | "apart" | "mix" | "words" | "calls" | "sentences" | "contact" | "message" | "own" | "warm-up" | "practise" | "longer" | "together" | "breather" | "close", Traits>>;
export const EXERCISES: Readonly<Record<string, { title: string, hint: string, in_circles: boolean }>>;
