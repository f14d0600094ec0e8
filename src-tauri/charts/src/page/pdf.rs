//! Pages as PDF, tagged: headings, paragraphs, tables, and drawings with their words. Not here: where things stand.
//!
//! Every letter in the typeface, it is written as PDF/UA-1, and the library refuses what is not. That standard forbids
//! the box for a letter that is not there, so a name in other letters gives the same file without that claim.

use std::collections::BTreeMap;
use std::num::NonZeroU16;

use chrono::{Datelike, Timelike};
use krilla::color::rgb;
use krilla::configure::{Accessibility, ConfigurationBuilder, PdfVersion};
use krilla::destination::XyzDestination;
use krilla::geom::{PathBuilder, Point, Rect, Size, Transform};
use krilla::metadata::{DateTime, Metadata, TextDirection as Reading};
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, Stroke};
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, BBox, ContentTag, Identifier, Node, SpanTag, TableHeaderScope, Tag,
    TagGroup, TagTree,
};
use krilla::text::{Font, TextDirection};
use krilla::{Document, SerializeSettings};
use krilla_svg::{SurfaceExt, SvgSettings};

use super::content::{Block, Content};
use super::lay::{Mark, Page, Role, Shade, Sheet, What};
use super::{About, Progress, Stopped, ask, tree};
use crate::face::{self, Weight};

/// Regular and bold.
struct Fonts([Font; 2]);

impl Fonts {
    fn new() -> Option<Self> {
        let font = |bytes: &'static [u8]| Font::new(bytes.into(), 0);
        Some(Self([font(face::REGULAR)?, font(face::BOLD)?]))
    }

    fn of(&self, weight: Weight) -> Font {
        let [regular, bold] = &self.0;
        match weight {
            Weight::Regular => regular.clone(),
            Weight::Bold => bold.clone(),
        }
    }
}

/// What was drawn for a block: what each piece is, where, and what the library calls it.
type Drawn = BTreeMap<(usize, usize), Vec<(Role, Identifier, Option<BBox>)>>;

/// Writes the pages, one after the other.
pub(super) fn write(
    content: &Content,
    pages: &[Page],
    sheet: &Sheet,
    about: &About<'_>,
    progress: Progress<'_>,
) -> Result<Vec<u8>, Stopped> {
    let failed = |e: &str| Stopped::Failed(e.to_owned());
    let fonts = Fonts::new().ok_or_else(|| failed("the typeface cannot be read"))?;
    let builder = ConfigurationBuilder::new().with_version(PdfVersion::Pdf17);
    let builder = if content.covered {
        builder.with_accessibility_validator(Accessibility::UA1)
    } else {
        builder
    };
    let configuration = builder.finish().map_err(|e| failed(&format!("{e:?}")))?;
    let mut document = Document::new_with(SerializeSettings {
        configuration,
        ..SerializeSettings::default()
    });
    document.set_metadata(metadata(content, about));
    let mut drawn = Drawn::new();
    let mut outline = Outline::new();
    for (n, page) in pages.iter().enumerate() {
        ask(progress, n, pages.len())?;
        let settings = PageSettings::from_wh(sheet.wide as f32, page.high as f32)
            .ok_or_else(|| failed("a page without a size"))?;
        let mut paper = document.start_page_with(settings);
        let mut surface = paper.surface();
        for mark in &page.marks {
            put(&mut surface, mark, content, &fonts, (n, &mut drawn))?;
            if let (Role::Heading(1 | 2), What::Words { words, .. }) = (mark.role, &mark.what) {
                let top = Point::from_xy(mark.x as f32, (mark.y - 16.0) as f32);
                outline.push_child(OutlineNode::new(words.clone(), XyzDestination::new(n, top)));
            }
        }
        surface.finish();
        paper.finish();
    }
    document.set_outline(outline);
    document.set_tag_tree(structure(content, drawn));
    document.finish().map_err(|e| failed(&format!("{e:?}")))
}

fn metadata(content: &Content, about: &About<'_>) -> Metadata {
    let at = about.made;
    let offset = at.offset().local_minus_utc() / 60;
    let part = |n: u32| u8::try_from(n).unwrap_or(0);
    let made = DateTime::new(u16::try_from(at.year()).unwrap_or(0))
        .month(part(at.month()))
        .day(part(at.day()))
        .hour(part(at.hour()))
        .minute(part(at.minute()))
        .second(part(at.second()))
        .utc_offset_hour(i8::try_from(offset / 60).unwrap_or(0))
        .utc_offset_minute(part((offset % 60).unsigned_abs()));
    Metadata::new()
        .title(format!("{}, {}", content.title, content.person))
        .description(content.made.clone())
        .language("en".to_owned())
        .creator("Fallow".to_owned())
        .creation_date(made)
        .text_direction(Reading::LeftToRight)
}

