//! A browser to drive: one call at a time, each with a time limit, things found by role and name.

use std::cell::Cell;
use std::net::{TcpListener, TcpStream};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use fantoccini::actions::{InputSource as _, PointerAction, TouchActions};
use fantoccini::elements::Element;
use fantoccini::error::CmdError;
use fantoccini::key::Key;
use fantoccini::wd::WebDriverCompatibleCommand;
use fantoccini::{Client, ClientBuilder};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use tokio::runtime::Runtime;

/// How soon a second touch makes a double tap, and a little more.
const DOUBLE_TAP: Duration = Duration::from_millis(600);
/// No driver call takes longer; one that does hangs.
const CALL: Duration = Duration::from_secs(15);
/// How long a thing may take to appear.
const APPEAR: Duration = Duration::from_secs(10);

/// Remembers what the content policy refused, across reloads.
pub const WATCH_POLICY: &str = "
    addEventListener('securitypolicyviolation', (event) => {
        const seen = JSON.parse(sessionStorage.getItem('refused') ?? '[]');
        seen.push(`${event.violatedDirective} ${event.blockedURI} ${event.sourceFile}:${event.lineNumber}`);
        sessionStorage.setItem('refused', JSON.stringify(seen));
    });";

/// The language of the page: 24 hours and metric measures, whatever the machine that tests has.
pub const BRITISH: &str = "Object.defineProperty(navigator, 'language', { get: () => 'en-GB' })";

