//! The key of a protected store, and what wraps it: a passphrase, and a recovery code on paper.
//!
//! The key is 32 random bytes that never change. `fallow.keys` holds it once for each secret that opens it, encrypted
//! (ChaCha20-Poly1305, RFC 8439) under what Argon2id (RFC 9106) makes of that secret, so a new passphrase rewrites a few
//! hundred bytes and no record. The file lies there twice, each with a checksum, for without it the record is lost. Not
//! here: who asks for the secret, and how often they may be wrong.

use std::fmt;
use std::fs;
use std::io;
use std::path::Path;

use argon2::{Algorithm, Argon2, Params, Version};
use chacha20poly1305::aead::{Aead as _, Payload};
use chacha20poly1305::{ChaCha20Poly1305, KeyInit as _};
use data_encoding::{Encoding, Specification};
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use unicode_normalization::UnicodeNormalization as _;
use zeroize::Zeroizing;

use crate::error::StoreError;
use crate::folder;

/// The wrapped keys.
pub const FILE: &str = "fallow.keys";
/// The same once more.
pub(crate) const SPARE: &str = "fallow.keys.spare";
const FORM: &str = "fallow-keys-1";
/// No file of keys is longer.
const LONGEST: u64 = 64 * 1024;
/// Random bytes of a recovery code: as hard to guess as the key is in any lifetime.
const CODE_BYTES: usize = 20;

/// What keeping a PIN costs.
const PIN_COST: Cost = Cost {
    memory_kib: 8 * 1024,
    passes: 2,
    lanes: 1,
};

/// The fewest characters of a passphrase. NIST SP 800-63B asks for at least 8 (from memory); this is what keeps a lost
/// device closed, so it asks for more.
pub const SHORTEST: usize = 10;

/// The key of a store. Wiped from memory when dropped; shows nothing of itself.
#[derive(Clone)]
pub struct Key(Zeroizing<[u8; 32]>);

impl fmt::Debug for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Key(…)")
    }
}

impl Key {
    /// A new key.
    ///
    /// # Errors
    /// [`StoreError::Io`] when the system gives no random bytes.
    pub fn random() -> Result<Self, StoreError> {
        let mut key = Zeroizing::new([0; 32]);
        key.copy_from_slice(&*random::<32>()?);
        Ok(Self(key))
    }

    /// The key as `PRAGMA key` takes a raw one.
    pub(crate) fn raw(&self) -> Zeroizing<String> {
        let digits = Zeroizing::new(hex::encode(*self.0));
        Zeroizing::new(format!("x'{}'", &*digits))
    }
}

/// A passphrase or a recovery code as it was typed. Wiped from memory when dropped; shows nothing of itself.
#[derive(Clone)]
pub struct Secret(Zeroizing<String>);

impl fmt::Debug for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Secret(…)")
    }
}

impl Secret {
    /// A passphrase: without the blanks around it, and in Unicode's form NFKC, so that every keyboard types the same.
    pub fn passphrase(typed: &str) -> Self {
        Self(Zeroizing::new(typed.trim().nfkc().collect()))
    }

    /// A recovery code, however its groups are parted and its letters written; `None` for what cannot be one.
    pub fn code(typed: &str) -> Option<Self> {
        let bytes = Zeroizing::new(base32().decode(typed.as_bytes()).ok()?);
        (bytes.len() == CODE_BYTES).then(|| Self(Zeroizing::new(base32().encode(&bytes))))
    }

    /// A new recovery code.
    ///
    /// # Errors
    /// [`StoreError::Io`] when the system gives no random bytes.
    pub fn new_code() -> Result<Self, StoreError> {
        let code = base32().encode(&*random::<CODE_BYTES>()?);
        Ok(Self(Zeroizing::new(code)))
    }

    /// The code in groups of four, to be written down.
    pub fn groups(&self) -> Zeroizing<String> {
        let mut groups = String::with_capacity(self.0.len() * 2);
        for (n, letter) in self.0.chars().enumerate() {
            if n > 0 && n % 4 == 0 {
                groups.push(' ');
            }
            groups.push(letter);
        }
        Zeroizing::new(groups)
    }

    /// Whether a new passphrase is long enough: [`SHORTEST`] characters, five of them different.
    pub fn is_long_enough(&self) -> bool {
        let mut different: Vec<char> = self.0.chars().collect();
        let length = different.len();
        different.sort_unstable();
        different.dedup();
        length >= SHORTEST && different.len() >= 5
    }
}

