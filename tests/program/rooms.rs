//! The house: rooms import only rooms above them, and no files of `src` import each other in a circle.
//!
//! Imports are read from the code itself. A name that a room's `mod.rs` hands on counts as an import of the file it comes
//! from, and calling a method counts as an import of the file whose `impl` block has it, where a type's methods stand in
//! several files: such blocks hide arrows that no `use` line shows.

use proc_macro2::{TokenStream, TokenTree};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use syn::visit::{self, Visit};

/// The rooms in their order: each imports only those before it.
const ROOMS: [&str; 20] = [
    "text", "length", "formula", "geometry", "html", "exercise", "class", "draft", "lay", "figure", "pattern", "check",
    "practice", "progress", "lesson", "live", "desk", "files", "book", "command",
];

/// Whether a file belongs to the order of rooms: the library's own list of them does not, nor do the thin programs.
fn has_room(file: &str) -> bool {
    file != "lib.rs" && !file.starts_with("bin/")
}

fn room(file: &str) -> &str {
    file.split(['/', '.']).next().unwrap_or(file)
}

/// A file's imports: whole paths from the crate on, each a list of names.
#[derive(Default)]
struct Imports {
    /// The module the file is.
    module: Vec<String>,
    /// What it imports or names.
    paths: BTreeSet<Vec<String>>,
    /// What it hands on: the name, and the path it comes from.
    handed_on: Vec<(String, Vec<String>)>,
    /// Types it defines.
    types: BTreeSet<String>,
    /// Methods of types in its `impl` blocks: type and method.
    methods: BTreeSet<(String, String)>,
    /// Methods of traits that it declares.
    of_traits: BTreeSet<String>,
    /// Methods that it calls.
    calls: BTreeSet<String>,
}

impl Imports {
    fn of(module: Vec<String>, code: &str) -> Imports {
        let mut imports = Imports { module, ..Imports::default() };
        imports.visit_file(&syn::parse_file(code).unwrap());
        imports
    }

    /// A path from the crate on; none for what comes from outside, or from the file itself.
    fn whole(&self, path: &[String]) -> Option<Vec<String>> {
        let mut whole = match path.first()?.as_str() {
            "crate" => Vec::new(),
            "self" => self.module.clone(),
            "super" => self.module[..self.module.len().checked_sub(1)?].to_vec(),
            _ => return None,
        };
        for name in &path[1..] {
            match name.as_str() {
                "super" => {
                    whole.pop();
                }
                name => whole.push(name.to_owned()),
            }
        }
        Some(whole)
    }

    fn name(&mut self, path: &[String]) {
        // A child module is named without `self`.
        let child: Vec<String> = std::iter::once("self".to_owned()).chain(path.iter().cloned()).collect();
        self.paths.extend(self.whole(path).or_else(|| self.whole(&child)));
    }

    fn tree(&mut self, before: &mut Vec<String>, tree: &syn::UseTree, is_handed_on: bool) {
        let leaf = |imports: &mut Imports, name: String, shown: String| {
            let mut path = before.clone();
            if name != "self" || path.is_empty() {
                path.push(name);
            }
            if is_handed_on {
                let child: Vec<String> = std::iter::once("self".to_owned()).chain(path.iter().cloned()).collect();
                let whole = imports.whole(&path).or_else(|| imports.whole(&child));
                imports.handed_on.extend(whole.map(|whole| (shown, whole)));
            } else {
                imports.name(&path);
            }
        };
        match tree {
            syn::UseTree::Name(name) => leaf(self, name.ident.to_string(), name.ident.to_string()),
            syn::UseTree::Rename(rename) => leaf(self, rename.ident.to_string(), rename.rename.to_string()),
            syn::UseTree::Glob(_) => leaf(self, "*".to_owned(), "*".to_owned()),
            syn::UseTree::Path(path) => {
                before.push(path.ident.to_string());
                self.tree(before, &path.tree, is_handed_on);
                before.pop();
            }
            syn::UseTree::Group(group) => group.items.iter().for_each(|tree| self.tree(before, tree, is_handed_on)),
        }
    }

