//! Texts of a drawing, and how they are held against names.

use geom::Point2;

/// A text on a drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// What it says, formatting taken out.
    pub text: String,
    /// Its insertion point (mm).
    pub at: Point2,
    /// Its layer.
    pub layer: String,
}

/// A name without case and separators: `Boiler Wrapper`, `boiler_wrapper` and `boiler-wrapper` are one.
pub fn plain_name(text: &str) -> String {
    text.chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_lowercase)
        .collect()
}

/// True if `text` names `plain` (a plain name): all of it, or as whole words within it.
pub fn names(text: &str, plain: &str) -> bool {
    if plain.is_empty() {
        return false;
    }
    let words: Vec<String> = text
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(plain_name)
        .collect();
    (0..words.len()).any(|from| {
        let mut run = String::new();
        words[from..].iter().any(|word| {
            run.push_str(word);
            run == plain
        })
    })
}

/// Characters of a text that are read: far more than any name with its formatting.
const LONGEST_TEXT: usize = 400;

/// Text of a drawing with its escapes written out: `\U+00A3`, `%%c` and the codes of running text.
pub(crate) fn plain_text(raw: &str) -> String {
    let end = raw
        .char_indices()
        .nth(LONGEST_TEXT)
        .map_or(raw.len(), |(at, _)| at);
    let mut rest = &raw[..end];
    let mut plain = String::with_capacity(end);
    while let Some(c) = rest.chars().next() {
        let after = &rest[c.len_utf8()..];
        match c {
            '\\' => rest = after_backslash(after, &mut plain),
            '{' | '}' => rest = after,
            '%' if after.starts_with('%') => {
                let code = after[1..].chars().next();
                match code.map(|c| c.to_ascii_lowercase()) {
                    Some('c') => plain.push('Ø'),
                    Some('d') => plain.push('°'),
                    Some('p') => plain.push('±'),
                    _ => {}
                }
                rest = code.map_or("", |c| &after[1 + c.len_utf8()..]);
            }
            c => {
                plain.push(c);
                rest = after;
            }
        }
    }
    plain.trim().to_owned()
}

/// Takes the code after a backslash, writes what it stands for, and gives what follows it.
fn after_backslash<'a>(after: &'a str, plain: &mut String) -> &'a str {
    let Some(c) = after.chars().next() else {
        return after;
    };
    let rest = &after[c.len_utf8()..];
    match c {
        'P' | 'n' | '~' => plain.push(' '),
        '\\' | '{' | '}' => plain.push(c),
        'U' if rest.starts_with('+') => {
            let number = rest
                .get(1..5)
                .and_then(|hex| u32::from_str_radix(hex, 16).ok());
            if let Some(c) = number.and_then(char::from_u32) {
                plain.push(c);
                return &rest[5..];
            }
        }
        // Fonts, heights, colours and the like run to a semicolon.
        'A' | 'C' | 'F' | 'H' | 'Q' | 'T' | 'W' | 'c' | 'f' | 'p' => {
            return rest.find(';').map_or(rest, |end| &rest[end + 1..]);
        }
        _ => {}
    }
    rest
}

#[cfg(test)]
mod tests {
    use super::{names, plain_name, plain_text};

    #[test]
    fn names_whatever_their_separators() {
        assert_eq!(plain_name("Boiler_Wrapper "), "boilerwrapper");
        for text in [
            "boiler-wrapper",
            "BOILER WRAPPER",
            "14 boiler wrapper, 0.3 brass",
        ] {
            assert!(names(text, "boilerwrapper"), "{text}");
        }
        assert!(!names("boiler wrappers", "boilerwrapper"));
        assert!(!names("saddle-boiler", "boilerwrapper"));
        assert!(!names("anything", ""));
    }

    #[test]
    fn escapes_are_written_out() {
        assert_eq!(plain_text("{\\fSome Face|b0;tank}\\Pside"), "tank side");
        assert_eq!(plain_text("\\U+00A35 %%c3"), "£5 Ø3");
        assert_eq!(plain_text("a\\"), "a");
        assert_eq!(plain_text("%%"), "");
        assert_eq!(plain_text("\\U+zz\u{e9}"), "+zzé");
    }
}
