//! The names of entries: one table of folders, kinds and words.

use baybook_proto::v1::EntryKind;

/// The most characters of the id behind the folder.
pub const ID_MAX: usize = 63;

/// One kind of entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Folder {
    /// The kind on the wire.
    pub kind: EntryKind,
    /// The folder its names start with: `ballmounts`.
    pub folder: &'static str,
    /// The field of an entry that holds it: `ball_mount`.
    pub field: &'static str,
    /// One of it, with its article: `a ball mount`.
    pub one: &'static str,
    /// Many of it: `ball mounts`.
    pub many: &'static str,
}

const fn folder(
    kind: EntryKind,
    folder: &'static str,
    field: &'static str,
    one: &'static str,
    many: &'static str,
) -> Folder {
    Folder { kind, folder, field, one, many }
}

/// Every kind of entry, in the order of the contract.
pub const FOLDERS: [Folder; 16] = [
    folder(EntryKind::Vehicle, "vehicles", "vehicle", "a vehicle", "vehicles"),
    folder(EntryKind::Receiver, "receivers", "receiver", "a receiver", "receivers"),
    folder(EntryKind::Bolt, "bolts", "bolt", "a bolt", "bolts"),
    folder(EntryKind::Nut, "nuts", "nut", "a nut", "nuts"),
    folder(EntryKind::Washer, "washers", "washer", "a washer", "washers"),
    folder(EntryKind::Finish, "finishes", "finish", "a finish", "finishes"),
    folder(EntryKind::BallMount, "ballmounts", "ball_mount", "a ball mount", "ball mounts"),
    folder(EntryKind::Ball, "balls", "ball", "a ball", "balls"),
    folder(EntryKind::Coupler, "couplers", "coupler", "a coupler", "couplers"),
    folder(EntryKind::Trailer, "trailers", "trailer", "a trailer", "trailers"),
    folder(EntryKind::Circuit, "circuits", "circuit", "a circuit", "circuits"),
    folder(EntryKind::Wrench, "wrenches", "wrench", "a wrench", "wrenches"),
    folder(EntryKind::Terrain, "terrains", "terrain", "a terrain", "terrains"),
    folder(EntryKind::Policy, "policies", "policy", "a policy", "policies"),
    folder(EntryKind::BrakeLaw, "brakelaws", "brake_law", "a brake law", "brake laws"),
    folder(EntryKind::BedCoupling, "bedcouplings", "bed_coupling", "a coupling in the bed", "couplings in the bed"),
];

/// Returns the row of a kind; unspecified has none.
#[must_use]
pub fn of_kind(kind: EntryKind) -> Option<&'static Folder> {
    FOLDERS.iter().find(|folder| folder.kind == kind)
}

/// Splits a name into its folder and its id.
///
/// # Errors
///
/// What is wrong with the name, and how to write one.
pub fn parse(name: &str) -> Result<(&'static Folder, &str), String> {
    let Some((before, id)) = name.split_once('/') else {
        return Err(format!("is {:?}, must be a folder, a slash and an id, such as vehicles/van-7", shown(name)));
    };
    let Some(folder) = FOLDERS.iter().find(|folder| folder.folder == before) else {
        let all: Vec<&str> = FOLDERS.iter().map(|folder| folder.folder).collect();
        return Err(format!("starts with {:?}, must start with one of: {}", shown(before), all.join(", ")));
    };
    if is_id(id) {
        return Ok((folder, id));
    }
    Err(format!(
        "has the id {:?}, must have 1 to {ID_MAX} of a-z, 0-9 and hyphen, no hyphen first or last, such as {}/van-7",
        shown(id),
        folder.folder
    ))
}

/// Whether a name is well formed and of that kind.
///
/// # Errors
///
/// What is wrong with the name, and what it must name.
pub fn named(kind: EntryKind, name: &str) -> Result<(), String> {
    match (parse(name), of_kind(kind)) {
        (Ok((folder, _)), _) if folder.kind == kind => Ok(()),
        (Ok((folder, _)), wanted) => {
            Err(format!("names {}, must name {}", folder.one, wanted.map_or("another entry", |wanted| wanted.one)))
        }
        (Err(_), Some(wanted)) if !name.contains('/') => {
            Err(format!("is {:?}, must be a folder, a slash and an id, here {}/ID", shown(name), wanted.folder))
        }
        (Err(why), _) => Err(why),
    }
}

/// Returns whether a name is well formed and of that kind, without telling what is wrong.
#[must_use]
pub fn is_of_kind(name: &str, kind: EntryKind) -> bool {
    parse(name).is_ok_and(|(folder, _)| folder.kind == kind)
}

/// Returns whether the text is an id: `^[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?$`.
#[must_use]
pub fn is_id(id: &str) -> bool {
    let bytes = id.as_bytes();
    let plain = |byte: &u8| byte.is_ascii_lowercase() || byte.is_ascii_digit();
    bytes.len() <= ID_MAX
        && bytes.first().is_some_and(plain)
        && bytes.last().is_some_and(plain)
        && bytes.iter().all(|byte| plain(byte) || *byte == b'-')
}

/// Cuts text of a stranger to what fits into a message.
fn shown(text: &str) -> String {
    let mut cut: String = text.chars().take(80).collect();
    if text.chars().nth(80).is_some() {
        cut.push('…');
    }
    cut
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_has_every_kind_once_and_in_order() {
        for (row, number) in FOLDERS.iter().zip(1..) {
            assert_eq!(i32::from(row.kind), number);
            assert_eq!(of_kind(row.kind), Some(row));
        }
        assert!(EntryKind::try_from(FOLDERS.len() as i32 + 1).is_err(), "a kind has no folder");
        assert_eq!(of_kind(EntryKind::Unspecified), None);
    }

    #[test]
    fn names_are_a_folder_and_an_id() {
        let longest = format!("bolts/{}", "a".repeat(63));
        for good in ["vehicles/7", "ballmounts/drop-4", "bolts/m12-175-88", longest.as_str()] {
            assert!(parse(good).is_ok(), "{good}");
        }
        let too_long = format!("bolts/{}", "a".repeat(64));
        for bad in [
            "",
            "/",
            "bolts",
            "bolts/",
            "bolts/-a",
            "bolts/a-",
            "bolts/A",
            "bolts/a b",
            "bolts/a/b",
            "bolts/ä",
            "bolt/a",
            "Bolts/a",
            " bolts/a",
            "jobs/a",
            too_long.as_str(),
        ] {
            assert!(parse(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn what_a_name_must_name_is_said() {
        assert_eq!(named(EntryKind::Bolt, "bolts/m12"), Ok(()));
        let wrong = |name| named(EntryKind::BedCoupling, name).unwrap_err();
        assert_eq!(wrong("bolts/m12"), "names a bolt, must name a coupling in the bed");
        assert_eq!(wrong("nope"), "is \"nope\", must be a folder, a slash and an id, here bedcouplings/ID");
        assert!(wrong("cars/van-7").contains("one of: vehicles, receivers, bolts"));
    }

    #[test]
    fn what_is_wrong_is_said() {
        assert_eq!(
            parse("bolts/M12"),
            Err("has the id \"M12\", must have 1 to 63 of a-z, 0-9 and hyphen, no hyphen first or last, \
                 such as bolts/van-7"
                .to_owned())
        );
        assert!(parse("van-7").is_err_and(|why| why.contains("such as vehicles/van-7")));
        assert!(parse("cars/van-7").is_err_and(|why| why.contains("one of: vehicles, receivers, bolts")));
    }
}