/// Letters and digits that are not taken for one another (Crockford's base 32): no I, L, O or U.
fn base32() -> Encoding {
    let mut spec = Specification::new();
    spec.symbols.push_str("0123456789ABCDEFGHJKMNPQRSTVWXYZ");
    spec.translate.from.push_str("abcdefghjkmnpqrstvwxyzoOiIlL");
    spec.translate.to.push_str("ABCDEFGHJKMNPQRSTVWXYZ001111");
    spec.ignore.push_str(" -.\n\r\t");
    spec.encoding().expect("32 different symbols")
}

fn random<const N: usize>() -> Result<Zeroizing<[u8; N]>, StoreError> {
    let mut bytes = Zeroizing::new([0; N]);
    getrandom::fill(&mut *bytes)
        .map_err(|e| StoreError::io("asking for random bytes", io::Error::other(e.to_string())))?;
    Ok(bytes)
}

/// What deriving a key from a secret costs, whoever tries.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cost {
    /// Memory, in kibibytes.
    pub memory_kib: u32,
    /// Passes over it.
    pub passes: u32,
    /// Lanes.
    pub lanes: u32,
}

impl Cost {
    /// What new wrappings cost: 64 MiB as in the second choice of RFC 9106, section 4, so that a small phone has it, with
    /// as many passes as take about half a second on the machine this was tuned on (`cargo xtask bench guarded`).
    pub const USUAL: Self = Self {
        memory_kib: 64 * 1024,
        passes: 6,
        lanes: 1,
    };

    /// Whether a file may ask for it: what a damaged or hostile one asks for must not take the device down.
    fn is_bearable(self) -> bool {
        self.memory_kib <= 1024 * 1024 && self.passes <= 100 && self.lanes <= 16
    }
}

/// Which secret opens a wrapping.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum By {
    /// What is typed every day.
    Passphrase,
    /// What lies printed in a safe place.
    RecoveryCode,
}

impl By {
    fn code(self) -> &'static str {
        match self {
            Self::Passphrase => "passphrase",
            Self::RecoveryCode => "recovery_code",
        }
    }
}

/// The key, wrapped for one secret.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Wrapping {
    by: By,
    cost: Cost,
    #[serde(with = "hex::serde")]
    salt: [u8; 16],
    #[serde(with = "hex::serde")]
    nonce: [u8; 12],
    #[serde(with = "hex::serde")]
    sealed: Vec<u8>,
}

/// What `fallow.keys` holds. Nothing in it is secret.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Keyring {
    form: String,
    /// Names the key, so that a copy of the record tells whose it is.
    #[serde(with = "hex::serde")]
    store: [u8; 16],
    /// After how many minutes without anybody there the record is locked.
    pub idle_minutes: u32,
    wrappings: Vec<Wrapping>,
}

impl Keyring {
    /// A new key and a ring with this passphrase.
    ///
    /// # Errors
    /// [`StoreError::Io`] when the system gives no random bytes or no memory.
    pub fn new(
        passphrase: &Secret,
        cost: Cost,
        idle_minutes: u32,
    ) -> Result<(Self, Key), StoreError> {
        let key = Key::random()?;
        let mut ring = Self {
            form: FORM.to_owned(),
            store: *random::<16>()?,
            idle_minutes,
            wrappings: Vec::new(),
        };
        ring.wrap(By::Passphrase, passphrase, &key, cost)?;
        Ok((ring, key))
    }

    /// Wraps the key for a secret, in place of the one of its kind before.
    ///
    /// # Errors
    /// [`StoreError::Io`] when the system gives no random bytes or no memory.
    pub fn wrap(
        &mut self,
        by: By,
        secret: &Secret,
        key: &Key,
        cost: Cost,
    ) -> Result<(), StoreError> {
        let (salt, nonce) = (*random::<16>()?, *random::<12>()?);
        let payload = Payload {
            msg: &*key.0,
            aad: &self.context(by, cost),
        };
        let sealed = cipher(secret, &salt, cost)?
            .encrypt(&nonce.into(), payload)
            .map_err(|_| {
                StoreError::io("wrapping the key", io::Error::other("encryption failed"))
            })?;
        self.wrappings.retain(|w| w.by != by);
        self.wrappings.push(Wrapping {
            by,
            cost,
            salt,
            nonce,
            sealed,
        });
        Ok(())
    }

