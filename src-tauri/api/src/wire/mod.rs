//! Every type that crosses the door, in and out. Plain data: no rule is decided here.
//!
//! Wire types hold what was sent; [`crate::lower`] turns them into the domain's types or a coded error.
//! `ui/src/wire.ts` is generated from this folder (`cargo xtask types`).

mod backups;
mod before;
mod body;
mod chart;
mod forms;
mod guard;
mod injections;
mod journal;
mod measures;
mod parts;
mod people;
mod plan;
mod practice;
mod risk;
mod sites;
mod skin;
mod visit;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

pub use backups::*;
pub use before::*;
pub use body::*;
pub use chart::*;
pub use forms::*;
pub use guard::*;
pub use injections::*;
pub use journal::*;
pub use measures::*;
pub use parts::*;
pub use people::*;
pub use plan::*;
pub use practice::*;
pub use risk::*;
pub use sites::*;
pub use skin::*;
pub use visit::*;

/// A request: one operation with its arguments, `{"op":"site_check","args":{…}}`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(tag = "op", content = "args", rename_all = "snake_case")]
pub enum Request {
    /// What this copy is and which store it has open.
    Status {},
    /// Whether the record is protected, open or locked; answered whatever its state.
    Protection {},
    /// Make the record of this device, protected by a passphrase.
    Begin(NewPassphrase),
    /// Open a locked record.
    Unlock(Unlock),
    /// Lock the record, in every program that has it open.
    Lock {},
    /// After how long without anybody there it is locked.
    IdleSet(IdleSet),
    /// Another passphrase; no entry is rewritten.
    PassphraseChange(PassphraseChange),
    /// A recovery code in place of the one before, told once.
    RecoveryMake(NewPassphrase),
    /// Encrypt a record that was found plain.
    Protect(NewPassphrase),
    /// Who has a PIN on this device.
    RecorderList {},
    /// Give somebody a PIN, change it or take it away.
    RecorderSet(RecorderSet),
    /// Say by PIN who writes, until the record is locked.
    RecorderConfirm(RecorderConfirm),
    /// The medicines this program has rules for, with sources.
    MedicineList {},
    /// Settings of the practice, and the published values they choose among.
    PracticeGet {},
    /// Choose among published values.
    PracticeSet(PracticeSet),
    /// Walk the journal's chain of hashes; names the first entry that does not fit.
    JournalVerify {},
    /// The copies of the record that there are.
    BackupList {},
    /// Make a copy now, and answer when it is made.
    BackupMake {},
    /// Begin to make a copy, and answer at once.
    BackupStart {},
    /// How far the copy is that was begun, or what became of it.
    BackupState {},
    /// Stop it; nothing of it is left.
    BackupStop {},
    /// Keep copies in another folder.
    BackupFolder(BackupFolder),
    /// Put a copy in the record's place; what was there is kept beside it.
    BackupRestore(BackupRef),
    /// Add a person.
    PersonAdd(PersonAdd),
    /// Replace what is known of a person; a new entry that supersedes the last one.
    PersonChange(PersonChange),
    /// Everybody on this device, with the last injection of each.
    PersonList(PersonList),
    /// One person with orders, measures assumed and the last injection.
    PersonGet(PersonRef),
    /// Add an order.
    OrderAdd(OrderAdd),
    /// End an order on a day.
    OrderEnd(OrderEnd),
    /// Change an order from now on; a new version, and old injections keep theirs.
    OrderChange(OrderChange),
    /// What is due today, late first.
    Due(DueGet),
    /// What happened in a shift: given, not given and why, open, concerns.
    Handover(HandoverGet),
    /// Record what happened around an injection: not given, glucose, ketones, carbohydrate, an alarm.
    EventRecord(EventRecord),
    /// Withdraw an event that never happened; a new entry that supersedes it.
    EventWithdraw(EventWithdraw),
    /// Puts an event right: the new entry replaces it and says why.
    EventCorrect(EventCorrect),
    /// The events of a period, newest first.
    EventList(EventList),
    /// What a glucose or ketones value would mean, before it is recorded.
    GlucoseCheck(GlucoseCheck),
    /// The last glucose value and where the steps for a low one stand.
    GlucoseState(GlucoseGet),
    /// Add a vial, pen or syringe in use, or correct what its label says.
    ContainerAdd(ContainerAdd),
    /// The page of checks before giving, from what was said so far.
    Before(BeforeGet),
    /// The order's dose as a volume and a line of the syringe in hand.
    DoseVolume(DoseVolumeGet),
    /// Needle, angle, fold and the steps of giving.
    Technique(TechniqueGet),
    /// Check a proposed site.
    SiteCheck(SiteCheck),
    /// Suggest the next sites.
    SiteSuggest(SiteSuggest),
    /// What a touch on the body drawing means.
    SiteAt(SiteAt),
    /// Record an injection that was given.
    InjectionRecord(InjectionRecord),
    /// Correct an injection, or withdraw it as entered in error; a new entry that supersedes it.
    InjectionCorrect(InjectionCorrect),
    /// The injections of a period, newest first.
    InjectionList(InjectionList),
    /// Recent use of every zone and quadrant.
    UseMap(UseMap),
    /// Use of the skin, half centimetre by half centimetre.
    UseGrid(UseGridGet),
    /// Rotation measures of a period, each with its sentence.
    Measures(MeasuresGet),
    /// The plan of the coming weeks.
    Plan(PlanGet),
    /// Whether this skin carries the orders, and what would help.
    Room(RoomGet),
    /// The body drawing with the person's zones on it.
    BodyDrawing(BodyDrawing),
    /// One zone unrolled flat, in centimetres.
    Patch(PatchGet),
    /// Record something seen or felt on the skin.
    FindingRecord(FindingRecord),
    /// Record that a finding was looked at again, healed or was removed.
    FindingLook(FindingLook),
    /// Withdraw a look, or a whole finding, that was entered in error; a new entry that supersedes it.
    FindingWithdraw(SkinWithdraw),
    /// The findings of a person with their courses.
    FindingList(FindingList),
    /// Record a skin check.
    SkinCheckRecord(SkinCheckRecord),
    /// Withdraw a skin check that was entered in error.
    SkinCheckWithdraw(SkinWithdraw),
    /// When a skin check is due, how it is done, and those so far.
    SkinState(SkinStateGet),
    /// The published risk factors for lumps, one by one.
    Risk(RiskGet),
    /// The clinic's chart of a period: drawings with their tables.
    Chart(ChartGet),
    /// The clinic's chart of a period as a file: PDF, SVG or PNG.
    ChartFile(ChartFileGet),
    /// What a typed local time means in a zone.
    TimeResolve(TimeResolve),
    /// Keep an unfinished form.
    DraftSave(DraftSave),
    /// Read an unfinished form back.
    DraftGet(DraftRef),
    /// Forget an unfinished form.
    DraftDrop(DraftRef),
}

