//! What is looked at, and where it stops being in order.

use std::time::{Duration, SystemTime, UNIX_EPOCH};

use baybook_proto::v1 as pb;
use pbjson_types::Timestamp;

use super::Finding;
use crate::{fail::Exit, stamp};

/// How a certificate is replaced.
pub const NEW_CERTIFICATE: &str = "put a new certificate.pem and key.pem into the folder that the setting tls names; they are \
                                   taken up within seconds, without a restart";

const DAY_S: f64 = 86_400.0;

/// Days before its end at which a certificate is warned of.
const CERTIFICATE_DAYS: f64 = 30.0;

/// Days after which the last verified backup is too old.
const BACKUP_DAYS: f64 = 7.0;

/// Backups at which it is time to let old ones go, and how many the settings keep by themselves.
const BACKUPS_MANY: i64 = 100;
const BACKUPS_KEPT: i64 = 30;

/// Seconds by which two clocks may differ, and beyond which tokens and times in the book mislead.
const CLOCK_S: (f64, f64) = (2.0, 60.0);

/// Room below which the disk is warned of, and below which the journal's next file has no room.
const ROOM_BYTES: (i64, i64) = (1 << 30, 64 << 20);

/// Says that the service answered, or that the book opened.
pub fn reached(reply: &pb::ServerInfoResponse, took: Duration) -> Finding {
    let entries: i64 = reply.folders.iter().map(|folder| folder.entry_count).sum();
    Finding::ok(
        "reached",
        format!(
            "answered in {:.0} ms; {entries} entries at book revision {}, kept in {}",
            took.as_secs_f64() * 1e3,
            reply.revision,
            if reply.engine == "memory" { "memory" } else { "a folder" },
        ),
    )
}

/// Looks at everything that a reply tells.
pub fn all(reply: &pb::ServerInfoResponse, took: Duration) -> Vec<Finding> {
    let mut findings = vec![writes(reply), release(&reply.release, env!("CARGO_PKG_VERSION"))];
    let now = now();
    findings.extend(reply.now_time.as_ref().map(|there| clock(seconds(there), now, took)));
    findings.extend(reply.certificate_end_time.as_ref().map(|end| certificate(Some(end.seconds), now)));
    findings.extend(reply.disk_free_bytes.map(|free| disk(free, reply.disk_size_bytes.unwrap_or(0))));
    if reply.engine != "memory" {
        findings.extend(backups(reply));
        findings.push(backup(reply.last_backup.as_ref().and_then(|backup| backup.time.as_ref()).map(seconds), now));
    }
    findings
}

fn writes(reply: &pb::ServerInfoResponse) -> Finding {
    if reply.writable {
        return Finding::ok("writes", "the book takes them");
    }
    let next = "look into the service's log for why, mend that, and restart it: baybook serve";
    Finding::fail("writes", "the book takes reads only", next)
}

/// Compares the two releases. Before 1.0 the second number tells of changes that break callers.
fn release(there: &str, here: &str) -> Finding {
    let seen = format!("the service is {there}, this program {here}");
    let parts = |release: &str| release.split('.').map(|part| part.parse().unwrap_or(0)).collect::<Vec<u64>>();
    let (there, here) = (parts(there), parts(here));
    let breaking = |release: &[u64]| {
        let first = release.first().copied().unwrap_or(0);
        (first, if first == 0 { release.get(1).copied().unwrap_or(0) } else { 0 })
    };
    let next =
        if there < here { "install the newer program for the service" } else { "install the newer program here" };
    if there == here {
        Finding::ok("release", seen)
    } else if breaking(&there) == breaking(&here) {
        Finding::warn("release", seen, next)
    } else {
        Finding::fail("release", seen, next)
    }
}

/// Compares the two clocks; the answer's way home is not known better than half of the whole way.
fn clock(there: f64, here: f64, took: Duration) -> Finding {
    let off = there - (here - took.as_secs_f64() / 2.0);
    let sure = off.abs() - took.as_secs_f64() / 2.0;
    let seen =
        format!("the service's is {:.1} s {} this one", off.abs(), if off < 0.0 { "behind" } else { "ahead of" });
    let next = "set both clocks by the network: timedatectl set-ntp true";
    if sure <= CLOCK_S.0 {
        Finding::ok("clock", seen)
    } else if sure <= CLOCK_S.1 {
        Finding::warn("clock", seen, next)
    } else {
        Finding::fail("clock", format!("{seen}; tokens end too early or too late"), next)
    }
}

/// Looks at when a certificate ends.
pub fn certificate(end: Option<i64>, now: f64) -> Finding {
    let Some(end) = end else {
        return Finding::warn("certificate", "does not say when it ends", NEW_CERTIFICATE);
    };
    #[expect(clippy::cast_precision_loss, reason = "seconds since 1970 are exact in a float")]
    let days = (end as f64 - now) / DAY_S;
    let date = stamp::text(Some(&Timestamp { seconds: end, nanos: 0 }));
    let seen = format!("ends {date}, in {days:.0} days");
    if days <= 0.0 {
        let seen = format!("ended {date}; callers refuse it");
        Finding { exit: Exit::Unreachable, ..Finding::fail("certificate", seen, NEW_CERTIFICATE) }
    } else if days < CERTIFICATE_DAYS {
        Finding::warn("certificate", seen, NEW_CERTIFICATE)
    } else {
        Finding::ok("certificate", seen)
    }
}

