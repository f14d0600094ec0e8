// Generated from src-tauri/api/src/wire by `cargo xtask types`. Do not edit.

/**
 * What goes with an injection, with words.
 */
export type ActData = { 
/**
 * Whether the person held the needle; absent where nobody said.
 */
self_given: boolean | null, 
/**
 * What was seen afterwards, in words; absent where nobody said.
 */
outcome_words: string | null, 
/**
 * `fine`, `bleeding`, `leak`, `bruise`, `pain`, `lump_felt`.
 */
outcomes?: Array<string>, 
/**
 * Codes of the checks that were done before.
 */
checks?: Array<string>, 
/**
 * Why the dose is not the order's.
 */
dose_reason?: string | null, 
/**
 * Who checked as the second person.
 */
second_checker?: string | null, 
/**
 * Whether the needle went into the sharps bin.
 */
needle_disposed?: boolean | null, 
/**
 * The container it came from.
 */
container?: string | null, };

/**
 * What goes with an injection.
 */
export type ActWire = { 
/**
 * `fine`, `bleeding`, `leak`, `bruise`, `pain`, `lump_felt`.
 */
outcomes?: Array<string>, 
/**
 * Codes of the checks that were done before.
 */
checks?: Array<string>, 
/**
 * Why the dose is not the order's.
 */
dose_reason?: string | null, 
/**
 * Who checked as the second person.
 */
second_checker?: string | null, 
/**
 * Whether the needle went into the sharps bin.
 */
needle_disposed?: boolean | null, 
/**
 * The container it came from.
 */
container?: string | null, };

/**
 * The skin of one zone that may be used.
 */
export type AllowedZone = { 
/**
 * The zone.
 */
zone: string, 
/**
 * Its name.
 */
words: string, 
/**
 * Area without its margins, in square centimetres.
 */
area_cm2: number, };

/**
 * An order without times of day.
 */
export type AsNeeded = { 
/**
 * The person.
 */
person: string, 
/**
 * Their name.
 */
person_name: string, 
/**
 * The order.
 */
order: OrderData, 
/**
 * The last injection of this medicine, in words.
 */
last_words: string | null, };

/**
 * A copy.
 */
export type BackupData = { 
/**
 * Its file's name, by which it is put back.
 */
name: string, 
/**
 * When it was made, in words.
 */
made_words: string, 
/**
 * Its length in bytes.
 */
bytes: number, 
/**
 * Whether it is encrypted.
 */
protected: boolean, 
/**
 * Whether the key that is open now does not open it, so that its own passphrase has to be given.
 */
locked: boolean, 
/**
 * How many entries it holds; absent where it is locked or does not read back.
 */
entries: number | null, };

/**
 * Arguments of `backup_folder`.
 */
export type BackupFolder = { 
/**
 * The whole path; the usual folder when absent. A copy is made there at once.
 */
folder?: string | null, };

/**
 * See [`super::Request::BackupList`].
 */
export type BackupListData = { 
/**
 * The folder they are kept in.
 */
folder: string, 
/**
 * Whether that is the usual one, inside the record's own.
 */
usual: boolean, 
/**
 * The newest first.
 */
backups: Array<BackupData>, 
/**
 * Why today's copy could not be made.
 */
fault: string | null, };

/**
 * Arguments of `backup_restore`.
 */
export type BackupRef = { 
/**
 * The copy's name.
 */
name: string, 
/**
 * The passphrase of a locked copy.
 */
passphrase?: string | null, 
/**
 * Its recovery code instead.
 */
recovery_code?: string | null, };

/**
 * See [`super::Request::BackupRestore`].
 */
export type BackupRestored = { 
/**
 * The name under which the record that was there is kept, in the record's folder.
 */
kept: string | null, 
/**
 * What was done, in words.
 */
words: string, };

/**
 * See [`super::Request::BackupState`].
 */
export type BackupStateData = { 
/**
 * While it is being made: how far it is, from 0 to 99.
 */
percent: number | null, 
/**
 * The copy, once it was made; told once.
 */
made: BackupData | null, 
/**
 * Why it was not made; told once.
 */
fault: string | null, 
/**
 * Whether it was stopped; told once.
 */
stopped: boolean, };

/**
 * How evenly injections went to several parts.
 */
export type BalanceData = { 
/**
 * Every part that could be used or was.
 */
counts: Array<PartCount>, 
/**
 * Normalised entropy, 0 to 1: 1 is all alike.
 */
evenness: number, };

/**
 * One check.
 */
export type BeforeCheck = { 
/**
 * Which.
 */
what: "identity" | "allergies" | "order" | "container" | "glucose" | "meal" | "consent" | "skin" | "second_checker", 
/**
 * How it stands.
 */
state: "not_yet" | "done" | "problem" | "not_asked", 
/**
 * Whether it still wants somebody: not done, or a problem without a reason.
 */
open: boolean, 
/**
 * What does not fit, the loud ones first.
 */
problems: Array<BeforeProblem>, 
/**
 * Why somebody goes on.
 */
reason: string | null, 
/**
 * What is read out or compared, and what is not known.
 */
lines: Array<string>, 
/**
 * The container of last time, where it still fits: one visible tap takes it.
 */
as_last_time: ContainerData | null, 
/**
 * Why last time's is not offered.
 */
not_as_last_time: string | null, };

/**
 * See [`Request::Before`](super::Request::Before).
 */
export type BeforeData = { 
/**
 * The order.
 */
order: OrderData, 
/**
 * The checks that are asked for here, in the order the work is done.
 */
checks: Array<BeforeCheck>, 
/**
 * How many still want somebody.
 */
open: number, 
/**
 * Containers in use for this order, the newest first.
 */
containers: Array<ContainerData>, 
/**
 * The glucose that counts: of the last hour.
 */
glucose: EventData | null, 
/**
 * Whose check this stays.
 */
words: string, };

/**
 * Arguments of `before`.
 */
export type BeforeGet = { 
/**
 * The person.
 */
person: string, 
/**
 * The order.
 */
order: string, 
/**
 * When it will be given; now when absent.
 */
at?: string | null, 
/**
 * Who gives it, by name.
 */
recorder?: string | null, 
/**
 * `self` or `other`; absent takes the person's habit.
 */
giver?: string | null, 
/**
 * What was said so far.
 */
said?: BeforeSaid, };

/**
 * Something that does not fit. It never blocks.
 */
export type BeforeProblem = { 
/**
 * One or two sentences.
 */
words: string, 
/**
 * Whether it must not be overlooked.
 */
loud: boolean, 
/**
 * Where it comes from.
 */
source: string, };

/**
 * Why somebody goes on in spite of a problem.
 */
export type BeforeReason = { 
/**
 * Which check.
 */
what: string, 
/**
 * In their words.
 */
text: string, };

/**
 * What was said on the page so far. Everything left out was not said.
 */
export type BeforeSaid = { 
/**
 * Identifiers read back; two make the check done.
 */
identity?: Array<ReadBackWire>, 
/**
 * Allergies were read and asked about.
 */
allergies?: boolean, 
/**
 * The order was read.
 */
order?: boolean, 
/**
 * The container in hand, by its id.
 */
container?: string | null, 
/**
 * `eaten`, `about` or `not_eating`.
 */
meal?: string | null, 
/**
 * `given`, `refused` or `decided_for`.
 */
consent?: string | null, 
/**
 * Who decided, of `decided_for`.
 */
consent_words?: string | null, 
/**
 * `clear` or `found`.
 */
skin?: string | null, 
/**
 * What was found.
 */
skin_words?: string | null, 
/**
 * Who checked as the second person.
 */
second?: string | null, 
/**
 * Reasons for going on.
 */
reasons?: Array<BeforeReason>, };

/**
 * Arguments of `body_drawing`.
 */
export type BodyDrawing = { 
/**
 * The person, for the sizes; a reference adult when absent.
 */
person?: string | null, };

/**
 * See [`Request::BodyDrawing`].
 */
export type BodyDrawingData = { 
/**
 * Version of the outline.
 */
outline: number, 
/**
 * Front, then back.
 */
views: Array<DrawnView>, };

/**
 * The square centimetre with the most injections.
 */
export type BusiestData = { 
/**
 * Its centre.
 */
place: SiteData, 
/**
 * Injections in it.
 */
count: number, };

/**
 * Neighbouring used cells of one row, from low `across` to high. The lists are of one length.
 */
export type CellRow = { 
/**
 * Centre of the first cell; each further one lies `cell_cm` farther across.
 */
first: XY, 
/**
 * Whole days since the last injection within the radius.
 */
days: Array<number>, 
/**
 * Step of the ramp, 0 just used to 5 rested.
 */
step: Array<number>, 
/**
 * Injections within the radius, each weighing half after every half-life; two decimals.
 */
load: Array<number>, };

/**
 * See [`super::Request::Chart`].
 */
export type ChartData = { 
/**
 * First day.
 */
from: string, 
/**
 * Last day, included.
 */
to: string, 
/**
 * The period in words.
 */
period_words: string, 
/**
 * The period beside it in words.
 */
before_words: string | null, 
/**
 * The drawings, in the order they are read.
 */
drawings: Array<ChartDrawing>, 
/**
 * Cautions.
 */
cautions: Array<string>, 
/**
 * Sources of the lines and values shown.
 */
sources: Array<string>, };

/**
 * One drawing of the chart.
 */
export type ChartDrawing = { 
/**
 * Its key.
 */
key: string, 
/**
 * Its title.
 */
title: string, 
/**
 * What it shows, in a sentence or two, for those who do not see it.
 */
description: string, 
/**
 * The drawing; absent where there is nothing to draw.
 */
svg: string | null, 
/**
 * Said where there is nothing to draw, and what a reader must know.
 */
notes: Array<string>, 
/**
 * The same in numbers.
 */
table: ChartTable, };

/**
 * See [`super::Request::ChartFile`].
 */
export type ChartFileData = { 
/**
 * A name for the file that says what it is and names nobody.
 */
name: string, 
/**
 * Its media type.
 */
media_type: string, 
/**
 * How many bytes it has.
 */
bytes: number, 
/**
 * SHA-256 of the bytes, in hexadecimal.
 */
sha256: string, 
/**
 * The bytes, in base64.
 */
base64: string, 
/**
 * How many pages; a picture is one.
 */
pages: number, };

/**
 * Arguments of `chart_file`: the same choice of days as of [`ChartGet`].
 */
export type ChartFileGet = { 
/**
 * The person.
 */
person: string, 
/**
 * First day, `2026-10-01`; needed where `weeks` is absent.
 */
from?: string | null, 
/**
 * Last day, included; today when absent.
 */
to?: string | null, 
/**
 * A period of 1 to 520 weeks that ends with `to`; not together with `from`.
 */
weeks?: number | null, 
/**
 * Beside it the period of the same length before.
 */
compare: boolean, 
/**
 * `pdf`, `svg` or `png`.
 */
format: string, 
/**
 * `a4` or `letter`, of a PDF; A4 when absent.
 */
paper?: string | null, };

/**
 * Arguments of `chart`.
 */
export type ChartGet = { 
/**
 * The person.
 */
person: string, 
/**
 * First day, `2026-10-01`; needed where `weeks` is absent.
 */
from?: string | null, 
/**
 * Last day, included; today when absent.
 */
to?: string | null, 
/**
 * A period of 1 to 520 weeks that ends with `to`; not together with `from`.
 */
weeks?: number | null, 
/**
 * Beside it the period of the same length before.
 */
compare: boolean, 
/**
 * Width to draw for, in pixels: 280 to 1200; 328 when absent.
 */
width?: number | null, 
/**
 * `light` or `dark`; light when absent.
 */
theme?: string | null, };

/**
 * A table beside a drawing.
 */
export type ChartTable = { 
/**
 * What it holds.
 */
caption: string, 
/**
 * Headings.
 */
columns: Array<string>, 
/**
 * Rows, each as long as the headings.
 */
rows: Array<Array<string>>, };

/**
 * Arguments of `container_add`.
 */