/// Where pictures for people to look at go.
pub fn pictures() -> PathBuf {
    let folder = super::program::binary()
        .ancestors()
        .nth(2)
        .unwrap()
        .join("screens");
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

/// A driver program, ended when dropped.
pub struct Driver {
    child: Child,
    port: u16,
}

impl Driver {
    /// Starts a driver that was installed beside its browser.
    pub fn start(program: &str, surroundings: &[(&str, &str)]) -> Self {
        let port = TcpListener::bind("127.0.0.1:0")
            .unwrap()
            .local_addr()
            .unwrap()
            .port();
        let mut command = Command::new(program);
        command
            .arg(format!("--port={port}"))
            .envs(surroundings.iter().copied());
        command.env("TZ", "Europe/London");
        let quiet = command
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        let child = quiet.spawn();
        let child = child.unwrap_or_else(|fault| {
            panic!("{program} cannot be started ({fault}); `cargo xtask test` installs it")
        });
        let driver = Self { child, port };
        let began = Instant::now();
        while TcpStream::connect(("127.0.0.1", port)).is_err() {
            assert!(began.elapsed() < CALL, "{program} does not listen");
            std::thread::sleep(Duration::from_millis(50));
        }
        driver
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A call that the library has no name for, by its path below the session.
#[derive(Debug)]
struct Other {
    method: http::Method,
    path: String,
    body: Option<Value>,
}

impl WebDriverCompatibleCommand for Other {
    fn endpoint(
        &self,
        base: &url::Url,
        session: Option<&str>,
    ) -> Result<url::Url, url::ParseError> {
        base.join(&format!(
            "session/{}/{}",
            session.unwrap_or_default(),
            self.path
        ))
    }

    fn method_and_body(&self, _: &url::Url) -> (http::Method, Option<String>) {
        (
            self.method.clone(),
            self.body.as_ref().map(Value::to_string),
        )
    }
}

/// A page in a browser.
pub struct Page {
    client: Client,
    runtime: Runtime,
    touch: bool,
    taps: Cell<u32>,
    touched: Cell<Option<Instant>>,
}

impl Page {
    /// Opens a session with these capabilities.
    pub fn open(driver: &Driver, capabilities: &Value, touch: bool) -> Self {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .unwrap();
        let address = format!("http://127.0.0.1:{}", driver.port);
        let capabilities = capabilities.as_object().unwrap().clone();
        let client = runtime
            .block_on(async {
                let mut builder = ClientBuilder::new(HttpConnector::new());
                builder.capabilities(capabilities);
                tokio::time::timeout(2 * CALL, builder.connect(&address)).await
            })
            .expect("a session within thirty seconds")
            .unwrap();
        Self {
            client,
            runtime,
            touch,
            taps: Cell::new(0),
            touched: Cell::new(None),
        }
    }

    /// Ends the session and with it the browser.
    pub fn close(self) {
        let _ = self
            .runtime
            .block_on(async { tokio::time::timeout(CALL, self.client.close()).await });
    }

    /// One call to the driver, within its time.
    fn within<T>(&self, call: impl Future<Output = Result<T, CmdError>>) -> Result<T, CmdError> {
        self.runtime
            .block_on(async { tokio::time::timeout(CALL, call).await })
            .expect("the driver answers within fifteen seconds")
    }

    fn other(
        &self,
        method: http::Method,
        path: &str,
        body: Option<Value>,
    ) -> Result<Value, CmdError> {
        self.within(self.client.issue_cmd(Other {
            method,
            path: path.to_owned(),
            body,
        }))
    }

    /// A command of Chromium's own protocol.
    pub fn devtools(&self, command: &str, params: Value) -> Value {
        let body = json!({ "cmd": command, "params": params });
        self.other(http::Method::POST, "goog/cdp/execute", Some(body))
            .unwrap()
    }

    /// What Chromium wrote to its console as errors.
    pub fn console_errors(&self) -> Vec<String> {
        let log = self.other(
            http::Method::POST,
            "se/log",
            Some(json!({ "type": "browser" })),
        );
        let log = log.unwrap();
        let entries = log.as_array().unwrap().iter();
        entries
            .filter(|entry| entry["level"] == "SEVERE")
            .map(|entry| entry["message"].as_str().unwrap_or_default().to_owned())
            .collect()
    }

    pub fn goto(&self, address: &str) {
        self.within(self.client.goto(address)).unwrap();
    }

    pub fn reload(&self) {
        self.within(self.client.refresh()).unwrap();
    }

    /// The browser's own Back, as on a phone.
    pub fn back(&self) {
        self.within(self.client.back()).unwrap();
    }

    /// Runs a script's body in the page; what it returns.
    pub fn script(&self, script: &str, args: &[Value]) -> Value {
        self.within(self.client.execute(script, args.to_vec()))
            .unwrap()
    }

    /// Runs an async script's body in the page; what it settles to, or `{"rejected": "…"}`.
    pub fn promise(&self, script: &str, args: &[Value]) -> Value {
        let wrapped = format!(
            "const done = arguments[arguments.length - 1];
             (async (...args) => {{ {script} }})(...arguments)
                 .then(done, (fault) => done({{ rejected: String(fault) }}));"
        );
        self.within(self.client.execute_async(&wrapped, args.to_vec()))
            .unwrap()
    }

    /// All text that is shown.
    pub fn text(&self) -> String {
        self.script("return document.body.innerText", &[])
            .as_str()
            .unwrap_or_default()
            .to_owned()
    }

    /// What the content policy refused so far.
    pub fn refused(&self) -> Vec<String> {
        let found = self.script("return sessionStorage.getItem('refused') ?? '[]'", &[]);
        serde_json::from_str(found.as_str().unwrap()).unwrap()
    }

    /// The thing shown with this role and name; a name ending in `…` is a beginning. Waits until there is one.
    pub fn find(&self, role: &str, name: &str) -> Element {
        self.wait(&format!("{role} “{name}”"), || {
            self.look(role, name).ok().flatten()
        })
    }

    /// Whether such a thing is shown now.
    pub fn has(&self, role: &str, name: &str) -> bool {
        self.look(role, name).ok().flatten().is_some()
    }

    fn look(&self, role: &str, name: &str) -> Result<Option<Element>, CmdError> {
        let kinds = match role {
            "button" => "button, [role=button]",
            "summary" => "summary",
            "radio" => "input[type=radio]",
            "checkbox" => "input[type=checkbox]",
            "textbox" => "input:not([type=radio], [type=checkbox], [type=search]), textarea",
            "searchbox" => "input[type=search]",
            "combobox" => "select",
            "heading" => "h1, h2, h3",
            "application" => "[role=application]",
            "group" => "[role=group]",
            _ => panic!("no such role: {role}"),
        };
        let shown = "return [...document.querySelectorAll(arguments[0])].filter((e) =>
            e.checkVisibility({ visibilityProperty: true }) && e.getClientRects().length > 0)";
        let shown = self.within(self.client.execute(shown, vec![json!(kinds)]))?;
        for element in shown.as_array().into_iter().flatten() {
            let id = element
                .as_object()
                .and_then(|id| id.values().next())
                .and_then(Value::as_str);
            let id = id.expect("an element").to_owned();
            let label = self.other(
                http::Method::GET,
                &format!("element/{id}/computedlabel"),
                None,
            )?;
            let label = label.as_str().unwrap_or_default().trim().to_owned();
            let fits = match name.strip_suffix('…') {
                Some(beginning) => label.starts_with(beginning),
                None => label == name,
            };
            if fits {
                return Ok(Some(Element::from_element_id(
                    self.client.clone(),
                    id.into(),
                )));
            }
        }
        Ok(None)
    }

    /// Waits until `look` finds something.
    pub fn wait<T>(&self, what: &str, look: impl Fn() -> Option<T>) -> T {
        let began = Instant::now();
        loop {
            if let Some(found) = look() {
                return found;
            }
            assert!(
                began.elapsed() < APPEAR,
                "no {what} on this page:\n{}",
                self.text()
            );
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    /// Presses the thing with this role and name: a touch on a phone, a click elsewhere.
    pub fn press(&self, role: &str, name: &str) {
        let element = self.find(role, name);
        self.press_element(&element);
    }

    /// Presses the middle of an element.
    pub fn press_element(&self, element: &Element) {
        self.taps.set(self.taps.get() + 1);
        self.stands_still(element);
        if !self.touch {
            return self.within(element.click()).unwrap();
        }
        let script = "arguments[0].scrollIntoView({ block: 'center', inline: 'center' });
            const box = arguments[0].getBoundingClientRect();
            return [box.x + box.width / 2, box.y + box.height / 2]";
        let middle = self.script(script, &[json!({ ELEMENT: &*element.element_id() })]);
        self.touch(middle[0].as_f64().unwrap(), middle[1].as_f64().unwrap());
    }

    /// Waits until an element keeps its place: a hand presses what stands still, and a driver that aims while an answer
    /// is still being laid out presses beside it.
    fn stands_still(&self, element: &Element) {
        let place = || {
            let script = "arguments[0].scrollIntoView({ block: 'center', inline: 'center' });
                const box = arguments[0].getBoundingClientRect();
                return [box.x, box.y, box.width, box.height, document.documentElement.scrollHeight]";
            self.script(script, &[json!({ ELEMENT: &*element.element_id() })])
        };
        self.wait("element that stands still", || {
            let before = place();
            std::thread::sleep(Duration::from_millis(150));
            (before == place()).then_some(())
        });
    }

    /// One touch of the screen, in CSS pixels from its upper left corner. Things are brought to the middle before they are
    /// touched, so two in a row lie at one place: a second touch waits until the pair is no double tap, after which the
    /// browser takes no letters.
    pub fn touch(&self, x: f64, y: f64) {
        if let Some(last) = self.touched.get() {
            std::thread::sleep(DOUBLE_TAP.saturating_sub(last.elapsed()));
        }
        let finger = TouchActions::new("finger".to_owned())
            .then(PointerAction::MoveTo {
                duration: Some(Duration::ZERO),
                x: x.round(),
                y: y.round(),
            })
            .then(PointerAction::Down { button: 0 })
            .then(PointerAction::Up { button: 0 });
        self.within(self.client.perform_actions(finger)).unwrap();
        self.touched.set(Some(Instant::now()));
    }

    /// One stroke of a finger through these points, in CSS pixels from the screen's upper left corner.
    pub fn stroke(&self, points: &[(f64, f64)]) {
        let to = |&(x, y): &(f64, f64), ms| PointerAction::MoveTo {
            duration: Some(Duration::from_millis(ms)),
            x: x.round(),
            y: y.round(),
        };
        let finger = TouchActions::new("finger".to_owned())
            .then(to(&points[0], 0))
            .then(PointerAction::Down { button: 0 });
        let finger = points[1..]
            .iter()
            .fold(finger, |finger, point| finger.then(to(point, 20)))
            .then(PointerAction::Up { button: 0 });
        self.within(self.client.perform_actions(finger)).unwrap();
    }

    /// Writes into the field with this name, in place of what is there.
    pub fn write(&self, role: &str, name: &str, text: &str) {
        let field = self.find(role, name);
        self.press_element(&field);
        self.within(field.clear()).unwrap();
        self.within(field.send_keys(text)).unwrap();
    }

    /// Presses keys on the thing with this role and name.
    pub fn keys(&self, role: &str, name: &str, keys: &[Key]) {
        let element = self.find(role, name);
        let keys: String = keys.iter().map(|key| char::from(*key)).collect();
        self.within(element.send_keys(&keys)).unwrap();
    }

    /// Role and name of what has the focus, as the browser tells them; `None` for the page itself.
    pub fn focused(&self) -> Option<(String, String)> {
        let body = self.script(
            "return document.activeElement === null || document.activeElement === document.body",
            &[],
        );
        if body == true {
            return None;
        }
        let active = self.within(self.client.active_element()).ok()?.element_id();
        let told = |what: &str| {
            let path = format!("element/{}/{what}", &*active);
            let found = self.other(http::Method::GET, &path, None).ok()?;
            Some(found.as_str()?.trim().to_owned())
        };
        Some((told("computedrole")?, told("computedlabel")?))
    }

    /// Presses so far.
    pub fn taps(&self) -> u32 {
        self.taps.get()
    }

    /// A picture of what is in the window.
    pub fn screenshot(&self) -> Vec<u8> {
        self.within(self.client.screenshot()).unwrap()
    }

    /// Makes the window this big.
    pub fn size(&self, width: u32, height: u32) {
        self.within(self.client.set_window_size(width, height))
            .unwrap();
    }
}

/// The name that the protocol gives to an element's id.
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";
