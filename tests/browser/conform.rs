//! Every page as the Nu Html Checker reads it: no error against the standards of HTML, ARIA and CSS. It runs in Java, and
//! `.ci/tools` installs it.

use std::path::Path;
use std::process::Command;
use std::{env, fs};

use serde_json::Value;

use crate::every_page::{Allowed, EveryPage, tool};

/// Errors that stand: how the message begins, in the pages whose path begins so, and why.
const ALLOWED: [Allowed; 4] = [
    Allowed {
        rule: "The “aria-label” attribute must not be used on any “label” element",
        about: "book/",
        reason: "mdBook's button for the contents",
    },
    Allowed {
        rule: "The “aria-controls” attribute must not be used on any “label” element",
        about: "book/",
        reason: "mdBook's button for the contents",
    },
    Allowed {
        rule: "No “li” element in scope but a “li” end tag seen.",
        about: "book/toc.html",
        reason: "mdBook's table of contents for a frame",
    },
    Allowed {
        rule: "Element “head” is missing a required instance of child element “title”.",
        about: "book/toc.html",
        reason: "mdBook's table of contents for a frame",
    },
];

/// The errors in pages of a folder, each with its page's path there.
fn errors(folder: &Path, pages: &[&str]) -> Vec<(String, String)> {
    let jar = tool("FOLDMARK_VNU", "vnu-jar", "build/dist/vnu.jar");
    let java = env::var("JAVA").unwrap_or_else(|_| "java".to_owned());
    let checked = Command::new(&java)
        .arg("-jar")
        .arg(jar)
        .args(["--format", "json", "--errors-only", "--exit-zero-always", "--stdout"])
        .args(pages)
        .current_dir(folder)
        .output();
    let checked = checked.unwrap_or_else(|error| {
        panic!(
            "This test needs Java, and `{java}` can't be started ({error}). Install Debian's package with `apt-get \
             install default-jre-headless`, then run `.ci/tools`; or set the variable JAVA to the path of a Java."
        )
    });
    let said = String::from_utf8_lossy(&checked.stderr);
    let told: Value = serde_json::from_slice(&checked.stdout).unwrap_or_else(|error| panic!("{error}: {said}"));
    let messages = told["messages"].as_array().unwrap_or_else(|| panic!("no messages: {told}"));
    let error = |message: &Value| {
        let text = |key: &str| message[key].as_str().unwrap_or_default().to_owned();
        let url = text("url");
        let page = pages.iter().find(|page| url.ends_with(&format!("/{page}")));
        let place = format!("line {}: {}", message["lastLine"], text("extract").replace('\n', " "));
        // What is said of no page is a failure of the checker.
        (page.map_or(url.clone(), |page| (*page).to_owned()), format!("{} ({place})", text("message")))
    };
    messages.iter().map(error).collect()
}

#[test]
fn pages_conform_to_the_standards() {
    let every = EveryPage::write();
    let pages: Vec<&str> = every.pages.iter().map(|(_, page)| page.as_str()).collect();
    let mut met = [0; ALLOWED.len()];
    let mut complaints = Vec::new();
    for (page, message) in errors(every.folder(), &pages) {
        match ALLOWED.iter().position(|it| message.starts_with(it.rule) && page.starts_with(it.about)) {
            Some(by) => met[by] += 1,
            None => complaints.push(format!("{page}: {message}")),
        }
    }
    assert!(complaints.is_empty(), "{} errors:\n{}", complaints.len(), complaints.join("\n"));
    for (Allowed { rule, about, reason }, met) in ALLOWED.iter().zip(met) {
        assert!(met > 0, "“{rule}” is allowed in {about} ({reason}), and found nowhere: take it off the list");
        println!("allowed in {about}, {met} times: {rule} {reason}");
    }
}

/// The checker itself: it finds an error in a page, and says in which.
#[test]
fn an_error_is_found() {
    let folder = tempfile::tempdir().expect("a temporary directory");
    let page = |body: &str| {
        format!(
            "<!DOCTYPE html><html lang=\"en\"><head><title>Page</title></head><body><main>{body}</main></body></html>"
        )
    };
    fs::write(folder.path().join("sound.html"), page("<h1>Sound</h1>")).expect("a page is written");
    fs::write(folder.path().join("faults.html"), page("<h1>Faults</h1><p aria-none=\"1\">"))
        .expect("a page is written");
    let found = errors(folder.path(), &["sound.html", "faults.html"]);
    let [(page, message)] = &found[..] else { panic!("{found:?}") };
    assert!(page == "faults.html" && message.starts_with("Attribute “aria-none” not allowed"), "{found:?}");
}