export type ContainerAdd = { 
/**
 * A UUID made by the caller.
 */
id: string, 
/**
 * The person.
 */
person: string, 
/**
 * The order it is used for.
 */
order: string, 
/**
 * The container this corrects, by the id of its newest entry.
 */
replaces?: string | null, 
/**
 * Medicine as its label has it.
 */
medicine: string, 
/**
 * Strength as its label has it, `100 units/mL`.
 */
strength?: string | null, 
/**
 * Batch.
 */
batch?: string | null, 
/**
 * `2027-03-31`, or `2027-03` where the label gives no day.
 */
expires?: string | null, 
/**
 * The day it was first used.
 */
opened?: string | null, 
/**
 * `vial`, `cartridge`, `pen`, `one_dose_pen` or `prefilled_syringe`.
 */
device: string, 
/**
 * `not_read`, `latex` or `no_latex`: what the pack says of its needle cover; `not_read` when absent.
 */
needle_cover?: string | null, 
/**
 * Free text.
 */
note?: string | null, 
/**
 * Who records it.
 */
recorder?: string | null, };

/**
 * A container in use.
 */
export type ContainerData = { 
/**
 * Its id, which stays the same through corrections.
 */
id: string, 
/**
 * The id of its newest entry.
 */
entry: string, 
/**
 * The order.
 */
order: string, 
/**
 * Medicine as its label has it.
 */
medicine: string, 
/**
 * Strength as its label has it.
 */
strength: string | null, 
/**
 * Batch.
 */
batch: string | null, 
/**
 * Day or month of expiry.
 */
expires: string | null, 
/**
 * The day it was first used.
 */
opened: string | null, 
/**
 * What it is.
 */
device: string, 
/**
 * What the pack says of its needle cover.
 */
needle_cover: string, 
/**
 * Free text.
 */
note: string | null, 
/**
 * All of it in words.
 */
words: string, };

/**
 * How the words of a reply are wanted; may stand in any request beside `op` and `args`.
 */
export type Display = { 
/**
 * Times of day with 24 hours (`20:05`, where it is left out) or with 12 (`8:05 pm`). Codes always have 24.
 */
clock?: "12" | "24", };

/**
 * See [`Request::DoseVolume`](super::Request::DoseVolume).
 */
export type DoseVolumeData = { 
/**
 * `draw`: measured with a syringe; `give_all`: the whole syringe; `refused`: not converted here, see the words.
 */
answer: "draw" | "give_all" | "refused", 
/**
 * What to do, or why it is not converted.
 */
words: string, 
/**
 * The volume, `0.12 mL`.
 */
volume: string | null, 
/**
 * Cautions, the loud ones first.
 */
cautions: Array<BeforeProblem>, 
/**
 * Every syringe that is known here.
 */
syringes: Array<SyringeData>, };

/**
 * Arguments of `dose_volume`.
 */
export type DoseVolumeGet = { 
/**
 * The order whose dose it is.
 */
order: string, 
/**
 * `vial`, `cartridge`, `pen`, `one_dose_pen` or `prefilled_syringe`.
 */
device: string, 
/**
 * The amount the label gives for `in_ml`; the strength in the medicine's name when absent.
 */
strength?: DoseWire | null, 
/**
 * Millilitres that amount is in; 1 when absent.
 */
in_ml?: string | null, 
/**
 * The syringe in hand, by its code.
 */
syringe?: string | null, };

/**
 * A decimal amount and its unit. The value is text so that no digit is lost: `12`, `0.5`, `5.25`.
 */
export type DoseWire = { 
/**
 * Plain decimal, at most three decimals.
 */
value: string, 
/**
 * `units`, `mg` or `micrograms`.
 */
unit: string, };

/**
 * See [`Request::DraftGet`].
 */
export type DraftData = { 
/**
 * Which form.
 */
key: string, 
/**
 * Its contents; absent when there is none.
 */
body: string | null, 
/**
 * When the form was first opened.
 */
opened_at: string | null, };

/**
 * Names a draft.
 */
export type DraftRef = { 
/**
 * Which form.
 */
key: string, };

/**
 * Arguments of `draft_save`.
 */
export type DraftSave = { 
/**
 * Which form, such as `give:PERSON`.
 */
key: string, 
/**
 * The form's contents as the screen understands them; at most 64 kB.
 */
body: string, };

/**
 * A finding on the body drawing.
 */
export type DrawnFinding = { 
/**
 * The finding.
 */
finding: string, 
/**
 * Its kind.
 */
kind: string, 
/**
 * Kind and place in words.
 */
words: string, 
/**
 * `front` or `back`.
 */
view: string, 
/**
 * Its middle, in the drawing's own units.
 */
x: number, 
/**
 * Its middle, in the drawing's own units.
 */
y: number, };

/**
 * A quadrant on the drawing.
 */
export type DrawnQuadrant = { 
/**
 * The zone.
 */
zone: string, 
/**
 * The quadrant.
 */
quadrant: string, 
/**
 * `Abdomen, left lower quadrant`.
 */
words: string, 
/**
 * SVG path data.
 */
d: string, 
/**
 * Where a label fits, in the drawing's units.
 */
label_x: number, 
/**
 * Where a label fits, in the drawing's units.
 */
label_y: number, };

/**
 * One view of the body.
 */
export type DrawnView = { 
/**
 * `front` or `back`.
 */
view: "front" | "back", 
/**
 * Width of the view box.
 */
width: number, 
/**
 * Height of the view box.
 */
height: number, 
/**
 * The outline, closed.
 */
silhouette: Array<NamedPath>, 
/**
 * Quiet lines inside it.
 */
details: Array<NamedPath>, 
/**
 * Zones, each with its outline.
 */
zones: Array<NamedPath>, 
/**
 * Quadrants of the zones.
 */
quadrants: Array<DrawnQuadrant>, 
/**
 * The word to write at the viewer's left edge: `person's right` in front, `person's left` on the back.
 */
viewer_left: string, 
/**
 * The word to write at the viewer's right edge.
 */
viewer_right: string, };

/**
 * See [`Request::Due`](super::Request::Due).
 */
export type DueData = { 
/**
 * As of when.
 */
at: string, 
/**
 * That in words, `Wed 3 Jun 2026, 09:00`.
 */
words: string, 
/**
 * Late first, then what is due, what is still to come, and what is done.
 */
slots: Array<DueSlot>, 
/**
 * Orders given when needed.
 */
as_needed: Array<AsNeeded>, 
/**
 * The next injection after this day where nothing is open today: `next tomorrow at 08:00`; of one person only.
 */
next_words: string | null, };

/**
 * Arguments of `due`.
 */
export type DueGet = { 
/**
 * One person; everybody when absent.
 */
person?: string | null, 
/**
 * As of when; now when absent. Its day, on each person's clock, is the day that is shown.
 */
at?: string | null, };

/**
 * One injection of the day.
 */
export type DueSlot = { 
/**
 * The person.
 */
person: string, 
/**
 * Their name.
 */
person_name: string, 
/**
 * What is noted of them, such as how to get in.
 */
person_note: string | null, 
/**
 * The order with its doubts and terms.
 */
order: OrderData, 
/**
 * When it is due.
 */
at: string, 
/**
 * The time of day in words, `08:00` or `8:00 am`.
 */
time: string, 
/**
 * `late`, `due`, `upcoming`, `no_record`, `not_given` or `given`.
 */
standing: "late" | "due" | "upcoming" | "no_record" | "not_given" | "given", 
/**
 * `late by 2 h`, `due at 08:00`, `in 45 min`.
 */
words: string, 
/**
 * The injection that fills it.
 */
injection: InjectionData | null, 
/**
 * The entry that says why it was not given.
 */
not_given: EventData | null, 
/**
 * The last injection of this medicine, in words: how long ago, how much, by whom.
 */
last_words: string | null, };

/**
 * An error: the code for programs, the message for people.
 */
export type ErrorData = { 
/**
 * A stable code; `ErrorCode` lists them all.
 */
code: ErrorCode, 
/**
 * What is wrong and what to do.
 */
message: string, 
/**
 * For `second_dose`: the earlier entry.
 */
earlier?: InjectionData, 
/**
 * For `second_dose`: how long ago, in words (`4 min`).
 */
ago?: string, 
/**
 * For `time_in_gap` and `time_ambiguous`: the instants that may have been meant.
 */
offers?: Array<TimeOffer>, 
/**
 * For `avoid_needs_reason`: the reasons of the verdict.
 */
reasons?: Array<ReasonData>, };

/**
 * Arguments of `event_correct`: what is absent stays as it was.
 */
export type EventCorrect = { 
/**
 * A UUID made by the caller.
 */
id: string, 
/**
 * The event that is wrong.
 */
replaces: string, 
/**
 * What was wrong.
 */
reason: string, 
/**
 * When it really was; of an injection not given, its slot.
 */
at?: string | null, 
/**
 * The zone of `at`; the event's when absent.
 */
zone?: string | null, 
/**
 * As really read.
 */
value?: string | null, 
/**
 * `mmol/L`, `mg/dL` or `g`.
 */
unit?: string | null, 
/**
 * As of `event_record`.
 */
code?: string | null, 
/**
 * Free text; empty removes the note.
 */
note?: string | null, 
/**
 * Who corrects it.
 */
recorder: string, };

/**
 * Something that happened around an injection.
 */
export type EventData = { 
/**
 * The entry's id.
 */
id: string, 
/**
 * The person.
 */
person: string, 
/**
 * The order.
 */
order: string | null, 
/**
 * What it is about.
 */
about: "not_given" | "glucose" | "ketones" | "carbohydrate" | "alarm", 
/**
 * When.
 */
at: string, 
/**
 * When, in words.
 */
at_words: string, 
/**
 * When the entry was made.
 */
recorded_at: string, 
/**
 * The value as read.
 */
value: string | null, 
/**
 * Its unit.
 */
unit: string | null, 
/**
 * Why, or which alarm.
 */
code: string | null, 
/**
 * All of it as one sentence.
 */
words: string, 
/**
 * Free text.
 */
note: string | null, 
/**
 * Who recorded it, put it right or took it back.
 */
recorder: string | null, 
/**
 * Why it was put right or taken back, of the entry that does.
 */
reason: string | null, 
/**
 * `final`, or `entered_in_error` of the entry that takes an event back.
 */
status: "final" | "entered_in_error", 
/**
 * The entry this one replaces.
 */
replaces: string | null, 
/**
 * The entry that replaced this one.
 */
replaced_by: string | null, };

/**
 * Arguments of `event_list`.
 */
export type EventList = { 
/**
 * The person.
 */
person: string, 
/**
 * First day; 27 days before the last when absent.
 */
from?: string | null, 
/**
 * Last day; today when absent.
 */
to?: string | null, 
/**
 * Also events that were put right or taken back, and the entries that took them back.
 */
superseded: boolean, };

/**
 * See [`Request::EventList`](super::Request::EventList).
 */
export type EventListData = { 
/**
 * The newest first.
 */
events: Array<EventData>, };

/**
 * Arguments of `event_record`.
 */
export type EventRecord = { 
/**
 * A UUID made by the caller; saving it twice saves once.
 */
id: string, 
/**
 * The person.
 */
person: string, 
/**
 * The order it concerns; needed for `not_given`.
 */
order?: string | null, 
/**
 * `not_given`, `glucose`, `ketones`, `carbohydrate` or `alarm`.
 */
about: string, 
/**
 * The slot of an injection not given; else when it was measured or done.
 */
at: string, 
/**
 * The zone of `at`; the person's when absent.
 */
zone?: string | null, 
/**
 * As read: `5.4`, `97`, `LO`, `HI`; grams of carbohydrate.
 */
value?: string | null, 
/**
 * `mmol/L`, `mg/dL` or `g`.
 */
unit?: string | null, 
/**
 * Of `not_given`: `declined`, `away`, `unwell`, `low_glucose`, `held_by_prescriber`, `no_supply`, `other`; of
 * `alarm`: `cannot_swallow`, `drowsy`, `help_called`, `emergency_called`, and `over`, which ends the emergency.
 */
code?: string | null, 
/**
 * Free text; needed for `other`.
 */
note?: string | null, 
/**
 * Who records it.
 */
recorder: string, };

/**
 * Arguments of `event_withdraw`.
 */
export type EventWithdraw = { 
/**
 * A UUID made by the caller.
 */
id: string, 
/**
 * The event that never happened.
 */
replaces: string, 
/**
 * Why.
 */
reason: string, 
/**
 * Who withdraws it.
 */
recorder: string, };

/**
 * One published risk factor.
 */
