//! A page that answers while someone works in it: text in, text out.

/// What a page talks to.
#[derive(Debug, Default)]
pub struct Live {}

impl Live {
    /// One that knows no exercise yet.
    pub fn new() -> Live {
        Live::default()
    }

    /// Answers a request; both are JSON. Never fails: what is wrong with a request is its answer.
    pub fn answer(&mut self, request: &str) -> String {
        let read: Result<serde_json::Value, _> = serde_json::from_str(request);
        match read {
            Ok(value) => value.to_string(),
            Err(error) => serde_json::json!({ "fault": error.to_string() }).to_string(),
        }
    }
}
