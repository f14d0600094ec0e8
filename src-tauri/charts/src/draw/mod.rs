//! Drawing: one sheet of a width and a theme, and what every drawing on it has.
//!
//! Presentation attributes only: no style, no script, nothing from elsewhere, so that a strict content policy lets it
//! in. Not here: what the numbers are ([`crate::series`]).

pub mod axis;
pub mod body;
pub(crate) mod labels;
pub mod points;
pub mod shares;
pub mod weeks;

use std::fmt::Display;

use chrono::NaiveDate;
use fallow_core::measures::Period;
use plotters::prelude::{RGBColor, SVGBackend};

use crate::{Facts, Theme};

/// The typeface of the screens; whoever has not got it uses one without serifs.
pub(crate) const FONT: &str = "Atkinson Hyperlegible, sans-serif";
/// Size of all small text, in pixels.
pub(crate) const TEXT: u32 = 13;
/// Said where a period has nothing to draw.
pub(crate) const NOTHING: &str = "Nothing on record in this period.";

/// The colours of a theme.
#[derive(Debug, Clone, Copy)]
pub struct Colours {
    /// The ground everything stands on.
    pub ground: RGBColor,
    /// Text and outlines.
    pub ink: RGBColor,
    /// Text beside the point.
    pub soft: RGBColor,
    /// Quiet lines.
    pub line: RGBColor,
    /// What is shown.
    pub accent: RGBColor,
    /// A limit.
    pub limit: RGBColor,
    /// Unused skin of the body.
    pub skin: RGBColor,
    /// Days of rest, just used first.
    pub steps: [RGBColor; 6],
    /// Text on each of them.
    pub on_steps: [RGBColor; 6],
}

const INK: RGBColor = RGBColor(0x0d, 0x19, 0x18);
const WHITE: RGBColor = RGBColor(0xff, 0xff, 0xff);

impl Colours {
    /// Those of the screens (`ui/src/style/tokens.css`).
    pub const fn of(theme: Theme) -> Self {
        match theme {
            Theme::Light => Self {
                ground: RGBColor(0xfb, 0xfc, 0xfa),
                ink: RGBColor(0x13, 0x21, 0x1f),
                soft: RGBColor(0x3f, 0x50, 0x4c),
                line: RGBColor(0xc3, 0xcc, 0xc5),
                accent: RGBColor(0x0b, 0x4b, 0x52),
                limit: RGBColor(0xa8, 0x47, 0x0a),
                skin: RGBColor(0xdd, 0xe1, 0xd8),
                steps: [
                    RGBColor(0x13, 0x27, 0x41),
                    RGBColor(0x2f, 0x4a, 0x68),
                    RGBColor(0x55, 0x70, 0x8a),
                    RGBColor(0x8f, 0xa5, 0xab),
                    RGBColor(0xc4, 0xcc, 0xbf),
                    RGBColor(0xf0, 0xea, 0xd2),
                ],
                on_steps: [WHITE, WHITE, WHITE, INK, INK, INK],
            },
            // White is the paper; what is told by colour on a screen is told by lightness, shape or dashes here.
            Theme::Print => Self {
                ground: WHITE,
                ink: RGBColor(0, 0, 0),
                soft: RGBColor(0x33, 0x33, 0x33),
                line: RGBColor(0xbb, 0xbb, 0xbb),
                limit: RGBColor(0x8a, 0x35, 0x00),
                ..Self::of(Theme::Light)
            },
            Theme::Dark => Self {
                ground: RGBColor(0x19, 0x22, 0x1f),
                ink: RGBColor(0xeb, 0xf1, 0xee),
                soft: RGBColor(0xbc, 0xca, 0xc4),
                line: RGBColor(0x3a, 0x47, 0x44),
                accent: RGBColor(0x93, 0xd5, 0xcc),
                limit: RGBColor(0xff, 0xb4, 0x7a),
                skin: RGBColor(0x2b, 0x36, 0x33),
                steps: [
                    RGBColor(0x0c, 0x1c, 0x33),
                    RGBColor(0x29, 0x44, 0x5f),
                    RGBColor(0x4d, 0x69, 0x83),
                    RGBColor(0x8b, 0xa2, 0xa8),
                    RGBColor(0xbc, 0xc6, 0xb9),
                    RGBColor(0xe9, 0xe3, 0xcb),
                ],
                on_steps: [WHITE, WHITE, WHITE, INK, INK, INK],
            },
        }
    }
}

