//! Where everything stands: pages of a size, things that stay together, tables that go on. Not here: how a page is
//! written down.

use super::content::{Block, Content, Group, Style};
use crate::Table;
use crate::face::{Weight, cut, lines, width};

/// A drawing is made in pixels of 1/96 inch and printed in points of 1/72 inch.
const PIXEL: f64 = 0.75;
/// Room around what is read, at both sides, in points.
const SIDE: f64 = 40.0;
/// Where what is read begins, below the lines that every page has.
const TOP: f64 = 74.0;
/// Room below it.
const BOTTOM: f64 = 46.0;
/// Room between groups.
const APART: f64 = 16.0;
/// Text of tables, and how far apart its lines are.
const CELL: (f64, f64) = (8.5, 11.0);
/// Room between columns.
const GAP: f64 = 10.0;
/// Room after a table.
const AFTER: f64 = 8.0;
/// Room between two tables beside each other.
const BETWEEN: f64 = 24.0;

/// What it is laid out on, in points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sheet {
    /// Its width.
    pub wide: f64,
    /// Its height; one that has none is as high as what is on it.
    pub high: Option<f64>,
}

/// 210 by 297 mm.
pub(super) const A4: Sheet = Sheet {
    wide: 595.276,
    high: Some(841.89),
};
/// 8.5 by 11 inches.
pub(super) const LETTER: Sheet = Sheet {
    wide: 612.0,
    high: Some(792.0),
};
/// One tall picture.
pub(super) const TALL: Sheet = Sheet {
    wide: 600.0,
    high: None,
};

impl Sheet {
    /// How wide and how high what is read may be, in pixels.
    pub(super) fn pixels(&self) -> (u16, u32) {
        let high = self.high.map_or(1400.0, |h| (h - TOP - BOTTOM) / PIXEL);
        (((self.wide - 2.0 * SIDE) / PIXEL) as u16, high as u32)
    }

    fn room(&self) -> f64 {
        self.wide - 2.0 * SIDE
    }

    /// Half of what is read, where two things stand beside each other.
    fn half(&self) -> f64 {
        (self.room() - BETWEEN) / 2.0
    }

    fn bottom(&self) -> f64 {
        self.high.map_or(f64::INFINITY, |h| h - BOTTOM)
    }
}

/// What a thing is to a reader that does not see.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// Nothing: it is on every page, or only looks.
    Nothing,
    /// A heading of this level.
    Heading(u16),
    /// A paragraph.
    Paragraph,
    /// A drawing.
    Figure,
    /// A cell of a table: which row, which column; row 0 are the headings.
    Cell(usize, usize),
}

/// How dark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shade {
    /// Black.
    Ink,
    /// Nearly black.
    Soft,
    /// Grey, for lines.
    Line,
}

/// What stands somewhere.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum What {
    /// Words on a baseline.
    Words {
        words: String,
        size: f64,
        weight: Weight,
        shade: Shade,
    },
    /// The drawing of a block, made so many times as large.
    Figure { scale: f64 },
    /// A level line so long.
    Rule { long: f64 },
}

/// A thing in its place.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Mark {
    /// Its left edge.
    pub x: f64,
    /// Its baseline, or its upper edge.
    pub y: f64,
    /// What it is.
    pub what: What,
    /// What it is to a reader that does not see.
    pub role: Role,
    /// Which block it is of: group, and place in the group.
    pub block: (usize, usize),
}

/// A page.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Page {
    /// What stands on it.
    pub marks: Vec<Mark>,
    /// How high it is.
    pub high: f64,
}

/// Size, distance of lines, weight, shade and room after; in points.
fn set(style: Style) -> (f64, f64, Weight, Shade, f64) {
    match style {
        Style::Title => (19.0, 23.0, Weight::Bold, Shade::Ink, 3.0),
        Style::Part => (12.5, 16.0, Weight::Bold, Shade::Ink, 2.0),
        Style::Name => (10.0, 13.0, Weight::Bold, Shade::Ink, 3.0),
        Style::Text => (9.5, 12.5, Weight::Regular, Shade::Ink, 3.0),
        Style::Note => (8.5, 11.0, Weight::Regular, Shade::Soft, 2.0),
        Style::Small => (7.5, 9.5, Weight::Regular, Shade::Soft, 1.5),
    }
}

