//! Who writes in the record: a name, and for whom it was given one a PIN that says so.
//!
//! A PIN opens nothing: whoever has the passphrase can read and write everything. It tells entries of a name apart by
//! whether its PIN was given. Nothing that happened is kept from being recorded by a PIN. Not here: the passphrase
//! ([`crate::guard`]).

use fallow_store::keys;

use crate::error::{ApiError, ErrorCode as Code};
use crate::guard;
use crate::lower;
use crate::wire::{RecorderConfirm, RecorderData, RecorderListData, RecorderSet};
use crate::{App, Now};

const WORDS: &str = "A PIN says who writes. It does not protect the record: that is what the passphrase is for. Without the PIN an entry under this name can still be made, and says so.";

pub(crate) fn list(app: &App) -> Result<RecorderListData, ApiError> {
    let names = app.store()?.reader().recorders_with_pin()?;
    Ok(RecorderListData {
        recorders: names
            .into_iter()
            .map(|name| RecorderData {
                confirmed: app.guard.confirmed.contains(&name),
                name,
            })
            .collect(),
        words: WORDS.to_owned(),
    })
}

pub(crate) fn set(
    app: &mut App,
    args: &RecorderSet,
    now: Now,
) -> Result<RecorderListData, ApiError> {
    let name = lower::text("the name", &args.name, 200)?;
    let new = args.new.as_deref().map(pin).transpose()?;
    if app.store()?.reader().pin(&name)?.is_some() {
        check(app, &name, args.pin.as_deref().unwrap_or_default(), now)?;
    }
    let hash = new.map(|pin| keys::pin_hash(&pin)).transpose()?;
    app.store_mut()?
        .transact(|tx| tx.set_pin(&name, hash.as_deref()).map_err(ApiError::from))?;
    app.guard.confirmed.retain(|n| *n != name);
    if hash.is_some() {
        app.guard.confirmed.push(name);
    }
    tell(app)?;
    list(app)
}

pub(crate) fn confirm(
    app: &mut App,
    args: &RecorderConfirm,
    now: Now,
) -> Result<RecorderListData, ApiError> {
    let name = lower::text("the name", &args.name, 200)?;
    check(app, &name, &args.pin, now)?;
    app.guard.confirmed.retain(|n| *n != name);
    app.guard.confirmed.push(name);
    tell(app)?;
    list(app)
}

/// Tells the store whose PIN was given, for the entries to come.
fn tell(app: &mut App) -> Result<(), ApiError> {
    let confirmed = app.guard.confirmed.clone();
    app.store_mut()?.set_confirmed(confirmed);
    Ok(())
}

fn check(app: &mut App, name: &str, typed: &str, now: Now) -> Result<(), ApiError> {
    let Some(hash) = app.store()?.reader().pin(name)? else {
        return Err(ApiError::new(
            Code::WrongSecret,
            format!("{name} has no PIN on this device. Give one first, or write without."),
        ));
    };
    app.guard.pins.allow(now)?;
    if keys::pin_fits(typed, &hash)? {
        app.guard.pins = guard::Tries::default();
        return Ok(());
    }
    Err(app.guard.pins.wrong(
        now,
        "That is not the PIN. An entry can be made without it, and says so.",
    ))
}

/// A PIN that can be one.
fn pin(typed: &str) -> Result<String, ApiError> {
    let typed = typed.trim();
    if (4..=12).contains(&typed.len()) && typed.bytes().all(|b| b.is_ascii_digit()) {
        return Ok(typed.to_owned());
    }
    Err(ApiError::new(
        Code::WeakSecret,
        "A PIN has 4 to 12 digits and nothing else.",
    ))
}
