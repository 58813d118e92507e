//! Text in code page 1252, which R12 drawings are written in.

/// Characters of the bytes 0x80 to 0x9F; unused ones are the replacement character.
const UPPER: [char; 32] = [
    '€', '\u{fffd}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{fffd}', 'Ž',
    '\u{fffd}', '\u{fffd}', '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{fffd}',
    'ž', 'Ÿ',
];

/// Text as bytes of code page 1252; control characters become spaces, strangers question marks.
pub(crate) fn encode(text: &str) -> Vec<u8> {
    text.chars().map(byte_of).collect()
}

fn byte_of(c: char) -> u8 {
    match u32::from(c) {
        0..=31 | 127 => b' ',
        code @ (32..=126 | 0xA0..=0xFF) => code as u8,
        _ => UPPER
            .iter()
            .position(|&known| known == c && c != '\u{fffd}')
            .map_or(b'?', |i| 0x80 + i as u8),
    }
}

#[cfg(test)]
mod tests {
    use super::encode;

    #[test]
    fn text_of_the_trade() {
        assert_eq!(
            encode("Ø 0.5 × 2 £½°"),
            [
                0xD8, b' ', b'0', b'.', b'5', b' ', 0xD7, b' ', b'2', b' ', 0xA3, 0xBD, 0xB0
            ]
        );
        assert_eq!(encode("a–b’€"), [b'a', 0x96, b'b', 0x92, 0x80]);
        assert_eq!(encode("line\nbreak Ж \u{fffd}"), b"line break ? ?");
    }
}