    /// Paths within the words of a macro, which are no syntax yet.
    fn tokens(&mut self, tokens: TokenStream) {
        let mut path: Vec<String> = Vec::new();
        let mut colons = 0;
        let mut after_dot = false;
        for token in tokens {
            match token {
                TokenTree::Ident(ident) => {
                    if colons != 2 {
                        self.ends(&mut path);
                    }
                    if after_dot {
                        self.calls.insert(ident.to_string());
                    } else {
                        path.push(ident.to_string());
                    }
                    (colons, after_dot) = (0, false);
                }
                TokenTree::Punct(punct) if punct.as_char() == ':' => colons += 1,
                TokenTree::Group(group) => {
                    self.ends(&mut path);
                    self.tokens(group.stream());
                    (colons, after_dot) = (0, false);
                }
                TokenTree::Punct(punct) => {
                    self.ends(&mut path);
                    (colons, after_dot) = (0, punct.as_char() == '.');
                }
                TokenTree::Literal(_) => {
                    self.ends(&mut path);
                    (colons, after_dot) = (0, false);
                }
            }
        }
        self.ends(&mut path);
    }

    fn ends(&mut self, path: &mut Vec<String>) {
        if path.len() > 1 {
            self.name(path);
        }
        path.clear();
    }
}

fn is_test(attributes: &[syn::Attribute]) -> bool {
    attributes.iter().any(|it| it.path().is_ident("cfg") && it.parse_args::<syn::Ident>().is_ok_and(|it| it == "test"))
}

impl<'a> Visit<'a> for Imports {
    fn visit_item_mod(&mut self, item: &'a syn::ItemMod) {
        if !is_test(&item.attrs) {
            visit::visit_item_mod(self, item);
        }
    }

    fn visit_item_use(&mut self, item: &'a syn::ItemUse) {
        if !is_test(&item.attrs) {
            self.tree(&mut Vec::new(), &item.tree, !matches!(item.vis, syn::Visibility::Inherited));
        }
    }

    fn visit_item_struct(&mut self, item: &'a syn::ItemStruct) {
        self.types.insert(item.ident.to_string());
        visit::visit_item_struct(self, item);
    }

    fn visit_item_enum(&mut self, item: &'a syn::ItemEnum) {
        self.types.insert(item.ident.to_string());
        visit::visit_item_enum(self, item);
    }

    fn visit_item_impl(&mut self, item: &'a syn::ItemImpl) {
        if item.trait_.is_none()
            && let syn::Type::Path(of) = &*item.self_ty
            && let Some(name) = of.path.segments.last()
        {
            for member in &item.items {
                if let syn::ImplItem::Fn(method) = member {
                    self.methods.insert((name.ident.to_string(), method.sig.ident.to_string()));
                }
            }
        }
        visit::visit_item_impl(self, item);
    }

    fn visit_item_trait(&mut self, item: &'a syn::ItemTrait) {
        let methods = item.items.iter().filter_map(|member| match member {
            syn::TraitItem::Fn(method) => Some(method.sig.ident.to_string()),
            _ => None,
        });
        self.of_traits.extend(methods);
        visit::visit_item_trait(self, item);
    }

    fn visit_expr_method_call(&mut self, call: &'a syn::ExprMethodCall) {
        self.calls.insert(call.method.to_string());
        visit::visit_expr_method_call(self, call);
    }

    fn visit_path(&mut self, path: &'a syn::Path) {
        let names: Vec<String> = path.segments.iter().map(|segment| segment.ident.to_string()).collect();
        if names.len() > 1 {
            self.name(&names);
        }
        visit::visit_path(self, path);
    }

    fn visit_macro(&mut self, called: &'a syn::Macro) {
        self.tokens(called.tokens.clone());
        visit::visit_macro(self, called);
    }
}

/// Every file of the source by its place, and what it imports.
struct House {
    files: BTreeMap<String, Imports>,
    /// The file that a module is.
    modules: BTreeMap<Vec<String>, String>,
}