export type FactorData = { 
/**
 * Its code.
 */
code: string, 
/**
 * Its name.
 */
name: string, 
/**
 * `present`, `absent`, `unknown`, or `shown` where nothing published says from when on it counts.
 */
standing: "present" | "absent" | "unknown" | "shown", 
/**
 * That in a word or two.
 */
standing_words: string, 
/**
 * The figure of this record, in words.
 */
figure: string, 
/**
 * What was published.
 */
odds: Array<OddsData>, 
/**
 * Another published finding about it, with its source.
 */
published: string | null, 
/**
 * What helps.
 */
helps: string, };

/**
 * A finding with its course.
 */
export type FindingData = { 
/**
 * The id of the entry that found it.
 */
id: string, 
/**
 * The person.
 */
person: string, 
/**
 * Its kind.
 */
kind: string, 
/**
 * Its kind in words: `firm lump`.
 */
kind_words: string, 
/**
 * The zone.
 */
zone: string, 
/**
 * The zone in words.
 */
zone_words: string, 
/**
 * Where its middle is, at the last look that said so.
 */
place: SiteData, 
/**
 * As sent: where and how large, at the last look that said so.
 */
shape: PlaceWire, 
/**
 * Its outline for drawing, closed, at the last look that said so.
 */
ring: Array<XY>, 
/**
 * Whether it is worn and taken off.
 */
device: boolean, 
/**
 * How far to stay from its edge, in centimetres.
 */
margin_cm: number, 
/**
 * Who says so.
 */
margin_source: string, 
/**
 * `there`, `healed`, `removed`, `worn_out`, or `not_yet` where the question is about a time before.
 */
state: "there" | "healed" | "removed" | "worn_out" | "not_yet", 
/**
 * How it stands as one sentence.
 */
state_words: string, 
/**
 * When a device's wear time ends, in words.
 */
until_words: string | null, 
/**
 * Every look, the earliest first; withdrawn ones too.
 */
looks: Array<LookData>, 
/**
 * How it changed: `28 mm on 3 Nov, 24 mm on 1 Dec.`; absent with one size.
 */
change_words: string | null, };

/**
 * A kind of finding.
 */
export type FindingKindData = { 
/**
 * Its code.
 */
kind: string, 
/**
 * Its name.
 */
words: string, 
/**
 * Whether it is worn and taken off.
 */
device: boolean, 
/**
 * How far to stay from its edge.
 */
margin_cm: number, 
/**
 * Who says so.
 */
margin_source: string, };

/**
 * Arguments of `finding_list`.
 */
export type FindingList = { 
/**
 * The person.
 */
person: string, 
/**
 * As of when; now when absent.
 */
at?: string | null, };

/**
 * See [`super::Request::FindingList`].
 */
export type FindingListData = { 
/**
 * Those that are there first, then those that ended; each by when it was found, the newest first.
 */
findings: Array<FindingData>, 
/**
 * Those that were entered in error, each by when it was found, the newest first. They count for nothing.
 */
withdrawn: Array<WithdrawnFinding>, 
/**
 * The kinds that can be recorded.
 */
kinds: Array<FindingKindData>, };

/**
 * Arguments of `finding_look`: a finding looked at again.
 */
export type FindingLook = { 
/**
 * A UUID made by the caller.
 */
id: string, 
/**
 * The finding: the id of the entry that found it.
 */
finding: string, 
/**
 * `there`, `healed` or `removed`.
 */
state: string, 
/**
 * Where and how large it is now; needed for `there`, not allowed otherwise.
 */
place?: PlaceWire | null, 
/**
 * As in `finding_record`; needed for `there`.
 */
noticed?: string | null, 
/**
 * How a lump feels now.
 */
feel?: string | null, 
/**
 * When.
 */
at: string, 
/**
 * Who looked.
 */
recorder: string, 
/**
 * Free text.
 */
note?: string | null, };

/**
 * Arguments of `finding_record`: something new on the skin.
 */
export type FindingRecord = { 
/**
 * A UUID made by the caller when the form opened.
 */
id: string, 
/**
 * The person.
 */
person: string, 
/**
 * `lump`, `dent`, `bruise`, `bleeding`, `redness`, `swelling`, `broken_skin`, `scar`, `mole`, `tattoo`, `stoma`,
 * `sensor`, `infusion_set` or `other`.
 */
kind: string, 
/**
 * The zone it lies in.
 */
zone: string, 
/**
 * Where and how large.
 */
place: PlaceWire, 
/**
 * `seen`, `felt` or `seen_and_felt`.
 */
noticed: string, 
/**
 * How a lump feels: `soft` or `firm`; absent where nobody said.
 */
feel?: string | null, 
/**
 * For how many days a device is worn, 1 to 366.
 */
wear_days?: number | null, 
/**
 * When it was looked at; RFC 3339 with offset, or a local time in the person's zone.
 */
at: string, 
/**
 * Who looked.
 */
recorder: string, 
/**
 * Free text; needed for `other`.
 */
note?: string | null, };

/**
 * Arguments of `glucose_check`: what a value would mean, before it is recorded.
 */
export type GlucoseCheck = { 
/**
 * The person.
 */
person: string, 
/**
 * The order whose limits count; the published ones when absent.
 */
order?: string | null, 
/**
 * `glucose` or `ketones`; glucose when absent.
 */
about?: string | null, 
/**
 * As read.
 */
value: string, 
/**
 * `mmol/L` or `mg/dL`.
 */
unit: string, };

/**
 * See [`Request::GlucoseState`](super::Request::GlucoseState).
 */
export type GlucoseData = { 
/**
 * The last value of the last 12 hours.
 */
last: EventData | null, 
/**
 * How long ago that was.
 */
last_ago: string | null, 
/**
 * What it means.
 */
judged: GlucoseJudged | null, 
/**
 * Where the steps for a low value stand.
 */
steps: LowSteps, 
/**
 * The low limit and who set it.
 */
limit_words: string, 
/**
 * The unit this person's values are counted in: the order's, else that of the last value, else mmol/L.
 */
unit: string, };

/**
 * Arguments of `glucose_state`.
 */
export type GlucoseGet = { 
/**
 * The person.
 */
person: string, 
/**
 * The order whose limits count; the published ones when absent.
 */
order?: string | null, 
/**
 * As of when; now when absent.
 */
at?: string | null, };

/**
 * What a value means.
 */
export type GlucoseJudged = { 
/**
 * `in_range`, `low`, `very_low`, `high`, `check_ketones`; of ketones `normal`, `raised`, `emergency`.
 */
standing: string, 
/**
 * Whether the low-glucose steps are for it.
 */
low: boolean, 
/**
 * As measured and in the other unit, `5.5 mmol/L (99 mg/dL)`.
 */
shown: string, 
/**
 * What was found, the limit and who set it, and who decides.
 */
words: string, 
/**
 * A question about the number itself, to be answered first: does it fit its unit?
 */
question: string | null, };

/**
 * See [`Request::Handover`](super::Request::Handover).
 */
export type HandoverData = { 
/**
 * The time it covers, in words.
 */
words: string, 
/**
 * `7 given, 1 not given, 2 without a record, 1 concern.`
 */
summary: string, 
/**
 * What to look after: lumps felt, low values, alarms, going on in spite of a caution, doubtful orders.
 */
concerns: Array<HandoverLine>, 
/**
 * Not given, and why.
 */
not_given: Array<HandoverLine>, 
/**
 * Due in that time and nothing recorded.
 */
open: Array<HandoverLine>, 
/**
 * Given.
 */
given: Array<HandoverLine>, };

/**
 * Arguments of `handover`.
 */
export type HandoverGet = { 
/**
 * From when; eight hours before the end when absent.
 */
from?: string | null, 
/**
 * Up to when; now when absent.
 */
to?: string | null, };

/**
 * One line of the handover.
 */
export type HandoverLine = { 
/**
 * The person.
 */
person: string, 
/**
 * Their name.
 */
person_name: string, 
/**
 * What happened, in words.
 */
words: string, 
/**
 * The order whose slot stands open.
 */
order: string | null, 
/**
 * The slot that stands open.
 */
at: string | null, };

/**
 * Arguments of `idle_set`.
 */
export type IdleSet = { 
/**
 * One of `idle_choices`.
 */
minutes: number, };

/**
 * Arguments of `injection_correct`. Members left out stay as they were.
 */
export type InjectionCorrect = { 
/**
 * A UUID made by the caller.
 */
id: string, 
/**
 * The entry that is wrong.
 */
replaces: string, 
/**
 * What was wrong with it.
 */
reason: string, 
/**
 * True withdraws it: it never happened.
 */
entered_in_error?: boolean, 
/**
 * Where it really went.
 */
site?: SiteWire | null, 
/**
 * When it was really given.
 */
given_at?: string | null, 
/**
 * The zone of that time.
 */
zone?: string | null, 
/**
 * How much was really given.
 */
dose?: DoseWire | null, 
/**
 * The order it really belongs to.
 */
order?: string | null, 
/**
 * Who makes the correction.
 */
recorder?: string | null, 
/**
 * Free text.
 */
note?: string | null, 
/**
 * What was really checked and seen.
 */
act?: ActWire | null, };

/**
 * An injection of the record.
 */
export type InjectionData = { 
/**
 * The entry's id.
 */
id: string, 
/**
 * The person.
 */
person: string, 
/**
 * The order it was given under.
 */
order: string, 
/**
 * Key of the medicine.
 */
medicine: string, 
/**
 * Generic name and strength.
 */
medicine_name: string, 
/**
 * When, RFC 3339 at the offset it was entered under.
 */
given_at: string, 
/**
 * When, in words: `Sun 25 Oct 2026, 02:40 (+02:00)`; the offset is shown where the clock alone would mislead.
 */
given_words: string, 
/**
 * The day it counts for, `2026-10-25`: the date at its own offset.
 */
day: string, 
/**
 * When the entry was made.
 */
recorded_at: string, 
/**
 * Whether it was recorded more than an hour after it was given.
 */
late: boolean, 
/**
 * Whether the clock of this entry was set by hand (`--clock`).
 */
clock_set: boolean, 
/**
 * Time zone it was entered under.
 */
zone: string, 
/**
 * How much.
 */
dose: DoseWire, 
/**
 * How much, for people: `1,000 units`.
 */
dose_words: string, 
/**
 * Who gave or recorded it.
 */
recorder: string, 
/**
 * Whether the PIN of whoever wrote the entry (`corrected_by` for a correction, else `recorder`) had been given; absent
 * where that name had no PIN.
 */
recorder_confirmed: boolean | null, 
/**
 * Who corrected or withdrew the entry it replaces.
 */
corrected_by: string | null, 
/**
 * Why it went on against an `avoid` or inside the interval, or why it was corrected.
 */
reason: string | null, 
/**
 * Free text.
 */
note: string | null, 
/**
 * What was checked before and seen afterwards.
 */
act: ActData, 
/**
 * `given` or `entered_in_error`.
 */
status: "given" | "entered_in_error", 
/**
 * The entry this one replaces.
 */
replaces: string | null, 
/**
 * The entry that replaced this one.
 */
replaced_by: string | null, 
/**
 * The place; all four members where the point is known.
 */
site: SiteWire, 
/**
 * `Abdomen, left lower quadrant: 5.5 cm to the person's left of the navel, 3 cm below it`.
 */
words: string, 
/**
 * The same, spoken to the patient: "your left".
 */
words_patient: string, };

/**
 * Arguments of `injection_list`.
 */
export type InjectionList = { 
/**
 * The person.
 */
person: string, 
/**
 * From this instant or day on.
 */
from?: string | null, 
/**
 * Up to this instant, or to the end of this day.
 */
to?: string | null, 
/**
 * Also entries that were corrected or withdrawn.
 */
superseded?: boolean, 
/**
 * At most this many, 1 to 5000; 1000 when absent.
 */
limit?: number | null, };

/**
 * See [`Request::InjectionList`].
 */
export type InjectionListData = { 
/**
 * The newest first, by the instant given, then by the order recorded.
 */
injections: Array<InjectionData>, 
/**
 * Whether the limit cut the list.
 */
more: boolean, };

/**
 * Arguments of `injection_record`.
 */
