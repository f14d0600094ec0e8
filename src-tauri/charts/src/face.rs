//! The typeface: how wide words are, and where a line must break. Two files are part of the program, so that a page
//! looks the same on every machine. Not here: drawing them.

use std::sync::LazyLock;

use ttf_parser::Face;

/// Regular, as TrueType.
pub(crate) const REGULAR: &[u8] = include_bytes!("../fonts/AtkinsonHyperlegible-Regular.ttf");
/// Bold, as TrueType.
pub(crate) const BOLD: &[u8] = include_bytes!("../fonts/AtkinsonHyperlegible-Bold.ttf");

/// How heavy.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Weight {
    /// As text is.
    Regular,
    /// As headings are.
    Bold,
}

static FACES: LazyLock<Option<[Face<'static>; 2]>> = LazyLock::new(|| {
    let regular = Face::parse(REGULAR, 0).ok()?;
    Some([regular, Face::parse(BOLD, 0).ok()?])
});

fn face(weight: Weight) -> Option<&'static Face<'static>> {
    let [regular, bold] = FACES.as_ref()?;
    Some(match weight {
        Weight::Regular => regular,
        Weight::Bold => bold,
    })
}

/// How wide a character is at size 1; one that the typeface has not got is taken as a broad one.
fn advance(face: Option<&Face<'_>>, c: char) -> f64 {
    face.and_then(|face| {
        let wide = face.glyph_hor_advance(face.glyph_index(c)?)?;
        Some(f64::from(wide) / f64::from(face.units_per_em()))
    })
    .unwrap_or(0.7)
}

/// How wide words are, in the unit of `size`. Pairs that stand closer are not looked at, so it is never too little.
pub(crate) fn width(words: &str, size: f64, weight: Weight) -> f64 {
    let face = face(weight);
    words.chars().map(|c| advance(face, c)).sum::<f64>() * size
}

/// The characters that the typeface has not got, each once, in the order they come.
pub(crate) fn missing(words: &str) -> Vec<char> {
    let Some(face) = face(Weight::Regular) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for c in words.chars().filter(|c| !c.is_control()) {
        if face.glyph_index(c).is_none() && !found.contains(&c) {
            found.push(c);
        }
    }
    found
}

/// Words in lines no wider than `room`; a word that is wider alone is broken between characters.
pub(crate) fn lines(words: &str, size: f64, weight: Weight, room: f64) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in words.split_whitespace() {
        let joined = if line.is_empty() {
            word.to_owned()
        } else {
            format!("{line} {word}")
        };
        if width(&joined, size, weight) <= room {
            line = joined;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in word.chars() {
            line.push(c);
            if width(&line, size, weight) > room && line.chars().count() > 1 {
                line.pop();
                lines.push(std::mem::take(&mut line));
                line.push(c);
            }
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// Words in one line no wider than `room`: what is too much is cut, and an ellipsis says so.
pub(crate) fn cut(words: &str, size: f64, weight: Weight, room: f64) -> String {
    if width(words, size, weight) <= room {
        return words.to_owned();
    }
    let mut kept = words.to_owned();
    while kept.pop().is_some() {
        let short = format!("{}…", kept.trim_end());
        if width(&short, size, weight) <= room {
            return short;
        }
    }
    "…".to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_keep_every_word_and_no_line_is_wider_than_its_room() {
        let words = "Left and right are the person's. Fünfundzwanzigtausendmillimeterlang it is.";
        for room in [40.0, 90.0, 300.0] {
            let lines = lines(words, 10.0, Weight::Regular, room);
            for line in &lines {
                assert!(width(line, 10.0, Weight::Regular) <= room, "{line}");
            }
            let all: String = lines.concat().split_whitespace().collect();
            assert_eq!(all, words.split_whitespace().collect::<String>());
        }
        assert!(lines("", 10.0, Weight::Bold, 50.0).is_empty());
    }

    #[test]
    fn bold_is_wider_and_what_is_cut_says_so() {
        let words = "28 days or more, or not used";
        assert!(width(words, 12.0, Weight::Bold) > width(words, 12.0, Weight::Regular));
        assert_eq!(cut(words, 12.0, Weight::Regular, 500.0), words);
        let short = cut(words, 12.0, Weight::Regular, 60.0);
        assert!(short.ends_with('…') && width(&short, 12.0, Weight::Regular) <= 60.0);
    }

    #[test]
    fn letters_that_the_typeface_has_not_got_are_known() {
        assert!(missing("Zoë Åkesson-Łęcki, 3½ × ²").is_empty());
        assert_eq!(missing("Ирина и Ир"), ['И', 'р', 'и', 'н', 'а']);
    }
}
