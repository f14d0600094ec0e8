//! Watches what a program connects to, through a small library loaded before its own.

use std::path::{Path, PathBuf};
use std::process::Command;

/// The library, and the file it writes to.
pub struct ConnectLog {
    folder: tempfile::TempDir,
}

impl ConnectLog {
    pub fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("connect_log.c");
        let compiled = Command::new("cc")
            .args(["-shared", "-fPIC", "-Wall", "-Werror", "-o"])
            .arg(folder.path().join("connect_log.so"))
            .arg(source)
            .arg("-ldl")
            .status();
        assert!(
            compiled
                .expect("`cargo xtask test` installs a compiler")
                .success(),
            "the library does not compile"
        );
        Self { folder }
    }

    fn log(&self) -> PathBuf {
        self.folder.path().join("log")
    }

    /// What a program that is to be watched has in its surroundings.
    pub fn surroundings(&self) -> [(&'static str, String); 2] {
        let path = |name: &str| self.folder.path().join(name).display().to_string();
        [
            ("LD_PRELOAD", path("connect_log.so")),
            ("CONNECT_LOG", path("log")),
        ]
    }

    /// What was connected to, sent to or asked for so far.
    pub fn seen(&self) -> Vec<String> {
        let text = std::fs::read_to_string(self.log()).unwrap_or_default();
        text.lines().map(str::to_owned).collect()
    }

    /// Shows that the library is loaded and sees.
    pub fn sees(&self) {
        let before = self.seen().len();
        let tried = Command::new("bash")
            .args(["-c", "exec 3<>/dev/tcp/127.0.0.1/9"])
            .envs(self.surroundings())
            .output();
        tried.unwrap();
        assert!(
            self.seen().len() > before,
            "the library sees nothing of a program that connects"
        );
        std::fs::remove_file(self.log()).unwrap();
    }
}
