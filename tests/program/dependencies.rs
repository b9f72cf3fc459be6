//! What the binaries are made of: licences that go together with ours, nothing twice without a reason, and a notice that goes with
//! them. What is known of faults in these crates is told by `cargo audit` or `cargo deny`, which take a network.

use super::shared::is_update;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::fs;
use std::path::Path;
use std::process::Command;

/// Licences that one may choose among for each crate; all ask for no more than that the notice is kept, but the last, which asks
/// that the source of its files stays to be had.
const LICENCES: [&str; 12] = [
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "CC-BY-4.0",
    "ISC",
    "MIT",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
    "MPL-2.0",
];

/// Crates that are there in two versions, which their other users do not yet agree on.
const TWICE: [&str; 1] = ["syn"];

const NOTICE: &str = "THIRD-PARTY.md";

/// A crate that the binaries have in them.
struct Linked {
    licence: String,
    versions: BTreeSet<String>,
    repository: String,
}

fn linked() -> BTreeMap<String, Linked> {
    let root = env!("CARGO_MANIFEST_DIR");
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let output = Command::new(cargo)
        .args(["metadata", "--format-version", "1", "--locked", "--filter-platform", "x86_64-unknown-linux-gnu"])
        .current_dir(root)
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let metadata: Value = serde_json::from_slice(&output.stdout).unwrap();
    let list = |value: &Value| value.as_array().unwrap().clone();
    let of = |value: &Value, key: &str| value[key].as_str().unwrap_or_default().to_owned();
    let nodes: BTreeMap<String, Value> =
        list(&metadata["resolve"]["nodes"]).into_iter().map(|node| (of(&node, "id"), node)).collect();
    let mut open = vec![of(&metadata["resolve"], "root")];
    let mut seen = BTreeSet::new();
    while let Some(id) = open.pop() {
        if seen.insert(id.clone()) {
            let is_linked =
                |dependency: &&Value| list(&dependency["dep_kinds"]).iter().any(|kind| kind["kind"].is_null());
            open.extend(list(&nodes[&id]["deps"]).iter().filter(is_linked).map(|dependency| of(dependency, "pkg")));
        }
    }
    let mut found: BTreeMap<String, Linked> = BTreeMap::new();
    for package in list(&metadata["packages"]).iter().filter(|package| seen.contains(&of(package, "id"))) {
        let (name, version) = (of(package, "name"), of(package, "version"));
        if name != env!("CARGO_PKG_NAME") {
            let linked = Linked {
                licence: of(package, "license"),
                versions: BTreeSet::new(),
                repository: of(package, "repository"),
            };
            found.entry(name).or_insert(linked).versions.insert(version);
        }
    }
    assert!(found.len() > 100);
    found
}

/// Whether of every part that holds together with others one of the licences between which there is a choice is known.
fn is_known(expression: &str) -> bool {
    let expression = expression.replace(['(', ')'], "").replace('/', " OR ");
    expression.split(" AND ").all(|part| part.split(" OR ").any(|licence| LICENCES.contains(&licence.trim())))
}

#[test]
fn licences_go_together() {
    assert!(is_known("MIT OR GPL-3.0") && is_known("(MIT OR Apache-2.0) AND Unicode-3.0"));
    assert!(!is_known("GPL-3.0") && !is_known("MIT AND GPL-3.0") && !is_known(""));
    let other: Vec<String> = linked()
        .iter()
        .filter(|(_, it)| !is_known(&it.licence))
        .map(|(name, it)| format!("{name}: {}", it.licence))
        .collect();
    assert_eq!(other, [] as [&str; 0]);
}

#[test]
fn nothing_is_there_twice() {
    let twice: Vec<String> =
        linked().into_iter().filter(|(_, it)| it.versions.len() > 1).map(|(name, _)| name).collect();
    assert!(twice.iter().all(|name| TWICE.contains(&name.as_str())), "{twice:?}");
}

/// `FOLDMARK_UPDATE=1 cargo test --test program dependencies` writes it.
#[test]
fn the_notice_names_everything() {
    let mut notice = "# What is in the binaries\n\n\
        Foldmark's binaries hold code of these crates, each under its own licence. Their texts stand in each crate's source, which is to be had \
        from its repository, and in the versions that `Cargo.lock` names from the public registry of crates.\n\n\
        **Of those under the Mozilla Public License 2.0 you may have the source** under that licence (<https://mozilla.org/MPL/2.0/>), \
        unchanged as it is used here, from the repositories below and from that registry. Whoever hands on a binary hands on this file with it.\n\n\
        | crate | licence | source |\n|---|---|---|\n"
        .to_owned();
    let all = linked();
    let is_mpl = |it: &Linked| it.licence == "MPL-2.0";
    for (name, it) in all.iter().filter(|(_, it)| is_mpl(it)).chain(all.iter().filter(|(_, it)| !is_mpl(it))) {
        let _ = writeln!(notice, "| {name} | {} | <{}> |", it.licence, it.repository);
    }
    assert!(all.iter().filter(|(_, it)| is_mpl(it)).all(|(_, it)| it.repository.starts_with("https://")));
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(NOTICE);
    if is_update() {
        fs::write(&file, &notice).unwrap();
    }
    assert!(
        fs::read_to_string(&file).unwrap_or_default() == notice,
        "{NOTICE} is not what Cargo.lock has; FOLDMARK_UPDATE=1 writes it"
    );
}
