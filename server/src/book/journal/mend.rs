//! Mending what was found damaged while the book is open, or taking no more writes.

use super::copy::SecondCopy;
use super::mark::MarkPair;
use super::recover::{ASIDE, FOLDER, Recovery, next_step};
use super::verify::Findings;
use super::{Journal, base};
use crate::book::Revision;
use crate::book::disk::read_all;
use crate::book::error::BookError;
use crate::book::record::{Damage, Known, Verified};

/// What to do once something was mended.
pub(super) fn looked_after(what: &str) -> String {
    format!("{what}; look after the disk that lost it")
}

impl Journal {
    /// Reads the journal and its marks again, and mends them: a file of the journal from its own whole commits, from the
    /// file as this process has it open and from the second copy; the marks from the journal.
    pub(super) fn verify_and_mend(&self, known: Option<Known>, copy: &dyn SecondCopy) -> Result<Verified, BookError> {
        // Nothing is let go of meanwhile.
        let _alone = self.reading.lock();
        let Findings { mut verified, segments, marks, bases, foreign } = self.read_again(known)?;
        let all = bases.len();
        for (name, damage) in bases {
            verified.damages.push(self.mend_base(name, damage, all));
        }
        for (name, damage) in segments {
            let damage = match self.mend_segment(&name, copy) {
                Ok(()) => Damage {
                    mended: true,
                    next: looked_after(&format!("the file was written anew, and the damaged one put into {ASIDE}/")),
                    ..damage
                },
                Err(why) => {
                    tracing::error!(%why, "the journal cannot be mended");
                    Damage { next: self.last_resort(), ..damage }
                }
            };
            verified.damages.push(damage);
        }
        if let Some(lost) = verified.damages.iter().find(|damage| !damage.mended) {
            self.refuse(&format!("{}, and no copy holds what was there; {}", lost.what, lost.next));
        }
        for damage in marks {
            let mended = self.renew_marks();
            let next = match &mended {
                Ok(()) => looked_after("both marks were written anew from the journal"),
                Err(cause) => format!("make room on the disk and see that it can be written: {cause}"),
            };
            verified.damages.push(Damage { mended: mended.is_ok(), next, ..damage });
        }
        verified.damages.extend(foreign);
        Ok(verified)
    }

    /// Writes one file of the base anew from the other one.
    fn mend_base(&self, name: &'static str, damage: Damage, damaged: usize) -> Damage {
        let other = base::NAMES.into_iter().find(|other| *other != name).unwrap_or(name);
        if damaged == base::NAMES.len() {
            return Damage { next: self.last_resort(), ..damage };
        }
        let folder = self.directory.join(FOLDER);
        match base::copy(self.disk.as_ref(), &folder, other, name, self.base()) {
            Ok(()) => {
                Damage { mended: true, next: looked_after(&format!("it was written anew from {other}")), ..damage }
            }
            Err(cause) => {
                Damage { next: format!("make room on the disk and see that it can be written: {cause}"), ..damage }
            }
        }
    }

    /// Writes a segment anew and takes the new file in.
    fn mend_segment(&self, name: &str, copy: &dyn SecondCopy) -> Result<(), BookError> {
        let _writing = self.writing.lock();
        let path = self.directory.join(FOLDER).join(name);
        let io = |doing| move |cause| BookError::io(doing, &path, &cause);
        let (segment, through, expected, end) = {
            let state = self.state.read();
            let at = state.segments.iter().position(|segment| segment.name == name).ok_or(BookError::Closed)?;
            let segment = state.segments.get(at).cloned().ok_or(BookError::Closed)?;
            match state.segments.get(at + 1) {
                Some(next) => {
                    let through = Revision::new(next.header.first.get().saturating_sub(1));
                    (segment, through, next.header.chain, None)
                }
                None => (segment, state.revision, state.chain, Some(state.end)),
            }
        };
        let path = self.directory.join(FOLDER).join(name);
        let found = self.disk.open(&path).and_then(|file| read_all(file.as_ref())).unwrap_or_default();
        // Where the name was taken away or leads elsewhere, the open file is still what was written.
        let held = read_all(segment.file.as_ref()).unwrap_or_default();
        let mut both = found.clone();
        if held != found {
            both.extend(held);
        }
        let recovery =
            Recovery { disk: self.disk.as_ref(), directory: &self.directory, mark: None, copy, read_only: false };
        let whole = recovery.mend(&both, &segment.header, through, Some(expected))?;
        // Every commit must lie where it lay: others read it by its place.
        if end.is_some_and(|end| end != whole.len() as u64) {
            return Err(self.unreadable(through));
        }
        recovery.put_in_place(name, &whole, &found)?;
        let file = self.disk.open(&path).map_err(io("open"))?;
        let mut state = self.state.write();
        if let Some(segment) = state.segments.iter_mut().find(|segment| segment.name == name) {
            segment.file = file;
        }
        Ok(())
    }

    /// Writes both marks anew from what the journal holds.
    fn renew_marks(&self) -> std::io::Result<()> {
        let mut pair = self.mark.lock();
        *pair = MarkPair::settle(self.disk.as_ref(), &self.directory, self.high_water())?;
        Ok(())
    }

    /// What to type when neither copy holds what was acknowledged: the entries are still in memory.
    fn last_resort(&self) -> String {
        format!(
            "every entry is still served from memory: save them first with: baybook book export --out saved.ndjson --server \
             ADDRESS; then stop the service; {}; then: baybook book import saved.ndjson --data {}",
            next_step(&self.directory).trim_start_matches("nothing was changed; "),
            self.directory.display()
        )
    }
}
