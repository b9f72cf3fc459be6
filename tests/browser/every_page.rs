//! Every page that comes out of this project, as files in one folder: the book, what marking writes, and practice sheets with
//! their keys.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use foldmark::book::build_book;
use foldmark::exercise::Shelf;
use tempfile::TempDir;

use crate::{find_pages, marking};

/// Where a page comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    Book,
    Marking,
    Practice,
}

pub struct EveryPage {
    folder: TempDir,
    /// Each with its path in the folder, in order.
    pub pages: Vec<(Kind, String)>,
}

impl EveryPage {
    /// Writes them all.
    pub fn write() -> EveryPage {
        let folder = tempfile::tempdir().expect("a temporary directory");
        let place = |kind: &str| folder.path().join(kind);
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        build_book(root, Some(&place("book"))).unwrap_or_else(|fault| panic!("the book isn't built: {fault}"));
        fs::create_dir(place("marking")).expect("a folder");
        for (index, page) in marking::pages().iter().enumerate() {
            fs::write(place("marking").join(format!("{index:02}.html")), &page.html).expect("a page is written");
        }
        // Drafts of every level, in inches and in centimetres, and drafts with slips to be found.
        let sets = [
            ("level-1", "--level 1 --unit in"),
            ("level-2", "--level 2 --unit cm"),
            ("level-3", "--level 3 --unit in"),
            ("level-4", "--level 4 --unit cm"),
            ("slips", "--level 2 --slips 2"),
        ];
        let shelf = Shelf::shipped();
        for (set, options) in sets {
            let practice = Command::new(env!("CARGO_BIN_EXE_foldmark"))
                .arg("practice")
                .args(shelf.iter().map(|exercise| exercise.name.as_str()))
                .args(options.split(' '))
                .args(["--count", "1", "--out"])
                .arg(place("practice").join(set))
                .output()
                .expect("the program runs");
            assert!(practice.status.success(), "{set}: {}", String::from_utf8_lossy(&practice.stderr));
        }
        let mut pages = Vec::new();
        for (kind, name) in [(Kind::Book, "book"), (Kind::Marking, "marking"), (Kind::Practice, "practice")] {
            let mut found = Vec::new();
            find_pages(folder.path(), &place(name), &mut found);
            found.sort();
            assert!(found.len() > 12, "{kind:?}: only {found:?}");
            pages.extend(found.into_iter().map(|page| (kind, page)));
        }
        EveryPage { folder, pages }
    }

    pub fn folder(&self) -> &Path {
        self.folder.path()
    }
}

/// A file that `.ci/tools` installs, unless a variable says that it lies elsewhere.
pub fn tool(variable: &str, package: &str, file: &str) -> PathBuf {
    let installed = || Path::new(env!("CARGO_MANIFEST_DIR")).join("target/tools/node_modules").join(package).join(file);
    let path = std::env::var_os(variable).map_or_else(installed, PathBuf::from);
    assert!(
        path.is_file(),
        "This test needs {package}, and {} is not there. Run `.ci/tools`, which installs it, or set the variable \
         {variable} to where {} lies.",
        path.display(),
        path.file_name().unwrap_or_default().display()
    );
    path
}

/// Something that a checker says of pages that aren't ours to change, and why it stands.
pub struct Allowed<'a> {
    /// What it is called: a rule, or how a message begins.
    pub rule: &'a str,
    /// What it is said of.
    pub about: &'a str,
    pub reason: &'a str,
}