export type InjectionRecord = { 
/**
 * A UUID made by the caller when the form opened; saving it twice saves once.
 */
id: string, 
/**
 * The person.
 */
person: string, 
/**
 * The order.
 */
order: string, 
/**
 * Where it went.
 */
site: SiteWire, 
/**
 * When it was given; RFC 3339 with offset, or a local time in the zone.
 */
given_at: string, 
/**
 * The zone it was entered under; the person's when absent.
 */
zone?: string | null, 
/**
 * How much was given.
 */
dose: DoseWire, 
/**
 * Who gave it.
 */
recorder: string, 
/**
 * Why it was given against an `avoid`, or inside the usual interval.
 */
reason?: string | null, 
/**
 * The codes the reason was given for: `avoid_needs_reason`, `second_dose`, `order_not_in_force`. A screen lists
 * those it has shown, so that a reason for one never silences another; absent, the reason is for all of them.
 */
acknowledges?: Array<string> | null, 
/**
 * Free text.
 */
note?: string | null, 
/**
 * Who gave it: `self` or `other`; absent takes the person's habit.
 */
giver?: string | null, 
/**
 * What was checked before and seen afterwards.
 */
act?: ActWire, };

/**
 * The first entry that does not fit the chain.
 */
export type JournalBreak = { 
/**
 * `changed`, `unlinked`, `gone` or `cut_short`.
 */
misfit: "changed" | "unlinked" | "gone" | "cut_short", 
/**
 * Its number on this device.
 */
seq: number, 
/**
 * Its id, where it can be read.
 */
entry: string | null, };

/**
 * See [`super::Request::JournalVerify`].
 */
export type JournalData = { 
/**
 * How many entries fit, from the first on.
 */
entries: number, 
/**
 * The hash of the last that fits, 64 hexadecimal digits; absent for an empty journal.
 */
last_hash: string | null, 
/**
 * Where the chain breaks.
 */
broken: JournalBreak | null, 
/**
 * What was found, in words, and what to do.
 */
words: string, };

/**
 * How often a rule was kept.
 */
export type KeptData = { 
/**
 * Injections that kept it.
 */
kept: number, 
/**
 * Of so many of which it can be known.
 */
of: number, 
/**
 * The one divided by the other, 0 to 1.
 */
share: number, 
/**
 * Low end of the 95 % Wilson interval.
 */
low: number, 
/**
 * High end of it.
 */
high: number, 
/**
 * Injections with a point of which it cannot be known.
 */
unknown: number, 
/**
 * The worst break: centimetres for spacing, days for rest; absent where none was broken.
 */
worst: number | null, };

/**
 * What is said when the next site leaves a lump, or a zone with one, for healthy skin.
 */
export type LeavingLump = { 
/**
 * The caution.
 */
words: string, 
/**
 * Who says so.
 */
source: string, 
/**
 * The findings it is about.
 */
findings: Array<string>, };

/**
 * One look at a finding.
 */
export type LookData = { 
/**
 * The entry's id.
 */
id: string, 
/**
 * When, RFC 3339.
 */
at: string, 
/**
 * When, in words.
 */
at_words: string, 
/**
 * Who looked.
 */
recorder: string, 
/**
 * `there`, `healed` or `removed`.
 */
state: "there" | "healed" | "removed", 
/**
 * Its longer axis in millimetres, where it was there.
 */
long_mm: number | null, 
/**
 * Its shorter axis in millimetres.
 */
short_mm: number | null, 
/**
 * How it was noticed.
 */
noticed: string | null, 
/**
 * How a lump felt.
 */
feel: string | null, 
/**
 * Free text.
 */
note: string | null, 
/**
 * The look as one sentence: `Felt, soft: 24 mm by 18 mm.`
 */
words: string, 
/**
 * Why this look was withdrawn; absent where it counts.
 */
withdrawn: string | null, 
/**
 * Who withdrew it and when, in words; absent where it counts.
 */
withdrawn_by: string | null, };

/**
 * A step of looking and feeling.
 */
export type LookStepData = { 
/**
 * What to do.
 */
words: string, 
/**
 * Who says so, or `from memory`.
 */
source: string, };

/**
 * Where the low-glucose steps stand.
 */
export type LowSteps = { 
/**
 * What comes next.
 */
step: "not_low" | "take_carbohydrate" | "wait" | "check_again" | "finished" | "call_for_help" | "call_emergency_services", 
/**
 * The instant to check again, of `wait`.
 */
until: string | null, 
/**
 * Seconds to it.
 */
seconds_left: number, 
/**
 * How often carbohydrate was taken.
 */
rounds: number, 
/**
 * What to do, in words.
 */
words: string, 
/**
 * What does not fit.
 */
doubts: Array<string>, 
/**
 * Where the steps come from.
 */
source: string, };

/**
 * See [`Request::Measures`](super::Request::Measures).
 */
export type MeasuresData = { 
/**
 * First day.
 */
from: string, 
/**
 * Last day.
 */
to: string, 
/**
 * Both in words.
 */
words: string, 
/**
 * Injections in the period.
 */
injections: number, 
/**
 * Those of them known only to the quadrant.
 */
quadrant_only: number, 
/**
 * Whose rules say which skin is allowed; absent where there is neither an order nor an injection.
 */
rules: RulesOf | null, 
/**
 * The allowed skin.
 */
allowed: Array<AllowedZone>, 
/**
 * Whether spacing was kept.
 */
spacing: Told<KeptData>, 
/**
 * Whether skin had rested.
 */
rest: Told<KeptData>, 
/**
 * How much skin was used.
 */
skin_used: Told<SkinUsedData>, 
/**
 * Spread, for each zone that was used.
 */
neighbours: Array<ZoneSpread>, 
/**
 * Balance between left and right.
 */
sides: Told<BalanceData>, 
/**
 * Balance between quadrants.
 */
quadrants: Told<BalanceData>, 
/**
 * The longest run in one quadrant.
 */
longest_run: Told<RunData>, 
/**
 * The most used square centimetre.
 */
busiest: Told<BusiestData>, 
/**
 * Measures taken from the reference adult, in words.
 */
assumed: Array<string>, };

/**
 * Arguments of `measures`.
 */
export type MeasuresGet = { 
/**
 * The person.
 */
person: string, 
/**
 * First day, `2026-05-07`; 27 days before the last when absent.
 */
from?: string | null, 
/**
 * Last day; today on the person's clock when absent.
 */
to?: string | null, };

/**
 * A medicine there are rules for.
 */
export type MedicineData = { 
/**
 * The key used in orders, such as `insulin-glargine-100`.
 */
id: string, 
/**
 * Generic name and strength.
 */
name: string, 
/**
 * Class, such as `insulin`.
 */
class: string, 
/**
 * The usual unit of its doses.
 */
unit: string, 
/**
 * Every unit its doses may be counted in.
 */
units: Array<string>, 
/**
 * Zones allowed, the preferred first.
 */
zones: Array<string>, 
/**
 * Source of the zones.
 */
zones_source: string, 
/**
 * Zones where a helper is needed.
 */
helper_zones: Array<string>, 
/**
 * Spacing to earlier injections.
 */
spacing: SourcedValue | null, 
/**
 * Rest of one point.
 */
point_rest: SourcedValue | null, 
/**
 * Rest of a whole zone.
 */
zone_rest: SourcedValue | null, 
/**
 * The pattern of sites, in words, with its source.
 */
pattern: string, 
/**
 * Source of the pattern.
 */
pattern_source: string, 
/**
 * Usual days between doses where it is not daily.
 */
every_days: number | null, 
/**
 * Cautions to show where it is chosen.
 */
cautions: Array<string>, };

/**
 * See [`Request::MedicineList`].
 */
export type MedicineListData = { 
/**
 * In alphabetical order.
 */
medicines: Array<MedicineData>, };

/**
 * A named curve, as SVG path data.
 */
export type NamedPath = { 
/**
 * What it is.
 */
name: string, 
/**
 * SVG path data.
 */
d: string, };

/**
 * How spread the injections of one zone lie.
 */
export type NeighboursData = { 
/**
 * Injections on the allowed skin.
 */
count: number, 
/**
 * Mean distance to the nearest other one, in centimetres.
 */
mean_cm: number, 
/**
 * What chance would give, in centimetres.
 */
expected_cm: number, 
/**
 * The one divided by the other.
 */
ratio: number, 
/**
 * Low end of what 95 of 100 random patterns give.
 */
random_low: number, 
/**
 * High end of it.
 */
random_high: number, 
/**
 * Random patterns thrown on this skin; absent where a formula for rectangles was used.
 */
thrown: number | null, };

/**
 * Arguments of `begin` and `protect`.
 */
export type NewPassphrase = { 
/**
 * The passphrase, twice the same if a person typed it; that is the screen's to ask.
 */
passphrase: string, };

/**
 * A published odds ratio.
 */
export type OddsData = { 
/**
 * `20.4 (10.5 to 39.6)`.
 */
words: string, 
/**
 * Who published it; says so where it was read in another document.
 */
source: string, };

/**
 * Arguments of `order_add`.
 */
export type OrderAdd = { 
/**
 * An id made by the caller; made here when absent.
 */
id?: string | null, 
/**
 * The person.
 */
person: string, 
/**
 * Key of the medicine.
 */
medicine: string, 
/**
 * The dose each time.
 */
dose: DoseWire, 
/**
 * Times of day, `08:00`; empty means when needed.
 */
times?: Array<string>, 
/**
 * Given every this many days; the medicine's usual, else 1, when absent.
 */
every_days?: number | null, 
/**
 * First day, `2026-06-01`.
 */
from: string, 
/**
 * Last day.
 */
to?: string | null, 
/**
 * Who prescribed it.
 */
prescriber: string, 
/**
 * Anything written beside it.
 */
note?: string | null, 
/**
 * Who makes the entry.
 */
recorder?: string | null, 
/**
 * On which days, how punctual, with what, by whom signed.
 */
terms?: OrderTerms, };

/**
 * Arguments of `order_change`.
 */
export type OrderChange = { 
/**
 * The order.
 */
order: string, 
/**
 * Why it is changed: who ordered the change.
 */
reason: string, 
/**
 * The order as it is from now on; its `person` must be the same and `id` is left out.
 */
to: OrderAdd, };

/**
 * An order as known now.
 */
export type OrderData = { 
/**
 * The order's id, which stays the same through changes.
 */
id: string, 
/**
 * The person.
 */
person: string, 
/**
 * Key of the medicine.
 */
medicine: string, 
/**
 * Generic name and strength.
 */
medicine_name: string, 
/**
 * The dose each time.
 */
dose: DoseWire, 
/**
 * The dose for people.
 */
dose_words: string, 
/**
 * Times of day.
 */
times: Array<string>, 
/**
 * Given every this many days.
 */
every_days: number, 
/**
 * When, in words: `daily at 08:00`, `every 7 days at 09:00`, `when needed`.
 */
times_words: string, 
/**
 * First day.
 */
from: string, 
/**
 * Last day.
 */
to: string | null, 
/**
 * Who prescribed it.
 */
prescriber: string, 
/**
 * Free text.
 */
note: string | null, 
/**
 * `in_force`, `not_yet` or `ended`, today.
 */
state: "in_force" | "not_yet" | "ended", 
/**
 * Cautions of the medicine.
 */
cautions: Array<string>, 
/**
 * On which days, how punctual, with what, by whom signed.
 */
terms: OrderTerms, 
/**
 * What is doubtful about it today, one sentence each: not signed, review overdue.
 */
doubts: Array<string>, };

/**
 * Arguments of `order_end`.
 */
export type OrderEnd = { 
/**
 * The order.
 */
order: string, 
/**
 * Its last day.
 */
to: string, 
/**
 * Why it ends.
 */
reason: string, 
/**
 * Who makes the entry.
 */
recorder?: string | null, };

/**
 * An order that was saved: the reply of `order_add` and `order_end`.
 */
export type OrderSaved = { 
/**
 * The order's id.
 */
id: string, 
/**
 * The order as known now.
 */
order: OrderData, };

/**
 * Terms of an order; each may be left out where it is not known.
 */