fn put(
    surface: &mut Surface<'_>,
    mark: &Mark,
    content: &Content,
    fonts: &Fonts,
    (page, drawn): (usize, &mut Drawn),
) -> Result<(), Stopped> {
    let tag = match mark.role {
        Role::Nothing => ContentTag::Artifact(Artifact::with_kind(match mark.what {
            What::Rule { .. } => ArtifactType::Layout,
            What::Words { .. } | What::Figure { .. } => ArtifactType::Header,
        })),
        Role::Figure => ContentTag::Other,
        Role::Heading(_) | Role::Paragraph | Role::Cell(..) => ContentTag::Span(SpanTag::empty()),
    };
    let id = surface.start_tagged(tag);
    let done = ink(surface, mark, content, fonts);
    surface.end_tagged();
    let area = done?;
    if mark.role != Role::Nothing {
        let area = area.map(|rect| BBox::new(page, rect));
        drawn
            .entry(mark.block)
            .or_default()
            .push((mark.role, id, area));
    }
    Ok(())
}

/// Draws a thing; returns where, if it is a drawing.
fn ink(
    surface: &mut Surface<'_>,
    mark: &Mark,
    content: &Content,
    fonts: &Fonts,
) -> Result<Option<Rect>, Stopped> {
    let at = Point::from_xy(mark.x as f32, mark.y as f32);
    match &mark.what {
        What::Words {
            words,
            size,
            weight,
            shade,
        } => {
            surface.set_stroke(None);
            surface.set_fill(Some(Fill {
                paint: colour(*shade).into(),
                ..Fill::default()
            }));
            let font = fonts.of(*weight);
            surface.draw_text(at, font, *size as f32, words, false, TextDirection::Auto);
            Ok(None)
        }
        What::Rule { long } => {
            let mut path = PathBuilder::new();
            path.move_to(at.x, at.y);
            path.line_to(at.x + *long as f32, at.y);
            surface.set_fill(None);
            surface.set_stroke(Some(Stroke {
                paint: colour(Shade::Line).into(),
                width: 0.75,
                ..Stroke::default()
            }));
            if let Some(path) = path.finish() {
                surface.draw_path(&path);
            }
            surface.set_stroke(None);
            Ok(None)
        }
        What::Figure { scale } => {
            let block = content.groups.get(mark.block.0);
            let Some(Block::Figure { svg, .. }) = block.and_then(|g| g.get(mark.block.1)) else {
                return Ok(None);
            };
            let tree = tree(svg)?;
            let (wide, high) = (
                tree.size().width() * *scale as f32,
                tree.size().height() * *scale as f32,
            );
            let size = Size::from_wh(wide, high)
                .ok_or_else(|| Stopped::Failed("a drawing without a size".to_owned()))?;
            surface.push_transform(&Transform::from_translate(at.x, at.y));
            let done = surface.draw_svg(&tree, size, SvgSettings::default());
            surface.pop();
            done.ok_or_else(|| Stopped::Failed("a drawing could not be written".to_owned()))?;
            Ok(Rect::from_xywh(at.x, at.y, wide, high))
        }
    }
}

fn colour(shade: Shade) -> rgb::Color {
    match shade {
        Shade::Ink => rgb::Color::new(0, 0, 0),
        Shade::Soft => rgb::Color::new(0x33, 0x33, 0x33),
        Shade::Line => rgb::Color::new(0x99, 0x99, 0x99),
    }
}

/// What is read, in the order it is read.
fn structure(content: &Content, drawn: Drawn) -> TagTree {
    let mut tree = TagTree::new().with_lang(Some("en".to_owned()));
    for ((group, place), pieces) in drawn {
        let block = content.groups.get(group).and_then(|g| g.get(place));
        match block {
            Some(Block::Words(_, words)) => {
                let level = match pieces.first() {
                    Some((Role::Heading(level), ..)) => NonZeroU16::new(*level),
                    _ => None,
                };
                let ids = pieces
                    .into_iter()
                    .map(|(_, id, _)| Node::from(id))
                    .collect();
                tree.push(match level {
                    Some(level) => {
                        TagGroup::with_children(Tag::Hn(level, Some(words.clone())), ids)
                    }
                    None => TagGroup::with_children(Tag::P, ids),
                });
            }
            Some(Block::Figure { alt, .. }) => {
                for (_, id, area) in pieces {
                    let tag = Tag::Figure(Some(alt.clone())).with_bbox(area);
                    tree.push(TagGroup::with_children(tag, vec![id.into()]));
                }
            }
            Some(Block::Table(_)) => tree.push(table(pieces)),
            None => {}
        }
    }
    tree
}

fn table(pieces: Vec<(Role, Identifier, Option<BBox>)>) -> TagGroup {
    let mut rows: BTreeMap<usize, BTreeMap<usize, Vec<Node>>> = BTreeMap::new();
    for (role, id, _) in pieces {
        if let Role::Cell(row, column) = role {
            let cells = rows.entry(row).or_default();
            cells.entry(column).or_default().push(id.into());
        }
    }
    let mut group = TagGroup::new(Tag::Table);
    for (row, cells) in rows {
        let mut tr = TagGroup::new(Tag::TR);
        for (column, nodes) in cells {
            tr.push(match (row, column) {
                (0, _) => TagGroup::with_children(Tag::TH(TableHeaderScope::Column), nodes),
                (_, 0) => TagGroup::with_children(Tag::TH(TableHeaderScope::Row), nodes),
                _ => TagGroup::with_children(Tag::TD, nodes),
            });
        }
        group.push(tr);
    }
    group
}
