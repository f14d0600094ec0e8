//! Killed at a random moment of each deed: what was acknowledged is there, what was in flight is wholly there or not at
//! all, and the record opens as it was or as it was to be.

use std::path::Path;
use std::time::{Duration, Instant};

use fallow_store::open::{Standing, standing};
use fallow_store::{By, Keyring, Store, backup};

use crate::child::{Deed, Ended, Ready, Running, passphrase};
use crate::dial::{Chance, figure, rounds};
use crate::record::{self, FIRST};

/// Tells a child to work, and kills it within `longest`.
fn killed(deed: Deed, dir: &Path, from: u64, chance: &mut Chance, longest: Duration) -> Ended {
    let mut child = Running::start(deed, dir, &[]);
    // Only deeds that can be done again and again are.
    let times = match deed {
        Deed::Save | Deed::Copy | Deed::Passphrase => 1_000,
        Deed::FirstStart | Deed::Protect | Deed::Restore => 1,
    };
    child.tell(from, times);
    let ended = child.kill_after(chance.duration_below(longest));
    assert_eq!(
        ended.told, [""; 0],
        "nothing but the kill stands in its way"
    );
    ended
}

#[test]
fn a_save_is_whole_or_not_there_at_all() {
    let mut chance = Chance::new("killed in a save");
    let kills = rounds(60, 1_000);
    let (mut in_flight, mut kept, mut with_draft, mut acknowledged, mut losses) = (0, 0, 0, 0, 0);
    let mut dir = tempfile::tempdir().unwrap();
    let mut present: Vec<u64> = Vec::new();
    let longest = Template::of(Deed::Save).usual_time(Deed::Save) * 6;
    for kill in 0..kills {
        if kill % 40 == 0 {
            // A record that grows for ever would be read for ever.
            dir = tempfile::tempdir().unwrap();
            present.clear();
            record::made(dir.path(), true, 0..0);
        }
        let from = present.last().map_or(FIRST, |n| n + 1);
        let ended = killed(Deed::Save, dir.path(), from, &mut chance, longest);
        present.extend(from..ended.done.map_or(from, |n| n + 1));
        acknowledged += ended.done.map_or(0, |n| n + 1 - from);
        let mut store = record::open(dir.path()).unwrap();
        let found = record::numbers(&store);
        losses += present.iter().filter(|n| !found.contains(n)).count() as u64;
        let draft = record::draft(&store);
        if let Some(n) = ended.in_flight() {
            in_flight += 1;
            if found.contains(&n) {
                kept += 1;
                present.push(n);
                assert_eq!(draft, None, "the form ends with its entry");
            } else {
                with_draft += u64::from(draft == Some(n));
                assert!(draft.is_none_or(|d| d == n), "{draft:?}");
            }
        }
        assert_eq!(found, present, "kill {kill}: {ended:?}");
        let next = present.last().map_or(FIRST, |n| n + 1);
        record::save(&mut store, next).unwrap();
        present.push(next);
    }
    figure(
        "killed_save",
        &[
            ("kills", kills),
            ("in_flight", in_flight),
            ("in_flight_kept", kept),
            ("in_flight_form_only", with_draft),
            ("acknowledged", acknowledged),
            ("losses", losses),
        ],
    );
    assert!(
        in_flight * 2 > kills,
        "{in_flight} of {kills} kills landed in a save"
    );
    assert!(acknowledged > kills / 4, "it saved between the kills");
}

/// A folder made once, and a fresh one like it for each round.
struct Template(tempfile::TempDir);

impl Template {
    fn of(deed: Deed) -> Self {
        let dir = tempfile::tempdir().unwrap();
        match deed {
            Deed::FirstStart => {}
            Deed::Protect => drop(record::made(dir.path(), false, FIRST..FIRST + 20)),
            _ => record::with_copies(dir.path(), true, FIRST + 19),
        }
        Self(dir)
    }

    fn fresh(&self) -> tempfile::TempDir {
        let dir = tempfile::tempdir().unwrap();
        record::copied(self.0.path(), dir.path());
        dir
    }

    /// How long a deed takes that is done once.
    fn usual_time(&self, deed: Deed) -> Duration {
        let dir = self.fresh();
        let mut ready = Ready::new(deed, dir.path()).unwrap();
        let began = Instant::now();
        ready.act(1_000).unwrap();
        began.elapsed()
    }
}

fn all() -> Vec<u64> {
    (FIRST..FIRST + 20).collect()
}

