//! A folder served over HTTP on this machine, to see pages as from a site.

use std::io::{BufRead, BufReader, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::{fs, thread};

/// Serves until it is dropped.
pub struct Server {
    address: SocketAddr,
    is_over: Arc<AtomicBool>,
    /// The first line of every request.
    asked: Arc<Mutex<Vec<String>>>,
}

impl Server {
    pub fn of(folder: &Path) -> Server {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port is free");
        let address = listener.local_addr().expect("it has an address");
        let (is_over, asked) = (Arc::new(AtomicBool::new(false)), Arc::default());
        let (over, log, folder) = (Arc::clone(&is_over), Arc::clone(&asked), folder.to_owned());
        thread::spawn(move || {
            for stream in listener.incoming().map_while(|stream| stream.ok()) {
                if over.load(Ordering::Relaxed) {
                    break;
                }
                let (log, folder) = (Arc::clone(&log), folder.clone());
                thread::spawn(move || serve(stream, &folder, &log));
            }
        });
        Server { address, is_over, asked }
    }

    pub fn url(&self, page: &str) -> String {
        format!("http://{}/{page}", self.address)
    }

    /// What was asked for that is no file of the folder's to be read.
    pub fn others_than_reading(&self) -> Vec<String> {
        let asked = self.asked.lock().expect("no request failed");
        asked.iter().filter(|line| !line.starts_with("GET /")).cloned().collect()
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        self.is_over.store(true, Ordering::Relaxed);
        // Wakes the one who waits for requests.
        let _ = TcpStream::connect(self.address);
    }
}

/// Answers one request; a browser asks anew for each file.
fn serve(mut stream: TcpStream, folder: &Path, log: &Mutex<Vec<String>>) -> Option<()> {
    let mut lines = BufReader::new(stream.try_clone().ok()?).lines();
    let first = lines.next()?.ok()?;
    while !lines.next()?.ok()?.is_empty() {}
    log.lock().ok()?.push(first.clone());
    let path = first.split(' ').nth(1)?.split('?').next()?.trim_start_matches('/');
    let file: PathBuf = folder.join(path);
    let is_within = !path.split('/').any(|part| part == "..");
    let (status, body) = match fs::read(&file) {
        Ok(body) if is_within => ("200 OK", body),
        _ => ("404 Not Found", Vec::new()),
    };
    let kind = match file.extension().and_then(|extension| extension.to_str()).unwrap_or_default() {
        "html" => "text/html; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "css" => "text/css",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        _ => "application/octet-stream",
    };
    let head = format!(
        "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\nConnection: close\r\n\r\n",
        body.len()
    );
    stream.write_all(head.as_bytes()).ok()?;
    stream.write_all(&body).ok()
}