fn disk(free: i64, size: i64) -> Finding {
    #[expect(clippy::cast_precision_loss, reason = "shown in MiB")]
    let mib = |bytes: i64| bytes as f64 / f64::from(1 << 20);
    let seen = format!("{:.0} MiB free of {:.0} MiB", mib(free), mib(size));
    let next = "free space on the disk of the data folder, or move the folder while the service is stopped";
    if free < ROOM_BYTES.1 {
        Finding::fail("disk", format!("{seen}; the journal's next file needs 64 MiB"), next)
    } else if free < ROOM_BYTES.0 {
        Finding::warn("disk", seen, next)
    } else {
        Finding::ok("disk", seen)
    }
}

/// Looks at how old the last backup is that was verified.
fn backup(begun: Option<f64>, now: f64) -> Finding {
    let next = "baybook backup, which restores what it wrote before it says ok; a timer does it each night";
    let Some(begun) = begun else {
        return Finding::warn("backup", "there is no verified one", next);
    };
    let days = (now - begun) / DAY_S;
    let seen = format!("the last verified one is {days:.1} days old");
    if days < BACKUP_DAYS { Finding::ok("backup", seen) } else { Finding::warn("backup", seen, next) }
}

/// Looks at how many backups there are, and whether old ones go.
fn backups(reply: &pb::ServerInfoResponse) -> Option<Finding> {
    let (count, bytes, kept) = (reply.backup_count?, reply.backup_bytes?, reply.kept_backup_count?);
    #[expect(clippy::cast_precision_loss, reason = "shown in MiB")]
    let mib = bytes as f64 / f64::from(1 << 20);
    let seen = format!("{count} that the service wrote are in its folder, {mib:.0} MiB");
    Some(match kept {
        0 if count >= BACKUPS_MANY => {
            let next =
                format!("keep_backups = {BACKUPS_KEPT} in the settings of the service, or take old ones away by hand");
            Finding::warn("backups", format!("{seen}; nothing takes old ones away"), next)
        }
        0 => Finding::ok("backups", format!("{seen}; all are kept")),
        kept => Finding::ok("backups", format!("{seen}; at most {kept} are kept")),
    })
}

/// Returns this machine's clock, in seconds since the Unix epoch.
pub fn now() -> f64 {
    SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default().as_secs_f64()
}

#[expect(clippy::cast_precision_loss, reason = "seconds since 1970 are exact in a float")]
fn seconds(moment: &Timestamp) -> f64 {
    moment.seconds as f64 + f64::from(moment.nanos) / 1e9
}

#[cfg(test)]
mod tests {
    use super::super::Verdict::{Fail, Ok, Warn};
    use super::*;

    #[test]
    fn a_clock_is_judged_by_what_is_sure() {
        let judge = |off: f64, took: u64| clock(1_000.0 + off, 1_000.0, Duration::from_secs(took)).verdict;
        assert_eq!([judge(1.9, 0), judge(2.1, 0), judge(-59.0, 0), judge(61.0, 0)], [Ok, Warn, Warn, Fail]);
        assert_eq!(
            [judge(1.0, 6), judge(-7.0, 6)],
            [Ok, Ok],
            "a slow answer does not tell by how much the clock is off"
        );
    }

    #[test]
    fn a_release_is_judged_by_what_may_break() {
        let judge = |there, here| release(there, here).verdict;
        assert_eq!([judge("0.1.0", "0.1.0"), judge("0.1.4", "0.1.0"), judge("0.2.0", "0.1.0")], [Ok, Warn, Fail]);
        assert_eq!([judge("1.2.0", "1.9.3"), judge("2.0.0", "1.9.3")], [Warn, Fail]);
    }

    #[test]
    fn a_certificate_and_a_disk_are_warned_of_before_they_end() {
        let judge = |days: f64| certificate(Some((days * DAY_S) as i64), 0.0).verdict;
        assert_eq!([judge(31.0), judge(29.0), judge(-1.0)], [Ok, Warn, Fail]);
        assert_eq!(certificate(None, 0.0).verdict, Warn);
        assert_eq!([backup(None, 0.0).verdict, backup(Some(0.0), 8.0 * DAY_S).verdict], [Warn, Warn]);
        assert_eq!(backup(Some(0.0), DAY_S).verdict, Ok);
        let judge = |free| disk(free, 1 << 40).verdict;
        assert_eq!([judge(2 << 30), judge(1 << 29), judge(1 << 20)], [Ok, Warn, Fail]);
    }

    #[test]
    fn many_backups_of_which_none_goes_are_warned_of() {
        let judge = |count, kept| {
            let reply = pb::ServerInfoResponse {
                backup_count: Some(count),
                backup_bytes: Some(5 << 20),
                kept_backup_count: Some(kept),
                ..Default::default()
            };
            backups(&reply).unwrap()
        };
        assert_eq!([judge(99, 0).verdict, judge(100, 0).verdict, judge(100, 100).verdict], [Ok, Warn, Ok]);
        assert_eq!(judge(2, 30).seen, "2 that the service wrote are in its folder, 5 MiB; at most 30 are kept");
        assert!(backups(&pb::ServerInfoResponse::default()).is_none(), "an older service does not tell");
    }

    #[test]
    fn whatever_is_not_in_order_says_what_mends_it() {
        let closed =
            pb::ServerInfoResponse { release: "9.0.0".to_owned(), disk_free_bytes: Some(0), ..Default::default() };
        for finding in all(&closed, Duration::ZERO) {
            assert_eq!(finding.next.is_empty(), finding.verdict == Ok, "{finding:?}");
        }
    }
}
