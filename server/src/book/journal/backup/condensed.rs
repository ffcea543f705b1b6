//! What a backup holds of the commits that the book has let go of.

use std::io;
use std::path::Path;

use super::{Reading, damaged};
use crate::book::disk::Disk;
use crate::book::error::BookError;
use crate::book::journal::frames::Header;
use crate::book::journal::mark::{HighWater, MarkPair};
use crate::book::journal::recover::FOLDER;
use crate::book::journal::{base, begin};
use crate::book::record::Record;

impl Reading {
    /// Brings the entries that stand before the commits into the journal's folder, if there are any.
    pub(super) fn base(
        &mut self,
        disk: &dyn Disk,
        directory: &Path,
        mut take: impl FnMut(&Record),
    ) -> Result<(), BookError> {
        if !self.condensed {
            return Ok(());
        }
        let folder = directory.join(FOLDER);
        let io = |cause: io::Error| BookError::io("write", &folder, &cause);
        disk.create_dir(&folder).map_err(io)?;
        let [first, second] = base::NAMES;
        let mut whole = None;
        let written = base::put_in_place(disk, &folder, first, |out| {
            let mut writer = base::Writer::begin(out)?;
            let found = base::read(&mut self.input, |record| {
                take(&record);
                writer.record(&record)
            })?;
            let found = found.ok_or(io::ErrorKind::InvalidData)?;
            let written = writer.end(found.horizon, found.chain)?.0;
            whole = (written == found).then_some(found);
            Ok(written)
        });
        let base = match (written, whole) {
            (Ok(base), Some(_)) => base,
            (Err(cause), _) if cause.kind() != io::ErrorKind::InvalidData => return Err(io(cause)),
            _ => return Err(damaged(&self.path, "the entries before its commits are not what was written")),
        };
        base::copy(disk, &folder, first, second, base).map_err(io)?;
        // A base without a file of the journal after it, or without a mark, would be a journal that has lost them.
        let header = Header { first: base.revision().next(), chain: base.chain };
        begin(disk, directory, header).map_err(io)?;
        let seals = Some([base.seal; 2]);
        let mark = HighWater { revision: base.revision(), tally: base.tally, chain: base.chain, seals };
        drop(MarkPair::settle(disk, directory, mark).map_err(io)?);
        (self.revision, self.chain) = (base.revision(), base.chain);
        Ok(())
    }
}
