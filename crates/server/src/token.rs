//! The word that a server on a network asks for.

use std::fmt;

use axum::http::{HeaderMap, HeaderValue, header};

use crate::folder::sha256_hex;

/// Fewest characters of a token: sixteen drawn at random cannot be guessed over a network.
pub const LEAST_TOKEN_LENGTH: usize = 16;

/// Name of the cookie that a browser keeps the token in.
pub(crate) const COOKIE: &str = "platework-token";

/// A token, kept as its hash: comparing hashes tells nothing of how much of a wrong one was right.
#[derive(Clone, PartialEq, Eq)]
pub struct Token {
    sha256: String,
}

impl fmt::Debug for Token {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Token(..)")
    }
}

impl Token {
    /// A token of a text without what stands about it; `None` if it is shorter than [`LEAST_TOKEN_LENGTH`] or has
    /// signs that cannot stand in a header: letters, digits and `-._~+/=` can.
    pub fn new(text: &str) -> Option<Self> {
        let text = text.trim();
        let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"-._~+/=".contains(&byte);
        let fits = text.len() >= LEAST_TOKEN_LENGTH && text.bytes().all(plain);
        fits.then(|| Self::of(text))
    }

    fn of(text: &str) -> Self {
        Self {
            sha256: sha256_hex(text.as_bytes()),
        }
    }

    fn is(&self, text: &str) -> bool {
        *self == Self::of(text)
    }

    /// Whether a request shows the token: `Authorization: Bearer …` (RFC 6750), or its cookie.
    pub(crate) fn is_shown(&self, headers: &HeaderMap) -> bool {
        let text = |name| {
            let values = headers.get_all(name).iter();
            values.filter_map(|value| value.to_str().ok())
        };
        let bearer = text(header::AUTHORIZATION).any(|value| {
            let (scheme, own) = value.split_once(' ').unwrap_or_default();
            scheme.eq_ignore_ascii_case("bearer") && self.is(own.trim())
        });
        bearer
            || text(header::COOKIE)
                .flat_map(|value| value.split(';'))
                .filter_map(|own| own.trim().split_once('='))
                .any(|(name, own)| name == COOKIE && self.is(own))
    }

    /// The cookie for a browser that asks for the page with `?token=`; `None` for another token.
    pub(crate) fn cookie(&self, query: &str) -> Option<HeaderValue> {
        let own = query
            .split('&')
            .find_map(|word| word.strip_prefix("token="))?;
        if !self.is(own) {
            return None;
        }
        HeaderValue::from_str(&format!(
            "{COOKIE}={own}; Path=/; HttpOnly; SameSite=Strict"
        ))
        .ok()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may fail by panic")]
    use super::*;

    #[test]
    fn short_or_odd_tokens_are_none() {
        for text in [
            "",
            "0123456789abcde",
            "0123456789 abcdef",
            "0123456789;abcdef",
            "0123456789äbcdef",
        ] {
            assert_eq!(Token::new(text), None, "{text}");
        }
        assert_eq!(
            Token::new(" 0123456789abcdef\n"),
            Token::new("0123456789abcdef")
        );
        let shown = format!("{:?}", Token::new("0123456789abcdef").unwrap());
        assert_eq!(shown, "Token(..)");
    }
}
