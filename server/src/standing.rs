//! How the machine under the service stands: room on the disk, memory in use.

use std::fs;
use std::path::Path;

/// Room on a disk, in bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Room {
    /// What may still be written.
    pub free: i64,
    /// All of it.
    pub size: i64,
}

/// Returns the room on the disk that holds a folder, or would hold it; nothing when there is no such folder or the system
/// does not say.
#[must_use]
pub fn room(folder: &Path) -> Option<Room> {
    if folder.as_os_str().is_empty() {
        return None;
    }
    let system = rustix::fs::statvfs(folder).ok()?;
    let bytes = |blocks: u64| i64::try_from(blocks.saturating_mul(system.f_frsize)).unwrap_or(i64::MAX);
    Some(Room { free: bytes(system.f_bavail), size: bytes(system.f_blocks) })
}

/// Returns the memory of this process that is in use, in bytes; nothing where the system does not say.
#[must_use]
pub fn resident_bytes() -> Option<i64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"))?;
    line.trim().strip_suffix("kB")?.trim().parse::<i64>().ok().map(|kib| kib * 1_024)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_is_room_where_this_runs_and_none_nowhere() {
        let room = room(&std::env::temp_dir()).unwrap();
        assert!(0 <= room.free && room.free <= room.size && 0 < room.size, "{room:?}");
        assert_eq!(super::room(Path::new("")), None);
        assert_eq!(super::room(Path::new("no/such/folder/at/all")), None);
        assert!(resident_bytes().is_none_or(|bytes| (1 << 20) < bytes));
    }
}
