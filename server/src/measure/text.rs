//! Everything that is measured, as OpenMetrics text.

use std::fmt;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use prometheus_client::collector::Collector;
use prometheus_client::encoding::{DescriptorEncoder, EncodeGaugeValue, MetricEncoder, text};
use prometheus_client::metrics::MetricType;
use prometheus_client::registry::{Registry, Unit};

use super::{Timed, Timing};
use crate::book::Standing;
use crate::service::State;
use crate::standing;

/// No labels.
type Bare = [(&'static str, &'static str); 0];

/// Writes everything that is measured.
///
/// # Errors
/// None in practice: writing to a string does not fail.
pub(crate) fn write(state: &Arc<State>) -> Result<String, fmt::Error> {
    let mut registry = Registry::with_prefix("baybook");
    registry.register_collector(Box::new(Readings(Arc::clone(state))));
    let mut into = String::with_capacity(16 << 10);
    text::encode(&mut into, &registry)?;
    Ok(into)
}

#[derive(Debug)]
struct Readings(Arc<State>);

impl Collector for Readings {
    fn encode(&self, encoder: DescriptorEncoder<'_>) -> fmt::Result {
        let state = &self.0;
        let mut to = Sheet(encoder);
        to.info(
            "build",
            "The release, and where the book is kept",
            &[("release", env!("CARGO_PKG_VERSION")), ("engine", state.engine.name())],
        )?;
        self.calls(&mut to)?;
        self.book(&mut to)?;
        self.house(&mut to)
    }
}

impl Readings {
    fn calls(&self, to: &mut Sheet<'_>) -> fmt::Result {
        let state = &self.0;
        to.family("call_duration", "How long calls took, by method and by how they ended", &Unit::Seconds, |family| {
            for (service, method, code, timed) in state.measures.calls.rows() {
                let labels = [("service", service.as_str()), ("method", method.as_str()), ("code", code)];
                histogram(&mut family.encode_family(&labels)?, &timed)?;
            }
            Ok(())
        })?;
        let doors = &state.doors;
        let shed = &state.measures.shed;
        let shed: [(&str, &AtomicU64); 8] = [
            ("calls", &shed.calls),
            ("waiting", &shed.waiting),
            ("streams", &shed.streams),
            ("messages", &shed.messages),
            ("connections", &doors.turned_away),
            ("quiet", &doors.made_room),
            ("silent", &doors.late),
            ("ill", &doors.ill.0),
        ];
        let help = "What was turned away: calls and streams over their limits, calls that would have waited too long, long replies for which there was no room, \
                    connections over the limit, quiet ones that made room for others, connections whose caller said nothing, or whose frames cost more than they asked for";
        to.labelled("shed", help, MetricType::Counter, |family| {
            for (what, count) in shed {
                let labels = [("what", what)];
                let mut one = family.encode_family(&labels)?;
                one.encode_counter::<Bare, _, f64>(&count.load(Ordering::Relaxed), None)?;
            }
            Ok(())
        })?;
        if let Some(lost) = state.measures.lost_lines.get() {
            let lost = AtomicU64::new((lost.0)() as u64);
            to.counter("log_lines_lost", "Lines of the log that are lost because nobody read it", &lost)?;
        }
        to.counter("faults", "Calls that ended by the service's own fault", &state.measures.faults)?;
        to.gauge("calls_open", "Calls that are not over, their replies taken", &whole(doors.commons.calls.taken()))?;
        to.gauge(
            "calls_running",
            "Calls that are running: their requests have come whole, their answers are not made",
            &whole(state.calls.load(Ordering::Relaxed)),
        )?;
        to.gauge("calls_admitted", "Calls that are let in at once, at present", &whole(state.pressure.allowed()))?;
        to.gauge("desk_line", "Calls of long work that wait for a desk", &whole(state.desks.waiting()))?;
        to.gauge("streams_running", "Streams that are running", &whole(doors.commons.streams.taken()))?;
        to.gauge("watchers", "Callers that follow the book", &whole(doors.commons.watchers.taken()))?;
        to.gauge("connections_open", "Connections that are open", &whole(doors.open.load(Ordering::Relaxed)))?;
        let held = [("requests", doors.commons.requests.taken()), ("replies", doors.commons.replies.taken())];
        to.labelled("held", "Bytes of long messages that are not whole or not taken", MetricType::Gauge, |family| {
            for (what, bytes) in held {
                family.encode_family(&[("what", what)])?.encode_gauge(&whole(bytes))?;
            }
            Ok(())
        })
    }

