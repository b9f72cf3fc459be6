//! Pages as a PDF: lengths in points, letters embedded, no clock.

use super::drawing::{Drawing, Writing};
use super::fault::PatternFault;
use super::font::{FILE, Letters};
use crate::geometry::{Bounds, Point};
use pdf_writer::types::{CidFontType, FontFlags, StructRole, SystemInfo, UnicodeCmap};
use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, Str, TextStr};
use std::collections::BTreeMap;
use subsetter::{GlyphRemapper, subset};

/// What a part of a page is to whoever has it read aloud.
pub(super) enum Tag {
    Heading,
    Text,
    Figure { title: String, says: String },
}

/// A drawing on a page, in millimetres from its lower left corner, and what of it is shown.
pub(super) struct Layer {
    pub drawing: Drawing,
    pub clip: Option<Bounds>,
    pub tag: Tag,
}

/// A page.
pub(super) struct Page {
    pub width: f64,
    pub height: f64,
    pub layers: Vec<Layer>,
}

const LETTERS: Name = Name(b"L");
const SYSTEM: SystemInfo = SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };

/// Millimetres as points.
fn pt(mm: f64) -> f32 {
    (mm * 72.0 / 25.4) as f32
}

/// The pages as a file; a `title` is what programs call it.
///
/// # Errors
/// A typeface that can't be taken apart.
pub(super) fn written(pages: &[Page], letters: &Letters, title: &str) -> Result<Vec<u8>, PatternFault> {
    let mut glyphs = GlyphRemapper::new();
    let mut known: BTreeMap<u16, (char, u16)> = BTreeMap::new();
    let mut pdf = Pdf::new();
    let mut last = 0;
    let mut next = || {
        last += 1;
        Ref::new(last)
    };
    let [catalog, tree, info, font, cid, descriptor, file, cmap, tags, document] = [(); 10].map(|()| next());
    let ids: Vec<[Ref; 3]> = pages.iter().map(|_| [next(), next(), next()]).collect();
    pdf.document_info(info).title(TextStr(title));
    pdf.pages(tree).kids(ids.iter().map(|[page, ..]| *page)).count(pages.len() as i32);
    let mut told: Vec<Ref> = Vec::new();
    for ((at, page), [id, stream, marked]) in pages.iter().enumerate().zip(&ids) {
        let mut written = pdf.page(*id);
        written.parent(tree).media_box(Rect::new(0.0, 0.0, pt(page.width), pt(page.height))).contents(*stream);
        written.struct_parents(at as i32);
        written.resources().fonts().pair(LETTERS, font);
        written.finish();
        let mut content = Content::new();
        let mut of_page: Vec<Ref> = Vec::new();
        for layer in &page.layers {
            let role = match layer.tag {
                Tag::Heading => StructRole::H2,
                Tag::Text => StructRole::P,
                Tag::Figure { .. } => StructRole::Figure,
            };
            let mut begun = content.begin_marked_content_with_properties(role.to_name());
            begun.properties().identify(of_page.len() as i32);
            begun.finish();
            let own = next();
            let mut element = pdf.struct_element(own);
            element.kind(role).parent(document).page(*id);
            element.children().marked_content_id(of_page.len() as i32);
            if let Tag::Figure { title, says } = &layer.tag {
                element.title(TextStr(title)).alt(TextStr(says));
                if let Some(area) = layer.clip.or_else(|| layer.drawing.bounds()) {
                    let area = Rect::new(pt(area.least.x), pt(area.least.y), pt(area.most.x), pt(area.most.y));
                    element.attributes().push().layout().bbox(area);
                }
            }
            of_page.push(own);
            content.save_state();
            if let Some(clip) = layer.clip {
                content.rect(pt(clip.least.x), pt(clip.least.y), pt(clip.width()), pt(clip.height()));
                content.clip_nonzero().end_path();
            }
            draw(&mut content, &layer.drawing);
            for writing in &layer.drawing.writings {
                write(&mut content, writing, letters, &mut glyphs, &mut known);
            }
            content.restore_state();
            content.end_marked_content();
        }
        pdf.stream(*stream, &content.finish());
        pdf.indirect(*marked).array().items(&of_page);
        told.extend(of_page);
    }
    let mut whole = pdf.struct_element(document);
    whole.kind(StructRole::Document).parent(tags);
    let mut children = whole.children();
    for id in told {
        children.struct_element(id);
    }
    children.finish();
    whole.finish();
    let mut root = pdf.catalog(catalog);
    root.pages(tree).lang(TextStr("en"));
    root.mark_info().marked(true);
    root.viewer_preferences().display_doc_title(true).pair(Name(b"PrintScaling"), Name(b"None"));
    let mut tagged = root.struct_tree_root();
    tagged.child(document).parent_tree_next_key(pages.len() as i32);
    let mut parents = tagged.parent_tree();
    let mut numbers = parents.nums();
    for (at, [.., marked]) in ids.iter().enumerate() {
        numbers.insert(at as i32, *marked);
    }
    numbers.finish();
    parents.finish();
    tagged.finish();
    root.finish();
    let face = letters.face();
    let per_em = 1000.0 / f32::from(face.units_per_em());
    let part =
        subset(FILE, 0, &glyphs).map_err(|error| PatternFault(format!("the typeface can't be used: {error}")))?;
    let name = Name(b"FOLDMK+DejaVuSans");
    pdf.type0_font(font).base_font(name).encoding_predefined(Name(b"Identity-H")).descendant_font(cid).to_unicode(cmap);
    let mut described = pdf.cid_font(cid);
    described.subtype(CidFontType::Type2).base_font(name).system_info(SYSTEM).font_descriptor(descriptor);
    described.default_width(0.0).cid_to_gid_map_predefined(Name(b"Identity"));
    let widths = glyphs
        .remapped_gids()
        .map(|glyph| f32::from(face.glyph_hor_advance(ttf_parser::GlyphId(glyph)).unwrap_or(0)) * per_em);
    described.widths().consecutive(0, widths);
    described.finish();
    let bounds = face.global_bounding_box();
    let em = |value: i16| f32::from(value) * per_em;
    pdf.font_descriptor(descriptor)
        .name(name)
        .flags(FontFlags::SYMBOLIC)
        .bbox(Rect::new(em(bounds.x_min), em(bounds.y_min), em(bounds.x_max), em(bounds.y_max)))
        .italic_angle(0.0)
        .ascent(em(face.ascender()))
        .descent(em(face.descender()))
        .cap_height(729.0)
        .stem_v(80.0)
        .font_file2(file);
    pdf.stream(file, &part).pair(Name(b"Length1"), part.len() as i32);
    let mut letters_of = UnicodeCmap::new(Name(b"Letters"), SYSTEM);
    for (letter, glyph) in known.values() {
        letters_of.pair(*glyph, *letter);
    }
    pdf.cmap(cmap, &letters_of.finish());
    Ok(pdf.finish())
}

