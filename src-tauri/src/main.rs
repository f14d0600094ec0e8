//! The `fallow` program; everything is in the library, so that a phone can start it too.

// No console window beside the app on Windows.
#![cfg_attr(not(debug_assertions), windows_subsystem = "windows")]

fn main() -> std::process::ExitCode {
    fallow_lib::main()
}
