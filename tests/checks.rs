//! Checks without a screen: the table of contents.
#![allow(missing_docs, unreachable_pub, clippy::unwrap_used, clippy::pedantic)]

// The house itself: arrows, sizes, words.
mod tidy;
// The real program, for the checks that start it.
mod program;
// What a program connects to.
mod connect_log;
// The browser host and the command line, from outside.
mod shells;

// The door, in process.
mod door;

// Real logs, dose by dose.
mod replay;

// Killed right after `ok`.
mod kill;

// Encrypted: nothing to read without the passphrase.
mod protected;
