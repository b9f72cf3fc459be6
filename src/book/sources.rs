//! What a book is made of, looked at before any of it is read: a folder from elsewhere may hold a chapter that never ends, a
//! link that leads in a circle, a text that includes itself ten times, or a command to be run.

use crate::files::{read_limited, shown};
use anyhow::{Result, bail};
use mdbook_preprocessor::config::Config;
use mdbook_summary::{SummaryItem, parse_summary};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Component, Path, PathBuf};

/// Longest text that is read for a book, in bytes.
const LONGEST: u64 = 16 << 20;

/// So much text all chapters may have together with what they include, in bytes.
const MOST_TEXT: usize = 64 << 20;

/// So many files a book may have, and so many bytes together.
const MOST_FILES: usize = 100_000;
const MOST_BYTES: u64 = 4 << 30;

/// As deep as mdBook follows texts that include others.
const DEEPEST: usize = 10;

/// Looks whether all that mdBook reads for a book can be read: plain files, and not too much of it. `pages` are where the
/// book is built, which may lie within its source.
///
/// # Errors
/// What can't be read, and why.
pub(super) fn look_at(root: &Path, config: &Config, pages: &Path) -> Result<()> {
    let source = root.join(&config.book.src);
    let html = config.html_config().unwrap_or_default();
    let theme = html.theme_dir(root);
    let mut walk = Walk { around: Vec::new(), pages: fs::canonicalize(pages).ok(), files: 0, bytes: 0 };
    walk.folder(&source)?;
    if theme.is_dir() {
        for file in walk.folder(&theme)? {
            // Those are read, and not only copied.
            plain(&file)?;
        }
    }
    for file in html.additional_css.iter().chain(&html.additional_js) {
        plain(&root.join(file))?;
    }
    plain(&source.join(html.input_404.as_deref().filter(|file| !file.is_empty()).unwrap_or("404.md")))?;
    let summary = text(&source.join("SUMMARY.md"))?;
    // What is wrong with it is told where it is read.
    let Ok(summary) = parse_summary(&summary) else { return Ok(()) };
    let mut left = MOST_TEXT;
    let items = [summary.prefix_chapters, summary.numbered_chapters, summary.suffix_chapters];
    let mut items: Vec<SummaryItem> = items.into_iter().flatten().collect();
    while let Some(item) = items.pop() {
        let SummaryItem::Link(link) = item else { continue };
        items.extend(link.nested_items);
        let Some(place) = link.location else { continue };
        if !place.components().all(|part| matches!(part, Component::Normal(_) | Component::CurDir)) {
            bail!("{}: the chapter {} lies outside of the book's folder; put it there", shown(&source), shown(&place));
        }
        let file = source.join(place);
        // mdBook makes a chapter that is missing, where book.toml does not forbid it.
        if file.symlink_metadata().is_ok() {
            includes(&text(&file)?, file.parent().unwrap_or(&source), DEEPEST, &mut left)?;
        }
    }
    Ok(())
}

/// A file that is not there is told of where it is read.
fn plain(file: &Path) -> Result<()> {
    match fs::metadata(file) {
        Ok(about) if !about.is_file() => bail!("{}: this is no ordinary file", shown(file)),
        Ok(about) if about.len() > LONGEST => {
            bail!("{}: the file has more than {} MB", shown(file), LONGEST >> 20)
        }
        _ => Ok(()),
    }
}

fn text(file: &Path) -> Result<String> {
    // What is no text is told where it is read.
    Ok(String::from_utf8_lossy(&read_limited(file, LONGEST)?).into_owned())
}

/// Follows what a text includes, as mdBook does.
fn includes(text: &str, folder: &Path, depth: usize, left: &mut usize) -> Result<()> {
    // A file that is next to nothing takes its time, too.
    match left.checked_sub(text.len() + (1 << 10)) {
        Some(rest) => *left = rest,
        None => bail!(
            "{}: the chapters have more than {} MB with all that they include; a file may include itself",
            shown(folder),
            MOST_TEXT >> 20
        ),
    }
    for (at, _) in text.match_indices("{{") {
        let inner = text[at + 2..].split('}').next().unwrap_or_default();
        let mut words = inner.split_whitespace();
        let (Some("#include" | "#rustdoc_include" | "#playground" | "#playpen"), Some(named)) =
            (words.next(), words.next())
        else {
            continue;
        };
        let is_listing = inner.trim_start().starts_with("#play");
        let named = if is_listing { named } else { named.split(':').next().unwrap_or_default() };
        let file = folder.join(named);
        // What is not there stays in the text as it stands.
        if fs::metadata(&file).is_ok_and(|about| !about.is_dir()) {
            let included = self::text(&file)?;
            if depth > 0 {
                includes(&included, file.parent().unwrap_or(folder), depth - 1, left)?;
            }
        }
    }
    Ok(())
}

/// A way through the folders of a book.
struct Walk {
    /// The folders that lead to where it is, without links.
    around: Vec<PathBuf>,
    pages: Option<PathBuf>,
    files: usize,
    bytes: u64,
}

impl Walk {
    /// Counts what lies in a folder and below it. Returns the files.
    fn folder(&mut self, folder: &Path) -> Result<Vec<PathBuf>> {
        let mut found = Vec::new();
        let Ok(real) = fs::canonicalize(folder) else { return Ok(found) };
        if self.pages.as_ref() == Some(&real) {
            return Ok(found);
        }
        if self.around.contains(&real) {
            bail!("{}: this link leads back to a folder that it lies in; take it away", shown(folder));
        }
        self.around.push(real);
        for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
            let path = entry.path();
            // A link that leads nowhere is told of where it is followed; what is neither file nor folder is not copied.
            let Ok(about) = fs::metadata(&path) else { continue };
            self.files += 1;
            self.bytes = self.bytes.saturating_add(if about.is_file() { about.len() } else { 0 });
            if self.files > MOST_FILES || self.bytes > MOST_BYTES {
                bail!("{}: a book has at most {MOST_FILES} files, and {} GB", shown(folder), MOST_BYTES >> 30);
            }
            if about.is_dir() {
                found.extend(self.folder(&path)?);
            } else {
                found.push(path);
            }
        }
        self.around.pop();
        Ok(found)
    }
}

/// Takes the programs out of what `book.toml` says that mdBook would call, but for this one. Returns what they are.
///
/// # Errors
/// If the text is no `book.toml`.
pub(super) fn without_commands(text: &str) -> Result<(Config, BTreeSet<String>)> {
    let mut config: Config = text.parse()?;
    let mut refused = BTreeSet::new();
    let Ok(mut all) = text.parse::<toml::Table>() else { return Ok((config, refused)) };
    for (kind, own) in
        [("preprocessor", &["links", "index", super::preprocessor::NAME][..]), ("output", &["html", "markdown"])]
    {
        let Some(toml::Value::Table(tables)) = all.get_mut(kind) else { continue };
        let foreign: Vec<String> = tables.keys().filter(|name| !own.contains(&name.as_str())).cloned().collect();
        for name in foreign {
            let table = tables.remove(&name);
            let command = table.as_ref().and_then(|table| table.get("command")?.as_str());
            refused.insert(format!("{} ([{kind}.{name}])", command.unwrap_or(&format!("mdbook-{name}"))));
        }
    }
    if !refused.is_empty() {
        config = all.to_string().parse()?;
    }
    Ok((config, refused))
}
