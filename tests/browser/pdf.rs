//! What can be read in a PDF that Chromium wrote: how many pages it has, and the tree of its headings, paragraphs and
//! figures (ISO 32000-1, 14.7) with the pages that each of them lies on. Chromium writes each key of an object on a line of its own.

use std::collections::BTreeMap;

/// An object's number.
type Number = u32;

pub struct Pdf {
    pages: Vec<Number>,
    elements: BTreeMap<Number, Element>,
}

/// A heading, a paragraph, a figure.
#[derive(Default)]
struct Element {
    kind: String,
    /// What a screen reader says in place of a figure.
    name: Option<String>,
    parts: Vec<Number>,
    /// The pages that hold what is directly in it.
    pages: Vec<Number>,
}

impl Pdf {
    pub fn read(bytes: &[u8]) -> Pdf {
        let text = String::from_utf8_lossy(bytes);
        let (mut pages, mut elements) = (Vec::new(), BTreeMap::new());
        let mut lines = text.lines();
        while let Some(line) = lines.next() {
            let Some(number) = line.strip_suffix(" 0 obj").and_then(|number| number.parse().ok()) else { continue };
            match lines.next() {
                Some("<</Type /Page") => pages.push(number),
                Some("<</Type /StructElem") => {
                    elements.insert(number, Element::read(lines.by_ref().take_while(|line| *line != "endobj")));
                }
                _ => {}
            }
        }
        Pdf { pages, elements }
    }

    pub fn pages(&self) -> usize {
        self.pages.len()
    }

    /// How many elements are of this kind: "H1", "P", "Figure".
    pub fn count(&self, kind: &str) -> usize {
        self.elements.values().filter(|element| element.kind == kind).count()
    }

    /// How many figures have a name, as drawings do.
    pub fn drawings(&self) -> usize {
        self.elements.values().filter(|element| element.name.is_some()).count()
    }

    /// What is badly parted by the end of a page: a figure, a heading from what it is above, a figure without words of its
    /// own from the sum below it.
    pub fn parted(&self) -> Vec<String> {
        let mut complaints = Vec::new();
        for (number, element) in &self.elements {
            let pages = self.pages_of(*number);
            if element.kind == "Figure" && pages.iter().any(|page| page != &pages[0]) {
                complaints.push(format!("page {}: a figure goes on: {}", pages[0], self.told(*number)));
            }
            for pair in element.parts.windows(2) {
                let [Some(one), Some(next)] = [0, 1].map(|at| self.elements.get(&pair[at])) else { continue };
                let is_heading = one.kind.strip_prefix('H').is_some_and(|level| level.parse::<u8>().is_ok());
                let is_captioned = one.parts.iter().any(|part| self.elements[part].kind == "Caption");
                let is_step = one.kind == "Figure" && !is_captioned && matches!(next.kind.as_str(), "P" | "L");
                let (Some(end), Some(start)) =
                    (self.pages_of(pair[0]).last().copied(), self.pages_of(pair[1]).first().copied())
                else {
                    continue;
                };
                if end != start && (is_heading || is_step) {
                    let what = if is_heading { "heading" } else { "figure" };
                    complaints.push(format!("page {end}: a {what} ends it: {}", self.told(pair[0])));
                }
            }
        }
        complaints
    }

    /// The pages, from 1, of all that is in an element, in reading order.
    fn pages_of(&self, number: Number) -> Vec<usize> {
        let Some(element) = self.elements.get(&number) else { return Vec::new() };
        let place = |page: &Number| self.pages.iter().position(|known| known == page).map_or(0, |at| at + 1);
        let own = element.pages.iter().map(place);
        own.chain(element.parts.iter().flat_map(|part| self.pages_of(*part))).collect()
    }

    fn told(&self, number: Number) -> String {
        let element = &self.elements[&number];
        let of_parts = || element.parts.iter().find_map(|part| self.elements.get(part)?.name.clone());
        let name = element.name.clone().or_else(of_parts).unwrap_or_default();
        format!("{} {}", element.kind, name.chars().take(60).collect::<String>())
    }
}

impl Element {
    fn read<'t>(lines: impl Iterator<Item = &'t str>) -> Element {
        let mut element = Element::default();
        for line in lines {
            let (key, value) = line.trim_start_matches("<<").split_once(' ').unwrap_or((line, ""));
            match key {
                "/S" => element.kind = value.trim_start_matches('/').trim_end_matches('>').to_owned(),
                "/Alt" => element.name = Some(value.trim_matches(['(', ')', '>']).to_owned()),
                // Where parts and stretches of a page alternate, a page is followed by the parts after it.
                "/Pg" => {
                    let mut numbers = references(value);
                    element.pages.extend(numbers.next());
                    element.parts.extend(numbers);
                }
                "/K" | "/MCID" => element.parts.extend(references(value)),
                _ => {}
            }
        }
        element
    }
}

/// The numbers of the objects that are referred to: `12 0 R`.
fn references(text: &str) -> impl Iterator<Item = Number> {
    let words: Vec<&str> = text.split([' ', '[', ']', '<', '>']).filter(|word| !word.is_empty()).collect();
    let number = |three: &[&str]| if three[1..] == ["0", "R"] { three[0].parse().ok() } else { None };
    words.windows(3).filter_map(number).collect::<Vec<_>>().into_iter()
}
