//! The secret of a class: without it nobody makes the sets to come, and without it what was set is marked all the same.

use super::shared::{folder, run};
use foldmark::desk::Desk;
use std::fs;
use std::path::Path;

/// The codes of a week's sheets.
fn codes(class: &Path, week: u32) -> Vec<String> {
    let keys = class.join(format!("keys/week-{week}"));
    let mut names: Vec<_> = fs::read_dir(keys).unwrap().map(|entry| entry.unwrap().path()).collect();
    names.retain(|path| path.extension().is_some_and(|end| end == "toml") && path.to_str().unwrap().contains("/key-"));
    names.sort();
    let code = |path| {
        fs::read_to_string(path).unwrap().lines().find(|line| line.starts_with("code")).unwrap()[8..25].to_owned()
    };
    names.into_iter().map(code).collect()
}

fn change_class(class: &Path, change: impl Fn(&str) -> String) {
    let file = class.join("class.toml");
    fs::write(&file, change(&fs::read_to_string(&file).unwrap())).unwrap();
}

fn without_secret(text: &str) -> String {
    text.lines().filter(|line| !line.starts_with("secret = ")).map(|line| line.to_owned() + "\n").collect()
}

fn set(class: &Path, arguments: &[&str]) {
    let (status, _, errors) = run(class, &[&["practice"], arguments].concat());
    assert_eq!((status, errors.as_str()), (0, ""));
}

#[test]
fn each_class_has_sets_of_its_own() {
    let dir = folder();
    let start = |name: &str| {
        assert_eq!(run(dir.path(), &["start", name]).0, 0);
        let class = dir.path().join(name);
        set(&class, &[]);
        class
    };
    let [ours, theirs, plain] = ["ours", "theirs", "plain"].map(start);
    let first = codes(&ours, 1);
    assert_eq!(first.len(), 3);
    assert_ne!(first, codes(&theirs, 1));
    // Whoever has the program, but not the secret, makes other sheets: by the week, and by a seed.
    change_class(&plain, without_secret);
    set(&plain, &["--force"]);
    let known = codes(&plain, 1);
    assert_ne!(first, known);
    set(&ours, &["--week", "5", "--seed", "1"]);
    assert_ne!(codes(&ours, 5), known);
    // The same class makes the same again.
    set(&ours, &["--force", "--week", "1"]);
    assert_eq!(codes(&ours, 1), first);
    // Without a secret the week is the seed, as it has always been.
    set(&plain, &["--week", "9", "--seed", "1"]);
    assert_eq!(codes(&plain, 9), known);
}

#[test]
fn what_was_set_is_marked_without_the_secret() {
    let dir = folder();
    run(dir.path(), &["start", "class"]);
    let class = dir.path().join("class");
    fs::remove_file(class.join("handed-in/rosemary.toml")).unwrap();
    set(&class, &[]);
    fs::copy(class.join("keys/week-1/key-02-sorrel.toml"), class.join("handed-in/sorrel.toml")).unwrap();
    let changed = |text: &str| format!("secret = \"quite another one of ours\"\n{}", without_secret(text));
    for change in [&without_secret as &dyn Fn(&str) -> String, &changed] {
        change_class(&class, change);
        let (status, text, errors) = run(&class, &["check"]);
        assert_eq!(status, 0, "{text}{errors}");
        assert!(text.starts_with("Sorrel: Napkin roll, 5 of 5 points"), "{text}");
    }
}

#[test]
fn a_short_secret_is_refused() {
    let dir = folder();
    run(dir.path(), &["start", "class"]);
    let class = dir.path().join("class");
    change_class(&class, |text| format!("secret = \"thursday\"\n{}", without_secret(text)));
    let (status, _, errors) = run(&class, &["practice"]);
    assert_eq!(status, 2);
    assert!(errors.contains("line 1") && errors.contains("at least 16 letters and digits"), "{errors}");
}

/// A class that begins on the desk has a secret as well, goes into its archive with it, and is set the same by the command.
#[test]
fn a_class_of_the_desk_has_a_secret() {
    let ask = |desk: &mut Desk, request: &str| String::from_utf8_lossy(&desk.answer(request.as_bytes())).into_owned();
    let begun = |chance: u8| {
        let mut desk = Desk::new();
        let chance = [chance.to_string().as_str(); 16].join(",");
        assert_eq!(ask(&mut desk, &format!("{{\"ask\":\"begin\",\"chance\":[{chance}]}}")), "{}");
        assert!(ask(&mut desk, "{\"ask\":\"put\",\"place\":\"roster.csv\"}\nstudent\nTansy\n").contains("roster.csv"));
        assert!(ask(&mut desk, "{\"ask\":\"set\",\"exercises\":[\"zip-pouch\"]}").contains("1 sheet of"));
        let code = ask(&mut desk, "{\"ask\":\"class\"}");
        let code = code.split("\"code\":\"").nth(1).unwrap()[..17].to_owned();
        (ask(&mut desk, "{\"ask\":\"read\",\"name\":\"class.toml\"}"), code)
    };
    let (class, code) = begun(1);
    assert_ne!(begun(2).1, code);
    assert_eq!(begun(1).1, code);
    let dir = folder();
    fs::write(dir.path().join("class.toml"), class.split_once('\n').unwrap().1).unwrap();
    fs::write(dir.path().join("roster.csv"), "student\nTansy\n").unwrap();
    set(dir.path(), &["zip-pouch"]);
    assert_eq!(codes(dir.path(), 1), [code]);
}
