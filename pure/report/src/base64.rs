//! Bytes as base64 (RFC 4648, section 4), for photos inside an HTML page.

const LETTERS: &[u8; 64] =
    b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/// The bytes in base64 with padding.
pub(crate) fn base64(bytes: &[u8]) -> String {
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for group in bytes.chunks(3) {
        let byte = |at: usize| u32::from(group.get(at).copied().unwrap_or(0));
        let packed = byte(0) << 16 | byte(1) << 8 | byte(2);
        for place in 0..4 {
            if place <= group.len() {
                let six = packed >> (18 - 6 * place) & 63;
                out.push(letter(six));
            } else {
                out.push('=');
            }
        }
    }
    out
}

fn letter(six: u32) -> char {
    usize::try_from(six)
        .ok()
        .and_then(|at| LETTERS.get(at))
        .map_or('=', |l| char::from(*l))
}

#[cfg(test)]
mod tests {
    use super::base64;

    /// RFC 4648 (October 2006), section 10, test vectors.
    #[test]
    fn rfc_4648_vectors() {
        for (plain, coded) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }
}
