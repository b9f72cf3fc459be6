//! A small server for a folder on this machine, with a header of its choice; it notes what it is asked for.

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::thread;

/// Serves until it is dropped.
pub struct Server {
    address: String,
    shared: Arc<Shared>,
}

struct Shared {
    folder: PathBuf,
    policy: Mutex<String>,
    /// Method and path of each request.
    asked: Mutex<Vec<String>>,
    is_over: AtomicBool,
}

impl Server {
    pub fn new(folder: &Path) -> Server {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
        let address = listener.local_addr().expect("its address").to_string();
        let shared = Arc::new(Shared {
            folder: folder.to_owned(),
            policy: Mutex::default(),
            asked: Mutex::default(),
            is_over: AtomicBool::new(false),
        });
        let its = Arc::clone(&shared);
        thread::spawn(move || {
            for stream in listener.incoming().map_while(Result::ok) {
                if its.is_over.load(Ordering::Relaxed) {
                    break;
                }
                let its = Arc::clone(&its);
                // A browser opens more connections than it uses.
                thread::spawn(move || its.answer(&stream));
            }
        });
        Server { address, shared }
    }

    pub fn url(&self, page: &str) -> String {
        format!("http://{}/{page}", self.address)
    }

    /// From now on every answer has this content security policy; none, if it is empty.
    pub fn set_policy(&self, policy: &str) {
        policy.clone_into(&mut self.shared.policy.lock().expect("nobody panicked"));
    }

    /// What was asked for, since this was asked last, that is no file to be read.
    pub fn others_than_reading(&self) -> Vec<String> {
        self.asked().into_iter().filter(|request| !request.starts_with("GET /")).collect()
    }

    /// What was asked for since this was asked last.
    pub fn asked(&self) -> Vec<String> {
        std::mem::take(&mut self.shared.asked.lock().expect("nobody panicked"))
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        self.shared.is_over.store(true, Ordering::Relaxed);
        let _ = TcpStream::connect(&self.address);
    }
}

impl Shared {
    fn answer(&self, stream: &TcpStream) {
        let mut lines = BufReader::new(stream).lines().map_while(Result::ok);
        let Some(first) = lines.next() else { return };
        // The rest of the head says nothing that is needed.
        lines.by_ref().take_while(|line| !line.is_empty()).for_each(drop);
        let mut words = first.split(' ');
        let (method, path) = (words.next().unwrap_or_default(), words.next().unwrap_or_default());
        self.asked.lock().expect("nobody panicked").push(format!("{method} {path}"));
        let name = path.split(['?', '#']).next().unwrap_or_default().trim_start_matches('/');
        let file = if name.contains("..") { None } else { fs::read(self.folder.join(name)).ok() };
        let kind = match name.rsplit('.').next().unwrap_or_default() {
            "html" => "text/html; charset=utf-8",
            "js" => "text/javascript; charset=utf-8",
            "css" => "text/css; charset=utf-8",
            "svg" => "image/svg+xml",
            "png" => "image/png",
            "woff2" => "font/woff2",
            _ => "application/octet-stream",
        };
        let status = if file.is_some() { "200 OK" } else { "404 Not Found" };
        let body = file.unwrap_or_default();
        let policy = self.policy.lock().expect("nobody panicked").clone();
        let policy = if policy.is_empty() { policy } else { format!("Content-Security-Policy: {policy}\r\n") };
        let head = format!(
            "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\nCache-Control: no-store\r\n{policy}Connection: close\r\n\r\n",
            body.len()
        );
        let mut stream = stream;
        let _ = stream.write_all(head.as_bytes()).and_then(|()| stream.write_all(&body));
    }
}