/// A colour as an attribute has it.
pub(crate) fn hex(RGBColor(r, g, b): RGBColor) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// What drawings are made for.
#[derive(Debug, Clone, Copy)]
pub struct Sheet {
    /// Width in pixels, 280 to 1,200.
    pub width: u32,
    /// The colours.
    pub colours: Colours,
    /// Where a page ends: no drawing is made higher, one that would be is made smaller or goes on in another.
    pub tallest: Option<u32>,
}

impl Sheet {
    /// A sheet of a width and a theme.
    pub fn new(width: u16, theme: Theme) -> Self {
        Self {
            width: u32::from(width.clamp(280, 1200)),
            colours: Colours::of(theme),
            tallest: None,
        }
    }

    /// A sheet for paper: for print, and no drawing on it higher than `tallest` pixels.
    pub fn paper(width: u16, tallest: u32) -> Self {
        Self {
            tallest: Some(tallest),
            ..Self::new(width, Theme::Print)
        }
    }

    /// Whether two panels stand beside each other.
    pub(crate) fn wide(&self) -> bool {
        self.width >= 560
    }

    /// The periods of a drawing in the order they are seen: the earlier one first.
    pub(crate) fn panels(facts: &Facts<'_>) -> Vec<Period> {
        facts.before.into_iter().chain([facts.period]).collect()
    }

    /// The height of a drawing whose panels are each so high, and where each panel begins and how wide it is.
    pub(crate) fn layout(&self, panels: usize, high: u32) -> (u32, Vec<(i32, i32, u32)>) {
        let panels = u32::try_from(panels.max(1)).unwrap_or(1);
        if self.wide() {
            let each = self.width / panels;
            let at = (0..panels).map(|n| (whole(n * each), 0, each)).collect();
            (high, at)
        } else {
            let at = (0..panels)
                .map(|n| (0, whole(n * high), self.width))
                .collect();
            (high * panels, at)
        }
    }

    /// A drawing by plotters with its name and description, or why it failed.
    pub(crate) fn drawn<E: Display>(
        &self,
        (key, title, description): (&str, &str, &str),
        height: u32,
        draw: impl FnOnce(SVGBackend<'_>) -> Result<(), E>,
    ) -> Result<String, String> {
        let mut text = String::new();
        draw(SVGBackend::with_string(&mut text, (self.width, height)))
            .map_err(|e| e.to_string())?;
        Ok(named(&text, key, title, description))
    }

    /// An empty drawing of its own making, to be filled with elements.
    pub(crate) fn own(
        &self,
        (key, title, description): (&str, &str, &str),
        height: u32,
        inside: &str,
    ) -> String {
        let width = self.width;
        let ground = hex(self.colours.ground);
        let text = format!(
            "<svg width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\" \
             xmlns=\"http://www.w3.org/2000/svg\"><rect width=\"{width}\" height=\"{height}\" fill=\"{ground}\"/>{inside}</svg>"
        );
        named(&text, key, title, description)
    }
}

pub(crate) fn whole(n: u32) -> i32 {
    i32::try_from(n).unwrap_or(i32::MAX)
}

/// Puts name and description where a reader that does not see finds them.
fn named(svg: &str, key: &str, title: &str, description: &str) -> String {
    let head = format!(
        "<svg role=\"img\" aria-labelledby=\"{key}-title\" aria-describedby=\"{key}-desc\" "
    );
    let svg = svg.replacen("<svg ", &head, 1);
    let Some(end) = svg.find('>') else {
        return svg;
    };
    format!(
        "{}<title id=\"{key}-title\">{}</title><desc id=\"{key}-desc\">{}</desc>{}",
        &svg[..=end],
        escaped(title),
        escaped(description),
        &svg[end + 1..]
    )
}

/// Text between tags or in an attribute.
pub(crate) fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

/// `3 Nov`, with the year where a period spans several.
pub(crate) fn short_day(day: NaiveDate, period: Period) -> String {
    use chrono::Datelike;
    if period.from.year() == period.to.year() {
        day.format("%-d %b").to_string()
    } else {
        day.format("%b %Y").to_string()
    }
}