impl House {
    fn of(files: impl IntoIterator<Item = (String, String)>) -> House {
        let mut house = House { files: BTreeMap::new(), modules: BTreeMap::new() };
        for (file, code) in files {
            let mut module: Vec<String> = file.trim_end_matches(".rs").split('/').map(str::to_owned).collect();
            if module.last().is_some_and(|last| last == "mod" || last == "lib") {
                module.pop();
            }
            house.modules.insert(module.clone(), file.clone());
            house.files.insert(file, Imports::of(module, &code));
        }
        house
    }

    fn read() -> House {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
        let mut folders = vec![root.clone()];
        let mut files = Vec::new();
        while let Some(folder) = folders.pop() {
            for entry in fs::read_dir(folder).unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    folders.push(path);
                } else if path.extension().is_some_and(|ending| ending == "rs") && !path.ends_with("build.rs") {
                    let place = path.strip_prefix(&root).unwrap().to_str().unwrap().replace('\\', "/");
                    files.push((place, fs::read_to_string(path).unwrap()));
                }
            }
        }
        House::of(files)
    }

    /// The file in which what a path names is defined.
    fn file(&self, path: &[String]) -> Option<&str> {
        let mut path = path.to_vec();
        // Names handed on are followed to where they come from; none is handed on so often.
        for _ in 0..16 {
            let known = (0..=path.len()).rev().find(|end| self.modules.contains_key(&path[..*end]))?;
            let file = self.modules[&path[..known]].as_str();
            let Some(name) = path.get(known) else { return Some(file) };
            let handed_on = &self.files[file].handed_on;
            match handed_on.iter().find(|(shown, _)| shown == name) {
                Some((_, whole)) => path = whole.iter().chain(&path[known + 1..]).cloned().collect(),
                None => return Some(file),
            }
        }
        None
    }

    /// What each file imports.
    fn arrows(&self) -> BTreeMap<&str, BTreeSet<&str>> {
        let mut arrows: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
        let homes = self.methods_away_from_home();
        for (file, imports) in &self.files {
            let to = arrows.entry(file).or_default();
            to.extend(imports.paths.iter().filter_map(|path| self.file(path)));
            let called = imports.calls.iter().filter_map(|call| homes.get(call.as_str()).copied());
            to.extend(called.filter(|home| room(home) == room(file)));
            to.remove(file.as_str());
        }
        arrows
    }

    /// The methods whose `impl` block stands in another file than their type, with that file; only those whose name no
    /// other block has, since the type of what a method is called on is not read.
    fn methods_away_from_home(&self) -> BTreeMap<&str, &str> {
        let mut places: BTreeMap<&str, BTreeSet<(&str, bool)>> = BTreeMap::new();
        for (file, imports) in &self.files {
            for (of, method) in &imports.methods {
                places.entry(method).or_default().insert((file, imports.types.contains(of)));
            }
        }
        let of_traits: BTreeSet<&String> = self.files.values().flat_map(|imports| &imports.of_traits).collect();
        let mut homes = BTreeMap::new();
        for (method, places) in places.into_iter().filter(|(method, _)| !of_traits.contains(&(*method).to_owned())) {
            if let [(file, false)] = places.iter().copied().collect::<Vec<_>>()[..] {
                homes.insert(method, file);
            }
        }
        homes
    }

    /// The circles: the names of the files in each.
    fn circles(&self) -> Vec<String> {
        let arrows = self.arrows();
        let reach = |from: &str| {
            let (mut seen, mut open) = (BTreeSet::new(), vec![from.to_owned()]);
            while let Some(file) = open.pop() {
                for next in &arrows[file.as_str()] {
                    if seen.insert((*next).to_owned()) {
                        open.push((*next).to_owned());
                    }
                }
            }
            seen
        };
        let reached: BTreeMap<&str, BTreeSet<String>> = arrows.keys().map(|file| (*file, reach(file))).collect();
        let mut circles = BTreeSet::new();
        for (file, all) in &reached {
            if all.contains(*file) {
                let circle: Vec<&str> =
                    all.iter().map(String::as_str).filter(|other| reached[other].contains(*file)).collect();
                let inside = circle.iter().flat_map(|one| arrows[one].iter().map(move |other| (*one, *other)));
                let inside = inside.filter(|(_, other)| circle.contains(other));
                let shown: Vec<String> = inside.map(|(one, other)| format!("{one} -> {other}")).collect();
                circles.insert(shown.join("\n  "));
            }
        }
        circles.into_iter().collect()
    }

    /// Imports against the order of the rooms.
    fn backwards(&self) -> Vec<String> {
        let place = |file: &str| {
            ROOMS
                .iter()
                .position(|known| *known == room(file))
                .unwrap_or_else(|| panic!("{file} is in no room of the list"))
        };
        let mut backwards = Vec::new();
        for (file, to) in self.arrows().iter().filter(|(file, _)| has_room(file)) {
            let wrong = to.iter().filter(|other| !has_room(other) || place(other) > place(file));
            backwards.extend(wrong.map(|other| format!("{file} -> {other}")));
        }
        backwards
    }
}

