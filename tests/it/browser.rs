//! Drives a Chromium over its debugging pipe: no port, no further package.
//!
//! The browser reads commands from file descriptor 3 and answers on 4, JSON with a NUL after each
//! message. Where there is no browser the tests that need one say so and pass.

use std::fs::{File, OpenOptions};
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

/// The longest a single answer is waited for: two cores may be busy with other tests.
const PATIENCE: Duration = Duration::from_secs(120);

/// A browser with one page open.
pub(crate) struct Browser {
    child: Child,
    commands: File,
    messages: Receiver<Value>,
    next: u64,
    session: Option<String>,
    /// What happened since the last page was opened.
    pub(crate) events: Vec<Value>,
    _folder: tempfile::TempDir,
}

/// Says that something was not tested: past the test runner, which shows only what failing tests print.
pub(crate) fn skipped(what: &str) {
    let _ = writeln!(std::io::stderr(), "skipped: {what}");
}

/// A browser; none where none is installed, which is said.
pub(crate) fn browser(test: &str) -> Option<Browser> {
    let installed = Command::new("chromium")
        .arg("--version")
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    if !cfg!(unix) || !installed.is_ok_and(|status| status.success()) {
        skipped(&format!(
            "{test}: no `chromium` here; install it (`.ci/run` does) and run `cargo test browser`"
        ));
        return None;
    }
    Some(Browser::start())
}

impl Browser {
    fn start() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let [commands, answers] = ["commands", "answers"].map(|name| folder.path().join(name));
        let made = Command::new("mkfifo").args([&commands, &answers]).status();
        assert!(made.unwrap().success());
        let child = Command::new("sh")
            .arg("-c")
            .arg("exec chromium --headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking --disable-component-update --disable-sync --disable-dev-shm-usage --hide-scrollbars --remote-debugging-pipe --user-data-dir=\"$0/profile\" about:blank 3<\"$0/commands\" 4>\"$0/answers\"")
            .arg(folder.path())
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let commands = OpenOptions::new().write(true).open(commands).unwrap();
        let mut answers = BufReader::new(File::open(answers).unwrap());
        let (send, messages) = channel();
        std::thread::spawn(move || {
            let mut message = Vec::new();
            while answers.read_until(0, &mut message).is_ok_and(|n| n > 0) {
                message.pop();
                let read = serde_json::from_slice(&message);
                message.clear();
                if read.is_ok_and(|value| send.send(value).is_err()) {
                    break;
                }
            }
        });
        let mut browser = Self {
            child,
            commands,
            messages,
            next: 0,
            session: None,
            events: Vec::new(),
            _folder: folder,
        };
        let target = browser.call("Target.createTarget", &json!({"url": "about:blank"}));
        let attach = json!({"targetId": target["targetId"], "flatten": true});
        let session = browser.call("Target.attachToTarget", &attach);
        browser.session = Some(session["sessionId"].as_str().unwrap().to_owned());
        for part in ["Page", "Runtime", "Log", "Network"] {
            browser.call(&format!("{part}.enable"), &json!({}));
        }
        browser
    }

    /// Calls a method and returns its result.
    pub(crate) fn call(&mut self, method: &str, params: &Value) -> Value {
        self.next += 1;
        let id = self.next;
        let mut command = json!({"id": id, "method": method, "params": params});
        if let Some(session) = &self.session {
            command["sessionId"] = json!(session);
        }
        let mut bytes = command.to_string().into_bytes();
        bytes.push(0);
        self.commands.write_all(&bytes).unwrap();
        loop {
            let message = self.message(method);
            if message["id"] == json!(id) {
                assert!(message["error"].is_null(), "{method}: {}", message["error"]);
                return message["result"].clone();
            }
            self.events.push(message);
        }
    }

    fn message(&self, waiting_for: &str) -> Value {
        let message = self.messages.recv_timeout(PATIENCE);
        message.unwrap_or_else(|_| panic!("no answer to {waiting_for}"))
    }

    /// Opens a file at a width, on light or dark paper or for print, and waits until it is loaded.
    pub(crate) fn open(&mut self, page: &Path, width: u32, media: [&str; 2]) {
        let [medium, scheme] = media;
        let size = json!({"width": width, "height": 900, "deviceScaleFactor": 1, "mobile": false});
        self.call("Emulation.setDeviceMetricsOverride", &size);
        let features = json!([{"name": "prefers-color-scheme", "value": scheme}]);
        self.call(
            "Emulation.setEmulatedMedia",
            &json!({"media": medium, "features": features}),
        );
        self.events.clear();
        let url = format!("file://{}", page.display());
        self.call("Page.navigate", &json!({"url": url}));
        let begun = Instant::now();
        while !self
            .events
            .iter()
            .any(|e| e["method"] == "Page.loadEventFired")
        {
            assert!(begun.elapsed() < PATIENCE, "the page does not load");
            let message = self.message("Page.loadEventFired");
            self.events.push(message);
        }
    }

    /// The value of an expression in the page.
    pub(crate) fn value(&mut self, expression: &str) -> Value {
        let asked = json!({"expression": expression, "returnByValue": true, "awaitPromise": true});
        let answer = self.call("Runtime.evaluate", &asked);
        assert!(
            answer["exceptionDetails"].is_null(),
            "{expression}: {}",
            answer["exceptionDetails"]
        );
        answer["result"]["value"].clone()
    }

    /// Moves the mouse to the middle of what a selector finds.
    pub(crate) fn point_at(&mut self, selector: &str) {
        let place = self.value(&format!(
            "(() => {{ const mark = document.querySelector({selector:?}); mark.scrollIntoView({{block: 'center'}}); const r = mark.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]; }})()"
        ));
        self.call(
            "Input.dispatchMouseEvent",
            &json!({"type": "mouseMoved", "x": place[0], "y": place[1]}),
        );
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        self.session = None;
        let close = json!({"id": 0, "method": "Browser.close"});
        let _ = self.commands.write_all(format!("{close}\0").as_bytes());
        let begun = Instant::now();
        while begun.elapsed() < Duration::from_secs(10) {
            if !matches!(self.child.try_wait(), Ok(None)) {
                return;
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
