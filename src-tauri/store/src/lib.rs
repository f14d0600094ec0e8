//! The journal on disk: entries are appended, never changed or removed, and read back as domain values.
//!
//! The only crate that knows SQL. A [`Store`] is one connection to one file; [`Store::reader`] answers queries and
//! [`Store::transact`] writes, whole or not at all. Not here: rules, words, the clock, or the making of ids; all of
//! those are arguments.
//!
//! Reading order: [`entries`] (what is kept), [`mod@write`] (how it gets in), [`query`] (how it comes out), [`journal`]
//! (how it is chained), [`keys`] (what it is encrypted with), [`backup`] (how it is copied and put back), [`open`] (how the
//! file is found, checked and refused), [`protect`] (how a plain one is encrypted), [`schema`] (what is in it), [`error`].

pub mod backup;
pub mod copying;
pub mod entries;
pub mod error;
mod folder;
#[cfg(test)]
mod interrupted;
pub mod journal;
pub mod keys;
pub mod open;
pub mod protect;
pub mod query;
mod rows;
pub mod schema;
mod skin;
pub mod write;

pub use backup::Backup;
pub use copying::Copying;
pub use entries::{
    ContainerEntry, Draft, EventEntry, FindingEntry, Found, Head, InjectionEntry, InjectionQuery,
    Kind, LookOf, NewHead, OrderEntry, PersonEntry, PracticeEntry, SkinCheckEntry, Status,
};
pub use error::StoreError;
pub use folder::write_private;
pub use journal::{Break, Misfit, Walk};
pub use keys::{By, Cost, Key, Keyring, Secret};
pub use open::Store;
pub use query::Reader;
pub use write::Tx;