export type OrderTerms = { 
/**
 * Weekdays, 1 Monday to 7 Sunday; empty is any day the rest of the order asks for.
 */
weekdays?: Array<number>, 
/**
 * Minutes before a time of day that count as on time; given together with the next.
 */
window_before_min?: number | null, 
/**
 * Minutes after it.
 */
window_after_min?: number | null, 
/**
 * `vial_and_syringe`, `pen` or `prefilled_syringe`.
 */
device?: string | null, 
/**
 * Needle length in millimetres, 3 to 40.
 */
needle_mm?: number | null, 
/**
 * The day its prescriber signed it.
 */
signed_on?: string | null, 
/**
 * The last day before it must be looked at again.
 */
review_by?: string | null, 
/**
 * Whether glucose is measured before each injection.
 */
asks_glucose?: boolean, 
/**
 * `mmol/L` or `mg/dL`, of the two limits.
 */
glucose_unit?: string | null, 
/**
 * Below this the low-glucose steps come up; set by the prescriber.
 */
glucose_low?: string | null, 
/**
 * Above this the order's instruction counts; set by the prescriber.
 */
glucose_high?: string | null, 
/**
 * Whether policy asks for a second person to check.
 */
second_check?: boolean, 
/**
 * Who may give it, as the order or policy words it.
 */
may_give?: string | null, 
/**
 * Zones kept for times of day.
 */
regions?: Array<RegionWire>, };

/**
 * One part of the body and its injections.
 */
export type PartCount = { 
/**
 * `left`, or `abdomen/left_lower`.
 */
part: string, 
/**
 * Its name.
 */
words: string, 
/**
 * Injections into it.
 */
count: number, };

/**
 * Arguments of `passphrase_change`: what opens it now, one of the two, and the new one.
 */
export type PassphraseChange = { 
/**
 * The passphrase of today.
 */
passphrase?: string | null, 
/**
 * The recovery code.
 */
recovery_code?: string | null, 
/**
 * The new passphrase.
 */
new: string, };

/**
 * See [`super::Request::PassphraseChange`].
 */
export type PassphraseChanged = { 
/**
 * What was done, in words, and what of the copies.
 */
words: string, };

/**
 * See [`Request::Patch`].
 */
export type PatchData = { 
/**
 * The zone.
 */
zone: string, 
/**
 * Its name.
 */
words: string, 
/**
 * The landmark, at 0, 0.
 */
landmark: string, 
/**
 * The word at the edge where across is least: `person's right`, `inner`.
 */
edge_low: string, 
/**
 * The word at the edge where across is greatest: `person's left`, `outer`.
 */
edge_high: string, 
/**
 * Whether a viewer facing this skin sees `across` grow towards their own left (the drawing must be flipped).
 */
grows_to_viewer_left: boolean, 
/**
 * `min_across, min_up, max_across, max_up`.
 */
bounds: [number, number, number, number], 
/**
 * The whole zone.
 */
outline: Array<XY>, 
/**
 * Area of the whole zone.
 */
area_cm2: number, 
/**
 * Its quadrants.
 */
quadrants: Array<PatchQuadrant>, 
/**
 * Skin to keep away from.
 */
margins: Array<PatchMargin>, 
/**
 * Injections of the last year with a known point.
 */
sites: Array<PatchSite>, 
/**
 * Measures taken from the reference adult, in words.
 */
assumed: Array<string>, 
/**
 * Findings that are there on that day, and the skin to stay off around each.
 */
findings: Array<PatchFinding>, };

/**
 * A finding on the patch.
 */
export type PatchFinding = { 
/**
 * The finding.
 */
finding: string, 
/**
 * Its kind.
 */
kind: string, 
/**
 * Kind, place and size in words.
 */
words: string, 
/**
 * Its outline, closed.
 */
ring: Array<XY>, 
/**
 * The outline with its margin: skin to stay off. The same as `ring` where there is no margin.
 */
keep_off: Array<Array<XY>>, 
/**
 * Its middle.
 */
centre: XY, };

/**
 * Arguments of `patch`.
 */
export type PatchGet = { 
/**
 * The person.
 */
person: string, 
/**
 * The zone.
 */
zone: string, 
/**
 * As of when; now when absent.
 */
at?: string | null, 
/**
 * The order, whose medicine may have a margin of its own.
 */
order?: string | null, };

/**
 * A margin on the patch.
 */
export type PatchMargin = { 
/**
 * What it keeps away from: `navel`, `lowest rib`.
 */
name: string, 
/**
 * The landmark's line, or one point.
 */
line: Array<XY>, 
/**
 * How far.
 */
radius_cm: number, 
/**
 * Whose value.
 */
source: string, };

/**
 * One quadrant of the patch.
 */
export type PatchQuadrant = { 
/**
 * The quadrant.
 */
quadrant: string, 
/**
 * Its name.
 */
words: string, 
/**
 * Its outline.
 */
outline: Array<XY>, 
/**
 * Injections of the last 28 days known only to this quadrant.
 */
unplaced_28_days: number, 
/**
 * Step of the ramp.
 */
step: number, 
/**
 * Whole days since the last injection there.
 */
days: number | null, };

/**
 * An earlier injection on the patch.
 */
export type PatchSite = { 
/**
 * The injection.
 */
injection: string, 
/**
 * Where.
 */
point: XY, 
/**
 * Whole days ago.
 */
days: number, 
/**
 * Step of the ramp.
 */
step: number, 
/**
 * `insulin glargine 100 units/mL, 3 days ago`.
 */
words: string, 
/**
 * Whether it still rests.
 */
resting: boolean, };

/**
 * Arguments of `person_add`.
 */
export type PersonAdd = { 
/**
 * An id made by the caller; made here when absent.
 */
id?: string | null, 
/**
 * Full name.
 */
name: string, 
/**
 * Date of birth, `1951-03-09`.
 */
born: string, 
/**
 * IANA time zone, `Europe/London`.
 */
zone: string, 
/**
 * Absent: not asked. Empty: asked, none known. Otherwise what is known.
 */
allergies?: Array<string> | null, 
/**
 * Whether the person injects themself.
 */
self_injects?: boolean, 
/**
 * Measures.
 */
sizes?: SizesWire, 
/**
 * Zones this person uses, the preferred first; empty or absent leaves it to the medicine.
 */
zones?: Array<string>, 
/**
 * A second identifier.
 */
identifier?: string | null, 
/**
 * Free text.
 */
note?: string | null, 
/**
 * Who makes the entry.
 */
recorder?: string | null, 
/**
 * Weight in kilograms, 1 to 400, where it is known.
 */
weight_kg?: number | null, };

/**
 * Arguments of `person_change`: the whole of what is known now.
 */
export type PersonChange = { 
/**
 * The person.
 */
person: string, 
/**
 * Everything as it should read from now on (`id` is left out).
 */
to: PersonAdd, 
/**
 * Why.
 */
reason?: string | null, };

/**
 * A person as known now.
 */
export type PersonData = { 
/**
 * The person's id, which stays the same through changes.
 */
id: string, 
/**
 * Full name.
 */
name: string, 
/**
 * Date of birth.
 */
born: string, 
/**
 * Date of birth in words, `9 Mar 1951`.
 */
born_words: string, 
/**
 * Age in whole years now.
 */
age: number, 
/**
 * Time zone.
 */
zone: string, 
/**
 * Absent: not asked. Empty: none known.
 */
allergies: Array<string> | null, 
/**
 * Whether the person injects themself.
 */
self_injects: boolean, 
/**
 * Measures taken.
 */
sizes: SizesWire, 
/**
 * Zones preferred.
 */
zones: Array<string>, 
/**
 * A second identifier.
 */
identifier: string | null, 
/**
 * Free text.
 */
note: string | null, 
/**
 * Weight in kilograms, where it is known.
 */
weight_kg: number | null, };

/**
 * See [`Request::PersonGet`].
 */
export type PersonDetail = { 
/**
 * The person.
 */
person: PersonData, 
/**
 * Every order, those in force first.
 */
orders: Array<OrderData>, 
/**
 * Measures taken from the reference adult because they are not known, in words.
 */
assumed: Array<string>, 
/**
 * The last injection of any medicine.
 */
last: InjectionData | null, 
/**
 * How long ago, in words.
 */
last_ago: string | null, 
/**
 * Names seen in this person's entries, the latest first.
 */
recorders: Array<string>, 
/**
 * Injections of the last 28 days.
 */
count_28_days: number, };

/**
 * Arguments of `person_list`.
 */
export type PersonList = { 
/**
 * Only people whose name or identifier contains this.
 */
search?: string | null, };

/**
 * See [`Request::PersonList`].
 */
export type PersonListData = { 
/**
 * By name.
 */
people: Array<PersonRow>, };

/**
 * Names one person.
 */
export type PersonRef = { 
/**
 * The person's id.
 */
person: string, };

/**
 * One row of the caseload.
 */
export type PersonRow = { 
/**
 * The person.
 */
person: PersonData, 
/**
 * Orders in force today.
 */
orders: Array<OrderData>, 
/**
 * The last injection of any medicine.
 */
last: InjectionData | null, 
/**
 * How long ago it was, `4 h 10 min`.
 */
last_ago: string | null, };

/**
 * A person that was saved: the reply of `person_add` and `person_change`.
 */
export type PersonSaved = { 
/**
 * The person's id.
 */
id: string, 
/**
 * The person as known now.
 */
person: PersonData, };

/**
 * Where a finding lies on its zone's patch: an ellipse by its middle and two axes, or a line drawn around it.
 */
export type PlaceWire = { 
/**
 * The middle of an ellipse; absent where there is an outline.
 */
centre?: XY | null, 
/**
 * Its whole length along its first axis, in millimetres, 1 to 400.
 */
length_mm?: number | null, 
/**
 * Its whole length along the axis square to that, in millimetres, 1 to 400.
 */
width_mm?: number | null, 
/**
 * How far the first axis is turned from `across` towards `up`, in degrees; 0 when absent.
 */
turned_degrees?: number | null, 
/**
 * A line drawn around it: 3 to 500 points, closed from the last to the first.
 */
outline?: Array<XY> | null, };

/**
 * See [`Request::Plan`](super::Request::Plan).
 */
export type PlanData = { 
/**
 * First day.
 */
from: string, 
/**
 * Last day.
 */
to: string, 
/**
 * Both in words.
 */
words: string, 
/**
 * When it was made, in words; what is recorded later changes it.
 */
made: string, 
/**
 * The weeks.
 */
weeks: Array<PlanWeek>, 
/**
 * The zones with their numbered points.
 */
zones: Array<PlanZone>, 
/**
 * How far apart the points of each order lie, where its pattern has fixed points.
 */
spacing: Array<PlanSpacing>, 
/**
 * What the plan cannot keep, in words.
 */
note: string | null, 
/**
 * Orders that are not in it.
 */
unplanned: Array<Unplanned>, 
/**
 * Measures taken from the reference adult, in words.
 */
assumed: Array<string>, };

/**
 * One injection of the plan.
 */
export type PlanEntry = { 
/**
 * When it is due.
 */
at: string, 
/**
 * Its day, `2026-06-03`.
 */
day: string, 
/**
 * `Wed 3 Jun 2026`.
 */
day_words: string, 
/**
 * The time of day in words, `08:00` or `8:00 am`.
 */
time: string, 
/**
 * Its time has passed and no injection is on record for it.
 */
overdue: boolean, 
/**
 * The order.
 */
order: string, 
/**
 * Its medicine.
 */
medicine_name: string, 
/**
 * Its dose in words.
 */
dose_words: string, 
/**
 * Where.
 */
place: SiteData, 
/**
 * Number of the point, from 1; see [`PlanZone::points`].
 */
number: number, 
/**
 * What its check says.
 */
verdict: "clear" | "caution" | "avoid", 
/**
 * Why; empty when clear.
 */
reasons: Array<ReasonData>, 
/**
 * Why it is not where the pattern asks, or not clear.
 */
note: string | null, };

/**
 * Arguments of `plan`.
 */
export type PlanGet = { 
/**
 * The person.
 */
person: string, 
/**
 * From when; now when absent.
 */
at?: string | null, 
/**
 * How many weeks, 1 to 12; 4 when absent.
 */
weeks?: number | null, 
/**
 * Who would give it: `self` or `other`; absent takes the person's habit.
 */
giver?: string | null, };

/**
 * One point of the plan.
 */
export type PlanPoint = { 
/**
 * Its number, from 1, by when it is first used; no other zone has the same.
 */
number: number, 
/**
 * Where.
 */
place: SiteData, 
/**
 * When, in words: `Wed 3 Jun 2026, 08:00`.
 */
times: Array<string>, };

/**
 * How far apart the points of an order's plan lie.
 */
