//! Just enough of the Chrome DevTools Protocol to open pages one after another in a tab, see
//! what they log, evaluate JavaScript in them, and touch and type as a reader does.

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::rc::Rc;
use std::sync::mpsc;
use std::time::{Duration, Instant};
use std::{error, fs, result, thread};

use serde_json::{Value, json};
use tempfile::TempDir;
use tungstenite::protocol::WebSocketConfig;
use tungstenite::{Message, WebSocket};

use crate::heard::Heard;
use crate::pdf::Pdf;

const PER_PAGE: Duration = Duration::from_secs(60);
/// A machine that does other work as well takes many times as long as a quiet one.
const IN_ALL: Duration = Duration::from_secs(20 * 60);

pub type Result<T> = result::Result<T, Box<dyn error::Error>>;

/// The running Chromium. Dropping it ends the process and removes its profile directory.
struct Chromium {
    process: Child,
    profile: TempDir,
    /// The web socket that it listens on.
    url: String,
}

/// One tab of a Chromium, which ends with its last tab.
pub struct Tab {
    socket: WebSocket<TcpStream>,
    session: Option<String>,
    /// Whether windows are those of a telephone, to be touched.
    is_phone: bool,
    last_id: u64,
    /// The time by which everything has to be done, and that for the page under way.
    end: Instant,
    page_end: Instant,
    /// The loader ids of the documents whose load event has fired.
    loaded: Vec<Value>,
    /// The errors that the page has logged so far.
    pub errors: Vec<String>,
    /// The addresses of all that was loaded since the page was, if that is watched.
    pub requests: Vec<String>,
    chromium: Rc<Chromium>,
}

impl Chromium {
    /// Starts `program`, and waits until it listens.
    fn launch(program: &str) -> Result<Chromium> {
        let profile = tempfile::tempdir()?;
        let flags = "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run \
            --disable-background-networking --disable-component-update --disable-sync \
            --remote-debugging-port=0";
        let started = Command::new(program)
            .args(flags.split_whitespace())
            .arg(format!("--user-data-dir={}", profile.path().display()))
            // What Chromium leaves among the temporary files when killed goes with the profile.
            .env("TMPDIR", profile.path())
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn();
        let mut process = started.map_err(|e| {
            format!(
                "The browser test needs Chromium, and `{program}` can't be started ({e}). Install \
                 Debian's package with `apt-get install chromium`, or set the variable CHROMIUM \
                 to the path of a Chromium."
            )
        })?;
        let stderr = process.stderr.take().ok_or("no stderr")?;
        let mut chromium = Chromium { process, profile, url: String::new() };

        let (sender, lines) = mpsc::channel();
        // The thread reads on to the end: Chromium would wait for a full pipe to be emptied.
        thread::spawn(move || {
            for line in BufReader::new(stderr).lines().map_while(result::Result::ok) {
                let _ = sender.send(line);
            }
        });
        let end = Instant::now() + PER_PAGE;
        let mut said = String::new();
        while let Ok(line) = lines.recv_timeout(end.saturating_duration_since(Instant::now())) {
            if let Some(url) = line.strip_prefix("DevTools listening on ") {
                url.clone_into(&mut chromium.url);
                return Ok(chromium);
            }
            said = said + "\n" + &line;
        }
        Err(format!("`{program}` opened no DevTools port; it said:{said}").into())
    }
}

impl Drop for Chromium {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
        // Chromium's child processes outlive it by a moment in which they may still write to the
        // profile, and a directory that is written to can't be removed.
        for _ in 0..50 {
            if fs::remove_dir_all(self.profile.path()).is_ok() {
                break;
            }
            thread::sleep(Duration::from_millis(50));
        }
    }
}

impl Tab {
    /// Opens a tab in a new Chromium, whose program is given.
    pub fn open(program: &str) -> Result<Tab> {
        Tab::of(Rc::new(Chromium::launch(program)?))
    }

    /// Opens another tab beside this one, with the same things kept.
    pub fn beside(&self) -> Result<Tab> {
        Tab::of(Rc::clone(&self.chromium))
    }

