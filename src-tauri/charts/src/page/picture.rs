//! One tall picture: a standalone SVG whose text stays text, and the same as PNG. Not here: pages.

use std::fmt::Write as _;

use resvg::tiny_skia::{Pixmap, Transform};

use super::content::{Block, Content};
use super::lay::{Page, Shade, What};
use super::{Progress, Stopped, ask, tree};
use crate::draw::{FONT, escaped};
use crate::face::Weight;

/// Pixels of the SVG to a point.
const PIXELS: f64 = 4.0 / 3.0;
/// Pixels of the PNG to one of the SVG.
const FINE: f64 = 2.0;
/// No side of a PNG is longer: a longer chart is drawn less finely.
const LONGEST: f64 = 32_000.0;

/// The chart as a file of its own: it names its typeface and what to take where that is not there.
pub(super) fn svg(
    content: &Content,
    pages: &[Page],
    progress: Progress<'_>,
) -> Result<String, Stopped> {
    ask(progress, 0, pages.len())?;
    let [page] = pages else {
        return Err(Stopped::Failed("a picture has one page".to_owned()));
    };
    let (wide, high) = (super::lay::TALL.wide, page.high);
    let mut text = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{:.0}\" \
         height=\"{:.0}\" viewBox=\"0 0 {wide} {high:.2}\" lang=\"en\"><title>{}</title><desc>{}</desc>\
         <rect width=\"{wide}\" height=\"{high:.2}\" fill=\"#ffffff\"/>",
        wide * PIXELS,
        high * PIXELS,
        escaped(&content.title),
        escaped(&format!(
            "{}. {}. {}.",
            content.person, content.period, content.made
        )),
    );
    for mark in &page.marks {
        let (x, y) = (mark.x, mark.y);
        match &mark.what {
            What::Words {
                words,
                size,
                weight,
                shade,
            } => {
                let weight = match weight {
                    Weight::Regular => "normal",
                    Weight::Bold => "bold",
                };
                let _ = write!(
                    text,
                    "<text x=\"{x:.2}\" y=\"{y:.2}\" font-family=\"{FONT}\" font-size=\"{size}\" \
                     font-weight=\"{weight}\" fill=\"{}\">{}</text>",
                    colour(*shade),
                    escaped(words)
                );
            }
            What::Rule { long } => {
                let _ = write!(
                    text,
                    "<path d=\"M{x:.2} {y:.2}h{long:.2}\" stroke=\"{}\" stroke-width=\"0.75\" fill=\"none\"/>",
                    colour(Shade::Line)
                );
            }
            What::Figure { scale } => {
                let block = content.groups.get(mark.block.0);
                if let Some(Block::Figure { svg, .. }) = block.and_then(|g| g.get(mark.block.1)) {
                    let _ = write!(
                        text,
                        "<g transform=\"translate({x:.2} {y:.2}) scale({scale:.4})\">{svg}</g>"
                    );
                }
            }
        }
    }
    text += "</svg>\n";
    Ok(text)
}

/// As an attribute has it.
fn colour(shade: Shade) -> &'static str {
    match shade {
        Shade::Ink => "#000000",
        Shade::Soft => "#333333",
        Shade::Line => "#999999",
    }
}

/// The same in dots.
pub(super) fn png(
    content: &Content,
    pages: &[Page],
    progress: Progress<'_>,
) -> Result<Vec<u8>, Stopped> {
    let tree = tree(&svg(content, pages, progress)?)?;
    let (wide, high) = (
        f64::from(tree.size().width()),
        f64::from(tree.size().height()),
    );
    let fine = FINE.min(LONGEST / high.max(1.0));
    let side = |length: f64| (length * fine).round().max(1.0) as u32;
    let mut dots = Pixmap::new(side(wide), side(high))
        .ok_or_else(|| Stopped::Failed("the picture is too large".to_owned()))?;
    let scale = Transform::from_scale(fine as f32, fine as f32);
    resvg::render(&tree, scale, &mut dots.as_mut());
    dots.encode_png()
        .map_err(|e| Stopped::Failed(e.to_string()))
}
