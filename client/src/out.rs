//! The only place that prints: data on standard output, talk on standard error.

use std::{
    fs::File,
    io::{self, BufWriter, IsTerminal as _, Write},
    path::Path,
};

use anstream::{AutoStream, ColorChoice};
use erased_serde::Serialize;
use serde_json::Value;
use tracing_appender::non_blocking::{NonBlocking, NonBlockingBuilder, WorkerGuard};

use crate::{
    fail::{Exit, Failure, Stop},
    page::Page,
    people::Units,
    usage,
};

/// How data is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    /// For people: aligned columns, at most 100 wide
    Table,
    /// The reply of the service as it is, in SI
    Json,
    /// One JSON value a line; of a list, one line for each of its elements
    Ndjson,
    /// The fields of the reply and their values, in SI, with a header row
    Csv,
}

/// Where everything is written to.
pub struct Out {
    /// How data is written.
    pub format: Format,
    units: Units,
    colour: bool,
    stdout: BufWriter<io::Stdout>,
}

impl Out {
    /// Opens the output; colour only on a terminal that wants it.
    pub fn new(format: Format, units: Units, no_color: bool) -> Self {
        let colour = !no_color && AutoStream::choice(&io::stdout()) != ColorChoice::Never;
        Self { format, units, colour, stdout: BufWriter::with_capacity(64 * 1024, io::stdout()) }
    }

    /// Returns whether somebody watches standard error, so that progress may be drawn there.
    pub fn is_watched() -> bool {
        io::stderr().is_terminal()
    }

    /// Writes a reply: as a page for people, or as the wire has it.
    pub fn show<R: Serialize>(&mut self, reply: &R, page: impl FnOnce(&mut Page)) -> Result<(), Stop> {
        match self.format {
            Format::Table => self.page(page),
            Format::Json => self.json(reply, true),
            Format::Ndjson => self.json(reply, false),
            Format::Csv => {
                let mut fields = Vec::new();
                flatten(String::new(), &value(reply)?, &mut fields);
                let mut csv = csv::Writer::from_writer(&mut self.stdout);
                csv.write_record(["field", "value"]).map_err(csv_stop)?;
                for (field, value) in fields {
                    csv.write_record([field, value]).map_err(csv_stop)?;
                }
                csv.flush()?;
                Ok(())
            }
        }
    }

    /// Writes a reply that is a list: one line or row for each element where the format has lines or rows.
    pub fn show_list<R: Serialize, T: Serialize>(
        &mut self,
        reply: &R,
        elements: &[T],
        page: impl FnOnce(&mut Page),
    ) -> Result<(), Stop> {
        match self.format {
            Format::Table => self.page(page),
            Format::Json => self.json(reply, true),
            Format::Ndjson => elements.iter().try_for_each(|element| self.json(element, false)),
            Format::Csv => self.rows(elements),
        }
    }

    /// Writes a page for people, whatever the format: for what is no reply.
    pub fn print(&mut self, fill: impl FnOnce(&mut Page)) -> Result<(), Stop> {
        self.page(fill)
    }

    /// Returns whether words may be stressed with colour.
    pub const fn is_coloured(&self) -> bool {
        self.colour
    }

    /// Writes one JSON value on no line of its own, for a list that is written as it comes.
    pub fn json_value(&mut self, value: &dyn Serialize) -> Result<(), Stop> {
        serde_json::to_writer(&mut self.stdout, value).map_err(io::Error::from)?;
        Ok(())
    }

    /// Writes CSV records, for a list that is written as it comes.
    pub fn csv_records(
        &mut self,
        fill: impl FnOnce(&mut dyn FnMut(&[&str]) -> Result<(), Stop>) -> Result<(), Stop>,
    ) -> Result<(), Stop> {
        let mut csv = csv::Writer::from_writer(&mut self.stdout);
        fill(&mut |record| csv.write_record(record).map_err(csv_stop))?;
        csv.flush()?;
        Ok(())
    }

    fn page(&mut self, fill: impl FnOnce(&mut Page)) -> Result<(), Stop> {
        let mut page = Page::new(self.units);
        fill(&mut page);
        let text = page.into_text();
        if self.colour {
            self.stdout.write_all(text.as_bytes())?;
        } else {
            write!(self.stdout, "{}", anstream::adapter::strip_str(&text))?;
        }
        Ok(())
    }

    fn json(&mut self, value: &dyn Serialize, pretty: bool) -> Result<(), Stop> {
        if pretty {
            serde_json::to_writer_pretty(&mut self.stdout, value).map_err(io::Error::from)?;
        } else {
            serde_json::to_writer(&mut self.stdout, value).map_err(io::Error::from)?;
        }
        self.stdout.write_all(b"\n")?;
        Ok(())
    }