    fn of(chromium: Rc<Chromium>) -> Result<Tab> {
        let start = Instant::now();
        let url = &chromium.url;
        let address = url.trim_start_matches("ws://").split('/').next().unwrap_or_default();
        let stream = TcpStream::connect(address)?;
        stream.set_read_timeout(Some(PER_PAGE))?;
        // A page's accessibility tree comes as one message, and fits.
        let config = WebSocketConfig::default().read_buffer_size(1 << 27).max_frame_size(None);
        let mut tab = Tab {
            socket: tungstenite::client::client_with_config(url, stream, Some(config))?.0,
            session: None,
            is_phone: false,
            last_id: 0,
            end: start + IN_ALL,
            page_end: start + PER_PAGE,
            loaded: Vec::new(),
            errors: Vec::new(),
            requests: Vec::new(),
            chromium: Rc::clone(&chromium),
        };
        let target = tab.call("Target.createTarget", json!({"url": "about:blank"}))?;
        let attach = json!({"targetId": target["targetId"], "flatten": true});
        let attached = tab.call("Target.attachToTarget", attach)?;
        tab.session = attached["sessionId"].as_str().map(str::to_owned);
        for domain in ["Page", "Runtime", "Log"] {
            tab.call(&format!("{domain}.enable"), json!({}))?;
        }
        tab.call("Page.setLifecycleEventsEnabled", json!({"enabled": true}))?;
        // A scrollbar would count into window.innerWidth and hide a page that is a bit too wide.
        tab.call("Emulation.setScrollbarsHidden", json!({"hidden": true}))?;
        Ok(tab)
    }

    /// Loads a page into a window of the given width and waits for its load event. The script
    /// `before` runs before the page's own.
    pub fn load(&mut self, url: &str, width: u32, before: &str) -> Result<()> {
        self.page_end = self.end.min(Instant::now() + PER_PAGE);
        self.loaded.clear();
        self.errors.clear();
        self.requests.clear();
        let size = json!({"width": width, "height": 800, "deviceScaleFactor": 1, "mobile": self.is_phone});
        self.call("Emulation.setDeviceMetricsOverride", size)?;
        let source = json!({"source": before});
        let script = self.call("Page.addScriptToEvaluateOnNewDocument", source)?;
        let answer = self.call("Page.navigate", json!({"url": url}))?;
        if let Some(error) = answer["errorText"].as_str() {
            return Err(error.into());
        }
        while !self.loaded.contains(&answer["loaderId"]) {
            let event = self.receive("the load event")?;
            self.note(&event);
        }
        self.call("Page.removeScriptToEvaluateOnNewDocument", script)?;
        Ok(())
    }

    /// Evaluates an expression in the page; a promise is awaited.
    pub fn evaluate(&mut self, expression: &str) -> Result<Value> {
        let how = json!({"expression": expression, "awaitPromise": true, "returnByValue": true});
        let mut answer = self.call("Runtime.evaluate", how)?;
        match answer.get("exceptionDetails") {
            Some(details) => Err(exception(details).into()),
            None => Ok(answer["result"]["value"].take()),
        }
    }

    /// Shows pages as someone sees them who prefers "light" or "dark".
    pub fn prefer(&mut self, scheme: &str) -> Result<()> {
        self.page_end = self.end.min(Instant::now() + PER_PAGE);
        let feature = json!({"name": "prefers-color-scheme", "value": scheme});
        self.call("Emulation.setEmulatedMedia", json!({"features": [feature]}))?;
        Ok(())
    }

    /// Shows pages as on paper, or as it comes.
    pub fn print(&mut self, is_on_paper: bool) -> Result<()> {
        let media = if is_on_paper { "print" } else { "" };
        self.call("Emulation.setEmulatedMedia", json!({"media": media}))?;
        Ok(())
    }

    /// Presses a key: "Tab", "Enter", "Space".
    pub fn press(&mut self, key: &str) -> Result<()> {
        let (name, code, text) = match key {
            "Enter" => (key, 13, "\r"),
            "Space" => (" ", 32, " "),
            _ => (key, 9, ""),
        };
        for kind in ["keyDown", "keyUp"] {
            let text = if kind == "keyDown" { text } else { "" };
            let event = json!({"type": kind, "key": name, "code": key, "windowsVirtualKeyCode": code, "text": text});
            self.call("Input.dispatchKeyEvent", event)?;
        }
        Ok(())
    }

