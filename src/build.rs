//! Tells Cargo to build again when an exercise, a lesson or a file of the class changes or is added: whole folders are embedded,
//! and of a folder Cargo looks at everything that lies below it.

fn main() {
    for embedded in ["exercises", "book", "book.toml", "src/command/start"] {
        println!("cargo::rerun-if-changed={embedded}");
    }
}
