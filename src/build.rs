//! Gathers the lessons that are embedded, and tells Cargo to build again when an exercise, a lesson or a file of the class
//! changes: whole folders are embedded, and of a folder Cargo looks at everything that lies below it. Of the lessons each
//! file is named, since builds of the book put files of their own beside them; a new chapter changes the summary.

use std::path::Path;
use std::{env, fs, io};

fn main() -> io::Result<()> {
    for embedded in ["exercises", "book.toml", "src/command/start"] {
        println!("cargo::rerun-if-changed={embedded}");
    }
    let gathered = Path::new(&env::var_os("OUT_DIR").unwrap_or_default()).join("book");
    if gathered.exists() {
        fs::remove_dir_all(&gathered)?;
    }
    fs::create_dir_all(&gathered)?;
    for entry in fs::read_dir("book")? {
        let path = entry?.path();
        if path.is_file() {
            println!("cargo::rerun-if-changed={}", path.display());
            fs::copy(&path, gathered.join(path.file_name().unwrap_or_default()))?;
        }
    }
    Ok(())
}