#[test]
fn rooms_import_only_rooms_above_them() {
    let backwards = House::read().backwards();
    assert!(backwards.is_empty(), "these imports run against the order of the rooms:\n{}", backwards.join("\n"));
}

#[test]
fn no_files_import_each_other_in_a_circle() {
    let circles = House::read().circles();
    assert!(circles.is_empty(), "these files import each other:\n  {}", circles.join("\n\n  "));
}

/// A small house with every kind of fault in it.
#[test]
fn a_planted_circle_is_found() {
    let planted = |more: &[(&str, &str)]| {
        let sound = [
            ("lib.rs", "pub mod length; pub mod draft;"),
            ("length/mod.rs", "mod read; mod unit; pub use unit::Unit; pub use read::read;"),
            ("length/unit.rs", "pub struct Unit;"),
            ("length/read.rs", "use super::unit::Unit; pub fn read() -> Unit { Unit }"),
            ("draft/mod.rs", "mod work; mod marks; pub use work::Draft;"),
            ("draft/work.rs", "use crate::length::Unit; pub struct Draft(Unit); impl Draft { pub fn own(&self) {} }"),
            ("draft/marks.rs", "use super::work::Draft; impl Draft { pub fn marks(&self) { self.own(); } }"),
        ];
        let mut files: BTreeMap<&str, &str> = sound.into_iter().collect();
        files.extend(more.iter().copied());
        House::of(files.into_iter().map(|(file, code)| (file.to_owned(), code.to_owned())))
    };
    let sound = planted(&[]);
    assert_eq!((sound.circles(), sound.backwards()), (vec![], vec![]));
    // By a `use`, by a path within an expression, through a face, within a macro, and by a method called back.
    for (file, code, circle) in [
        ("length/unit.rs", "use super::read::read; pub struct Unit;", "length/read.rs -> length/unit.rs"),
        ("length/unit.rs", "pub struct Unit; fn f() { super::read(); }", "length/unit.rs -> length/read.rs"),
        (
            "length/unit.rs",
            "pub struct Unit; fn f() { crate::length::read::read(); }",
            "length/unit.rs -> length/read.rs",
        ),
        ("length/unit.rs", "pub struct Unit; fn f() { vec![super::read()]; }", "length/unit.rs -> length/read.rs"),
        (
            "draft/work.rs",
            "pub struct Draft; impl Draft { fn own(&self) { self.marks(); } }",
            "draft/work.rs -> draft/marks.rs",
        ),
    ] {
        let circles = planted(&[(file, code)]).circles().join("\n");
        assert!(circles.contains(circle), "{code}: {circles}");
    }
    let backwards = planted(&[("length/unit.rs", "pub struct Unit; fn f() { crate::draft::Draft::own; }")]).backwards();
    assert_eq!(backwards, ["length/unit.rs -> draft/work.rs"]);
}
