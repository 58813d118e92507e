//! The page as it stands inside the binary.

use std::borrow::Cow;

use rust_embed::Embed;

#[derive(Embed)]
#[folder = "$OUT_DIR/page"]
struct Files;

/// Whether this build holds the page; without it a placeholder says so.
pub const PAGE_EMBEDDED: bool = cfg!(page_embedded);

/// The policy that the page is made for: it loads and calls nothing but its own server, and has no inline script
/// or style. Pictures may also come out of the page itself (`blob:`): a works drawing laid under the body. Value of the header `Content-Security-Policy`.
pub const CONTENT_SECURITY_POLICY: &str = "default-src 'self'; img-src 'self' blob:; object-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// One file of the page.
#[derive(Clone, Debug)]
pub struct Asset {
    /// The file as it is sent.
    pub bytes: Cow<'static, [u8]>,
    /// Media type with its character set, as `Content-Type` has it.
    pub mime: String,
    /// SHA-256 of the bytes in hexadecimal, for the ETag.
    pub sha256: String,
    /// The name holds a hash of the content, so that a copy never grows old.
    pub immutable: bool,
}

/// The file of the page at a path below the root, such as `/assets/index-1a2b.js`; `/` is the page itself.
/// Nothing where there is no such file.
#[must_use]
pub fn asset(path: &str) -> Option<Asset> {
    let name = match path.trim_start_matches('/') {
        "" => "index.html",
        name => name,
    };
    let file = Files::get(name)?;
    Some(Asset {
        mime: with_charset(file.metadata.mimetype()),
        sha256: hex(&file.metadata.sha256_hash()),
        immutable: name.starts_with("assets/"),
        bytes: file.data,
    })
}

fn with_charset(mime: &str) -> String {
    if mime.starts_with("text/") {
        format!("{mime}; charset=utf-8")
    } else {
        mime.to_owned()
    }
}

fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    bytes.iter().fold(String::new(), |mut text, byte| {
        write!(text, "{byte:02x}").expect("writing to a String does not fail");
        text
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn index() -> String {
        String::from_utf8(asset("/").unwrap().bytes.into_owned()).unwrap()
    }

    #[test]
    fn root_and_name_give_the_same_page() {
        let root = asset("/").unwrap();
        assert_eq!(root.mime, "text/html; charset=utf-8");
        assert!(!root.immutable, "the page itself has no hash in its name");
        assert_eq!(root.sha256, asset("/index.html").unwrap().sha256);
        assert_eq!(root.sha256.len(), 64);
    }

    #[test]
    fn what_is_not_there_is_not_given() {
        for path in [
            "/assets/none.js",
            "/../Cargo.toml",
            "/assets/",
            "//etc/passwd",
            "/index.html/",
        ] {
            assert!(asset(path).is_none(), "{path}");
        }
    }

    #[cfg(page_embedded)]
    #[test]
    fn the_page_names_only_files_that_are_there() {
        let page = index();
        let named: Vec<&str> = page
            .split(['"', '\''])
            .filter(|word| word.starts_with("/assets/") || *word == "/favicon.svg")
            .collect();
        assert!(named.len() >= 3, "script, style and icon: {named:?}");
        for path in named {
            let file = asset(path).unwrap_or_else(|| panic!("{path} is named but not there"));
            assert_eq!(file.immutable, path.starts_with("/assets/"));
        }
    }

    #[cfg(page_embedded)]
    #[test]
    fn the_page_keeps_the_policy() {
        let page = index();
        assert!(
            !page.contains("<style") && !page.contains(" style=") && !page.contains("<script>")
        );
        assert!(!page.contains("https://") && !page.contains("http://"));
        assert!(
            page.contains("id=\"parts\""),
            "the page proper, not the placeholder"
        );
    }

    #[cfg(not(page_embedded))]
    #[test]
    fn the_placeholder_says_what_it_is() {
        assert!(index().contains("This build has no page"));
    }
}