export type PlanSpacing = { 
/**
 * The order.
 */
order: string, 
/**
 * Its medicine.
 */
medicine_name: string, 
/**
 * Between any two points, the least of all its areas; centimetres.
 */
spacing_cm: number, 
/**
 * The least its rules ask for; centimetres.
 */
least_cm: number, 
/**
 * Both in words, and how exact a hand must be.
 */
words: string, };

/**
 * One week of the plan.
 */
export type PlanWeek = { 
/**
 * Its first day; the weeks start on the weekday the pattern changes.
 */
first: string, 
/**
 * `3 Jun 2026 to 9 Jun 2026`; the first week starts with the plan and the last ends with it.
 */
words: string, 
/**
 * The parts of the body it uses, most used first: `Abdomen, left lower quadrant`.
 */
places: Array<string>, 
/**
 * Its injections, the earliest first.
 */
entries: Array<PlanEntry>, };

/**
 * The points of one zone.
 */
export type PlanZone = { 
/**
 * The zone.
 */
zone: string, 
/**
 * Its name.
 */
words: string, 
/**
 * Its points.
 */
points: Array<PlanPoint>, };

/**
 * The practice's choices among published values.
 */
export type PracticeData = { 
/**
 * The navel margin in force.
 */
navel_margin_cm: number, 
/**
 * The published values to choose from, smallest first.
 */
navel_margins: Array<SourcedValue>, };

/**
 * Arguments of `practice_set`.
 */
export type PracticeSet = { 
/**
 * One of the published navel margins.
 */
navel_margin_cm: number, 
/**
 * Who chose it.
 */
recorder?: string | null, };

/**
 * See [`super::Request::Protect`].
 */
export type Protected = { 
/**
 * What was done, in words, and which copies stay readable to anybody.
 */
words: string, };

/**
 * See [`super::Request::Protection`].
 */
export type ProtectionData = { 
/**
 * `open`; `locked` (a passphrase opens it); `not_begun` (there is no record here yet, and a passphrase makes one);
 * `closed` (it cannot be opened; `status` says why).
 */
standing: "open" | "locked" | "not_begun" | "closed", 
/**
 * Whether the record is encrypted. False for the made-up caseload, and for one found plain.
 */
protected: boolean, 
/**
 * Whether this is the made-up caseload.
 */
demo: boolean, 
/**
 * Whether a recovery code was made.
 */
recovery_code: boolean, 
/**
 * After how many minutes without anybody there the record is locked.
 */
idle_minutes: number, 
/**
 * What `idle_minutes` can be.
 */
idle_choices: Array<number>, 
/**
 * In how many seconds it will be locked if nobody does anything; absent where it will not.
 */
locks_in_s: number | null, 
/**
 * How many seconds until a passphrase may be tried again, after wrong ones.
 */
wait_s: number, 
/**
 * The fewest characters of a new passphrase.
 */
shortest: number, };

/**
 * A quadrant by name.
 */
export type QuadrantRef = { 
/**
 * The zone.
 */
zone: string, 
/**
 * The quadrant.
 */
quadrant: string, 
/**
 * `Abdomen, left lower quadrant`.
 */
words: string, };

/**
 * Recent use of one quadrant.
 */
export type QuadrantUse = { 
/**
 * The quadrant.
 */
quadrant: string, 
/**
 * Its name in words.
 */
words: string, 
/**
 * Whole days since the last injection there; absent when there was none in the last year.
 */
days: number | null, 
/**
 * Injections there in the last 28 days.
 */
count_28_days: number, 
/**
 * Step of the colour ramp: 0 just used … 5 rested or not used.
 */
step: number, };

/**
 * One step of the ramp.
 */
export type RampStep = { 
/**
 * The step, 0 to 5.
 */
step: number, 
/**
 * What it means: `today`, `1 to 3 days`, …, `28 days or more, or not used`.
 */
words: string, };

/**
 * An identifier that was read back.
 */
export type ReadBackWire = { 
/**
 * `name`, `born` or `number`.
 */
identifier: string, 
/**
 * Whether it is what the record says.
 */
matches: boolean, };

/**
 * One reason of a verdict.
 */
export type ReasonData = { 
/**
 * The rule's name, such as `spacing`, `point_rest`, `navel_margin`.
 */
rule: string, 
/**
 * `caution` or `avoid`.
 */
level: "caution" | "avoid", 
/**
 * The reason as one sentence.
 */
words: string, 
/**
 * What was measured; the lower end where it is an interval, absent where nothing can be measured.
 */
measured: number | null, 
/**
 * The upper end of an interval, where an earlier entry is known only to the quadrant.
 */
measured_high: number | null, 
/**
 * The limit it was held against.
 */
limit: number | null, 
/**
 * The unit of measured and limit: `cm`, `days`, `hours`.
 */
unit: string | null, 
/**
 * Where the limit comes from, or `from memory`.
 */
source: string, 
/**
 * Ids of the earlier injections it is about.
 */
injections: Array<string>, 
/**
 * Ids of the findings it is about.
 */
findings: Array<string>, };

/**
 * Arguments of `recorder_confirm`.
 */
export type RecorderConfirm = { 
/**
 * The name.
 */
name: string, 
/**
 * The PIN.
 */
pin: string, };

/**
 * Somebody who writes in the record on this device and has a PIN.
 */
export type RecorderData = { 
/**
 * The name as it stands in entries.
 */
name: string, 
/**
 * Whether the PIN was given since the record was last unlocked.
 */
confirmed: boolean, };

/**
 * See [`super::Request::RecorderList`].
 */
export type RecorderListData = { 
/**
 * By name.
 */
recorders: Array<RecorderData>, 
/**
 * What a PIN does and does not do, in words.
 */
words: string, };

/**
 * Arguments of `recorder_set`.
 */
export type RecorderSet = { 
/**
 * The name as it stands in entries.
 */
name: string, 
/**
 * The PIN of today, where there is one.
 */
pin?: string | null, 
/**
 * The new PIN, 4 to 12 digits; no PIN any more when absent.
 */
new?: string | null, };

/**
 * See [`super::Request::RecoveryMake`].
 */
export type RecoveryData = { 
/**
 * The code in groups of four, to be written down now: it is told once.
 */
code: string, };

/**
 * Zones kept for a time of day.
 */
export type RegionWire = { 
/**
 * One of the order's times, `08:00`.
 */
time: string, 
/**
 * Its zones.
 */
zones: Array<string>, };

/**
 * A request: one operation with its arguments, `{"op":"site_check","args":{…}}`.
 */
export type Request = { "op": "status", "args": Record<symbol, never> } | { "op": "protection", "args": Record<symbol, never> } | { "op": "begin", "args": NewPassphrase } | { "op": "unlock", "args": Unlock } | { "op": "lock", "args": Record<symbol, never> } | { "op": "idle_set", "args": IdleSet } | { "op": "passphrase_change", "args": PassphraseChange } | { "op": "recovery_make", "args": NewPassphrase } | { "op": "protect", "args": NewPassphrase } | { "op": "recorder_list", "args": Record<symbol, never> } | { "op": "recorder_set", "args": RecorderSet } | { "op": "recorder_confirm", "args": RecorderConfirm } | { "op": "medicine_list", "args": Record<symbol, never> } | { "op": "practice_get", "args": Record<symbol, never> } | { "op": "practice_set", "args": PracticeSet } | { "op": "journal_verify", "args": Record<symbol, never> } | { "op": "backup_list", "args": Record<symbol, never> } | { "op": "backup_make", "args": Record<symbol, never> } | { "op": "backup_start", "args": Record<symbol, never> } | { "op": "backup_state", "args": Record<symbol, never> } | { "op": "backup_stop", "args": Record<symbol, never> } | { "op": "backup_folder", "args": BackupFolder } | { "op": "backup_restore", "args": BackupRef } | { "op": "person_add", "args": PersonAdd } | { "op": "person_change", "args": PersonChange } | { "op": "person_list", "args": PersonList } | { "op": "person_get", "args": PersonRef } | { "op": "order_add", "args": OrderAdd } | { "op": "order_end", "args": OrderEnd } | { "op": "order_change", "args": OrderChange } | { "op": "due", "args": DueGet } | { "op": "handover", "args": HandoverGet } | { "op": "event_record", "args": EventRecord } | { "op": "event_withdraw", "args": EventWithdraw } | { "op": "event_correct", "args": EventCorrect } | { "op": "event_list", "args": EventList } | { "op": "glucose_check", "args": GlucoseCheck } | { "op": "glucose_state", "args": GlucoseGet } | { "op": "container_add", "args": ContainerAdd } | { "op": "before", "args": BeforeGet } | { "op": "dose_volume", "args": DoseVolumeGet } | { "op": "technique", "args": TechniqueGet } | { "op": "site_check", "args": SiteCheck } | { "op": "site_suggest", "args": SiteSuggest } | { "op": "site_at", "args": SiteAt } | { "op": "injection_record", "args": InjectionRecord } | { "op": "injection_correct", "args": InjectionCorrect } | { "op": "injection_list", "args": InjectionList } | { "op": "use_map", "args": UseMap } | { "op": "use_grid", "args": UseGridGet } | { "op": "measures", "args": MeasuresGet } | { "op": "plan", "args": PlanGet } | { "op": "room", "args": RoomGet } | { "op": "body_drawing", "args": BodyDrawing } | { "op": "patch", "args": PatchGet } | { "op": "finding_record", "args": FindingRecord } | { "op": "finding_look", "args": FindingLook } | { "op": "finding_withdraw", "args": SkinWithdraw } | { "op": "finding_list", "args": FindingList } | { "op": "skin_check_record", "args": SkinCheckRecord } | { "op": "skin_check_withdraw", "args": SkinWithdraw } | { "op": "skin_state", "args": SkinStateGet } | { "op": "risk", "args": RiskGet } | { "op": "chart", "args": ChartGet } | { "op": "chart_file", "args": ChartFileGet } | { "op": "time_resolve", "args": TimeResolve } | { "op": "draft_save", "args": DraftSave } | { "op": "draft_get", "args": DraftRef } | { "op": "draft_drop", "args": DraftRef };

/**
 * A reply, `{"op":"site_check","data":{…}}`.
 */
export type Response = { "op": "status", "data": StatusData } | { "op": "protection", "data": ProtectionData } | { "op": "begin", "data": ProtectionData } | { "op": "unlock", "data": ProtectionData } | { "op": "lock", "data": ProtectionData } | { "op": "idle_set", "data": ProtectionData } | { "op": "passphrase_change", "data": PassphraseChanged } | { "op": "recovery_make", "data": RecoveryData } | { "op": "protect", "data": Protected } | { "op": "recorder_list", "data": RecorderListData } | { "op": "recorder_set", "data": RecorderListData } | { "op": "recorder_confirm", "data": RecorderListData } | { "op": "medicine_list", "data": MedicineListData } | { "op": "practice_get", "data": PracticeData } | { "op": "practice_set", "data": PracticeData } | { "op": "journal_verify", "data": JournalData } | { "op": "backup_list", "data": BackupListData } | { "op": "backup_make", "data": BackupData } | { "op": "backup_start", "data": BackupStateData } | { "op": "backup_state", "data": BackupStateData } | { "op": "backup_stop", "data": BackupStateData } | { "op": "backup_folder", "data": BackupListData } | { "op": "backup_restore", "data": BackupRestored } | { "op": "person_add", "data": PersonSaved } | { "op": "person_change", "data": PersonSaved } | { "op": "person_list", "data": PersonListData } | { "op": "person_get", "data": PersonDetail } | { "op": "order_add", "data": OrderSaved } | { "op": "order_end", "data": OrderSaved } | { "op": "order_change", "data": OrderSaved } | { "op": "due", "data": DueData } | { "op": "handover", "data": HandoverData } | { "op": "event_record", "data": EventData } | { "op": "event_withdraw", "data": EventData } | { "op": "event_correct", "data": EventData } | { "op": "event_list", "data": EventListData } | { "op": "glucose_check", "data": GlucoseJudged } | { "op": "glucose_state", "data": GlucoseData } | { "op": "container_add", "data": ContainerData } | { "op": "before", "data": BeforeData } | { "op": "dose_volume", "data": DoseVolumeData } | { "op": "technique", "data": TechniqueData } | { "op": "site_check", "data": SiteCheckData } | { "op": "site_suggest", "data": SiteSuggestData } | { "op": "site_at", "data": SiteAtData } | { "op": "injection_record", "data": InjectionData } | { "op": "injection_correct", "data": InjectionData } | { "op": "injection_list", "data": InjectionListData } | { "op": "use_map", "data": UseMapData } | { "op": "use_grid", "data": UseGridData } | { "op": "measures", "data": MeasuresData } | { "op": "plan", "data": PlanData } | { "op": "room", "data": RoomData } | { "op": "body_drawing", "data": BodyDrawingData } | { "op": "patch", "data": PatchData } | { "op": "finding_record", "data": FindingData } | { "op": "finding_look", "data": FindingData } | { "op": "finding_withdraw", "data": FindingData | null } | { "op": "finding_list", "data": FindingListData } | { "op": "skin_check_record", "data": SkinCheckData } | { "op": "skin_check_withdraw", "data": SkinCheckData } | { "op": "skin_state", "data": SkinStateData } | { "op": "risk", "data": RiskData } | { "op": "chart", "data": ChartData } | { "op": "chart_file", "data": ChartFileData } | { "op": "time_resolve", "data": TimeResolveData } | { "op": "draft_save", "data": DraftData } | { "op": "draft_get", "data": DraftData } | { "op": "draft_drop", "data": DraftData };

