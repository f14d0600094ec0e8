//! The system's packages: which are needed, which are missing, and how they get here.

use std::io::IsTerminal as _;
use std::process::{Command, Stdio};

use crate::steps::{command, run};

/// What building and opening Fallow needs.
pub(crate) const BUILD: &[&str] = &[
    "build-essential",
    "ca-certificates",
    "libwebkit2gtk-4.1-dev",
    // OpenSSL, which encrypts the record, is built with it.
    "perl",
    "pkg-config",
];

/// What the tests need beside it.
pub(crate) const TEST: &[&str] = &[
    "chromium",
    "chromium-driver",
    "dbus",
    "fonts-dejavu-core",
    // `pdftotext`, `pdftoppm` and `pdfinfo`, which read our pages as others would.
    "poppler-utils",
    // `kill`, by which tests stop programs as a person would.
    "procps",
    "webkit2gtk-driver",
    "xauth",
    "xvfb",
];

/// What making the README's pictures needs beside [`BUILD`] and [`TEST`].
pub(crate) const PICTURES: &[&str] = &["imagemagick"];

/// What the measurement against Python needs beside [`BUILD`].
pub(crate) const PYTHON: &[&str] = &["python3", "python3-venv"];

/// On Ubuntu these two are not packages but doors to a snap, which does not install in a container.
const SNAPS_ON_UBUNTU: &[&str] = &["chromium", "chromium-driver"];

/// Installs those of the packages that are missing.
///
/// # Errors
/// A sentence that names the packages, when they cannot be installed from here.
pub(crate) fn install(wanted: &[&'static str]) -> Result<(), String> {
    if !cfg!(target_os = "linux") {
        return Ok(());
    }
    let mut missing = missing(wanted)?;
    if missing.iter().any(|name| SNAPS_ON_UBUNTU.contains(name)) && is_ubuntu() {
        println!(
            "   On Ubuntu Chromium comes as a snap: `snap install chromium`. The browser tests use the \
             `chromium` and `chromedriver` they find, or those named in CHROMIUM and CHROMEDRIVER."
        );
        missing.retain(|name| !SNAPS_ON_UBUNTU.contains(name));
    }
    if missing.is_empty() {
        return Ok(());
    }
    println!("   missing: {}", missing.join(" "));
    let by_hand = format!(
        "Install them by hand: apt-get install {}",
        missing.join(" ")
    );
    run(&mut apt(&["update"])?).map_err(|fault| format!("{fault}. {by_hand}"))?;
    let mut install = apt(&["install", "--yes", "--no-install-recommends"])?;
    run(install.args(&missing)).map_err(|fault| format!("{fault}. {by_hand}"))
}

/// Those of the packages that are not installed.
fn missing(wanted: &[&'static str]) -> Result<Vec<&'static str>, String> {
    let mut query = command(
        "dpkg-query",
        &["--show", "--showformat", "${db:Status-Abbrev}${Package}\n"],
    );
    let output = query
        .args(wanted)
        .stdin(Stdio::null())
        .stderr(Stdio::null())
        .output();
    let output = output.map_err(|_| {
        format!(
            "this is neither Debian nor Ubuntu; install what goes by these names there: {}",
            wanted.join(" ")
        )
    })?;
    let text = String::from_utf8_lossy(&output.stdout);
    let installed: Vec<&str> = text
        .lines()
        .filter_map(|line| line.strip_prefix("ii"))
        .map(str::trim)
        .collect();
    Ok(wanted
        .iter()
        .copied()
        .filter(|name| !installed.contains(name))
        .collect())
}

/// An apt-get command that asks nothing, with the rights it needs.
fn apt(args: &[&str]) -> Result<Command, String> {
    let id = command("id", &["-u"])
        .output()
        .map_err(|fault| format!("`id` could not be started: {fault}"))?;
    let quiet = [
        "DEBIAN_FRONTEND=noninteractive",
        "apt-get",
        "--quiet",
        "-o",
        "DPkg::Lock::Timeout=300",
    ];
    let mut found = if id.stdout.trim_ascii() == b"0" {
        command("env", &[])
    } else {
        // With somebody there sudo may ask; otherwise it must not wait for an answer.
        let alone = std::env::var_os("CI").is_some() || !std::io::stdin().is_terminal();
        command("sudo", if alone { &["-n", "env"] } else { &["env"] })
    };
    found.args(quiet).args(args);
    Ok(found)
}

fn is_ubuntu() -> bool {
    let release = std::fs::read_to_string("/etc/os-release").unwrap_or_default();
    release
        .lines()
        .any(|line| line == "ID=ubuntu" || line.starts_with("ID_LIKE=") && line.contains("ubuntu"))
}
