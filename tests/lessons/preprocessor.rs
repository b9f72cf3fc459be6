//! What an mdBook 0.5 preprocessor has to get right, point by point, as mdBook sees it: through the
//! command, its standard input and output.

use super::course::BUILT;
use foldmark::book::build_book;
use mdbook_markdown::pulldown_cmark::{Event, Tag};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// What mdBook 0.5.4 sends, captured from it. A frozen wire format: never edit it.
const PROTOCOL: &str = r#"[{"root":"ROOT","config":{"book":{"title":"T","authors":[],"description":null,"language":"en","text-direction":null},"preprocessor":{"foldmark":{"command":"mdbook-foldmark"}}},"renderer":"html","mdbook_version":"0.5.4"},{"items":[{"Chapter":{"name":"Intro","content":"CONTENT","number":null,"sub_items":[],"path":"README.md","source_path":"README.md","parent_names":[]}},{"PartTitle":"Part"},{"Chapter":{"name":"One","content":"Nothing.\n","number":[1],"sub_items":[],"path":"one.md","source_path":"one.md","parent_names":[]}},{"Chapter":{"name":"Draft","content":"","number":[2],"sub_items":[],"path":null,"source_path":null,"parent_names":[]}}]}]"#;

const LESSON: &str = "\
# Roll

```foldmark draft
exercise = \"flap-roll\"
ruler = \"1/8 in\"
```

The fold is at `= fold_height`, or `= fold_height as 1 mm`.

```foldmark step
step = \"fold_height\"
```

```foldmark figure
piece = \"pocket\"
caption = \"The pocket & its <fold>\"
```
";

fn input(content: &str) -> Value {
    let mut input: Value = serde_json::from_str(PROTOCOL).unwrap();
    input[0]["root"] = json!(env!("CARGO_MANIFEST_DIR"));
    input[1]["items"][0]["Chapter"]["content"] = json!(content);
    input
}

/// What is said of a book whose pages were never told to answer; most of these books are such.
const NOT_INSTALLED: &str = "mdbook-foldmark: note: the pages of this book have no style and don't answer: run `mdbook-foldmark install` \
                             in its folder\n";

fn command(input: &[u8], args: &[&str]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_mdbook-foldmark"))
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(input).unwrap();
    child.wait_with_output().unwrap()
}

fn run(input: &Value) -> (Value, String) {
    let output = command(input.to_string().as_bytes(), &[]);
    let errors = String::from_utf8(output.stderr).unwrap();
    assert!(output.status.success(), "{errors}");
    let errors = errors.replacen(NOT_INSTALLED, "", 1);
    (serde_json::from_slice(&output.stdout).unwrap(), errors)
}

fn content(book: &Value) -> &str {
    book["items"][0]["Chapter"]["content"].as_str().unwrap()
}