    /// Whether there is a wrapping of this kind.
    pub fn has(&self, by: By) -> bool {
        self.wrappings.iter().any(|w| w.by == by)
    }

    /// Whether both are of the same key.
    pub fn is_of(&self, other: &Self) -> bool {
        self.store == other.store
    }

    /// The key.
    ///
    /// # Errors
    /// [`StoreError::WrongSecret`]; [`StoreError::KeysDamaged`] where the ring asks for what no device should give.
    pub fn unwrap(&self, by: By, secret: &Secret) -> Result<Key, StoreError> {
        let wrapping = self.wrappings.iter().find(|w| w.by == by);
        let wrapping = wrapping.ok_or(StoreError::WrongSecret)?;
        if !wrapping.cost.is_bearable() {
            return Err(StoreError::KeysDamaged);
        }
        let payload = Payload {
            msg: &wrapping.sealed,
            aad: &self.context(by, wrapping.cost),
        };
        let key = cipher(secret, &wrapping.salt, wrapping.cost)?
            .decrypt(&wrapping.nonce.into(), payload)
            .map(Zeroizing::new)
            .map_err(|_| StoreError::WrongSecret)?;
        let key: [u8; 32] = key
            .as_slice()
            .try_into()
            .map_err(|_| StoreError::KeysDamaged)?;
        Ok(Key(Zeroizing::new(key)))
    }

    /// What a wrapping is bound to beside its secret, so that no part of it can be put elsewhere.
    fn context(&self, by: By, cost: Cost) -> Vec<u8> {
        format!(
            "{FORM} {} {} {} {} {}",
            hex::encode(self.store),
            by.code(),
            cost.memory_kib,
            cost.passes,
            cost.lanes
        )
        .into_bytes()
    }

    /// The ring of the store in `dir`: the first of its two files that is whole; `None` where there is neither.
    ///
    /// # Errors
    /// [`StoreError::KeysDamaged`] where there are files and none is whole; [`StoreError::Io`] and the like.
    pub fn read(dir: &Path) -> Result<Option<Self>, StoreError> {
        let mut any = false;
        for name in [FILE, SPARE] {
            match Self::read_file(&dir.join(name)) {
                Ok(Some(ring)) => return Ok(Some(ring)),
                Ok(None) => {}
                Err(StoreError::KeysDamaged) => any = true,
                Err(error) => return Err(error),
            }
        }
        if any {
            Err(StoreError::KeysDamaged)
        } else {
            Ok(None)
        }
    }

    /// Rings that were set aside in `dir`, the last one first, three at most.
    pub fn set_aside_in(dir: &Path) -> Vec<Self> {
        let files = (1..1000).map(|n| dir.join(format!("{FILE}.before-{n}")));
        let mut found: Vec<Self> = files
            .take_while(|file| file.exists())
            .filter_map(|file| Self::read_file(&file).ok().flatten())
            .collect();
        found.reverse();
        found.truncate(3);
        found
    }

    /// The ring in one file: a line of JSON and a line with its SHA-256.
    pub(crate) fn read_file(file: &Path) -> Result<Option<Self>, StoreError> {
        let text = match fs::metadata(file) {
            Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(e) => return Err(StoreError::io("looking for the keys", e)),
            Ok(found) if !found.is_file() || found.len() > LONGEST => {
                return Err(StoreError::KeysDamaged);
            }
            Ok(_) => fs::read(file).map_err(|e| StoreError::io("reading the keys", e))?,
        };
        let text = String::from_utf8(text).map_err(|_| StoreError::KeysDamaged)?;
        let (body, check) = text.split_once('\n').ok_or(StoreError::KeysDamaged)?;
        if check != format!("{}\n", hex::encode(Sha256::digest(body))) {
            return Err(StoreError::KeysDamaged);
        }
        let ring: Self = serde_json::from_str(body).map_err(|_| StoreError::KeysDamaged)?;
        if ring.form == FORM {
            Ok(Some(ring))
        } else {
            Err(StoreError::KeysDamaged)
        }
    }

