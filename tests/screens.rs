//! The screens in real browsers: Chromium on `fallow serve`, and the real window.
//!
//! These need a display and drivers; `cargo xtask test` brings both. Things are found by role and name, as a person
//! who cannot see the screen finds them.
#![allow(missing_docs, unreachable_pub, clippy::unwrap_used, clippy::pedantic)]

// A real browser, driven through WebDriver.
mod harness;
// The program under test; its host's name is for the checks without a screen.
#[allow(dead_code)]
mod program;

// What a program connects to.
mod connect_log;

// A session bus with somebody who shows notifications.
mod bus;

// On a phone and on a desktop, in Chromium.
mod chromium;
// In the window that people open.
mod window;
