//! Random numbers from the system: salts, writer ids, client references.

use crate::{StoreError, hex};

/// That many random bytes, as hex.
///
/// # Errors
/// Where the system has none.
pub fn random_hex(bytes: usize) -> Result<String, StoreError> {
    let mut buffer = vec![0_u8; bytes];
    getrandom::fill(&mut buffer)
        .map_err(|problem| StoreError::NoRandom(problem.to_string()))?;
    Ok(hex::encode(&buffer))
}

/// A client reference: 128 random bits, 32 hex digits.
///
/// # Errors
/// Where the system has none.
pub fn random_reference() -> Result<String, StoreError> {
    random_hex(16)
}

/// Bytes of a blob's salt.
pub(crate) const SALT_BYTES: usize = 16;

pub(crate) fn salt() -> Result<[u8; SALT_BYTES], StoreError> {
    let mut salt = [0_u8; SALT_BYTES];
    getrandom::fill(&mut salt)
        .map_err(|problem| StoreError::NoRandom(problem.to_string()))?;
    Ok(salt)
}
