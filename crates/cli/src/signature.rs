//! Detached signatures of a manifest, in the open minisign scheme (Ed25519 over BLAKE2b-512). Keys are the user's: they
//! are read, never made or kept.

use std::io::Cursor;
use std::path::Path;

use anyhow::{Context, Result, anyhow};
use minisign::{PublicKey, PublicKeyBox, SecretKey, SecretKeyBox, SignatureBox};

/// Reads a secret key; the password of a protected one is asked for on the terminal.
pub fn secret_key(path: &Path) -> Result<SecretKey> {
    let about = || format!("`{}` cannot be used to sign; it takes a minisign secret key", path.display());
    let text = std::fs::read_to_string(path).with_context(about)?;
    let boxed = || SecretKeyBox::from_string(&text);
    boxed()
        .and_then(SecretKeyBox::into_unencrypted_secret_key)
        .or_else(|_| boxed().and_then(|key| key.into_secret_key(None)))
        .map_err(|fault| anyhow!("{fault}"))
        .with_context(about)
}

/// The signature file of a manifest. Its trusted comment is signed too and says whose manifest it is.
pub fn sign(manifest: &[u8], key: &SecretKey, folder: &str) -> Result<Vec<u8>> {
    let folder: String = folder.chars().map(|c| if c.is_control() { '?' } else { c }).collect();
    let comment = format!("manifest of the drying report of {folder}");
    let signature =
        minisign::sign(None, key, Cursor::new(manifest), Some(&comment), Some("signature of manifest.json"));
    Ok(signature.map_err(|fault| anyhow!("manifest.json could not be signed: {fault}"))?.to_bytes())
}

/// Reads a public key.
pub fn public_key(path: &Path) -> Result<PublicKey> {
    let about = || format!("`{}` cannot be used to check a signature; it takes a minisign public key", path.display());
    let text = std::fs::read_to_string(path).with_context(about)?;
    // The key alone, as people pass it on in one line, is a key as well.
    let key = if text.trim().lines().count() == 1 {
        PublicKey::from_base64(text.trim())
    } else {
        PublicKeyBox::from_string(&text).and_then(PublicKeyBox::into_public_key)
    };
    key.map_err(|fault| anyhow!("{fault}")).with_context(about)
}

/// Checks the signature file of a manifest.
///
/// # Errors
/// What is wrong with it, in words.
pub fn check(manifest: &[u8], signature: &[u8], key: &PublicKey) -> Result<(), String> {
    let text = std::str::from_utf8(signature).map_err(|_| "no signature file: not text".to_owned())?;
    // 64 bytes in base64; the library takes any length for them.
    let comment_signature = text.lines().nth(3).map_or("", str::trim);
    if comment_signature.len() != 88 || !comment_signature.ends_with("==") {
        return Err("no signature file: its fourth line is no signature".to_owned());
    }
    let signature = SignatureBox::from_string(text).map_err(|fault| format!("no signature file: {fault}"))?;
    minisign::verify(key, &signature, Cursor::new(manifest), true, false, false).map_err(|fault| fault.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_changed_byte_of_manifest_or_signature_is_caught() {
        let pair = minisign::KeyPair::generate_unencrypted_keypair().unwrap();
        let manifest = b"{\"schema\": \"grainfall-manifest\"}\n";
        let signed = sign(manifest, &pair.sk, "larch-street").unwrap();
        check(manifest, &signed, &pair.pk).unwrap();
        for at in 0..manifest.len() {
            let mut changed = manifest.to_vec();
            changed[at] ^= 1;
            assert!(check(&changed, &signed, &pair.pk).is_err(), "byte {at} of the manifest");
        }
        let text = String::from_utf8(signed.clone()).unwrap();
        // The first line is a comment that nobody signs, and the scheme says so.
        let signed_from = text.find('\n').unwrap() + 1;
        for at in signed_from..signed.len() {
            let mut changed = signed.clone();
            changed[at] ^= 1;
            let same = SignatureBox::from_string(&String::from_utf8_lossy(&changed))
                .is_ok_and(|read| read.to_bytes() == signed);
            assert!(check(manifest, &changed, &pair.pk).is_err() || same, "byte {at} of the signature");
        }
        for length in 0..signed.len() {
            let cut = &signed[..length];
            let same = std::str::from_utf8(cut).is_ok_and(|cut| cut.trim_end() == text.trim_end());
            assert_eq!(check(manifest, cut, &pair.pk).is_ok(), same, "{length} bytes of the signature");
        }
    }

    #[test]
    fn another_key_is_told() {
        let (mine, other) = (
            minisign::KeyPair::generate_unencrypted_keypair().unwrap(),
            minisign::KeyPair::generate_unencrypted_keypair().unwrap(),
        );
        let signed = sign(b"x", &mine.sk, "job").unwrap();
        let fault = check(b"x", &signed, &other.pk).unwrap_err();
        assert!(fault.contains("different from public key"), "{fault}");
    }
}
