//! Tells Cargo to build again when an exercise, a lesson or a file of the class is added: they are embedded.

fn main() {
    for embedded in ["exercises", "exercises/class", "book", "book.toml"] {
        println!("cargo::rerun-if-changed={embedded}");
    }
}
