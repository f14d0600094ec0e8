//! The journal's chain: walked from the first entry to the last, and told in words.

use fallow_store::{Break, Misfit, Reader};

use crate::error::ApiError;
use crate::wire::{JournalBreak, JournalData};
use crate::{App, Now, raise};

pub(crate) fn verify(app: &App, now: Now) -> Result<JournalData, ApiError> {
    let reader = app.store()?.reader();
    let walk = reader.verify(&mut |_, _| true)?;
    let walk = walk.expect("a walk that nobody ends comes to an end");
    let words = match (&walk.broken, walk.entries) {
        (Some(broken), _) => broken_words(broken, now),
        (None, 0) => "There is no entry yet.".to_owned(),
        (None, 1) => "The only entry is as it was made.".to_owned(),
        (None, n) => {
            format!("All {n} entries are as they were made, and in the order they were made in.")
        }
    };
    Ok(JournalData {
        entries: u32::try_from(walk.entries).unwrap_or(u32::MAX),
        last_hash: walk.last,
        broken: walk.broken.map(|b| JournalBreak {
            misfit: code(b.misfit).to_owned(),
            seq: u32::try_from(b.seq).unwrap_or(u32::MAX),
            entry: b.entry.map(|head| head.id),
        }),
        words,
    })
}

fn code(misfit: Misfit) -> &'static str {
    match misfit {
        Misfit::Changed => "changed",
        Misfit::Unlinked => "unlinked",
        Misfit::Gone => "gone",
        Misfit::CutShort => "cut_short",
    }
}

fn broken_words(broken: &Break, now: Now) -> String {
    let which = match &broken.entry {
        Some(head) => {
            let when = raise::day_and_time(head.recorded_at, now.clock);
            let who = head.recorder.as_ref();
            let who = who.map_or_else(String::new, |who| format!(" by {who}"));
            format!("Entry {}, made {when}{who},", broken.seq)
        }
        None => format!("Entry {}", broken.seq),
    };
    let what = match broken.misfit {
        Misfit::Changed => {
            "does not say what it said when it was made, or the one before it is gone"
        }
        Misfit::Unlinked => "was not made by Fallow: it is not part of the chain",
        Misfit::Gone => "is gone",
        Misfit::CutShort => "and what came after it are gone",
    };
    format!(
        "{which} {what}. What comes before it is as it was made. Somebody or something changed the file outside Fallow: \
         keep it as it is, compare it with a copy or a printed chart, and tell whoever is responsible for the record."
    )
}

/// The end of the journal in words, for a sheet of paper.
pub(crate) fn end_words(reader: Reader<'_>) -> Result<String, ApiError> {
    Ok(match reader.journal_end()? {
        Some((count, hash)) => format!(
            "Journal of this device when this was made: {count} {}, the last with the hash {hash} (SHA-256).",
            if count == 1 { "entry" } else { "entries" }
        ),
        None => "The journal of this device had no entry when this was made.".to_owned(),
    })
}