fn draw(content: &mut Content, drawing: &Drawing) {
    for stroke in &drawing.strokes {
        let look = stroke.ink.look();
        let mut points = stroke.points.iter();
        let Some(first) = points.next() else { continue };
        content.set_stroke_gray(look.grey as f32);
        content.set_line_width(pt(look.width));
        content.set_dash_pattern(look.dashes.iter().map(|dash| pt(*dash)), 0.0);
        content.move_to(pt(first.x), pt(first.y));
        for point in points {
            content.line_to(pt(point.x), pt(point.y));
        }
        if stroke.is_closed {
            content.close_path();
        }
        if look.is_filled {
            content.fill_nonzero()
        } else {
            content.stroke()
        };
    }
}

fn write(
    content: &mut Content,
    writing: &Writing,
    letters: &Letters,
    glyphs: &mut GlyphRemapper,
    known: &mut BTreeMap<u16, (char, u16)>,
) {
    let mut bytes = Vec::new();
    for (letter, glyph) in letters.glyphs(&writing.text) {
        let new = glyphs.remap(glyph.0);
        known.insert(glyph.0, (letter, new));
        bytes.extend(new.to_be_bytes());
    }
    let (cosine, sine) = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)][usize::from(writing.quarters % 4)];
    let Point { x, y } = writing.at;
    content.begin_text();
    content.set_font(LETTERS, pt(writing.size));
    content.set_text_matrix([cosine, sine, -sine, cosine, pt(x), pt(y)]);
    content.show(Str(&bytes));
    content.end_text();
}