/// A reply, `{"op":"site_check","data":{…}}`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(tag = "op", content = "data", rename_all = "snake_case")]
pub enum Response {
    /// See [`Request::Status`].
    Status(StatusData),
    /// See [`Request::Protection`].
    Protection(ProtectionData),
    /// The record as it is then.
    Begin(ProtectionData),
    /// The record as it is then.
    Unlock(ProtectionData),
    /// The record as it is then.
    Lock(ProtectionData),
    /// The record as it is then.
    IdleSet(ProtectionData),
    /// See [`Request::PassphraseChange`].
    PassphraseChange(PassphraseChanged),
    /// See [`Request::RecoveryMake`].
    RecoveryMake(RecoveryData),
    /// See [`Request::Protect`].
    Protect(Protected),
    /// See [`Request::RecorderList`].
    RecorderList(RecorderListData),
    /// Everybody with a PIN then.
    RecorderSet(RecorderListData),
    /// Everybody with a PIN then.
    RecorderConfirm(RecorderListData),
    /// See [`Request::MedicineList`].
    MedicineList(MedicineListData),
    /// See [`Request::PracticeGet`].
    PracticeGet(PracticeData),
    /// See [`Request::PracticeSet`].
    PracticeSet(PracticeData),
    /// See [`Request::JournalVerify`].
    JournalVerify(JournalData),
    /// See [`Request::BackupList`].
    BackupList(BackupListData),
    /// See [`Request::BackupMake`].
    BackupMake(BackupData),
    /// See [`Request::BackupState`].
    BackupStart(BackupStateData),
    /// See [`Request::BackupState`].
    BackupState(BackupStateData),
    /// See [`Request::BackupState`].
    BackupStop(BackupStateData),
    /// See [`Request::BackupFolder`].
    BackupFolder(BackupListData),
    /// See [`Request::BackupRestore`].
    BackupRestore(BackupRestored),
    /// See [`Request::PersonAdd`].
    PersonAdd(PersonSaved),
    /// See [`Request::PersonChange`].
    PersonChange(PersonSaved),
    /// See [`Request::PersonList`].
    PersonList(PersonListData),
    /// See [`Request::PersonGet`].
    PersonGet(PersonDetail),
    /// See [`Request::OrderAdd`].
    OrderAdd(OrderSaved),
    /// See [`Request::OrderEnd`].
    OrderEnd(OrderSaved),
    /// See [`Request::OrderChange`].
    OrderChange(OrderSaved),
    /// See [`Request::Due`].
    Due(Box<DueData>),
    /// See [`Request::Handover`].
    Handover(Box<HandoverData>),
    /// See [`Request::EventRecord`].
    EventRecord(EventData),
    /// See [`Request::EventWithdraw`].
    EventWithdraw(EventData),
    /// See [`Request::EventCorrect`].
    EventCorrect(EventData),
    /// See [`Request::EventList`].
    EventList(EventListData),
    /// See [`Request::GlucoseCheck`].
    GlucoseCheck(GlucoseJudged),
    /// See [`Request::GlucoseState`].
    GlucoseState(Box<GlucoseData>),
    /// See [`Request::ContainerAdd`].
    ContainerAdd(ContainerData),
    /// See [`Request::Before`].
    Before(Box<BeforeData>),
    /// See [`Request::DoseVolume`].
    DoseVolume(DoseVolumeData),
    /// See [`Request::Technique`].
    Technique(Box<TechniqueData>),
    /// See [`Request::SiteCheck`].
    SiteCheck(SiteCheckData),
    /// See [`Request::SiteSuggest`].
    SiteSuggest(SiteSuggestData),
    /// See [`Request::SiteAt`].
    SiteAt(SiteAtData),
    /// See [`Request::InjectionRecord`].
    InjectionRecord(InjectionData),
    /// See [`Request::InjectionCorrect`].
    InjectionCorrect(InjectionData),
    /// See [`Request::InjectionList`].
    InjectionList(InjectionListData),
    /// See [`Request::UseMap`].
    UseMap(UseMapData),
    /// See [`Request::UseGrid`].
    UseGrid(UseGridData),
    /// See [`Request::Measures`].
    Measures(Box<MeasuresData>),
    /// See [`Request::Plan`].
    Plan(Box<PlanData>),
    /// See [`Request::Room`].
    Room(Box<RoomData>),
    /// See [`Request::BodyDrawing`].
    BodyDrawing(BodyDrawingData),
    /// See [`Request::Patch`].
    Patch(PatchData),
    /// The finding with its course.
    FindingRecord(Box<FindingData>),
    /// The finding with its course.
    FindingLook(Box<FindingData>),
    /// The finding as it stands after that; absent where all of it was withdrawn.
    FindingWithdraw(Option<Box<FindingData>>),
    /// Findings.
    FindingList(FindingListData),
    /// The check.
    SkinCheckRecord(SkinCheckData),
    /// The check, withdrawn.
    SkinCheckWithdraw(SkinCheckData),
    /// When a check is due.
    SkinState(Box<SkinStateData>),
    /// The risk factors.
    Risk(RiskData),
    /// The chart.
    Chart(Box<ChartData>),
    /// The file.
    ChartFile(Box<ChartFileData>),
    /// See [`Request::TimeResolve`].
    TimeResolve(TimeResolveData),
    /// See [`Request::DraftSave`].
    DraftSave(DraftData),
    /// See [`Request::DraftGet`].
    DraftGet(DraftData),
    /// See [`Request::DraftDrop`].
    DraftDrop(DraftData),
}
