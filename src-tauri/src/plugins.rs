//! Plugins for the program alone.
//!
//! Not here: what each is for ([`crate::keep`], [`crate::reminders`]).

use serde_json::Value;
use tauri::plugin::{Plugin, TauriPlugin};
use tauri::{AppHandle, Runtime};

/// A plugin of which only its start is passed on: no script of its reaches the page.
pub(crate) struct ForTheProgram<R: Runtime>(pub(crate) TauriPlugin<R>);

impl<R: Runtime> Plugin<R> for ForTheProgram<R> {
    fn name(&self) -> &'static str {
        self.0.name()
    }

    fn initialize(
        &mut self,
        app: &AppHandle<R>,
        config: Value,
    ) -> Result<(), Box<dyn std::error::Error>> {
        self.0.initialize(app, config)
    }
}
