//! Faults done to the record on purpose, each one counted: the table of contents. Not here: what the program should
//! answer when all is well.
//!
//! `FALLOW_SOAK` is the one dial: absent, every test makes few rounds; set to a number of seconds, every test makes many
//! and the fuzz targets share those seconds. Each test prints what it did as a `figure:` line.
#![allow(missing_docs, unreachable_pub, clippy::unwrap_used, clippy::pedantic)]

// The dial, the record that is harmed, and the process that is harmed while it writes.
#[path = "faults/child.rs"]
mod child;
#[path = "faults/dial.rs"]
mod dial;
#[path = "faults/record.rs"]
mod record;

// Killed in the middle of a save, a copy, a change of passphrase, an encryption, a restore.
#[path = "faults/killed.rs"]
mod killed;
// Disks with room for so many pages and no more.
#[path = "faults/full.rs"]
mod full;
// The n-th call of the system fails.
#[path = "faults/calls.rs"]
mod calls;
// A bit turned over in each page.
#[path = "faults/flipped.rs"]
mod flipped;
// A clock set back; two programs at once.
#[path = "faults/together.rs"]
mod together;

// Random input: the door's lines, what people type, files, older versions.
#[path = "faults/fuzz_door.rs"]
mod fuzz_door;
#[path = "faults/fuzz_files.rs"]
mod fuzz_files;
#[path = "faults/fuzz_typed.rs"]
mod fuzz_typed;
