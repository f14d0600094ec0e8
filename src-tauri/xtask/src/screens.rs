//! The screens in `ui/`: their modules, their build, their generated types.

use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::steps::{command, has, root, run, target};

/// Folders of `ui/` that are made, not written.
const MADE: &[&str] = &["node_modules", "dist", "coverage"];

/// An npm command in `ui/`.
pub(crate) fn npm(args: &[&str]) -> Command {
    let mut found = command("npm", args);
    found
        .current_dir(root().join("ui"))
        .env("npm_config_update_notifier", "false");
    found
}

/// Fetches the modules that the lock file names, unless they are there already.
///
/// # Errors
/// A sentence, when Node is missing or the modules cannot be had.
pub(crate) fn modules() -> Result<(), String> {
    if !has("npm", &["--version"]) {
        return Err(
            "Node 20 or newer with npm is needed (https://nodejs.org), and was not found"
                .to_owned(),
        );
    }
    let ui = root().join("ui");
    let stamp = Stamp::new(
        "ui-modules",
        &[ui.join("package.json"), ui.join("package-lock.json")],
    )?;
    if stamp.is_current() && ui.join("node_modules/.package-lock.json").exists() {
        println!("   up to date");
        return Ok(());
    }
    run(&mut npm(&["ci", "--no-audit", "--no-fund"]))?;
    stamp.set()
}

/// Builds the screens into `ui/dist`, unless nothing has changed.
///
/// # Errors
/// A sentence, when the build fails.
pub(crate) fn build() -> Result<(), String> {
    let ui = root().join("ui");
    let stamp = Stamp::new("ui-dist", &written(&ui)?)?;
    if stamp.is_current() && ui.join("dist/index.html").exists() {
        println!("   up to date");
        return Ok(());
    }
    run(&mut npm(&["run", "build"]))?;
    stamp.set()
}

/// Writes the generated types where they differ, or only says that they do.
///
/// # Errors
/// A sentence, when they differ and `check` is set, or cannot be written.
pub(crate) fn types(text: &[u8], check: bool) -> Result<(), String> {
    let file = root().join("ui/src/wire.ts");
    if std::fs::read(&file).is_ok_and(|found| found == text) {
        println!("   ui/src/wire.ts is up to date");
        Ok(())
    } else if check {
        Err(
            "ui/src/wire.ts is not what the door says: run `cargo xtask types` and commit it"
                .to_owned(),
        )
    } else {
        std::fs::write(&file, text).map_err(|fault| format!("{}: {fault}", file.display()))?;
        println!("   ui/src/wire.ts written");
        Ok(())
    }
}

/// All files of a folder that somebody wrote, in a fixed order.
fn written(folder: &Path) -> Result<Vec<PathBuf>, String> {
    let mut files = Vec::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(folder) = folders.pop() {
        let entries =
            std::fs::read_dir(&folder).map_err(|fault| format!("{}: {fault}", folder.display()))?;
        for path in entries.filter_map(Result::ok).map(|entry| entry.path()) {
            let name = path
                .file_name()
                .unwrap_or_default()
                .to_string_lossy()
                .into_owned();
            if !path.is_dir() {
                files.push(path);
            } else if !MADE.contains(&name.as_str()) && !name.starts_with('.') {
                folders.push(path);
            }
        }
    }
    files.sort();
    Ok(files)
}

/// Remembers what something was made from, by its content.
struct Stamp {
    file: PathBuf,
    hash: String,
}

impl Stamp {
    fn new(name: &str, made_from: &[PathBuf]) -> Result<Self, String> {
        let mut hasher = DefaultHasher::new();
        for file in made_from {
            let content =
                std::fs::read(file).map_err(|fault| format!("{}: {fault}", file.display()))?;
            (file, content).hash(&mut hasher);
        }
        Ok(Self {
            file: target().join(format!("{name}.stamp")),
            hash: format!("{:016x}", hasher.finish()),
        })
    }

    fn is_current(&self) -> bool {
        std::fs::read_to_string(&self.file).is_ok_and(|found| found == self.hash)
    }

    fn set(&self) -> Result<(), String> {
        std::fs::create_dir_all(target())
            .and_then(|()| std::fs::write(&self.file, &self.hash))
            .map_err(|fault| format!("{}: {fault}", self.file.display()))
    }
}