/**
 * See [`super::Request::Risk`].
 */
export type RiskData = { 
/**
 * The period in words.
 */
period_words: string, 
/**
 * The factors, each by itself: they are neither multiplied nor added up.
 */
factors: Array<FactorData>, 
/**
 * What the list is not.
 */
caution: string, };

/**
 * Arguments of `risk`.
 */
export type RiskGet = { 
/**
 * The person.
 */
person: string, 
/**
 * Days looked at, 7 to 366; 84 when absent.
 */
days?: number | null, };

/**
 * See [`Request::Room`](super::Request::Room).
 */
export type RoomData = { 
/**
 * The day it holds for.
 */
day: string, 
/**
 * All of it in plain sentences.
 */
words: string, 
/**
 * How exact a hand must be so that the spacing is kept, in words; absent where there is no room at all.
 */
margin_words: string | null, 
/**
 * Whether the orders can go on like this; absent where no order says how often.
 */
enough: boolean | null, 
/**
 * Injections a day, all orders together.
 */
per_day: number, 
/**
 * The narrowest spacing any of the medicines asks for, in centimetres.
 */
least_spacing_cm: number, 
/**
 * Sites needed at that spacing.
 */
need_sites: number, 
/**
 * Sites found at that spacing.
 */
capacity_sites: number, 
/**
 * No arrangement has more, proven.
 */
ceiling_sites: number, 
/**
 * Sites lacking; 0 where none are.
 */
short_sites: number, 
/**
 * The widest spacing at which the need is covered, in centimetres; absent where none is.
 */
working_spacing_cm: number | null, 
/**
 * Weeks all skin could rest longer than asked.
 */
weeks_of_reserve: number, 
/**
 * Where a medicine rests whole zones.
 */
zone_rest: RoomZoneRest | null, 
/**
 * The zones in use.
 */
zones: Array<RoomZone>, 
/**
 * What would give more room, the most helpful first.
 */
help: Array<RoomHelp>, 
/**
 * The orders it was worked out for, in words.
 */
orders: Array<string>, 
/**
 * Orders that could not be counted.
 */
unplanned: Array<Unplanned>, 
/**
 * Measures taken from the reference adult, in words.
 */
assumed: Array<string>, };

/**
 * Arguments of `room`.
 */
export type RoomGet = { 
/**
 * The person.
 */
person: string, 
/**
 * As of which moment; now when absent.
 */
at?: string | null, 
/**
 * Who would give it: `self` or `other`; absent takes the person's habit.
 */
giver?: string | null, };

/**
 * What would give more room.
 */
export type RoomHelp = { 
/**
 * Sites it adds at the least spacing.
 */
adds_sites: number, 
/**
 * Whether it is enough by itself.
 */
covers: boolean, 
/**
 * What it is, in words.
 */
words: string, };

/**
 * One zone in use.
 */
export type RoomZone = { 
/**
 * The zone.
 */
zone: string, 
/**
 * Its name.
 */
words: string, 
/**
 * Skin without its margins, in square centimetres.
 */
area_cm2: number, 
/**
 * Sites found at the least spacing.
 */
sites: number, 
/**
 * No arrangement has more, proven.
 */
ceiling: number, };

/**
 * Zones that rest as a whole.
 */
export type RoomZoneRest = { 
/**
 * Zones needed in turn.
 */
needed: number, 
/**
 * Zones in use.
 */
used: number, };

/**
 * The medicine whose zones, margins and spacing count.
 */
export type RulesOf = { 
/**
 * The medicine.
 */
medicine: string, 
/**
 * Its name.
 */
name: string, 
/**
 * Why it and no other.
 */
words: string, };

/**
 * Injections one after the other into one quadrant.
 */
export type RunData = { 
/**
 * The zone.
 */
zone: string, 
/**
 * The quadrant.
 */
quadrant: string, 
/**
 * How many.
 */
count: number, 
/**
 * Day of the first.
 */
first: string, 
/**
 * Day of the last.
 */
last: string, };

/**
 * Time since the last injection of the same medicine, by elapsed hours.
 */
export type SinceLast = { 
/**
 * The earlier injection.
 */
injection: InjectionData, 
/**
 * Elapsed minutes, counted on the instants, not the dates.
 */
minutes: number, 
/**
 * `17 h 30 min`.
 */
words: string, 
/**
 * Whether that is early for this order.
 */
early: boolean, 
/**
 * Whether recording now needs a reason.
 */
needs_reason: boolean, 
/**
 * The usual hours between doses of this order; absent where it is given when needed.
 */
usual_hours: number | null, };

/**
 * Arguments of `site_at`.
 */
export type SiteAt = { 
/**
 * The person, for the sizes.
 */
person: string, 
/**
 * `front` or `back`.
 */
view: string, 
/**
 * In the drawing's own units.
 */
x: number, 
/**
 * In the drawing's own units.
 */
y: number, };

/**
 * See [`Request::SiteAt`].
 */
export type SiteAtData = { 
/**
 * What was touched, `right thigh (person's right)`; absent off the body.
 */
words: string | null, 
/**
 * The zone, where the touch is in one.
 */
zone: string | null, 
/**
 * The site, where the touch is in a zone.
 */
place: SiteData | null, 
/**
 * Other quadrants within a finger's error of the touch; the screen asks instead of guessing.
 */
near: Array<QuadrantRef>, };

/**
 * Arguments of `site_check`.
 */
export type SiteCheck = { 
/**
 * The person.
 */
person: string, 
/**
 * The order.
 */
order: string, 
/**
 * The proposed site.
 */
site: SiteWire, 
/**
 * When; RFC 3339 with offset, or a local time in the person's zone.
 */
at: string, 
/**
 * Who would give it: `self` or `other`; absent takes the person's habit.
 */
giver?: string | null, 
/**
 * Leave one injection out of the history: the one that is being corrected.
 */
without?: string | null, };

/**
 * See [`Request::SiteCheck`].
 */
export type SiteCheckData = { 
/**
 * `clear`, `caution` or `avoid`: the worst level of the reasons.
 */
verdict: "clear" | "caution" | "avoid", 
/**
 * Why, the worst first.
 */
reasons: Array<ReasonData>, 
/**
 * The site in words.
 */
words: string, 
/**
 * The site in words, spoken to the patient.
 */
words_patient: string, 
/**
 * The site with its quadrant filled in.
 */
site: SiteWire, 
/**
 * Centimetres to the nearest injection of the last 28 days whose point is known.
 */
nearest_cm: number | null, 
/**
 * Time since the last injection of the same medicine.
 */
since_last: SinceLast | null, 
/**
 * Measures of this zone taken from the reference adult, in words.
 */
assumed: Array<string>, 
/**
 * Said where the next site leaves a lump for healthy skin; of suggestions, the first.
 */
leaving_lump: LeavingLump | null, };

/**
 * A place with words for it.
 */
export type SiteData = { 
/**
 * The place; all four members where the point is known.
 */
site: SiteWire, 
/**
 * `Abdomen, left lower quadrant: 5.5 cm to the person's left of the navel, 3 cm below it`.
 */
words: string, 
/**
 * The same, spoken to the patient: "your left".
 */
words_patient: string, };

/**
 * Arguments of `site_suggest`.
 */
export type SiteSuggest = { 
/**
 * The person.
 */
person: string, 
/**
 * The order.
 */
order: string, 
/**
 * When; RFC 3339 with offset, or a local time in the person's zone.
 */
at: string, 
/**
 * How many, 1 to 5; 5 when absent.
 */
count?: number | null, 
/**
 * Who would give it: `self` or `other`; absent takes the person's habit.
 */
giver?: string | null, };

/**
 * See [`Request::SiteSuggest`].
 */
export type SiteSuggestData = { 
/**
 * The best first.
 */
sites: Array<Suggestion>, 
/**
 * This week's part of the pattern, in words.
 */
pattern_words: string, 
/**
 * Why a site is not where the pattern asks, or why none is clear; absent when all is well.
 */
note: string | null, 
/**
 * Said where the next site leaves a lump for healthy skin; of suggestions, the first.
 */
leaving_lump: LeavingLump | null, };

/**
 * A site as sent: a zone and a quadrant, with both coordinates or neither.
 */
export type SiteWire = { 
/**
 * `abdomen`, `left_thigh`, `right_thigh`, `left_arm`, `right_arm`, `left_buttock`, `right_buttock`.
 */
zone: string, 
/**
 * One of the zone's four quadrants; may be left out where both coordinates are given.
 */
quadrant?: string | null, 
/**
 * Centimetres across from the landmark.
 */
across_cm?: number | null, 
/**
 * Centimetres up from the landmark.
 */
up_cm?: number | null, };

/**
 * Measures in centimetres; a measure that was not taken is left out.
 */
export type SizesWire = { 
/**
 * Standing height, 50 to 250.
 */
height_cm?: number | null, 
/**
 * Girth at the navel, 30 to 250.
 */
waist_cm?: number | null, 
/**
 * Girth of the upper thigh, 15 to 150.
 */
thigh_cm?: number | null, 
/**
 * Girth of the upper arm, 8 to 90.
 */
upper_arm_cm?: number | null, };

/**
 * A skin check of the record.
 */
export type SkinCheckData = { 
/**
 * The entry's id.
 */
id: string, 
/**
 * When, RFC 3339.
 */
at: string, 
/**
 * When, in words.
 */
at_words: string, 
/**
 * Who looked and felt.
 */
recorder: string, 
/**
 * Each zone with what was said of it.
 */
zones: Array<ZoneSeenData>, 
/**
 * As sent.
 */
needle_uses: number | null, 
/**
 * As sent.
 */
insulin_since: number | null, 
/**
 * As sent.
 */
unexplained_lows: boolean | null, 
/**
 * Free text.
 */
note: string | null, 
/**
 * The check as one sentence: `4 zones clear, 1 with a finding, 2 not looked at.`
 */
words: string, 
/**
 * Why it was withdrawn; absent where it counts.
 */
withdrawn: string | null, };

/**
 * Arguments of `skin_check_record`.
 */
export type SkinCheckRecord = { 
/**
 * A UUID made by the caller.
 */
id: string, 
/**
 * The person.
 */
person: string, 
/**
 * When.
 */
at: string, 
/**
 * Who looked and felt.
 */
recorder: string, 
/**
 * Each zone that was asked about, once.
 */
zones: Array<ZoneSeenWire>, 
/**
 * How many injections with one needle, 1 to 100; absent where nobody asked.
 */
needle_uses?: number | null, 
/**
 * The year insulin was begun; absent where nobody asked or there is none.
 */
insulin_since?: number | null, 
/**
 * Whether there were low values nobody can explain; absent where nobody asked.
 */
unexplained_lows?: boolean | null, 
/**
 * Free text.
 */
note?: string | null, };

/**
 * See [`super::Request::SkinState`].
 */
