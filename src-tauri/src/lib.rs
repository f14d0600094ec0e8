//! The three thin shells on the one door: a window, a browser host on this machine only, and lines on standard input.
//!
//! Each reads a request, asks [`fallow_api::answer`] and passes the reply on. Not here: any rule, any SQL, any word
//! about an injection. On a phone [`run`] is the whole program.

mod args;
mod call;
mod clock;
mod keep;
mod place;
mod plugins;
mod reminders;
mod serve;
mod stop;
mod window;

use std::process::ExitCode;

use args::Shell;

/// The program on a computer: reads the arguments and starts the shell they name.
///
/// Exit codes: 0 done, 1 could not go on (the reason is on standard error), 2 the arguments make no sense.
pub fn main() -> ExitCode {
    let shell = match args::read(std::env::args_os().skip(1)) {
        Ok(shell) => shell,
        Err(fault) => {
            eprintln!("fallow: {fault}\n\n{}", args::USAGE);
            return ExitCode::from(2);
        }
    };
    let done = match shell {
        Shell::Help => {
            println!("{}", args::USAGE);
            Ok(())
        }
        Shell::Version => {
            println!("fallow {}", env!("CARGO_PKG_VERSION"));
            Ok(())
        }
        Shell::Window { store, reminders } => window::open(store, reminders),
        Shell::Serve { store, port } => serve::run(&store, port),
        Shell::Call {
            store,
            clock,
            passphrase_file,
        } => call::run(&store, clock, passphrase_file.as_deref()),
        Shell::Operations => call::operations(),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => {
            eprintln!("fallow: {fault}");
            ExitCode::FAILURE
        }
    }
}

/// The program on a phone, which has no arguments.
///
/// # Panics
/// When the system gives no window; there is nobody to tell then.
#[cfg_attr(mobile, tauri::mobile_entry_point)]
pub fn run() {
    window::open(place::Store::Usual, true).expect("the system gives the app a window");
}
