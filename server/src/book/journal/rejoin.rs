//! Reading what the journal has let go of at open, and finishing a letting go that was broken off.

use std::sync::Arc;

use super::base::{self, Base, Found};
use super::frames::Header;
use super::recover::{FOLDER, Recovered, Recovery, first_of};
use super::state::{Entries, tally_of};
use crate::book::Revision;
use crate::book::error::BookError;
use crate::book::record::Record;

fn all(entries: &Entries) -> Vec<Arc<Record>> {
    entries.values().cloned().collect()
}

impl Recovery<'_> {
    /// Reads what was let go of, from the newest base that is whole and vouched for, and brings the other one in step.
    pub(super) fn base(&self, recovered: &mut Recovered, names: &[String]) -> Result<(), BookError> {
        let folder = self.folder();
        let vouched = |base: &Base| self.mark.is_none_or(|mark| mark.vouches_for(base));
        // Both at once, as long as they are alike.
        let entries = &mut recovered.entries;
        let twins = base::find_twins(self.disk, &folder, |record| {
            entries.insert(record.name.clone(), Arc::new(record));
            Ok(())
        });
        let twins = twins.map_err(self.io("read", base::NAMES[0]))?;
        if let Some(base) = twins.filter(|base| vouched(base) && tally_of(&all(entries)) == base.tally) {
            recovered.state.begin_at(base);
            return Ok(());
        }
        entries.clear();
        let mut found = [Found::Missing; 2];
        for (at, name) in base::NAMES.into_iter().enumerate() {
            found[at] = base::find(self.disk, &folder, name, |_| Ok(())).map_err(self.io("read", name))?;
        }
        let whole = |found: Found| match found {
            Found::Whole(base) if vouched(&base) => Some(base),
            Found::Whole(_) | Found::Missing | Found::Damaged => None,
        };
        let [a, b] = found.map(whole);
        let newest = match (a, b) {
            (Some(a), Some(b)) if b.revision() > a.revision() => (1, b),
            (Some(a), _) => (0, a),
            (None, Some(b)) => (1, b),
            (None, None) => {
                let foreign = found.into_iter().find_map(|found| match found {
                    Found::Whole(base) => Some(base),
                    Found::Missing | Found::Damaged => None,
                });
                return match foreign {
                    Some(base) => Err(self.refused(
                        Revision::ZERO,
                        base.revision(),
                        "the base of the journal is not the one that the marks vouch for",
                    )),
                    // Files of the journal that are missing are then missed where they are read.
                    None => Ok(()),
                };
            }
        };
        let (at, base) = newest;
        let refuse = |why| Err(self.refused(Revision::ZERO, base.revision(), why));
        if let (Some(a), Some(b)) = (a, b)
            && a.revision() == b.revision()
            && a != b
        {
            return refuse("the two files of the journal's base differ, and both are whole");
        }
        let (name, other) = (base::NAMES[at], base::NAMES[1 - at]);
        let read = base::find(self.disk, &folder, name, |record| {
            entries.insert(record.name.clone(), Arc::new(record));
            Ok(())
        });
        let read = read.map_err(self.io("read", name))?;
        if read != Found::Whole(base) || tally_of(&all(entries)) != base.tally {
            return refuse("the base of the journal is not what it says of itself");
        }
        if found[1 - at] != Found::Whole(base) && !self.read_only {
            base::copy(self.disk, &folder, name, other, base).map_err(self.io("write", other))?;
            // Letting go may have been broken off between the two; the files of the journal are then still there.
            let follows = |base: Revision| names.iter().any(|name| first_of(name) == Some(base.next()));
            let why = match found[1 - at] {
                Found::Damaged => Some("damaged"),
                Found::Missing if !follows(Revision::ZERO) => Some("missing"),
                Found::Whole(other) if !vouched(&other) => Some("not the one that the marks vouch for"),
                Found::Whole(old) if !follows(old.revision()) => Some("older than it was"),
                Found::Missing | Found::Whole(_) => None,
            };
            if let Some(why) = why {
                recovered.mended.push(format!("{FOLDER}/{other} was {why}; it was written anew from {name}"));
            }
        }
        recovered.state.begin_at(base);
        Ok(())
    }

    /// Leaves out the segments that a base stands for: letting go of them was broken off. They are taken away only when the
    /// one that follows the base says that it does.
    pub(super) fn drop_condensed(&self, names: &mut Vec<String>, base: &Base) -> Result<(), BookError> {
        let first = base.revision().next();
        let second = |names: &[String]| names.get(1).and_then(|name| first_of(name));
        let header = Header { first, chain: base.chain };
        let next = names.iter().find(|name| first_of(name) == Some(first));
        let borne_out = next.map(|next| self.peek(next)).transpose()?.flatten() == Some(header);
        let mut gone = false;
        while second(names).is_some_and(|second| second <= first) {
            let name = names.remove(0);
            if borne_out && !self.read_only {
                self.disk.remove(&self.folder().join(&name)).map_err(self.io("remove", &name))?;
                gone = true;
            }
        }
        let folder = self.folder();
        if gone { self.disk.sync_dir(&folder).map_err(|cause| BookError::io("sync", &folder, &cause)) } else { Ok(()) }
    }
}