    /// Writes one row for each element; the columns are every field that any of them has.
    fn rows<T: Serialize>(&mut self, elements: &[T]) -> Result<(), Stop> {
        let mut columns: Vec<String> = Vec::new();
        let mut rows = Vec::new();
        for element in elements {
            let mut fields = Vec::new();
            flatten(String::new(), &value(element)?, &mut fields);
            for (field, _) in &fields {
                if !columns.contains(field) {
                    columns.push(field.clone());
                }
            }
            rows.push(fields);
        }
        let mut csv = csv::Writer::from_writer(&mut self.stdout);
        csv.write_record(&columns).map_err(csv_stop)?;
        for row in rows {
            let cell = |column: &String| row.iter().find(|(field, _)| field == column).map_or("", |(_, text)| text);
            csv.write_record(columns.iter().map(cell)).map_err(csv_stop)?;
        }
        csv.flush()?;
        Ok(())
    }

    /// Writes bytes as they are.
    pub fn raw(&mut self, bytes: &[u8]) -> Result<(), Stop> {
        self.stdout.write_all(bytes)?;
        Ok(())
    }

    /// Brings everything out; a full disk shows here at the latest.
    pub fn finish(&mut self) -> Result<(), Stop> {
        self.stdout.flush()?;
        Ok(())
    }
}

/// Waits until nobody can read standard output any more; for ever when it is no pipe.
pub async fn gone() {
    #[cfg(unix)]
    if let Ok(copy) = std::os::fd::AsFd::as_fd(&io::stdout()).try_clone_to_owned()
        && let Ok(pipe) = tokio::net::unix::pipe::Sender::from_owned_fd_unchecked(copy)
        && pipe.ready(tokio::io::Interest::ERROR).await.is_ok()
    {
        return;
    }
    std::future::pending().await
}

/// Creates a file that data goes to instead of standard output.
pub fn file(path: &Path) -> Result<BufWriter<File>, Stop> {
    File::create(path).map(BufWriter::new).map_err(|error| Failure::file("written", path, &error).into())
}

/// Returns whether what is said may have colour.
pub fn talk_is_coloured() -> bool {
    AutoStream::choice(&io::stderr()) != ColorChoice::Never
}

/// Lines of the log that wait to be written.
const LOG_LINES: usize = 1_024;

/// Returns where the lines of the log go, and what writes the last of them when it is dropped. Nobody reading the log, or
/// nobody reading it any more, must neither end the service nor hold it up: a thread of its own writes it, and what that
/// thread is too far behind with is counted and lost.
pub fn log_lines() -> (NonBlocking, WorkerGuard) {
    let lines = NonBlockingBuilder::default().lossy(true).buffered_lines_limit(LOG_LINES).thread_name("log");
    lines.finish(io::stderr())
}

/// Says something to the person at the terminal. Nobody listening is no error.
pub fn talk(text: &str) {
    let _ = writeln!(AutoStream::auto(io::stderr()), "{text}");
}

/// Tells why a command stopped, and returns how the process ends.
pub fn tell(stop: Stop) -> Exit {
    match stop {
        Stop::ClosedPipe => Exit::Ok,
        Stop::Failure(failure) => {
            let _ = write!(AutoStream::auto(io::stderr()), "{failure}");
            failure.exit
        }
    }
}

/// Tells what the parser of the command line has to say: help, the release, or what was typed wrongly.
pub fn tell_usage(error: &clap::Error, command: &str) -> Exit {
    if let Some(failure) = usage::failure(error, command) {
        return tell(failure.into());
    }
    let _ = error.print();
    if error.use_stderr() { Exit::Usage } else { Exit::Ok }
}

fn value(element: &dyn Serialize) -> Result<Value, Stop> {
    serde_json::to_value(element).map_err(|error| {
        Failure::new(Exit::Fault, "the reply cannot be written as JSON")
            .at("reply", error.to_string())
            .next("--format table")
            .into()
    })
}

fn csv_stop(error: csv::Error) -> Stop {
    match error.into_kind() {
        csv::ErrorKind::Io(error) => error.into(),
        other => Failure::new(Exit::Fault, "the reply cannot be written as CSV")
            .at("reply", format!("{other:?}"))
            .next("--format json")
            .into(),
    }
}

/// Lists every leaf of a JSON value by its path: `links[2].limit_kg`.
pub fn flatten(path: String, value: &Value, into: &mut Vec<(String, String)>) {
    match value {
        Value::Object(fields) => {
            for (name, field) in fields {
                let path = if path.is_empty() { name.clone() } else { format!("{path}.{name}") };
                flatten(path, field, into);
            }
        }
        Value::Array(elements) => {
            for (i, element) in elements.iter().enumerate() {
                flatten(format!("{path}[{i}]"), element, into);
            }
        }
        Value::String(text) => into.push((path, text.clone())),
        Value::Null => {}
        other => into.push((path, other.to_string())),
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn leaves_are_listed_by_path_in_the_order_of_the_reply() {
        let mut fields = Vec::new();
        flatten(String::new(), &json!({"b": {"c_kg": 1.5}, "a": [{"x": "y"}, {"x": true}], "n": null}), &mut fields);
        let fields: Vec<(&str, &str)> = fields.iter().map(|(path, text)| (path.as_str(), text.as_str())).collect();
        assert_eq!(fields, [("b.c_kg", "1.5"), ("a[0].x", "y"), ("a[1].x", "true")]);
    }
}