    /// Keeps the ring where one of the two files is not what the other is: damaged, gone, or left behind when a change was
    /// cut short.
    ///
    /// # Errors
    /// As [`Keyring::keep`].
    pub fn mend(&self, dir: &Path) -> Result<(), StoreError> {
        let both = [FILE, SPARE].iter().all(|name| {
            Self::read_file(&dir.join(name)).is_ok_and(|found| found.as_ref() == Some(self))
        });
        if both { Ok(()) } else { self.keep(dir) }
    }

    /// Keeps the ring in both files, each replaced whole. One of another key that lies there is set aside, never lost.
    ///
    /// # Errors
    /// [`StoreError::DiskFull`], [`StoreError::ReadOnly`], [`StoreError::Io`].
    pub fn keep(&self, dir: &Path) -> Result<(), StoreError> {
        for name in [FILE, SPARE] {
            let file = dir.join(name);
            let stranger = match Self::read_file(&file) {
                Ok(found) => found.is_some_and(|found| !found.is_of(self)),
                Err(StoreError::KeysDamaged) => name == FILE,
                Err(error) => return Err(error),
            };
            if stranger {
                set_aside(dir, name)?;
            }
            self.keep_as(dir, name)?;
        }
        Ok(())
    }

    /// Removes the ring again, where the store it was for could not be made.
    pub(crate) fn remove(&self, dir: &Path) {
        for name in [FILE, SPARE] {
            let file = dir.join(name);
            if Self::read_file(&file)
                .is_ok_and(|found| found.is_some_and(|found| found.is_of(self)))
            {
                fs::remove_file(file).ok();
            }
        }
    }

    /// Writes the ring under one name, whole or not at all.
    pub(crate) fn keep_as(&self, dir: &Path, name: &str) -> Result<(), StoreError> {
        let body = serde_json::to_string(self)
            .map_err(|e| StoreError::io("writing the keys", e.into()))?;
        let text = format!("{body}\n{}\n", hex::encode(Sha256::digest(&body)));
        folder::write_private(&dir.join(name), text.as_bytes())
    }
}

/// What is kept of a PIN: a salt and what Argon2id makes of both, in hexadecimal. It lies inside the encrypted store and
/// guards nothing but a name, so it costs little.
///
/// # Errors
/// [`StoreError::Io`] when the system gives no random bytes or no memory.
pub fn pin_hash(pin: &str) -> Result<String, StoreError> {
    let salt = *random::<16>()?;
    let derived = derived(&Secret::passphrase(pin), &salt, PIN_COST)?;
    Ok(format!("{}{}", hex::encode(salt), hex::encode(*derived)))
}

/// Whether this is the PIN of which that was kept.
///
/// # Errors
/// [`StoreError::Damaged`] for what [`pin_hash`] does not make.
pub fn pin_fits(pin: &str, kept: &str) -> Result<bool, StoreError> {
    let bytes = hex::decode(kept).map_err(|_| StoreError::unreadable("a PIN"))?;
    let (salt, hash) = bytes
        .split_at_checked(16)
        .ok_or_else(|| StoreError::unreadable("a PIN"))?;
    Ok(*derived(&Secret::passphrase(pin), salt, PIN_COST)? == hash)
}

/// Gives a file of keys a name under which nothing lies yet.
fn set_aside(dir: &Path, name: &str) -> Result<(), StoreError> {
    let free = (1..u32::MAX)
        .map(|n| dir.join(format!("{name}.before-{n}")))
        .find(|path| !path.exists());
    let free = free.expect("there are more names than files");
    fs::rename(dir.join(name), free).map_err(|e| StoreError::io("setting the keys aside", e))
}

/// The cipher under what Argon2id makes of a secret.
fn cipher(secret: &Secret, salt: &[u8], cost: Cost) -> Result<ChaCha20Poly1305, StoreError> {
    Ok(ChaCha20Poly1305::new(
        (&*derived(secret, salt, cost)?).into(),
    ))
}

fn derived(secret: &Secret, salt: &[u8], cost: Cost) -> Result<Zeroizing<[u8; 32]>, StoreError> {
    let failed =
        |e: argon2::Error| StoreError::io("deriving the key", io::Error::other(e.to_string()));
    let params = Params::new(cost.memory_kib, cost.passes, cost.lanes, Some(32)).map_err(failed)?;
    let mut derived = Zeroizing::new([0; 32]);
    Argon2::new(Algorithm::Argon2id, Version::V0x13, params)
        .hash_password_into(secret.0.as_bytes(), salt, &mut *derived)
        .map_err(failed)?;
    Ok(derived)
}