/// Kills a deed again and again; `after` looks at what is left and says whether it is what was to be.
fn killed_again_and_again(deed: Deed, mut after: impl FnMut(&Path, &Ended) -> bool) {
    let mut chance = Chance::new(deed.name());
    let template = Template::of(deed);
    let longest = template.usual_time(deed) * 2;
    let kills = rounds(25, 400);
    let (mut in_flight, mut new) = (0, 0);
    for _ in 0..kills {
        let dir = template.fresh();
        let ended = killed(deed, dir.path(), 1, &mut chance, longest);
        in_flight += u64::from(ended.in_flight().is_some());
        let is_new = after(dir.path(), &ended);
        assert!(
            is_new || ended.done.is_none(),
            "acknowledged and not there: {ended:?}"
        );
        new += u64::from(is_new);
    }
    figure(
        &format!("killed_{}", deed.name()),
        &[
            ("kills", kills),
            ("in_flight", in_flight),
            ("as_before", kills - new),
            ("as_was_to_be", new),
            ("losses", 0),
        ],
    );
    assert!(
        in_flight * 8 > kills,
        "{in_flight} of {kills} kills landed in it"
    );
}

#[test]
fn a_first_start_is_whole_or_can_be_made_again() {
    killed_again_and_again(Deed::FirstStart, |dir, _| {
        let made = standing(dir).unwrap() == Standing::Protected;
        let mut store = if made {
            record::open(dir).unwrap()
        } else {
            assert_eq!(standing(dir).unwrap(), Standing::Nothing);
            record::made(dir, true, 0..0)
        };
        if made {
            record::begin(&mut store);
        }
        record::save(&mut store, FIRST).unwrap();
        assert_eq!(record::numbers(&store), [FIRST]);
        drop(store);
        assert_eq!(record::numbers(&record::open(dir).unwrap()), [FIRST]);
        made
    });
}

#[test]
fn a_copy_is_whole_or_not_there() {
    killed_again_and_again(Deed::Copy, |dir, ended| {
        let store = record::open(dir).unwrap();
        assert_eq!(record::numbers(&store), all());
        let copies = backup::list(&dir.join("backups"), store.key()).unwrap();
        for copy in &copies {
            assert!(copy.entries.is_some() && copy.protected, "{copy:?}");
        }
        // Two lay there before; the last may have been named before it was acknowledged.
        let more = copies.len() as u64 - 2;
        let done = ended.done.unwrap_or(0);
        assert!(more == done || more == done + 1, "{more} copies, {ended:?}");
        backup::make(&store, &dir.join("backups"), record::second(5)).unwrap();
        let left = std::fs::read_dir(dir.join("backups")).unwrap();
        let unfinished = left.filter(|f| {
            let name = f.as_ref().unwrap().file_name();
            name.to_string_lossy().contains(".new")
        });
        assert_eq!(unfinished.count(), 0);
        more > 0
    });
}

#[test]
fn a_passphrase_is_the_old_or_the_new_one() {
    killed_again_and_again(Deed::Passphrase, |dir, ended| {
        let opens = |n: u64| {
            let ring = Keyring::read(dir).unwrap().unwrap();
            ring.unwrap(By::Passphrase, &passphrase(n)).ok()
        };
        let done = ended.done.unwrap_or(0);
        let (n, key) = ended
            .in_flight()
            .into_iter()
            .chain([done])
            .find_map(|n| opens(n).map(|key| (n, key)))
            .expect("the old or the new passphrase opens it");
        // And without the first file of keys, by the spare.
        std::fs::remove_file(dir.join("fallow.keys")).unwrap();
        assert!(
            opens(n).or_else(|| opens(done)).is_some(),
            "the spare opens it"
        );
        let store = Store::open_with(dir, Some(&key)).unwrap();
        assert_eq!(record::numbers(&store), all());
        n > 0
    });
}

#[test]
fn a_plain_store_is_plain_or_encrypted() {
    killed_again_and_again(Deed::Protect, |dir, _| {
        let encrypted = standing(dir).unwrap() == Standing::Protected;
        assert_eq!(record::numbers(&record::open(dir).unwrap()), all());
        if !encrypted {
            // What was cut short is in nobody's way.
            Ready::new(Deed::Protect, dir).unwrap().act(1).unwrap();
            assert_eq!(standing(dir).unwrap(), Standing::Protected);
            assert_eq!(record::numbers(&record::open(dir).unwrap()), all());
        }
        encrypted
    });
}

#[test]
fn a_record_is_the_one_before_or_the_copy() {
    killed_again_and_again(Deed::Restore, |dir, _| {
        let found = record::numbers(&record::open(dir).unwrap());
        let restored = found.len() == 5;
        assert!(restored || found == all(), "{found:?}");
        let mut store = record::open(dir).unwrap();
        record::save(&mut store, FIRST + 100).unwrap();
        restored
    });
}