struct Layout<'a> {
    sheet: &'a Sheet,
    pages: Vec<Vec<Mark>>,
    /// Where the next thing begins.
    y: f64,
}

/// Lays everything out.
///
/// # Laws
/// Nothing reaches over the edges of what is read; a drawing is whole on one page.
pub(super) fn lay(content: &Content, sheet: &Sheet) -> Vec<Page> {
    let mut layout = Layout {
        sheet,
        pages: vec![Vec::new()],
        y: TOP,
    };
    let mut n = 0;
    while let Some(group) = content.groups.get(n) {
        match content.groups.get(n + 1) {
            Some(next) if layout.fits_beside(group, next) => {
                layout.pair(n, [group, next]);
                n += 2;
            }
            _ => {
                layout.group(n, group);
                n += 1;
            }
        }
    }
    let end = layout.y + BOTTOM;
    let of = layout.pages.len();
    let high = sheet.high.unwrap_or(end);
    let every = |(n, mut marks): (usize, Vec<Mark>)| {
        around(&mut marks, content, sheet, high, (n + 1, of));
        Page { marks, high }
    };
    layout.pages.into_iter().enumerate().map(every).collect()
}

impl Layout<'_> {
    fn fresh(&self) -> bool {
        self.y <= TOP
    }

    fn next_page(&mut self) {
        self.pages.push(Vec::new());
        self.y = TOP;
    }

    fn put(&mut self, x: f64, y: f64, what: What, role: Role, block: (usize, usize)) {
        if let Some(page) = self.pages.last_mut() {
            page.push(Mark {
                x,
                y,
                what,
                role,
                block,
            });
        }
    }

    /// Whether both are a named table that half the sheet is wide enough and one page high enough for.
    fn fits_beside(&self, one: &Group, other: &Group) -> bool {
        let page = self.sheet.bottom() - TOP;
        [one, other]
            .into_iter()
            .all(|group| match group.as_slice() {
                [Block::Words(Style::Name, _), Block::Table(table)] => {
                    long(&columns(table, f64::INFINITY)) <= self.sheet.half()
                        && group.iter().map(|b| self.high(b)).sum::<f64>() + 30.0 < page
                }
                _ => false,
            })
    }

    fn pair(&mut self, n: usize, pair: [&Group; 2]) {
        if !self.fresh() {
            self.y += APART;
        }
        let high = |group: &Group| group.iter().map(|b| self.high(b)).sum::<f64>();
        // A name may take a line more in half the width.
        let needed = high(pair[0]).max(high(pair[1])) + 13.0;
        if !self.fresh() && self.y + needed > self.sheet.bottom() {
            self.next_page();
        }
        self.beside(n, pair);
    }

    fn group(&mut self, n: usize, group: &Group) {
        if !self.fresh() {
            self.y += APART;
        }
        let whole: f64 = group.iter().map(|b| self.high(b)).sum();
        let page = self.sheet.bottom() - TOP;
        // What no page can hold goes on over pages; it needs room for its heading and a few rows to begin here.
        let needed = if whole <= page { whole } else { 110.0 };
        if !self.fresh() && self.y + needed > self.sheet.bottom() {
            self.next_page();
        }
        let others: f64 = group
            .iter()
            .filter(|b| !matches!(b, Block::Figure { .. }))
            .map(|b| self.high(b))
            .sum();
        for (place, block) in group.iter().enumerate() {
            match block {
                Block::Words(style, words) => self.words((n, place), *style, words),
                Block::Figure { wide, high, .. } => {
                    let tallest = (page - others).max(page / 2.0);
                    self.figure((n, place), (*wide, *high), tallest);
                }
                Block::Table(table) => self.table((n, place), table),
            }
        }
    }

    /// How high a block is on an endless page.
    fn high(&self, block: &Block) -> f64 {
        match block {
            Block::Words(style, words) => {
                let (size, line, weight, _, after) = set(*style);
                lines(words, size, weight, self.sheet.room()).len() as f64 * line + after
            }
            Block::Figure { high, .. } => high * PIXEL + 6.0,
            Block::Table(table) => {
                let columns = columns(table, self.sheet.room());
                let rows = [&table.columns].into_iter().chain(&table.rows);
                let high = |(n, row): (usize, &Vec<String>)| row_high(n, row, &columns);
                rows.enumerate().map(high).sum::<f64>() + AFTER
            }
        }
    }

    fn words(&mut self, block: (usize, usize), style: Style, words: &str) {
        self.set_words(block, style, words, (SIDE, self.sheet.room()));
    }

    fn set_words(
        &mut self,
        block: (usize, usize),
        style: Style,
        words: &str,
        (x, room): (f64, f64),
    ) {
        let (size, line, weight, shade, after) = set(style);
        let role = match style {
            Style::Title => Role::Heading(1),
            Style::Part => Role::Heading(2),
            Style::Name => Role::Heading(3),
            Style::Text | Style::Note | Style::Small => Role::Paragraph,
        };
        for words in lines(words, size, weight, room) {
            if self.y + line > self.sheet.bottom() {
                self.next_page();
            }
            let what = What::Words {
                words,
                size,
                weight,
                shade,
            };
            self.put(x, self.y + size, what, role, block);
            self.y += line;
        }
        self.y += after;
    }

    fn figure(&mut self, block: (usize, usize), (wide, high): (f64, f64), tallest: f64) {
        let scale = PIXEL
            .min(self.sheet.room() / wide)
            .min((tallest - 6.0) / high);
        let tall = high * scale;
        if self.y + tall > self.sheet.bottom() {
            self.next_page();
        }
        self.put(SIDE, self.y, What::Figure { scale }, Role::Figure, block);
        self.y += tall + 6.0;
    }

    /// One table at this place, which may go on over pages.
    fn table(&mut self, block: (usize, usize), table: &Table) {
        let columns = columns(table, self.sheet.room());
        let long = long(&columns);
        let heading = |this: &mut Self, again| {
            this.row(block, (0, &table.columns), (SIDE, &columns), again);
            let what = What::Rule { long };
            this.put(SIDE, this.y - 1.0, what, Role::Nothing, block);
        };
        heading(self, false);
        for (n, row) in table.rows.iter().enumerate() {
            if self.y + row_high(n + 1, row, &columns) > self.sheet.bottom() {
                self.next_page();
                // The headings once more, for the eye only: the table goes on for a reader that does not see.
                heading(self, true);
            }
            self.row(block, (n + 1, row), (SIDE, &columns), false);
        }
        self.y += AFTER;
    }

    /// A group of one named table each, beside each other.
    fn beside(&mut self, n: usize, pair: [&Group; 2]) {
        let top = self.y;
        let mut bottom = top;
        let half = self.sheet.half();
        for (side, group) in pair.into_iter().enumerate() {
            self.y = top;
            let x = SIDE + side as f64 * (half + BETWEEN);
            for (place, block) in group.iter().enumerate() {
                let block_at = (n + side, place);
                match block {
                    Block::Words(style, words) => {
                        self.set_words(block_at, *style, words, (x, half));
                    }
                    Block::Table(table) => {
                        let columns = columns(table, half);
                        for (row, cells) in
                            [&table.columns].into_iter().chain(&table.rows).enumerate()
                        {
                            self.row(block_at, (row, cells), (x, &columns), false);
                            if row == 0 {
                                let what = What::Rule {
                                    long: long(&columns),
                                };
                                self.put(x, self.y - 1.0, what, Role::Nothing, block_at);
                            }
                        }
                        self.y += AFTER;
                    }
                    Block::Figure { .. } => {}
                }
            }
            bottom = f64::max(bottom, self.y);
        }
        self.y = bottom;
    }

    fn row(
        &mut self,
        block: (usize, usize),
        (row, cells): (usize, &[String]),
        (left, columns): (f64, &[Column]),
        again: bool,
    ) {
        let mut x = left;
        for (n, (cell, column)) in cells.iter().zip(columns).enumerate() {
            let weight = weight(row);
            for (l, words) in lines(cell, CELL.0, weight, column.wide)
                .into_iter()
                .enumerate()
            {
                let off = if column.numbers {
                    column.wide - width(&words, CELL.0, weight)
                } else {
                    0.0
                };
                let role = if again {
                    Role::Nothing
                } else {
                    Role::Cell(row, n)
                };
                let y = self.y + CELL.0 + l as f64 * CELL.1 + 1.0;
                let what = What::Words {
                    words,
                    size: CELL.0,
                    weight,
                    shade: Shade::Ink,
                };
                self.put(x + off, y, what, role, block);
            }
            x += column.wide + GAP;
        }
        self.y += row_high(row, cells, columns);
    }
}

