//! The chart as a file to take away: PDF on A4 or Letter, one standalone SVG, one PNG. Made without a printer, a browser
//! or a network; the typeface is part of the program.
//!
//! The same facts give the same bytes: when it was made is an argument. Not here: what is drawn ([`crate::draw`]), where
//! a file goes.
//!
//! Reading order: [`make`], `content` (what is said, in which order), `lay` (where it stands, on which page), then
//! `pdf` and `picture` (how it is written down), `summary` (tables of long series).

mod content;
mod lay;
mod pdf;
mod picture;
mod summary;

use std::ops::ControlFlow;
use std::sync::{Arc, LazyLock};

use chrono::{DateTime, FixedOffset, NaiveDate};
use fallow_core::time::Clock;
use resvg::usvg;

use crate::{Facts, face};

/// Whom the chart is about and when it was made.
#[derive(Debug, Clone, Copy)]
pub struct About<'a> {
    /// The person's name.
    pub name: &'a str,
    /// The person's birth date.
    pub born: NaiveDate,
    /// The number or code that the person is known by, where there is one.
    pub identifier: Option<&'a str>,
    /// When it was made, at the person's clock.
    pub made: DateTime<FixedOffset>,
    /// How the time of day is told.
    pub clock: Clock,
    /// Where the journal ended, by which a printed chart can be held against the record; in words.
    pub journal: &'a str,
}

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// 210 by 297 mm (ISO 216).
    A4,
    /// 8.5 by 11 inches.
    Letter,
}

/// A kind of file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// Pages to print, tagged for readers that do not see.
    Pdf(Paper),
    /// One tall drawing whose text stays text.
    Svg,
    /// One tall picture.
    Png,
}

/// A file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Made {
    /// What is in it.
    pub bytes: Vec<u8>,
    /// How many pages; a picture is one.
    pub pages: usize,
}

/// Why there is no file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Stopped {
    /// It was no longer wanted.
    Cancelled,
    /// It could not be written, and why.
    Failed(String),
}

/// Asked before each page, with how many are done and how many there will be, and once more when all are.
pub type Progress<'a> = &'a mut dyn FnMut(usize, usize) -> ControlFlow<()>;

/// Makes the file.
///
/// # Errors
/// [`Stopped::Cancelled`] as soon as `progress` breaks; [`Stopped::Failed`] where a library refuses.
/// # Laws
/// The same facts, about and format give the same bytes. No drawing is cut by the end of a page.
pub fn make(
    facts: &Facts<'_>,
    about: &About<'_>,
    format: Format,
    progress: Progress<'_>,
) -> Result<Made, Stopped> {
    let sheet = match format {
        Format::Pdf(Paper::A4) => lay::A4,
        Format::Pdf(Paper::Letter) => lay::LETTER,
        Format::Svg | Format::Png => lay::TALL,
    };
    let content = content::content(facts, about, &sheet);
    let pages = lay::lay(&content, &sheet);
    let count = pages.len();
    let bytes = match format {
        Format::Pdf(_) => pdf::write(&content, &pages, &sheet, about, progress)?,
        Format::Svg => picture::svg(&content, &pages, progress)?.into_bytes(),
        Format::Png => picture::png(&content, &pages, progress)?,
    };
    ask(progress, count, count)?;
    Ok(Made {
        bytes,
        pages: count,
    })
}

fn ask(progress: Progress<'_>, done: usize, of: usize) -> Result<(), Stopped> {
    match progress(done, of) {
        ControlFlow::Continue(()) => Ok(()),
        ControlFlow::Break(()) => Err(Stopped::Cancelled),
    }
}

/// Nothing but our own typeface: no file of the machine is looked at.
static FONTS: LazyLock<Arc<usvg::fontdb::Database>> = LazyLock::new(|| {
    let mut fonts = usvg::fontdb::Database::new();
    fonts.load_font_data(face::REGULAR.to_vec());
    fonts.load_font_data(face::BOLD.to_vec());
    fonts.set_sans_serif_family("Atkinson Hyperlegible");
    Arc::new(fonts)
});

/// An SVG of ours, read.
fn tree(svg: &str) -> Result<usvg::Tree, Stopped> {
    let options = usvg::Options {
        fontdb: FONTS.clone(),
        font_family: "Atkinson Hyperlegible".to_owned(),
        ..usvg::Options::default()
    };
    usvg::Tree::from_str(svg, &options).map_err(|e| Stopped::Failed(e.to_string()))
}

#[cfg(test)]
mod tests;
