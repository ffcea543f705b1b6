//! The table of roles and calls, `calls.txt`, which is compiled in.

use std::collections::HashMap;
use std::sync::LazyLock;

use super::Role;

/// The table as it is written.
pub const TEXT: &str = include_str!("calls.txt");

/// Which roles may call what; a row that cannot be read allows nobody.
static ROWS: LazyLock<HashMap<&'static str, [bool; Role::ALL.len()]>> = LazyLock::new(|| rows(TEXT));

/// Returns whether a role may make the call with that path, `/baybook.v1.SpecBookService/GetEntry`.
#[must_use]
pub fn allows(role: Role, path: &str) -> bool {
    row(path).is_some_and(|cells| cells[role as usize])
}

/// Returns the roles that may make a call, in the table's order.
pub fn roles(path: &str) -> impl Iterator<Item = Role> {
    let cells = row(path).unwrap_or_default();
    Role::ALL.into_iter().filter(move |role| cells[*role as usize])
}

fn row(path: &str) -> Option<[bool; Role::ALL.len()]> {
    let call = path.strip_prefix('/')?;
    let call = call.strip_prefix("baybook.v1.").unwrap_or(call);
    if let Some(cells) = ROWS.get(call) {
        return Some(*cells);
    }
    let (service, _) = call.split_once('/')?;
    ROWS.get(format!("{service}/*").as_str()).copied()
}

fn rows(text: &'static str) -> HashMap<&'static str, [bool; Role::ALL.len()]> {
    let lines = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    lines
        .filter_map(|line| {
            let mut words = line.split_whitespace();
            let call = words.next()?;
            let mut cells = [false; Role::ALL.len()];
            for cell in &mut cells {
                *cell = words.next()? == "yes";
            }
            Some((call, cells))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use std::collections::HashSet;

    use super::*;

    #[test]
    fn the_table_reads_and_its_columns_are_the_roles() {
        let lines: Vec<_> = TEXT.lines().filter(|line| !line.starts_with('#')).collect();
        let heads: Vec<_> = lines[0].split_whitespace().skip(1).collect();
        assert_eq!(heads, Role::ALL.map(Role::word));
        let mut calls = HashSet::new();
        for line in &lines[1..] {
            let words: Vec<_> = line.split_whitespace().collect();
            assert_eq!(words.len(), 1 + Role::ALL.len(), "{line}");
            assert!(words[1..].iter().all(|word| ["yes", "no"].contains(word)), "{line}");
            assert!(calls.insert(words[0]), "{line}");
            assert_eq!(words.last(), Some(&"yes"), "admin may everything: {line}");
        }
        assert_eq!(ROWS.len(), lines.len() - 1);
    }

    #[test]
    fn what_has_no_row_is_denied() {
        for role in Role::ALL {
            for path in
                ["", "/", "/baybook.v1.StewardService/Nothing", "/other.Service/Get", "StewardService/ServerInfo"]
            {
                assert!(!allows(role, path), "{path}");
            }
        }
        assert!(allows(Role::Bay, "/baybook.v1.CalculatorService/AdjustTorque"));
        assert!(!allows(Role::Bay, "/baybook.v1.SpecBookService/PutEntry"));
        assert_eq!(roles("/baybook.v1.SpecBookService/PutEntry").collect::<Vec<_>>(), [Role::Foreman, Role::Admin]);
    }
}