export type SkinStateData = { 
/**
 * `never`, `overdue`, `suggested` or `not_due`.
 */
due: "never" | "overdue" | "suggested" | "not_due", 
/**
 * That in one sentence.
 */
due_words: string, 
/**
 * Why a check is suggested, one sentence each.
 */
hints: Array<string>, 
/**
 * Who says how often.
 */
due_source: string, 
/**
 * The zones in use: those the person uses, else those of the orders' medicines, with those used in the last year.
 */
zones: Array<ZoneSeenData>, 
/**
 * The guided steps.
 */
steps: Array<LookStepData>, 
/**
 * The caution that feeling misses lumps.
 */
caution: string, 
/**
 * Who says so.
 */
caution_source: string, 
/**
 * Whether an order of insulin is known, so that needles and years of insulin are worth asking.
 */
insulin: boolean, 
/**
 * Checks so far, newest first; withdrawn ones too.
 */
checks: Array<SkinCheckData>, 
/**
 * How many findings are there now.
 */
findings_there: number, };

/**
 * Arguments of `skin_state`.
 */
export type SkinStateGet = { 
/**
 * The person.
 */
person: string, };

/**
 * How much of the allowed skin was used.
 */
export type SkinUsedData = { 
/**
 * Used, in square centimetres.
 */
used_cm2: number, 
/**
 * Allowed, in square centimetres.
 */
allowed_cm2: number, 
/**
 * The one divided by the other, 0 to 1.
 */
share: number, };

/**
 * Arguments of `finding_withdraw` and `skin_check_withdraw`: an entry that was made in error.
 */
export type SkinWithdraw = { 
/**
 * A UUID made by the caller.
 */
id: string, 
/**
 * The look or the check. Withdrawing the look that found it withdraws the finding with all its looks.
 */
replaces: string, 
/**
 * Why.
 */
reason: string, 
/**
 * Who withdraws it.
 */
recorder: string, };

/**
 * A value with its source.
 */
export type SourcedValue = { 
/**
 * The value.
 */
value: number, 
/**
 * Its unit.
 */
unit: string, 
/**
 * Where it comes from, or `from memory`.
 */
source: string, };

/**
 * What this copy is.
 */
export type StatusData = { 
/**
 * Program version.
 */
version: string, 
/**
 * Whether writing is possible; false for a store made by a newer version.
 */
writable: boolean, 
/**
 * Whether this is the made-up caseload.
 */
demo: boolean, 
/**
 * Whether the record is encrypted.
 */
protected: boolean, 
/**
 * Whether the clock was set by hand.
 */
clock_set: boolean, 
/**
 * Now, RFC 3339 at this device's offset.
 */
now: string, 
/**
 * Time zone rules in use.
 */
tz_version: string, 
/**
 * The entry with a recording time later than now, if any: the clock may be wrong.
 */
clock_behind: boolean, 
/**
 * Why today's copy of the record could not be made.
 */
backup_fault: string | null, 
/**
 * People on this device.
 */
people: number, };

/**
 * One suggested site.
 */
export type Suggestion = { 
/**
 * The site, all four members.
 */
site: SiteWire, 
/**
 * In words.
 */
words: string, 
/**
 * In words, spoken to the patient.
 */
words_patient: string, 
/**
 * What its check says; empty when clear.
 */
reasons: Array<ReasonData>, 
/**
 * Its verdict.
 */
verdict: "clear" | "caution" | "avoid", 
/**
 * Centimetres to the nearest injection of the last 28 days whose point is known.
 */
nearest_cm: number | null, };

/**
 * A syringe that can be chosen.
 */
export type SyringeData = { 
/**
 * Its code.
 */
code: string, 
/**
 * Its name.
 */
name: string, 
/**
 * Whether it is made for this medicine and strength.
 */
fits: boolean, 
/**
 * Whether this dose ends on one of its lines.
 */
shows: boolean, };

/**
 * See [`Request::Technique`](super::Request::Technique).
 */
export type TechniqueData = { 
/**
 * Needle and fold in one sentence; absent where length or device are not known.
 */
words: string | null, 
/**
 * What has to be known first, in words.
 */
asks: Array<string>, 
/**
 * The fold and why.
 */
fold: TechniqueStep | null, 
/**
 * Cautions, the loud ones first.
 */
cautions: Array<BeforeProblem>, 
/**
 * What is not known and would matter.
 */
unknown: Array<string>, 
/**
 * The steps in the order the work is done.
 */
steps: Array<TechniqueStep>, };

/**
 * Arguments of `technique`.
 */
export type TechniqueGet = { 
/**
 * The person.
 */
person: string, 
/**
 * The order.
 */
order: string, 
/**
 * Where it goes.
 */
zone: string, 
/**
 * Needle length in millimetres; the order's when absent.
 */
needle_mm?: number | null, 
/**
 * `vial_and_syringe`, `pen` or `prefilled_syringe`; the order's when absent.
 */
device?: string | null, 
/**
 * Weight in kilograms; the person's when absent.
 */
weight_kg?: number | null, 
/**
 * Late in pregnancy.
 */
late_pregnancy?: boolean, };

/**
 * One step.
 */
export type TechniqueStep = { 
/**
 * What to do.
 */
words: string, 
/**
 * Where it comes from.
 */
source: string, };

/**
 * An instant that may have been meant.
 */
export type TimeOffer = { 
/**
 * RFC 3339 with its offset.
 */
at: string, 
/**
 * `Sun 25 Oct 2026, 02:20 (+02:00, first)`.
 */
words: string, };

/**
 * Arguments of `time_resolve`.
 */
export type TimeResolve = { 
/**
 * `2026-03-29T02:30`.
 */
local: string, 
/**
 * IANA zone.
 */
zone: string, };

/**
 * See [`Request::TimeResolve`].
 */
export type TimeResolveData = { 
/**
 * `one`, `twice` (the clock went back: ask which) or `never` (the clock went forward over it).
 */
kind: "one" | "twice" | "never", 
/**
 * One instant, or the two to choose from.
 */
offers: Array<TimeOffer>, 
/**
 * How long ago that is, `2 h ago`, or `in 3 h`; of the first offer.
 */
ago: string, 
/**
 * Whether it is later than now.
 */
future: boolean, };

/**
 * A measure and its sentence.
 */
export type Told<T> = { 
/**
 * What was found, or why nothing can be said.
 */
words: string, 
/**
 * The measure; absent where it cannot be known.
 */
value: T | null, };

/**
 * Arguments of `unlock`: one of the two.
 */
export type Unlock = { 
/**
 * The passphrase.
 */
passphrase?: string | null, 
/**
 * The recovery code; blanks, hyphens and small letters do no harm.
 */
recovery_code?: string | null, };

/**
 * Entries of one quadrant that have no point.
 */
export type UnplacedUse = { 
/**
 * The quadrant.
 */
quadrant: string, 
/**
 * How many in the last year.
 */
count: number, 
/**
 * Whole days since the last.
 */
days: number, };

/**
 * An order the plan cannot hold.
 */
export type Unplanned = { 
/**
 * The order.
 */
order: string, 
/**
 * Its medicine.
 */
medicine_name: string, 
/**
 * Why, and what to do instead.
 */
words: string, };

/**
 * See [`Request::UseGrid`](super::Request::UseGrid).
 */
export type UseGridData = { 
/**
 * As of when.
 */
at: string, 
/**
 * Side of a cell, in centimetres.
 */
cell_cm: number, 
/**
 * Skin nearer than this to an injection has been used; centimetres.
 */
radius_cm: number, 
/**
 * Days after which an injection weighs half in `load`.
 */
half_life_days: number, 
/**
 * Whose spacing and rest these are; absent where there is neither an order nor an injection.
 */
rules: RulesOf | null, 
/**
 * The zones.
 */
zones: Array<ZoneCells>, };

/**
 * Arguments of `use_grid`.
 */
export type UseGridGet = { 
/**
 * The person.
 */
person: string, 
/**
 * As of when; now when absent.
 */
at?: string | null, 
/**
 * One zone; all seven when absent.
 */
zone?: string | null, };

/**
 * Arguments of `use_map`.
 */
export type UseMap = { 
/**
 * The person.
 */
person: string, 
/**
 * As of when; now when absent.
 */
at?: string | null, };

/**
 * See [`Request::UseMap`].
 */
export type UseMapData = { 
/**
 * As of when.
 */
at: string, 
/**
 * All seven zones.
 */
zones: Array<ZoneUse>, 
/**
 * The ramp's legend.
 */
ramp: Array<RampStep>, 
/**
 * Measures taken from the reference adult, in words.
 */
assumed: Array<string>, 
/**
 * Findings that are there at that time.
 */
findings: Array<DrawnFinding>, };

/**
 * A finding that was entered in error.
 */
export type WithdrawnFinding = { 
/**
 * The id of the entry that found it.
 */
id: string, 
/**
 * Its kind.
 */
kind: string, 
/**
 * Its kind in words.
 */
kind_words: string, 
/**
 * Where its middle was said to be.
 */
place: SiteData, 
/**
 * The look that found it, with why it was withdrawn, by whom and when.
 */
look: LookData, };

/**
 * A point in centimetres.
 */
export type XY = { 
/**
 * Across from the landmark.
 */
across_cm: number, 
/**
 * Up from the landmark.
 */
up_cm: number, };

/**
 * Use of one zone's skin.
 */
export type ZoneCells = { 
/**
 * The zone.
 */
zone: string, 
/**
 * Its name.
 */
words: string, 
/**
 * Cells the zone has; those not named in `rows` were not used in the last year.
 */
cells: number, 
/**
 * Its used cells, from the bottom upwards.
 */
rows: Array<CellRow>, 
/**
 * Entries known only to the quadrant, never spread over cells.
 */
unplaced: Array<UnplacedUse>, };

/**
 * What was said of one zone, in words.
 */
export type ZoneSeenData = { 
/**
 * The zone.
 */
zone: string, 
/**
 * Its name.
 */
zone_words: string, 
/**
 * `clear`, `finding` or `not_looked_at`.
 */
seen: "clear" | "finding" | "not_looked_at", };

/**
 * What was said of one zone in a skin check.
 */
export type ZoneSeenWire = { 
/**
 * The zone.
 */
zone: string, 
/**
 * `clear`, `finding` or `not_looked_at`.
 */
seen: string, };

/**
 * Spread in one zone.
 */
export type ZoneSpread = { 
/**
 * The zone.
 */
zone: string, 
/**
 * What was found.
 */
spread: Told<NeighboursData>, };

/**
 * Recent use of one zone.
 */
export type ZoneUse = { 
/**
 * The zone.
 */
zone: string, 
/**
 * Its name in words.
 */
words: string, 
/**
 * Whole days since the last injection there; absent when there was none in the last year.
 */
days: number | null, 
/**
 * Injections there in the last 28 days.
 */
count_28_days: number, 
/**
 * Its four quadrants.
 */
quadrants: Array<QuadrantUse>, };

/** Every code an error can have. */
export type ErrorCode =
  | "bad_json"
  | "bad_request"
  | "unknown_op"
  | "bad_id"
  | "unknown_person"
  | "unknown_order"
  | "order_of_another"
  | "unknown_injection"
  | "unknown_medicine"
  | "unknown_zone"
  | "unknown_quadrant"
  | "unknown_view"
  | "site_incomplete"
  | "site_outside_quadrant"
  | "site_off_zone"
  | "bad_size"
  | "bad_date"
  | "bad_time"
  | "unknown_time_zone"
  | "time_in_gap"
  | "time_ambiguous"
  | "time_in_future"
  | "time_before_birth"
  | "bad_dose"
  | "wrong_unit"
  | "bad_text"
  | "bad_count"
  | "not_published"
  | "dates_reversed"
  | "bad_code"
  | "bad_glucose"
  | "unknown_container"
  | "unknown_event"
  | "unknown_finding"
  | "unknown_backup"
  | "unknown_skin_check"
  | "bad_place"
  | "before_found"
  | "finding_ended"
  | "bad_device"
  | "already_given"
  | "weekly_medicine"
  | "id_reused"
  | "already_corrected"
  | "avoid_needs_reason"
  | "second_dose"
  | "order_not_in_force"
  | "locked"
  | "not_begun"
  | "already_begun"
  | "wrong_secret"
  | "try_later"
  | "weak_secret"
  | "not_protected"
  | "keys_missing"
  | "keys_damaged"
  | "file_too_new"
  | "file_damaged"
  | "file_missing"
  | "read_only"
  | "disk_full"
  | "busy"
  | "internal";