/// A column of a table.
struct Column {
    wide: f64,
    /// Numbers stand at its right.
    numbers: bool,
}

/// How long a line under the headings is.
fn long(columns: &[Column]) -> f64 {
    columns.iter().map(|c| c.wide + GAP).sum::<f64>() - GAP
}

fn columns(table: &Table, room: f64) -> Vec<Column> {
    let count = table.columns.len().max(1) as f64;
    // No column takes so much that the others have nothing left.
    let most = (room - GAP * (count - 1.0)) / count;
    let natural: Vec<f64> = (0..table.columns.len())
        .map(|n| {
            let head = width(&table.columns[n], CELL.0, Weight::Bold);
            let cells = table
                .rows
                .iter()
                .filter_map(|r| r.get(n))
                .map(|c| width(c, CELL.0, Weight::Regular));
            cells.fold(head, f64::max).ceil()
        })
        .collect();
    let fits = natural.iter().sum::<f64>() + GAP * (count - 1.0) <= room;
    natural
        .into_iter()
        .enumerate()
        .map(|(n, wide)| Column {
            wide: if fits { wide } else { wide.min(most) },
            numbers: n > 0
                && table.rows.iter().all(|r| {
                    r.get(n)
                        .and_then(|c| c.chars().next())
                        .is_none_or(|c| c.is_ascii_digit())
                }),
        })
        .collect()
}

