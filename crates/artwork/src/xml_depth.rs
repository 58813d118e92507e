//! How deep the elements of an XML text are nested, found without calling oneself.
//!
//! The XML library follows nesting by calls within calls, so that a file made for it would end the
//! program.

/// The place (byte) of the first element that is nested deeper than `limit`, if there is one.
pub(crate) fn too_deep(text: &str, limit: usize) -> Option<usize> {
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
            let close = end_of_tag(bytes, open)?;
            if bytes[close - 1] != b'/' && !rest.starts_with(b"<!") {
                depth += 1;
                if depth > limit {
                    return Some(open);
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

/// The place of the `>` that ends a tag, quoted values passed over.
fn end_of_tag(bytes: &[u8], open: usize) -> Option<usize> {
    let mut quote = None;
    for (i, &b) in bytes.iter().enumerate().skip(open) {
        match (quote, b) {
            (Some(mark), _) if b == mark => quote = None,
            (None, b'"' | b'\'') => quote = Some(b),
            (None, b'>') => return Some(i),
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::too_deep;

    #[test]
    fn only_open_elements_count() {
        let text = "<?x <a> ?><a><!-- <a><a> --><b c='>\"/>' d=\"'\"/><![CDATA[<a><a>]]><b><c/></b></a>";
        assert_eq!(too_deep(text, 2), None);
        assert_eq!(too_deep(text, 1), text.find("<b><c/>"));
        assert_eq!(too_deep("<a", 0), None);
        assert_eq!(too_deep("</a></a><a>", 1), None);
    }
}