    /// What the browser has counted of a page's work so far, by its own names: durations in seconds.
    pub fn metrics(&mut self) -> Result<BTreeMap<String, f64>> {
        self.call("Performance.enable", json!({}))?;
        let answer = self.call("Performance.getMetrics", json!({}))?;
        let metric = |it: &Value| Some((it["name"].as_str()?.to_owned(), it["value"].as_f64()?));
        Ok(answer["metrics"].as_array().into_iter().flatten().filter_map(metric).collect())
    }

    /// Types a letter, as from a keyboard.
    pub fn type_letter(&mut self, letter: char) -> Result<()> {
        for kind in ["keyDown", "keyUp"] {
            let text = if kind == "keyDown" { letter.to_string() } else { String::new() };
            let event = json!({"type": kind, "key": letter.to_string(), "text": text});
            self.call("Input.dispatchKeyEvent", event)?;
        }
        Ok(())
    }

    /// Makes a telephone of the window: it is touched, and has no mouse.
    pub fn be_phone(&mut self) -> Result<()> {
        self.is_phone = true;
        self.call("Emulation.setTouchEmulationEnabled", json!({"enabled": true, "maxTouchPoints": 1}))?;
        Ok(())
    }

    /// Touches the window for a moment, at a point of what can be seen.
    pub fn tap(&mut self, (x, y): (f64, f64)) -> Result<()> {
        self.call("Input.dispatchTouchEvent", json!({"type": "touchStart", "touchPoints": [{"x": x, "y": y}]}))?;
        self.call("Input.dispatchTouchEvent", json!({"type": "touchEnd", "touchPoints": []}))?;
        Ok(())
    }

    /// Puts text in where the cursor stands, as a keyboard or the clipboard does.
    pub fn insert(&mut self, text: &str) -> Result<()> {
        self.call("Input.insertText", json!({"text": text}))?;
        Ok(())
    }

    /// Drops files and folders of this machine on a point of the window.
    pub fn drop_files(&mut self, (x, y): (f64, f64), files: &[&Path]) -> Result<()> {
        self.page_end = self.end.min(Instant::now() + PER_PAGE);
        for kind in ["dragEnter", "dragOver", "drop"] {
            let data = json!({"items": [], "files": files, "dragOperationsMask": 1});
            self.call("Input.dispatchDragEvent", json!({"type": kind, "x": x, "y": y, "data": data}))?;
        }
        Ok(())
    }

    /// Chooses files or a folder of this machine in a field of the page that an expression names.
    pub fn choose_files(&mut self, field: &str, files: &[&Path]) -> Result<()> {
        self.page_end = self.end.min(Instant::now() + PER_PAGE);
        let object = self.call("Runtime.evaluate", json!({"expression": field}))?;
        let object = &object["result"]["objectId"];
        self.call("DOM.setFileInputFiles", json!({"files": files, "objectId": object}))?;
        Ok(())
    }

    /// What is to be seen of the page, whole, as a PNG.
    pub fn picture(&mut self) -> Result<Vec<u8>> {
        let answer = self.call("Page.captureScreenshot", json!({"captureBeyondViewport": true}))?;
        Ok(base64(answer["data"].as_str().ok_or("no picture")?).ok_or("a picture that is no base64")?)
    }

    /// Has files that a page saves put into a folder.
    pub fn save_into(&mut self, folder: &Path) -> Result<()> {
        let how = json!({"behavior": "allow", "downloadPath": folder});
        self.call("Browser.setDownloadBehavior", how)?;
        Ok(())
    }

    /// Brings the tab before all others.
    pub fn come_forward(&mut self) -> Result<()> {
        self.page_end = self.end.min(Instant::now() + PER_PAGE);
        self.call("Page.bringToFront", json!({}))?;
        Ok(())
    }

    /// Loads the page anew.
    pub fn reload(&mut self) -> Result<()> {
        self.page_end = self.end.min(Instant::now() + PER_PAGE);
        self.loaded.clear();
        self.call("Page.reload", json!({}))?;
        while self.loaded.is_empty() {
            let event = self.receive("the load event")?;
            self.note(&event);
        }
        Ok(())
    }

    /// Notes from now on everything that pages load, whatever it is loaded by.
    pub fn watch_network(&mut self) -> Result<()> {
        self.call("Network.enable", json!({}))?;
        Ok(())
    }

    /// Gives the page that is loaded as much time again.
    pub fn more_time(&mut self) {
        self.page_end = self.end.min(Instant::now() + PER_PAGE);
    }

