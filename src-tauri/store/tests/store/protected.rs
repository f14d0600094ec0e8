//! A protected store: opened by its secrets alone, unreadable otherwise, copied and put back with its keys.

use std::fs;
use std::path::{Path, PathBuf};

use fallow_store::{By, Cost, Key, Keyring, Secret, Store, StoreError, backup};

use crate::files::{contents, listed, names};
use crate::{at, begin, begun, give};

/// Derives a key in no time; nobody's record rests on it.
pub(crate) const CHEAP: Cost = Cost {
    memory_kib: 64,
    passes: 1,
    lanes: 1,
};
const PASSPHRASE: &str = "heron under the bridge";

pub(crate) fn secret() -> Secret {
    Secret::passphrase(PASSPHRASE)
}

/// A protected store with person 1, order 2 and injections 3 to `last`, open.
pub(crate) fn guarded(last: u64) -> (tempfile::TempDir, Store, Key) {
    let dir = tempfile::tempdir().unwrap();
    let (ring, key) = Keyring::new(&secret(), CHEAP, 5).unwrap();
    ring.keep(dir.path()).unwrap();
    let mut store = Store::open_with(dir.path(), Some(&key)).unwrap();
    begin(&mut store);
    for n in 3..=last {
        give(&mut store, n, "2026-06-03T08:00:00+01:00").unwrap();
    }
    (dir, store, key)
}

/// Every file below a folder.
pub(crate) fn below(dir: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(below(&path));
        } else {
            found.push(path);
        }
    }
    found
}

/// Names of the files that hold one of these words, in UTF-8 or UTF-16.
pub(crate) fn readable_in(dir: &Path, words: &[&str]) -> Vec<String> {
    let forms: Vec<Vec<u8>> = words
        .iter()
        .flat_map(|word| {
            let wide: Vec<u8> = word.encode_utf16().flat_map(u16::to_le_bytes).collect();
            [word.as_bytes().to_vec(), wide]
        })
        .collect();
    let holds = |path: &PathBuf| {
        let bytes = fs::read(path).unwrap();
        let name = path.to_string_lossy().into_owned().into_bytes();
        [bytes, name].iter().any(|text| {
            forms
                .iter()
                .any(|form| text.windows(form.len()).any(|w| w == form.as_slice()))
        })
    };
    let mut found: Vec<String> = below(dir)
        .iter()
        .filter(|path| holds(path))
        .map(|path| path.display().to_string())
        .collect();
    found.sort();
    found
}

// ---------------------------------------------------------------- nothing to read

#[test]
fn nothing_in_the_folder_can_be_read_and_a_plain_store_shows_that_the_search_finds() {
    let planted = ["Ada Bramble", "Nurse Larkspur", "insulin", "wrong side"];
    let (dir, mut store, _key) = guarded(40);
    let folder = dir.path().join("backups");
    backup::make(&store, &folder, at("2026-06-03T09:00:00Z").to_utc()).unwrap();
    store
        .transact(|tx| {
            tx.save_draft(
                "give",
                "Ada Bramble, wrong side",
                at("2026-06-03T08:00:00Z"),
            )
        })
        .unwrap();
    assert!(
        names(dir.path()).contains(&"fallow.db-wal".to_owned()),
        "the log is among what is searched"
    );
    assert_eq!(readable_in(dir.path(), &planted), [""; 0], "while open");
    drop(store);
    assert_eq!(readable_in(dir.path(), &planted), [""; 0], "closed");
    assert!(below(dir.path()).len() >= 6, "{:?}", below(dir.path()));

    let (plain, store) = begun();
    drop(store);
    assert_eq!(
        readable_in(plain.path(), &planted),
        [plain.path().join("fallow.db").display().to_string()]
    );
}

#[test]
fn secrets_show_nothing_of_themselves() {
    let (_, key) = Keyring::new(&secret(), CHEAP, 5).unwrap();
    assert_eq!(format!("{key:?}"), "Key(…)");
    assert_eq!(format!("{:?}", secret()), "Secret(…)");
}

// ---------------------------------------------------------------- secrets