    fn book(&self, to: &mut Sheet<'_>) -> fmt::Result {
        let state = &self.0;
        let book = state.book();
        to.labelled("entries", "Entries in the book, by folder", MetricType::Gauge, |family| {
            for (folder, entries) in state.catalog.folders() {
                family.encode_family(&[("folder", folder)])?.encode_gauge(&whole(entries))?;
            }
            Ok(())
        })?;
        to.gauge("revision", "The book's revision", &state.catalog.revision().to_wire())?;
        let writable = i64::from(book.standing() == Standing::Writable);
        to.gauge("writable", "1 while the book takes writes, else 0", &writable)?;
        if let Some(pace) = book.pace() {
            to.timing("commit_duration", "From handing a commit in to its being on disk and visible", pace.commits)?;
            if let Some(syncs) = pace.syncs {
                to.timing("fsync_duration", "How long the disk took to make a group of commits durable", syncs)?;
            }
        }
        if let Some(backup) = state.upkeep.last_backup() {
            let help = "When the last backup was begun that was verified by restoring it, in Unix time";
            to.measured("last_verified_backup_timestamp", help, &Unit::Seconds, &seconds(backup.time))?;
        }
        let (backups, bytes, _) = state.upkeep.backups();
        let help = "Verified backups that the service wrote and that are still as it wrote them";
        to.gauge("backups", help, &whole(backups))?;
        let size = i64::try_from(bytes).unwrap_or(i64::MAX);
        to.measured("backups_size", "Size of those backups together", &Unit::Bytes, &size)?;
        let away = AtomicU64::new(state.upkeep.backups_taken_away());
        to.counter("backups_taken_away", "Old backups that were taken away", &away)?;
        if let Some(room) = standing::room(&state.data_dir) {
            to.measured("disk_free", "Room on the disk of the data folder", &Unit::Bytes, &room.free)?;
            to.measured("disk_size", "Size of the disk of the data folder", &Unit::Bytes, &room.size)?;
        }
        Ok(())
    }

    fn house(&self, to: &mut Sheet<'_>) -> fmt::Result {
        let state = &self.0;
        let started = seconds(state.started.micros());
        to.measured("start_timestamp", "When the service started, in Unix time", &Unit::Seconds, &started)?;
        if let Some(end) = state.doors.certificate_end() {
            let help = "When the service's certificate ends, in Unix time";
            to.measured("certificate_end_timestamp", help, &Unit::Seconds, &end)?;
        }
        if let Some(resident) = standing::resident_bytes() {
            to.measured("resident_memory", "Memory of the process that is in use", &Unit::Bytes, &resident)?;
        }
        Ok(())
    }
}

/// Where readings are written to.
struct Sheet<'a>(DescriptorEncoder<'a>);

impl Sheet<'_> {
    fn info(&mut self, name: &str, help: &str, labels: &[(&str, &str)]) -> fmt::Result {
        self.0.encode_descriptor(name, help, None, MetricType::Info)?.encode_info(&labels)
    }

    fn family(
        &mut self,
        name: &str,
        help: &str,
        unit: &Unit,
        fill: impl FnOnce(&mut MetricEncoder<'_>) -> fmt::Result,
    ) -> fmt::Result {
        fill(&mut self.0.encode_descriptor(name, help, Some(unit), MetricType::Histogram)?)
    }

    fn labelled(
        &mut self,
        name: &str,
        help: &str,
        kind: MetricType,
        fill: impl FnOnce(&mut MetricEncoder<'_>) -> fmt::Result,
    ) -> fmt::Result {
        fill(&mut self.0.encode_descriptor(name, help, None, kind)?)
    }

    fn counter(&mut self, name: &str, help: &str, count: &AtomicU64) -> fmt::Result {
        let mut to = self.0.encode_descriptor(name, help, None, MetricType::Counter)?;
        to.encode_counter::<Bare, _, f64>(&count.load(Ordering::Relaxed), None)
    }

    fn gauge(&mut self, name: &str, help: &str, value: &impl EncodeGaugeValue) -> fmt::Result {
        self.0.encode_descriptor(name, help, None, MetricType::Gauge)?.encode_gauge(value)
    }

    fn measured(&mut self, name: &str, help: &str, unit: &Unit, value: &impl EncodeGaugeValue) -> fmt::Result {
        self.0.encode_descriptor(name, help, Some(unit), MetricType::Gauge)?.encode_gauge(value)
    }

    fn timing(&mut self, name: &str, help: &str, timing: &Timing) -> fmt::Result {
        self.family(name, help, &Unit::Seconds, |to| histogram(to, &timing.read()))
    }
}

fn histogram(to: &mut MetricEncoder<'_>, timed: &Timed) -> fmt::Result {
    to.encode_histogram::<Bare>(timed.sum_s, timed.count, &timed.classes, None)
}

fn whole(count: usize) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}

#[expect(clippy::cast_precision_loss, reason = "microseconds since 1970 are exact in a float until the year 2255")]
fn seconds(micros: i64) -> f64 {
    micros as f64 / 1e6
}