    /// What a screen reader is told of the page.
    pub fn heard(&mut self) -> Result<Heard> {
        let answer = self.call("Accessibility.getFullAXTree", json!({}))?;
        Heard::read(&answer["nodes"]).ok_or_else(|| "no accessibility tree".into())
    }

    /// Lets the scripts of pages run, or not.
    pub fn run_scripts(&mut self, runs: bool) -> Result<()> {
        self.call("Emulation.setScriptExecutionDisabled", json!({"value": !runs}))?;
        Ok(())
    }

    /// How many sheets of paper the page takes, of so many inches across and down.
    pub fn sheets(&mut self, paper: (f64, f64)) -> Result<usize> {
        Ok(Pdf::read(&self.pdf(paper)?).pages())
    }

    /// The page printed, on paper of so many inches across and down.
    pub fn pdf(&mut self, (across, down): (f64, f64)) -> Result<Vec<u8>> {
        self.page_end = self.end.min(Instant::now() + PER_PAGE);
        let paper =
            json!({"paperWidth": across, "paperHeight": down, "printBackground": true, "generateTaggedPDF": true});
        let answer = self.call("Page.printToPDF", paper)?;
        Ok(base64(answer["data"].as_str().ok_or("no PDF")?).ok_or("a PDF that is no base64")?)
    }

    fn call(&mut self, method: &str, params: Value) -> Result<Value> {
        self.last_id += 1;
        let mut command = json!({"id": self.last_id, "method": method, "params": params});
        if let Some(session) = &self.session {
            command["sessionId"] = json!(session);
        }
        self.socket.send(Message::text(command.to_string()))?;
        loop {
            let mut message = self.receive(method)?;
            if message["id"] != self.last_id {
                self.note(&message);
            } else if let Some(error) = message.get("error") {
                return Err(format!("{method}: {error}").into());
            } else {
                return Ok(message["result"].take());
            }
        }
    }

    fn receive(&mut self, awaited: &str) -> Result<Value> {
        while Instant::now() < self.page_end {
            let read = self.socket.read();
            let message = read.map_err(|e| format!("nothing came while waiting for {awaited}: {e}"))?;
            if let Message::Text(text) = message {
                return Ok(serde_json::from_str(&text)?);
            }
        }
        Err(format!("the time is up while waiting for {awaited}").into())
    }

    fn note(&mut self, event: &Value) {
        let params = &event["params"];
        match event["method"].as_str().unwrap_or_default() {
            "Page.lifecycleEvent" if params["name"] == "load" => {
                self.loaded.push(params["loaderId"].clone());
            }
            "Network.requestWillBeSent" => self.requests.push(plain(&params["request"]["url"])),
            "Network.webSocketCreated" | "Network.webTransportCreated" => self.requests.push(plain(&params["url"])),
            "Runtime.exceptionThrown" => self.errors.push(exception(&params["exceptionDetails"])),
            "Runtime.consoleAPICalled" if params["type"] == "error" => {
                let args = params["args"].as_array().into_iter().flatten();
                let args: Vec<String> =
                    args.map(|arg| plain(arg.get("value").unwrap_or(&arg["description"]))).collect();
                self.errors.push(args.join(" "));
            }
            "Log.entryAdded" if params["entry"]["level"] == "error" => {
                let entry = &params["entry"];
                self.errors.push(plain(&entry["text"]) + " " + &plain(&entry["url"]));
            }
            _ => {}
        }
    }
}

/// RFC 4648, section 4.
fn base64(text: &str) -> Option<Vec<u8>> {
    const DIGITS: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut bytes = Vec::with_capacity(text.len() / 4 * 3);
    let (mut bits, mut count) = (0_u32, 0);
    for letter in text.bytes().filter(|letter| *letter != b'=') {
        let digit = DIGITS.iter().position(|digit| *digit == letter)?;
        (bits, count) = (bits << 6 | digit as u32, count + 6);
        if count >= 8 {
            count -= 8;
            bytes.push((bits >> count) as u8);
        }
    }
    Some(bytes)
}

fn exception(details: &Value) -> String {
    let description = details["exception"].get("description");
    format!("uncaught: {}", plain(description.unwrap_or(&details["text"])))
}

fn plain(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}