#[test]
fn a_passphrase_opens_and_another_does_not() {
    let (dir, store, _) = guarded(5);
    drop(store);
    let ring = Keyring::read(dir.path()).unwrap().unwrap();
    // Composed and decomposed, and with the blank that a phone's keyboard adds.
    let (typed, other) = ("m\u{fc}de Reiher", " mu\u{308}de Reiher ");
    let (composed, key) = Keyring::new(&Secret::passphrase(typed), CHEAP, 5).unwrap();
    let again = composed
        .unwrap(By::Passphrase, &Secret::passphrase(other))
        .unwrap();
    composed
        .unwrap(By::Passphrase, &Secret::passphrase("m\u{fc}de reiher"))
        .expect_err("case counts");
    drop((key, again));

    let key = ring.unwrap(By::Passphrase, &secret()).unwrap();
    assert_eq!(
        listed(&Store::open_with(dir.path(), Some(&key)).unwrap()),
        3
    );
    for wrong in ["heron under the bridgE", "", "heron"] {
        let told = ring.unwrap(By::Passphrase, &Secret::passphrase(wrong));
        assert!(
            matches!(told, Err(StoreError::WrongSecret)),
            "{wrong}: {told:?}"
        );
    }
    let told = ring.unwrap(By::RecoveryCode, &secret());
    assert!(matches!(told, Err(StoreError::WrongSecret)), "{told:?}");
}

#[test]
fn a_passphrase_is_changed_without_touching_the_record() {
    let (dir, store, key) = guarded(5);
    drop(store);
    let before = fs::read(dir.path().join("fallow.db")).unwrap();
    let mut ring = Keyring::read(dir.path()).unwrap().unwrap();
    let new = Secret::passphrase("otter beside the mill");
    ring.wrap(By::Passphrase, &new, &key, CHEAP).unwrap();
    ring.keep(dir.path()).unwrap();
    let ring = Keyring::read(dir.path()).unwrap().unwrap();
    assert!(ring.unwrap(By::Passphrase, &secret()).is_err());
    let key = ring.unwrap(By::Passphrase, &new).unwrap();
    assert_eq!(
        listed(&Store::open_with(dir.path(), Some(&key)).unwrap()),
        3
    );
    assert!(fs::read(dir.path().join("fallow.db")).unwrap() == before);
}

#[test]
fn a_recovery_code_opens_however_it_is_typed() {
    let (dir, store, key) = guarded(5);
    drop(store);
    let mut ring = Keyring::read(dir.path()).unwrap().unwrap();
    assert!(!ring.has(By::RecoveryCode));
    let code = Secret::new_code().unwrap();
    ring.wrap(By::RecoveryCode, &code, &key, CHEAP).unwrap();
    assert!(ring.has(By::RecoveryCode) && ring.has(By::Passphrase));
    let groups = code.groups();
    assert_eq!(groups.len(), 39, "eight groups of four");
    assert!(groups.split(' ').all(|group| group.len() == 4));
    let slipped = groups.replace('0', "o").replace('1', "l").to_lowercase();
    for typed in [
        groups.to_string(),
        groups.replace(' ', ""),
        groups.replace(' ', "-"),
        slipped,
    ] {
        let typed = Secret::code(&typed).unwrap_or_else(|| panic!("{typed} is a code"));
        ring.unwrap(By::RecoveryCode, &typed).unwrap();
    }
    for no_code in ["", "0000 0000", PASSPHRASE, &format!("{}0", &*groups)] {
        assert!(Secret::code(no_code).is_none(), "{no_code}");
    }
    let another = Secret::new_code().unwrap();
    assert!(ring.unwrap(By::RecoveryCode, &another).is_err());
}

#[test]
fn a_new_passphrase_has_some_length_and_some_variety() {
    for (typed, enough) in [
        ("heron under the bridge", true),
        ("abcde12345", true),
        ("abcde1234", false),
        ("         a b c d e         ", false),
        ("aaaaaaaaaaaaaaaaaaaa", false),
        ("abababababababab", false),
        ("", false),
        ("дерево у моста", true),
    ] {
        assert_eq!(
            Secret::passphrase(typed).is_long_enough(),
            enough,
            "{typed}"
        );
    }
}

/// Argon2id and ChaCha20-Poly1305 as others compute them; see `tests/fixtures/keys/README.md`.
#[test]
fn a_ring_made_elsewhere_is_opened() {
    let fixture = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/fixtures/keys");
    let dir = tempfile::tempdir().unwrap();
    fs::copy(fixture.join("fallow.keys"), dir.path().join("fallow.keys")).unwrap();
    let ring = Keyring::read(dir.path()).unwrap().unwrap();
    let key = ring.unwrap(By::Passphrase, &secret()).unwrap();
    // Two wrappings of one key: the same comes out of both.
    let code = Secret::code("0123 4567 89AB CDEF GHJK MNPQ RSTV WXYZ").unwrap();
    let other = ring.unwrap(By::RecoveryCode, &code).unwrap();
    Store::open_with(dir.path(), Some(&key)).unwrap();
    Store::open_with(dir.path(), Some(&other)).unwrap();
}

