//! What an XML text must not have before the XML library may see it.
//!
//! The library follows nesting by calls within calls, and holds every attribute of an element against
//! every other: files made for it would end the program, or never end.

/// The most attributes of one element; drawing programs write a dozen or two.
const MOST_ATTRIBUTES: usize = 500;

/// Why a text is not handed to the XML library: the place (byte), and what is there.
pub(crate) fn too_much(text: &str, deepest: usize) -> Option<(usize, String)> {
    let bytes = text.as_bytes();
    let mut depth = 0_usize;
    let mut at = 0;
    while let Some(open) = find(bytes, at, b"<") {
        let rest = &bytes[open..];
        at = if rest.starts_with(b"<!--") {
            find(bytes, open + 4, b"-->")? + 3
        } else if rest.starts_with(b"<![CDATA[") {
            find(bytes, open + 9, b"]]>")? + 3
        } else if rest.starts_with(b"<?") {
            find(bytes, open + 2, b"?>")? + 2
        } else if rest.starts_with(b"</") {
            depth = depth.saturating_sub(1);
            open + 2
        } else {
            let (close, attributes) = end_of_tag(bytes, open)?;
            if attributes > MOST_ATTRIBUTES {
                let what = format!("an element has more than {MOST_ATTRIBUTES} attributes");
                return Some((open, what));
            }
            if bytes[close - 1] != b'/' && !rest.starts_with(b"<!") {
                depth += 1;
                if depth > deepest {
                    return Some((open, format!("elements are nested deeper than {deepest}")));
                }
            }
            close + 1
        };
    }
    None
}

fn find(bytes: &[u8], from: usize, what: &[u8]) -> Option<usize> {
    let rest = bytes.get(from..)?;
    rest.windows(what.len())
        .position(|window| window == what)
        .map(|i| from + i)
}

/// The place of the `>` that ends a tag, quoted values passed over, and the number of its attributes.
fn end_of_tag(bytes: &[u8], open: usize) -> Option<(usize, usize)> {
    let mut quote = None;
    let mut attributes = 0;
    for (i, &b) in bytes.iter().enumerate().skip(open) {
        match (quote, b) {
            (Some(mark), _) if b == mark => quote = None,
            (None, b'"' | b'\'') => quote = Some(b),
            (None, b'>') => return Some((i, attributes)),
            (None, b'=') => attributes += 1,
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::too_much;

    #[test]
    fn only_open_elements_count() {
        let text =
            "<?x <a> ?><a><!-- <a><a> --><b c='>\"/>' d=\"'\"/><![CDATA[<a><a>]]><b><c/></b></a>";
        let place = |text: &str, deepest| too_much(text, deepest).map(|(place, _)| place);
        assert_eq!(place(text, 2), None);
        assert_eq!(place(text, 1), text.find("<b><c/>"));
        assert_eq!(place("<a", 0), None);
        assert_eq!(place("</a></a><a>", 1), None);
    }

    #[test]
    fn attributes_are_counted() {
        let many: String = (0..600).map(|i| format!(" a{i}='='")).collect();
        let (_, what) = too_much(&format!("<g{many}/>"), 9).unwrap();
        assert!(what.contains("attributes"), "{what}");
        assert!(too_much(&format!("<g{}/>", &many[..2000]), 9).is_none());
    }
}