fn fails(input: &Value) -> String {
    let output = command(input.to_string().as_bytes(), &[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty(), "nothing half-written goes to mdBook");
    String::from_utf8(output.stderr).unwrap().replacen(NOT_INSTALLED, "", 1)
}

/// 1: standard output carries the book only, and the whole input is read first.
#[test]
fn standard_output_is_the_book() {
    let (book, errors) = run(&input(LESSON));
    assert_eq!(errors, "");
    assert_eq!(book["items"].as_array().unwrap().len(), 4);
    assert_eq!(book["items"][2]["Chapter"]["content"], "Nothing.\n");
    let output = command(b"no book", &[]);
    assert_eq!(output.status.code(), Some(2));
    let errors = String::from_utf8(output.stderr).unwrap();
    assert!(errors.starts_with("mdbook-foldmark: what came on standard input is not a book from mdbook"), "{errors}");
}

/// 2: every renderer is supported, and an unknown one gets images in place of drawings in the page.
#[test]
fn any_renderer_is_coped_with() {
    for renderer in ["html", "markdown", "epub", "test"] {
        assert!(command(b"", &["supports", renderer]).status.success());
    }
    let translates = command(b"", &["supports", "xgettext"]);
    assert!(!translates.status.success(), "translators have to see what the author wrote");
    let mut input = input(LESSON);
    input[0]["renderer"] = json!("epub");
    let (book, _) = run(&input);
    let text = content(&book);
    assert!(!["<svg", "<table", "<figure", "<p>"].iter().any(|tag| text.contains(tag)), "{text}");
    let digits = |text: &str| text.find(')').unwrap();
    let shortened = text.split(";base64,").map(|part| if part.starts_with('P') { &part[digits(part)..] } else { part });
    insta::assert_snapshot!("for_another_renderer", shortened.collect::<Vec<_>>().join(";base64,…"));
}

/// mdBook's own renderer of Markdown, as it runs: every figure is an image that holds the whole drawing.
#[test]
fn another_renderer_gets_images() {
    let root = tempfile::tempdir().unwrap();
    let write = |path: &str, text: &str| fs::write(root.path().join(path), text).unwrap();
    fs::create_dir(root.path().join("src")).unwrap();
    write("book.toml", "[book]\ntitle = \"T\"\n[output.markdown]\n");
    write("src/SUMMARY.md", "- [One](one.md)\n");
    write("src/one.md", LESSON);
    let mut book = mdbook_driver::MDBook::load(root.path()).unwrap();
    book.with_preprocessor(foldmark::book::Foldmark::default());
    book.build().unwrap();
    let page = fs::read_to_string(root.path().join("book/one.md")).unwrap();
    let parser = mdbook_markdown::new_cmark_parser(&page, &mdbook_markdown::MarkdownOptions::default());
    let address = |event: Event| match event {
        Event::Start(Tag::Image { dest_url, .. }) => Some(dest_url.to_string()),
        _ => None,
    };
    let images: Vec<String> = parser.filter_map(address).collect();
    assert_eq!(images.len(), 2);
    for (image, word) in images.iter().zip(["fold line", ">fold<"]) {
        // Told by the operating system's own decoder.
        let digits = image.strip_prefix("data:image/svg+xml;base64,").unwrap();
        let mut child = Command::new("base64").arg("-d").stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
        let mut input = child.stdin.take().unwrap();
        let text = digits.to_owned();
        std::thread::spawn(move || input.write_all(text.as_bytes()).unwrap());
        let drawing = String::from_utf8(child.wait_with_output().unwrap().stdout).unwrap();
        assert!(drawing.starts_with("<svg ") && drawing.ends_with("</svg>\n") && drawing.contains(word), "{drawing}");
    }
    assert!(page.contains("The pocket & its") || page.contains("The pocket \\& its"), "{page}");
}

/// 3: pure and idempotent.
#[test]
fn running_twice_changes_nothing() {
    let (once, _) = run(&input(LESSON));
    let (again, _) = run(&input(LESSON));
    assert_eq!(once, again);
    let (twice, _) = run(&input(content(&once)));
    assert_eq!(content(&twice), content(&once));
}

/// 4: another version of mdBook is warned of, and no failure.
#[test]
fn another_version_is_warned_of() {
    let mut input = input("Text.");
    input[0]["mdbook_version"] = json!("0.6.0");
    let (_, errors) = run(&input);
    assert_eq!(
        errors,
        "mdbook-foldmark: warning: mdbook-foldmark was made with mdBook 0.5.4, and is called by mdBook 0.6.0; it may not understand it\n"
    );
}

/// 5: draft chapters have no path, generated ones no source path, README chapters are renamed: faults name the
/// source. `print.md` is reserved, and no chapter is made by the preprocessor at all.
#[test]
fn chapters_without_paths_pass_through() {
    let (book, _) = run(&input(LESSON));
    assert_eq!(book["items"][3]["Chapter"]["content"], "");
    let mut renamed = input("`= nothing`");
    renamed[1]["items"][0]["Chapter"]["path"] = json!("index.md");
    assert_eq!(fails(&renamed), "mdbook-foldmark: README.md, line 1: `= nothing`: there is no measure `nothing`\n");
    let mut generated = input(LESSON);
    generated[1]["items"][0]["Chapter"]["source_path"] = Value::Null;
    let (book, _) = run(&generated);
    assert!(content(&book).contains("fm-README-1"));
}

/// 6: mdBook's own keys stand beside ours; a key nobody knows is a fault.
#[test]
fn the_settings_are_strict() {
    let mut known = input("Text.");
    known[0]["config"]["preprocessor"]["foldmark"] =
        json!({"command": "x", "before": ["links"], "after": ["index"], "optional": true, "renderers": ["html"]});
    run(&known);
    known[0]["config"]["preprocessor"]["foldmark"]["excercises"] = json!("mine");
    let errors = fails(&known);
    assert!(errors.contains("book.toml, [preprocessor.foldmark]") && errors.contains("excercises"), "{errors}");
}

/// 7: a block shown as an example inside another fence stays an example.
#[test]
fn an_example_stays_an_example() {
    let text = "````text\n```foldmark figure\n```\n`= fold_height`\n````\n\n    ```foldmark nonsense\n    ```\n\n``code with `= x` in it``\n";
    let (book, _) = run(&input(text));
    assert_eq!(content(&book), text);
}

/// 8: each figure and table is one HTML block to the Markdown parser.
#[test]
fn a_figure_is_one_html_block() {
    let (book, _) = run(&input(LESSON));
    let text = content(&book);
    insta::assert_snapshot!("lesson", without_drawings(text));
    let parser = mdbook_markdown::new_cmark_parser(text, &mdbook_markdown::MarkdownOptions::default());
    let mut blocks = Vec::new();
    for (event, range) in parser.into_offset_iter() {
        if let Event::Start(Tag::HtmlBlock) = event {
            blocks.push(&text[range]);
        }
        assert!(!matches!(event, Event::Start(Tag::CodeBlock(_))), "a line is indented so far that it reads as code");
    }
    let figures: Vec<_> = blocks.iter().filter(|block| block.starts_with("<figure")).collect();
    assert_eq!(figures.len(), 2);
    for figure in figures {
        assert!(figure.trim_end().ends_with("</figure>"));
        assert!(figure.lines().all(|line| !line.trim().is_empty() && !line.starts_with("    ")));
    }
}

/// The text with the inside of each drawing left out: what a drawing holds is the figure room's to test.
fn without_drawings(text: &str) -> String {
    let mut parts = text.split("<svg");
    let mut out = parts.next().unwrap().to_owned();
    for part in parts {
        out += "<svg…";
        out += part.split_once("</svg>").unwrap().1;
    }
    out
}

/// 9: inline SVG passes an HTML tokenizer.
#[test]
fn drawings_are_plain_balanced_markup() {
    let (book, _) = run(&input(LESSON));
    let text = content(&book);
    assert!(!text.contains("<?xml") && !text.contains("<![CDATA["));
    for drawing in text.split("<svg").skip(1) {
        let drawing = format!("<svg{}</svg>", drawing.split_once("</svg>").unwrap().0);
        assert!(!drawing.contains("<style"));
        let mut open: Vec<String> = Vec::new();
        for event in svg::read(&drawing).unwrap() {
            use svg::node::element::tag::Type;
            match event {
                svg::parser::Event::Tag(name, Type::Start, _) => open.push(name.to_owned()),
                svg::parser::Event::Tag(name, Type::End, _) => assert_eq!(open.pop().as_deref(), Some(name)),
                svg::parser::Event::Error(error) => panic!("{error}"),
                _ => {}
            }
        }
        assert!(open.is_empty(), "{open:?}");
    }
}

/// 10 and 11: identifiers are unique over the whole book, on the page that joins all chapters; titles and
/// descriptions are short enough to be listened to. And the built book keeps none of our blocks.
#[test]
fn the_whole_book_on_one_page() {
    let page = str::from_utf8(&BUILT["print.html"]).unwrap();
    let mut seen = BTreeSet::new();
    for id in page.split(" id=\"").skip(1).map(|rest| rest.split('"').next().unwrap()) {
        assert!(seen.insert(id.to_owned()), "the identifier {id} stands on print.html twice");
    }
    assert!(seen.iter().filter(|id| id.starts_with("fm-")).count() > 10);
    for (key, most) in [(" aria-label=\"", 120), (" aria-description=\"", 620)] {
        let drawings = page.split("<svg").skip(1).map(|rest| rest.split('>').next().unwrap());
        let told = drawings.filter_map(|drawing| drawing.split(key).nth(1)).map(|rest| rest.split('"').next().unwrap());
        let lengths: Vec<usize> = told.map(|text| text.chars().count()).collect();
        assert!(lengths.len() > 200 && lengths.iter().all(|length| (10..most).contains(length)), "{key}: {lengths:?}");
    }
    assert!(!page.contains("language-foldmark"));
}

/// 12: whatever lies beside the lessons is published, so no key and no answer file lies there.
#[test]
fn nothing_secret_lies_beside_the_lessons() {
    let book = Path::new(env!("CARGO_MANIFEST_DIR")).join("book");
    for entry in fs::read_dir(book).unwrap() {
        let path = entry.unwrap().path();
        // What a build puts there is listed in another test.
        if path.ends_with("foldmark") {
            continue;
        }
        let ending = path.extension().unwrap().to_str().unwrap().to_owned();
        assert!(["md", "svg"].contains(&ending.as_str()), "{} would be published", path.display());
    }
}

/// 13: lengths are typeset by the program, without marks that smart punctuation would curl.
#[test]
fn lengths_have_no_inch_marks() {
    let (book, _) = run(&input(LESSON));
    assert!(content(&book).contains("The fold is at 10\u{a0}1/4\u{a0}in, or ≈\u{a0}26\u{a0}cm."), "{}", content(&book));
}

/// A step whose rule is nothing but another measure says its value once.
#[test]
fn a_value_taken_over_is_said_once() {
    let lesson = "```foldmark draft\nexercise = \"altered-pouch\"\nunit = \"in\"\n\n[given]\nloop_down = \"1 1/4 in\"\n```\n\n\
                  ```foldmark step\nstep = \"loop\"\n```\n";
    let (book, _) = run(&input(lesson));
    let said = "<strong>Hand loop, down from the new top edge</strong> = <strong>1\u{a0}1/4\u{a0}in</strong>";
    assert!(content(&book).contains(said), "{}", without_drawings(content(&book)));
}

/// 14: exercises are read anew at every run, and the book's settings have mdBook watch their folder.
#[test]
fn a_changed_exercise_shows_without_a_restart() {
    let root = tempfile::tempdir().unwrap();
    let exercises = root.path().join("mine");
    fs::create_dir(&exercises).unwrap();
    let shipped = include_str!("../../exercises/flap-roll.toml");
    let file = exercises.join("flap-roll.toml");
    fs::write(&file, shipped).unwrap();
    let mut input = input(LESSON);
    input[0]["root"] = json!(root.path());
    input[0]["config"]["preprocessor"]["foldmark"]["exercises"] = json!("mine");
    let (before, errors) = run(&input);
    assert_eq!(errors, "", "the same text as the shipped exercise needs no notice");
    fs::write(
        &file,
        shipped.replace("max(objects.length) + base_gap + top_gap", "max(objects.length) + base_gap + 2 * top_gap"),
    )
    .unwrap();
    let (after, errors) = run(&input);
    assert!(errors.contains("replaces the shipped exercise flap-roll"), "{errors}");
    assert!(content(&before).contains("10\u{a0}1/4\u{a0}in"));
    assert!(content(&after).contains("10\u{a0}3/4\u{a0}in"));
    // A fault in it stops the build with its file, line and column.
    fs::write(&file, shipped.replace("max(objects.length) +", "max(objects.lenght) +")).unwrap();
    let errors = fails(&input);
    assert!(errors.contains("flap-roll.toml: line") && errors.contains("did you mean `objects.length`?"), "{errors}");
    let settings = include_str!("../../book.toml");
    assert!(settings.contains("extra-watch-dirs = [\"exercises\"]"));
}

/// 15: `mdbook test` runs fences without a label as Rust; the lessons leave none without.
#[test]
fn every_fence_has_a_label() {
    let book = Path::new(env!("CARGO_MANIFEST_DIR")).join("book");
    for entry in fs::read_dir(book).unwrap() {
        let path = entry.unwrap().path();
        let Some("md") = path.extension().and_then(|ending| ending.to_str()) else { continue };
        let text = fs::read_to_string(&path).unwrap();
        let mut input = input(&text);
        input[0]["renderer"] = json!("test");
        let (book, _) = run(&input);
        let text = content(&book);
        for event in mdbook_markdown::new_cmark_parser(text, &mdbook_markdown::MarkdownOptions::default()) {
            if let Event::Start(Tag::CodeBlock(kind)) = event {
                let label = match kind {
                    mdbook_markdown::pulldown_cmark::CodeBlockKind::Fenced(label) => label.to_string(),
                    mdbook_markdown::pulldown_cmark::CodeBlockKind::Indented => String::new(),
                };
                // What follows a comma is for the test of the chapter.
                let language = label.split(',').next().unwrap();
                assert!(["text", "toml", "console", "markdown"].contains(&language), "{}: {label:?}", path.display());
            }
        }
    }
}

/// A draft in inches, and its twin. Names, words and numbers are taken from above.
const TWIN: &str = "\
# Roll of `= 2 * 3`

```foldmark draft
exercise = \"flap-roll\"
ruler = \"1/8 in\"
quiet = true

[given]
sizing = \"girth\"

[[given.objects]]
name = \"bodkin\"
length = \"8 in\"
girth = \"3 in\"
count = 3

[choice]
flap = \"5 in\"

[metric]
ruler = \"5 mm\"

[metric.given]
slot_ease = \"5 mm\"
base_gap = \"5 mm\"
top_gap = \"1.5 cm\"

[[metric.given.objects]]
length = \"20 cm\"
girth = \"8 cm\"

[metric.choice]
flap = \"12 cm\"
```

Up `= fold_height`, for `= sum(objects.count)`.

```foldmark step
step = \"fold_height\"
```

```foldmark cautions
```

```foldmark homework
```
";

/// What a draft with a twin shows, it shows in both systems, once each; what is alike stands once. By hand: 8 in with the
/// usual gaps of 1/4 in and 1/2 in is 8 3/4 in to the fold, and 20 + 0.5 + 1.5 = 22 cm.
#[test]
fn a_twin_is_shown_beside_the_draft() {
    let (book, _) = run(&input(TWIN));
    let text = content(&book);
    let fold = "<span class=\"foldmark-inch\">8\u{a0}3/4\u{a0}in</span><span class=\"foldmark-metric\" hidden>22\u{a0}cm</span>";
    assert!(text.contains(&format!("Up {fold}, for 3.")), "{text}");
    assert_eq!(text.matches("<svg").count(), 2);
    for once in ["The longest object decides it", "ruler = \"1/8 in\"", "ruler = \"5 mm\"", "role=\"group\""] {
        assert_eq!(text.matches(once).count(), 1, "{once}: {text}");
    }
    // The switch stands below the title, and only where there is something to switch.
    let title = "# Roll of 6\n\n<div class=\"foldmark-units\" role=\"group\"";
    assert!(text.starts_with(title), "{text}");
    assert!(!content(&run(&input(LESSON)).0).contains("foldmark-units"));
    let (again, _) = run(&input(text));
    assert_eq!(content(&again), text);
}

/// The book may say what shows first. Other renderers get the draft's own system.
#[test]
fn the_book_says_what_shows_first() {
    let mut metric = input(TWIN);
    metric[0]["config"]["preprocessor"]["foldmark"]["unit"] = json!("cm");
    let (book, _) = run(&metric);
    let fold = "<span class=\"foldmark-inch\" hidden>8\u{a0}3/4\u{a0}in</span><span class=\"foldmark-metric\">22\u{a0}cm</span>";
    assert!(content(&book).contains(fold), "{}", content(&book));
    assert!(content(&book).contains("value=\"metric\" aria-pressed=\"true\""));
    metric[0]["renderer"] = json!("epub");
    let (book, _) = run(&metric);
    assert!(content(&book).contains("Up 8\u{a0}3/4\u{a0}in, for 3.") && !content(&book).contains("\u{a0}cm"));
    metric[0]["config"]["preprocessor"]["foldmark"]["unit"] = json!("ell");
    let said = "mdbook-foldmark: book.toml, [preprocessor.foldmark]: unit is \"ell\", but has to be \"in\" or \"cm\"\n";
    assert_eq!(fails(&metric), said);
}

/// A twin is read as strictly as the draft itself, and has to be the same problem.
#[test]
fn a_wrong_twin_is_told_with_line_and_key() {
    let with = |from: &str, to: &str| {
        assert!(TWIN.contains(from));
        fails(&input(&TWIN.replace(from, to)))
    };
    let said = [
        with("slot_ease = \"5 mm\"", "slot_ese = \"5 mm\""),
        with("slot_ease = \"5 mm\"", "slot_ease = \"5\""),
        with("girth = \"8 cm\"", "girth = \"8 m\""),
        with("girth = \"8 cm\"", "girth = \"8 cm\"\ncount = 4"),
        with(
            "girth = \"8 cm\"",
            "girth = \"8 cm\"\n[[metric.given.objects]]\nlength = \"20 cm\"\ngirth = \"8 cm\"\ncount = 1",
        ),
        with("flap = \"12 cm\"", "flap = \"2 cm\""),
        with("flap = \"12 cm\"", "flop = \"2 cm\""),
        with("ruler = \"5 mm\"", "ruler = \"1/4 in\""),
        with("ruler = \"5 mm\"", "rule = \"5 mm\""),
        with("ruler = \"1/8 in\"", "ruler = \"1 mm\""),
        with("[metric]\n", "[inch]\nruler = \"1/8 in\"\n[metric]\n"),
    ];
    insta::assert_snapshot!("wrong_twins", said.concat());
}

/// By hand: the example's longest object is 9 1/2 in, and with the gaps of 1/4 in and 1/2 in it is 10 1/4 in to the fold.
#[test]
fn right_and_wrong_stand_side_by_side() {
    let text = "\
```foldmark draft
exercise = \"flap-roll\"
ruler = \"1/8 in\"
quiet = true
```

```foldmark wrong
slip = \"no-gaps\"
```

```foldmark wrong
slip = \"width-allowance-once\"
piece = \"outer\"
caption = \"Too narrow.\"
```

```foldmark figure
piece = \"pocket\"
opened = true
```
";
    let (book, _) = run(&input(text));
    let text = content(&book);
    assert_eq!(text.matches("<figure").count(), 3);
    assert!(text.contains(">right<") && text.contains(">wrong<") && text.contains(">10 </tspan>"), "{text}");
    assert!(text.contains("Right: height to the fold 10 1/4 in. Wrong: height to the fold 9 1/2 in."), "{text}");
    assert!(text.contains("em\">Both gaps were left out"), "what the exercise says is the caption: {text}");
    assert!(text.contains("em\">Too narrow.</figcaption>") && text.contains(">opened out<"), "{text}");
}

/// A figure of a mistake that shows nothing, and of a piece that has no fold, is told with what would do.
#[test]
fn figures_that_show_nothing_are_told() {
    let text = "\
```foldmark draft
exercise = \"flap-roll\"
quiet = true
```

```foldmark wrong
slip = \"no-gap\"
```

```foldmark wrong
slip = \"width-allowance-once\"
```

```foldmark wrong
slip = \"no-gaps\"
piece = \"tie\"
```

```foldmark wrong
slip = \"opened-not-doubled\"
piece = \"pocket\"
```

```foldmark figure
piece = \"outer\"
opened = true
```

```foldmark figure
step = \"fold_height\"
opened = true
```
";
    insta::assert_snapshot!("nothing_to_show", fails(&input(text)));
}

#[test]
fn a_piece_that_these_givens_do_not_have_is_no_figure() {
    let text = "```foldmark draft\nexercise = \"kit-cylinder\"\nquiet = true\n[given]\nends = \"both_drawn\"\n```\n\n\
                ```foldmark figure\npiece = \"round-end\"\n```\n";
    let told = fails(&input(text));
    assert!(told.contains("with these givens there is no piece \"round-end\"; there are: "), "{told}");
}

/// A wrong block stops the build with chapter, line and reason: all of them at once.
#[test]
fn wrong_blocks_are_told_with_line_and_reason() {
    let text = "\
Intro.

```foldmark figur
```

```foldmark step
step = \"flap\"
```

```foldmark draft
exercise = \"flap-rol\"
```

```foldmark draft
exercise = \"flap-roll\"
[choice]
pocket_height = \"2 in\"
cut_width = \"3 in\"
```

```foldmark draft
exercise = \"flap-roll\"
[given]
allowance = \"half an inch\"
```

```foldmark draft
exercise = \"flap-roll\"
```

```foldmark step
step = \"fold_hight\"
colour = 3
```

```foldmark figure
piece = \"sleeve\"
```

A slot is `= slot`, and `= flap + 2`.

- ```foldmark cutting
  ```
";
    insta::assert_snapshot!("wrong_blocks", fails(&input(text)));
}

/// Who calls it by hand is told what it is.
#[test]
fn it_says_what_it_is() {
    let told = |word: &str| {
        let output = command(b"", &[word]);
        assert!(output.status.success() && output.stderr.is_empty());
        String::from_utf8(output.stdout).unwrap()
    };
    assert_eq!(told("--version"), concat!("mdbook-foldmark ", env!("CARGO_PKG_VERSION"), "\n"));
    assert!(told("--help").contains("mdbook-foldmark install [DIR]"));
    let output = command(b"", &["--nonsense"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8(output.stderr).unwrap().contains("mdbook-foldmark --help"));
}

/// Text of an exercise never becomes a directive of the book, whose `links` run after the blocks are put in.
#[test]
fn text_of_an_exercise_is_no_directive() {
    let dir = tempfile::tempdir().unwrap();
    let root = dir.path();
    let secret = "a file from outside the book";
    let directive = "{{#include ../secret.txt}}";
    let exercise = include_str!("../../exercises/flap-roll.toml")
        .replace("title = \"Roll with a folding flap\"", &format!("title = \"Roll {directive}\""))
        .replace("title = \"Height to the fold\"", &format!("title = \"Height {directive}\""))
        .replace("why = \"", &format!("why = \"{directive} "));
    fs::create_dir_all(root.join("src")).unwrap();
    fs::create_dir_all(root.join("own")).unwrap();
    fs::write(root.join("secret.txt"), secret).unwrap();
    fs::write(root.join("own/hostile.toml"), exercise).unwrap();
    fs::write(root.join("book.toml"), "[book]\ntitle = \"T\"\n[preprocessor.foldmark]\nexercises = \"own\"\n").unwrap();
    fs::write(root.join("src/SUMMARY.md"), "- [One](one.md)\n").unwrap();
    let blocks = ["steps", "slips", "cutting", "cautions", "homework"].map(|name| format!("```foldmark {name}\n```\n"));
    let lesson = format!(
        "# One\n\n```foldmark draft\nexercise = \"hostile\"\n```\n\n```foldmark step\nstep = \"fold_height\"\n```\n\n{}",
        blocks.join("\n")
    );
    fs::write(root.join("src/one.md"), lesson).unwrap();
    let (pages, _) = build_book(root, Some(&root.join("out"))).unwrap();
    let page = fs::read_to_string(pages.join("one.html")).unwrap();
    assert!(page.contains("../secret.txt}}"), "the text is there as text");
    assert!(!page.contains(secret), "and nothing was included by it");
}

/// A build that fails leaves the earlier pages as they were, and nothing beside them.
#[test]
fn a_book_is_whole_or_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let root = dir.path();
    fs::create_dir_all(root.join("src")).unwrap();
    fs::write(root.join("book.toml"), "[book]\ntitle = \"T\"\n").unwrap();
    fs::write(root.join("src/SUMMARY.md"), "- [One](one.md)\n").unwrap();
    fs::write(root.join("src/one.md"), "# One\n\nBefore.\n").unwrap();
    let (pages, _) = build_book(root, None).unwrap();
    assert!(fs::read_to_string(pages.join("one.html")).unwrap().contains("Before."));
    fs::write(root.join("src/one.md"), "# One\n\nAfter.\n\n```foldmark step\nstep = \"fold_height\"\n```\n").unwrap();
    build_book(root, None).unwrap_err();
    assert!(fs::read_to_string(pages.join("one.html")).unwrap().contains("Before."), "the earlier pages stay");
    let left: BTreeSet<String> =
        fs::read_dir(root).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    assert_eq!(left, ["book", "book.toml", "src"].map(str::to_owned).into());
    fs::write(root.join("src/one.md"), "# One\n\nAfter.\n").unwrap();
    build_book(root, None).unwrap();
    assert!(fs::read_to_string(pages.join("one.html")).unwrap().contains("After."));
}

/// A book that was made ready answers in its pages: every run brings what they load up to date, and takes away what is no
/// more. Without that, a note says how.
#[test]
fn a_book_that_is_made_ready_has_what_its_pages_load() {
    let root = tempfile::tempdir().unwrap();
    let write = |path: &str, text: &str| fs::write(root.path().join(path), text).unwrap();
    write("book.toml", "[book]\ntitle = \"T\"\nsrc = \"text\"\n");
    let mut ready = input(LESSON);
    ready[0]["root"] = json!(root.path());
    ready[0]["config"]["book"]["src"] = json!("text");
    let said = |input: &Value| String::from_utf8(command(input.to_string().as_bytes(), &[]).stderr).unwrap();
    assert_eq!(said(&ready), NOT_INSTALLED);
    assert!(!content(&run(&ready).0).contains("data-part"));

    let output = command(b"", &["install", root.path().to_str().unwrap()]);
    assert!(output.status.success());
    let told = String::from_utf8(output.stdout).unwrap();
    assert!(told.starts_with("Added to book.toml: preprocessor.foldmark.command, "), "{told}");
    let config: toml::Value = toml::from_str(&fs::read_to_string(root.path().join("book.toml")).unwrap()).unwrap();
    ready[0]["config"] = serde_json::to_value(&config).unwrap();

    assert_eq!(said(&ready), "");
    let (book, _) = run(&ready);
    assert!(content(&book).contains("<div class=\"foldmark-lesson\" data-lesson=\"README\">"), "{}", content(&book));
    let folder = root.path().join("text/foldmark");
    let mut there: Vec<String> = Vec::new();
    for part in ["", "exercises", "lessons"] {
        let names = fs::read_dir(folder.join(part)).unwrap().map(|entry| entry.unwrap().path());
        there.extend(
            names.filter(|path| path.is_file()).map(|path| path.strip_prefix(&folder).unwrap().display().to_string()),
        );
    }
    there.sort();
    let expected = [
        "desk.html",
        "engine.js",
        "exercises/flap-roll.js",
        "lesson.css",
        "lesson.js",
        "lessons/README.js",
        "panels.css",
        "panels.js",
    ];
    assert_eq!(there, expected);
    let mut renamed = ready.clone();
    renamed[1]["items"][0]["Chapter"]["source_path"] = json!("other.md");
    run(&renamed);
    let lessons = fs::read_dir(folder.join("lessons")).unwrap();
    assert_eq!(lessons.map(|entry| entry.unwrap().file_name()).collect::<Vec<_>>(), ["other.js"]);
    for renderer in ["markdown", "test"] {
        ready[0]["renderer"] = json!(renderer);
        assert!(!content(&run(&ready).0).contains("data-part"), "{renderer}");
    }
}

/// What a chapter includes is put in by another preprocessor; where that comes later, blocks in it are not seen.
#[test]
fn an_include_that_comes_too_late_is_told() {
    let (_, errors) = run(&input("# One\n\n{{#include blocks.md}}\n"));
    assert!(errors.contains("includes a file") && errors.contains("after = [\"links\"]"), "{errors}");
}

/// How much pages tell is one of four words.
#[test]
fn what_pages_show_is_named() {
    let mut asked = input(LESSON);
    asked[0]["config"]["preprocessor"]["foldmark"]["show"] = json!("everything");
    let errors = fails(&asked);
    assert!(
        errors.contains("show is \"everything\", but has to be \"marks\", \"coach\", \"full\" or \"none\""),
        "{errors}"
    );
}