// ---------------------------------------------------------------- opening

type Harm = fn(&Path);

/// What happened, what to do to a sound store, whether it is asked with a stranger's key, what is told.
const CASES: [(&str, Harm, bool, &str); 13] = [
    ("no key", |_| {}, false, "Locked"),
    (
        "a stranger's key",
        |_| {},
        true,
        "Damaged { detail: \"file is not a database\" }",
    ),
    (
        "keys gone",
        |dir| {
            fs::remove_file(dir.join("fallow.keys")).unwrap();
            fs::remove_file(dir.join("fallow.keys.spare")).unwrap();
        },
        false,
        "KeysMissing",
    ),
    (
        "keys gone, asked with a key",
        |dir| {
            fs::remove_file(dir.join("fallow.keys")).unwrap();
            fs::remove_file(dir.join("fallow.keys.spare")).unwrap();
        },
        true,
        "KeysMissing",
    ),
    (
        "keys and marker gone",
        |dir| {
            for name in ["fallow.keys", "fallow.keys.spare", "fallow.marker"] {
                fs::remove_file(dir.join(name)).unwrap();
            }
        },
        false,
        "Damaged { detail: \"it is not a store\" }",
    ),
    (
        "file gone",
        |dir| fs::remove_file(dir.join("fallow.db")).unwrap(),
        false,
        "Missing",
    ),
    (
        "emptied",
        |dir| fs::write(dir.join("fallow.db"), "").unwrap(),
        false,
        "Damaged { detail: \"it is empty or cut short\" }",
    ),
    (
        "a byte short",
        |dir| cut(dir, 1),
        false,
        "Damaged { detail: \"it is cut short\" }",
    ),
    (
        "a byte short, asked with a key",
        |dir| cut(dir, 1),
        true,
        "Damaged { detail: \"it is cut short\" }",
    ),
    (
        "noise in its place",
        |dir| fs::write(dir.join("fallow.db"), [0x5a; 8192]).unwrap(),
        true,
        "Damaged { detail: \"file is not a database\" }",
    ),
    (
        "a folder in its place",
        |dir| {
            fs::remove_file(dir.join("fallow.db")).unwrap();
            fs::create_dir(dir.join("fallow.db")).unwrap();
        },
        true,
        "Damaged { detail: \"it is not a file\" }",
    ),
    (
        "its first page overwritten",
        |dir| harm(dir, 100),
        true,
        "Damaged { detail: \"file is not a database\" }",
    ),
    (
        "its salt changed",
        |dir| harm(dir, 3),
        true,
        "Damaged { detail: \"file is not a database\" }",
    ),
];

#[test]
fn a_protected_store_is_never_a_first_start() {
    let (dir, store, _) = guarded(5);
    drop(store);
    let stranger = Key::random().unwrap();
    for (what, change, keyed, expected) in CASES {
        let copy = tempfile::tempdir().unwrap();
        for (name, bytes) in contents(dir.path()) {
            fs::write(copy.path().join(name), bytes).unwrap();
        }
        change(copy.path());
        let before = contents(copy.path());
        let told = Store::open_with(copy.path(), keyed.then_some(&stranger));
        let told = format!("{:?}", told.err().expect("it was opened"));
        assert_eq!(told, expected, "{what}");
        assert!(
            contents(copy.path()) == before,
            "{what}: the folder was changed: {:?}",
            names(copy.path())
        );
    }
}

fn cut(dir: &Path, by: u64) {
    let file = fs::OpenOptions::new()
        .write(true)
        .open(dir.join("fallow.db"))
        .unwrap();
    file.set_len(file.metadata().unwrap().len() - by).unwrap();
}

fn harm(dir: &Path, at: usize) {
    let mut bytes = fs::read(dir.join("fallow.db")).unwrap();
    bytes[at] ^= 0x10;
    fs::write(dir.join("fallow.db"), bytes).unwrap();
}

