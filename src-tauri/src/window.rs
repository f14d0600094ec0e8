//! The window: Tauri, two commands, nothing granted beside them: the door, and keeping a file the person wants to take
//! away.
//!
//! Nothing is set in the environment here, in particular none of the system webview's `WEBKIT_…` switches: the
//! defaults paint everywhere we tried, the switches that once cured a blank window stop automated screenshots from
//! answering, and a person who needs one can set it before starting.

use tauri::{Manager as _, RunEvent, State};

use crate::clock::Clock;
use crate::place::{Door, Store};

/// What was built into the program: configuration and the screens' files.
pub(crate) fn context() -> tauri::Context {
    tauri::generate_context!()
}

/// The way to the door: a request in, a reply out. `async` moves it off the thread that paints.
#[tauri::command(async)]
#[expect(
    clippy::needless_pass_by_value,
    reason = "the form of a command's arguments is Tauri's"
)]
fn door(door: State<'_, Door>, request: &str) -> String {
    door.answer(request)
}

/// Opens the window and returns when it is closed, or ends the program then, as the system prefers. `reminders` is
/// whether the system is to notify of injections that are due.
///
/// # Errors
/// A sentence, when there is no display or the window cannot be made.
pub(crate) fn open(store: Store, reminders: bool) -> Result<(), String> {
    if !has_display() {
        return Err(
            "there is no display to open a window on. `fallow serve` shows the same screens in a \
                    browser, `fallow call` answers requests without any."
                .to_owned(),
        );
    }
    let app = tauri::Builder::default()
        .plugin(crate::reminders::plugin())
        .plugin(crate::keep::plugin())
        .invoke_handler(tauri::generate_handler![door, crate::keep::keep])
        .setup(move |app| {
            let usual = || app.path().app_data_dir().ok();
            app.manage(Door::open(&store, Clock::Device, None, usual)?);
            let handle = app.handle().clone();
            std::thread::spawn(move || {
                loop {
                    std::thread::sleep(crate::place::WATCH);
                    handle.state::<Door>().watch();
                }
            });
            // Said of phones in `reminders.rs`.
            if cfg!(desktop) && reminders {
                crate::reminders::start(app.handle().clone());
            }
            #[cfg(desktop)]
            {
                darken(app);
                let handle = app.handle().clone();
                tauri::async_runtime::spawn(async move {
                    crate::stop::asked().await;
                    handle.exit(0);
                });
            }
            Ok(())
        })
        .build(context())
        .map_err(|fault| format!("the window could not be made: {fault}"))?;
    app.run(|handle, event| {
        if let RunEvent::Exit = event {
            handle.state::<Door>().clear_away();
        }
    });
    Ok(())
}

/// The configured ground is the light one; in the dark it would flash before the first paint.
#[cfg(desktop)]
fn darken(app: &tauri::App) {
    if let Some(window) = app.get_webview_window("main")
        && window
            .theme()
            .is_ok_and(|theme| theme == tauri::Theme::Dark)
    {
        // `--ground` of ui/src/style/ground.css.
        let ground = tauri::window::Color(0x10, 0x17, 0x16, 0xff);
        // Only a flash is at stake.
        let _ = window.set_background_color(Some(ground));
    }
}

/// Whether there is somewhere to draw. Only Linux can be without.
fn has_display() -> bool {
    let named = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    !cfg!(target_os = "linux") || named("DISPLAY") || named("WAYLAND_DISPLAY")
}
