//! A session bus of its own, with somebody on it who shows notifications: what a desktop has and a bare display lacks.
//!
//! Source of the names and arguments: Desktop Notifications Specification 1.2, freedesktop.org.

use std::collections::HashMap;
use std::io::{BufRead as _, BufReader};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::Duration;

use tempfile::TempDir;
use zbus::blocking::Connection;
use zbus::zvariant::OwnedValue;

/// No activation of anything installed on this machine: whoever answers is ours.
const CONFIG: &str = r#"<!DOCTYPE busconfig PUBLIC "-//freedesktop//DTD D-Bus Bus Configuration 1.0//EN"
 "http://www.freedesktop.org/standards/dbus/1.0/busconfig.dtd">
<busconfig><type>session</type><listen>unix:tmpdir=/tmp</listen>
<policy context="default"><allow send_destination="*" eavesdrop="true"/><allow eavesdrop="true"/><allow own="*"/></policy>
</busconfig>"#;

/// What a person would see.
#[derive(Debug, Clone, PartialEq)]
pub struct Shown {
    pub title: String,
    pub body: String,
    pub actions: Vec<String>,
}

/// The bus; it ends when dropped.
pub struct Bus {
    daemon: Child,
    _config: TempDir,
    pub address: String,
}

impl Bus {
    pub fn start() -> Self {
        let config = tempfile::tempdir().unwrap();
        let file = config.path().join("bus.conf");
        std::fs::write(&file, CONFIG).unwrap();
        let mut daemon = Command::new("dbus-daemon")
            .arg("--config-file")
            .arg(file)
            .args(["--nofork", "--print-address=1"])
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .expect("`cargo xtask test` installs dbus-daemon");
        let mut address = String::new();
        let out = daemon.stdout.take().unwrap();
        BufReader::new(out).read_line(&mut address).unwrap();
        Self {
            daemon,
            _config: config,
            address: address.trim().to_owned(),
        }
    }
}

impl Drop for Bus {
    fn drop(&mut self) {
        let _ = self.daemon.kill();
        let _ = self.daemon.wait();
    }
}

struct Server(Sender<Shown>);

#[zbus::interface(name = "org.freedesktop.Notifications")]
impl Server {
    #[allow(
        clippy::too_many_arguments,
        reason = "the specification's, one for one"
    )]
    fn notify(
        &self,
        _app_name: String,
        replaces: u32,
        _icon: String,
        title: String,
        body: String,
        actions: Vec<String>,
        _hints: HashMap<String, OwnedValue>,
        _timeout: i32,
    ) -> u32 {
        let _ = self.0.send(Shown {
            title,
            body,
            actions,
        });
        replaces.max(1)
    }
}

/// Somebody who shows notifications, and keeps them to be looked at.
pub struct Desk {
    shown: Receiver<Shown>,
    _connection: Connection,
}

impl Desk {
    pub fn on(bus: &Bus) -> Self {
        let (send, shown) = channel();
        let builder = zbus::blocking::connection::Builder::address(bus.address.as_str()).unwrap();
        let connection = builder
            .serve_at("/org/freedesktop/Notifications", Server(send))
            .unwrap()
            .name("org.freedesktop.Notifications")
            .unwrap()
            .build()
            .unwrap();
        Self {
            shown,
            _connection: connection,
        }
    }

    /// The next one that comes within this time.
    pub fn next(&self, within: Duration) -> Option<Shown> {
        self.shown.recv_timeout(within).ok()
    }
}