fn row_high(row: usize, cells: &[String], columns: &[Column]) -> f64 {
    let high = cells
        .iter()
        .zip(columns)
        .map(|(cell, column)| lines(cell, CELL.0, weight(row), column.wide).len())
        .max()
        .unwrap_or(1);
    high.max(1) as f64 * CELL.1 + 2.0
}

/// The headings are row 0.
fn weight(row: usize) -> Weight {
    if row == 0 {
        Weight::Bold
    } else {
        Weight::Regular
    }
}

/// What every page has: who, which days, when it was made, which page of how many.
fn around(
    marks: &mut Vec<Mark>,
    content: &Content,
    sheet: &Sheet,
    high: f64,
    (n, of): (usize, usize),
) {
    let mut put = |x: f64, y: f64, words: String, size: f64, weight: Weight, shade: Shade| {
        marks.push(Mark {
            x,
            y,
            what: What::Words {
                words,
                size,
                weight,
                shade,
            },
            role: Role::Nothing,
            block: (usize::MAX, 0),
        });
    };
    let right = |words: &str, size, weight| sheet.wide - SIDE - width(words, size, weight);
    let days = right(&content.period, 10.0, Weight::Regular);
    let who = cut(&content.person, 11.5, Weight::Bold, days - SIDE - 12.0);
    put(SIDE, 38.0, who, 11.5, Weight::Bold, Shade::Ink);
    put(
        days,
        38.0,
        content.period.clone(),
        10.0,
        Weight::Regular,
        Shade::Ink,
    );
    let made = right(&content.made, 8.5, Weight::Regular);
    put(
        made,
        51.0,
        content.made.clone(),
        8.5,
        Weight::Regular,
        Shade::Soft,
    );
    put(
        SIDE,
        51.0,
        "Injection chart".to_owned(),
        8.5,
        Weight::Regular,
        Shade::Soft,
    );
    put(
        SIDE,
        high - 24.0,
        content.foot.to_owned(),
        8.5,
        Weight::Regular,
        Shade::Soft,
    );
    if sheet.high.is_some() {
        let page = format!("page {n} of {of}");
        let x = right(&page, 8.5, Weight::Regular);
        put(x, high - 24.0, page, 8.5, Weight::Regular, Shade::Soft);
    }
    let long = sheet.room();
    for y in [57.0, high - 36.0] {
        marks.push(Mark {
            x: SIDE,
            y,
            what: What::Rule { long },
            role: Role::Nothing,
            block: (usize::MAX, 0),
        });
    }
}