#[test]
fn either_file_of_keys_will_do_and_both_damaged_are_told() {
    let (dir, store, _) = guarded(5);
    drop(store);
    let whole = fs::read(dir.path().join("fallow.keys")).unwrap();
    let opened = || {
        Keyring::read(dir.path())
            .map(|ring| ring.unwrap().unwrap(By::Passphrase, &secret()).is_ok())
    };
    let mut damaged = 0;
    for at in 0..whole.len() {
        let mut bytes = whole.clone();
        bytes[at] ^= 1;
        fs::write(dir.path().join("fallow.keys"), &bytes).unwrap();
        assert!(opened().unwrap(), "byte {at}");
        damaged += 1;
    }
    println!("{damaged} of {damaged} damaged files of keys were made up for by the spare");
    // Mended from whichever is whole, and not written where nothing is wrong.
    let ring = Keyring::read(dir.path()).unwrap().unwrap();
    ring.mend(dir.path()).unwrap();
    let spare = dir.path().join("fallow.keys.spare");
    assert!(fs::read(dir.path().join("fallow.keys")).unwrap() == whole);
    let written = || fs::metadata(&spare).unwrap().modified().unwrap();
    let before = written();
    ring.mend(dir.path()).unwrap();
    assert_eq!(written(), before);
    fs::remove_file(&spare).unwrap();
    ring.mend(dir.path()).unwrap();
    assert!(fs::read(&spare).unwrap() == whole);
    for name in ["fallow.keys", "fallow.keys.spare"] {
        fs::write(dir.path().join(name), "{}").unwrap();
    }
    assert!(matches!(opened(), Err(StoreError::KeysDamaged)));
    fs::remove_file(dir.path().join("fallow.keys")).unwrap();
    assert!(matches!(opened(), Err(StoreError::KeysDamaged)));
    fs::write(dir.path().join("fallow.keys.spare"), &whole).unwrap();
    assert!(opened().unwrap());
}

#[test]
fn keys_of_another_store_are_set_aside_not_lost() {
    let (dir, store, key) = guarded(5);
    drop(store);
    let whole = fs::read(dir.path().join("fallow.keys")).unwrap();
    let (other, _) = Keyring::new(&secret(), CHEAP, 5).unwrap();
    other.keep(dir.path()).unwrap();
    assert!(Keyring::read(dir.path()).unwrap().unwrap().is_of(&other));
    assert!(fs::read(dir.path().join("fallow.keys.before-1")).unwrap() == whole);
    drop(key);
}

/// A ring that asks for a terabyte of memory, as a hostile file could.
#[test]
fn a_ring_that_asks_for_too_much_is_damaged() {
    let (dir, store, _) = guarded(3);
    drop(store);
    let text = fs::read_to_string(dir.path().join("fallow.keys")).unwrap();
    let (body, _) = text.split_once('\n').unwrap();
    for (from, to) in [
        ("\"memory_kib\":64", "\"memory_kib\":1000000000"),
        ("\"passes\":1", "\"passes\":4000000000"),
        ("\"lanes\":1", "\"lanes\":100000"),
    ] {
        let body = body.replace(from, to);
        let check = hex::encode(<sha2::Sha256 as sha2::Digest>::digest(&body));
        fs::write(dir.path().join("fallow.keys"), format!("{body}\n{check}\n")).unwrap();
        let ring = Keyring::read(dir.path()).unwrap().unwrap();
        let told = ring.unwrap(By::Passphrase, &secret());
        assert!(
            matches!(told, Err(StoreError::KeysDamaged)),
            "{to}: {told:?}"
        );
    }
}

#[test]
fn what_it_costs_cannot_be_made_cheaper_behind_its_back() {
    let (ring, _) = Keyring::new(&secret(), Cost { passes: 2, ..CHEAP }, 5).unwrap();
    let cheaper = serde_json::to_string(&ring)
        .unwrap()
        .replace("\"passes\":2", "\"passes\":1");
    let ring: Keyring = serde_json::from_str(&cheaper).unwrap();
    assert!(matches!(
        ring.unwrap(By::Passphrase, &secret()),
        Err(StoreError::WrongSecret)
    ));
}

#[test]
fn a_first_start_cut_short_between_keys_and_file_is_begun_again() {
    let dir = tempfile::tempdir().unwrap();
    let (ring, _) = Keyring::new(&secret(), CHEAP, 5).unwrap();
    ring.keep(dir.path()).unwrap();
    fs::write(dir.path().join("fallow.marker"), "").unwrap();
    let (ring, key) = Keyring::new(&secret(), CHEAP, 5).unwrap();
    ring.keep(dir.path()).unwrap();
    let mut store = Store::open_with(dir.path(), Some(&key)).unwrap();
    begin(&mut store);
    assert!(store.is_protected());
    assert!(names(dir.path()).contains(&"fallow.keys.before-1".to_owned()));
}

#[test]
fn two_connections_with_one_key_see_each_other() {
    let (dir, mut store, key) = guarded(5);
    let mut other = Store::open_with(dir.path(), Some(&key)).unwrap();
    give(&mut other, 6, "2026-06-03T08:00:00+01:00").unwrap();
    give(&mut store, 7, "2026-06-03T08:00:00+01:00").unwrap();
    assert_eq!((listed(&store), listed(&other)), (5, 5));
}
