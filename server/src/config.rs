//! Every setting of the service: one struct, one documented file of defaults that is compiled in.

use std::net::SocketAddr;
use std::path::PathBuf;
use std::str::FromStr;
use std::time::Duration;

use serde::{Deserialize, Deserializer};

use crate::access::AccessMode;
use crate::book::Bounds;
use crate::limits::Limits;
use crate::upkeep::old::REMEMBERED;

/// The documented defaults, `server/config.toml`.
pub const DEFAULTS: &str = include_str!("../config.toml");

/// What the names of environment variables start with.
pub const PREFIX: &str = "BAYBOOK_";

/// Where the book is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum EngineKind {
    /// On disk.
    Sled,
    /// In memory, for as long as the service runs.
    Memory,
}

impl EngineKind {
    /// Returns its name, as in the settings.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Sled => "sled",
            Self::Memory => "memory",
        }
    }
}

/// Where the admin port listens.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(try_from = "String")]
pub enum AdminAt {
    /// On this machine, on the port after the service's own; on any free one when the service takes any.
    Next,
    /// Nowhere.
    Off,
    /// At this address.
    At(SocketAddr),
}

impl TryFrom<String> for AdminAt {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        text.parse()
    }
}

impl FromStr for AdminAt {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        match text {
            "next" => Ok(Self::Next),
            "off" => Ok(Self::Off),
            _ => text
                .parse()
                .map(Self::At)
                .map_err(|_| format!("admin = {text:?} is neither next nor off nor an address such as 127.0.0.1:7461")),
        }
    }
}

impl AdminAt {
    /// Returns the address, for a service that listens at another.
    #[must_use]
    pub fn address(self, listen: SocketAddr) -> Option<SocketAddr> {
        match self {
            Self::Off => None,
            Self::At(address) => Some(address),
            Self::Next => {
                let port = if listen.port() == 0 { 0 } else { listen.port().checked_add(1).unwrap_or(0) };
                Some(SocketAddr::from(([127, 0, 0, 1], port)))
            }
        }
    }
}

/// How the log is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum LogFormat {
    /// For people.
    Text,
    /// One JSON value a line.
    Json,
}

/// The service's settings.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Config {
    /// Where the service listens.
    pub listen: SocketAddr,
    /// Where the book is kept.
    pub engine: EngineKind,
    /// The directory of the book on disk.
    pub data_dir: PathBuf,
    /// The folder that backups are written into.
    pub backup_dir: PathBuf,
    /// How many verified backups are kept; 0 for all.
    #[serde(deserialize_with = "kept")]
    pub keep_backups: u64,
    /// How often everything on disk is read again.
    #[serde(deserialize_with = "period")]
    pub scrub_every: Duration,
    /// A folder of entry files for the book in memory; empty for none.
    pub book_folder: PathBuf,
    /// Where the admin port listens.
    pub admin: AdminAt,
    /// How much is logged.
    pub log: String,
    /// How the log is written.
    pub log_format: LogFormat,
    /// The folder of the certificate and its key; empty for no TLS.
    pub tls: PathBuf,
    /// Whether callers need a token.
    pub access: AccessMode,
    /// Commits that are kept whatever their age.
    #[serde(deserialize_with = "whole")]
    pub history_commits: u64,
    /// Days that a commit is kept, however many follow it.
    #[serde(deserialize_with = "whole")]
    pub history_days: u64,
    /// The limits; not a setting, but tests make them small.
    #[serde(skip)]
    pub limits: Limits,
}

/// Reads a whole number, as the file has it or as text from the environment.
fn whole<'de, D: serde::Deserializer<'de>>(input: D) -> Result<u64, D::Error> {
    #[derive(Deserialize)]
    #[serde(untagged)]
    enum Either {
        Number(u64),
        Text(String),
    }
    let wanted = || serde::de::Error::custom("a setting that begins with history_ must be a whole number, 0 or more");
    match Either::deserialize(input).map_err(|_| wanted())? {
        Either::Number(number) => Ok(number),
        Either::Text(text) => text.parse().map_err(|_| wanted()),
    }
}

/// Reads how many backups are kept.
fn kept<'de, D: Deserializer<'de>>(input: D) -> Result<u64, D::Error> {
    let why = format!("keep_backups must be a whole number from 0, which keeps all, to {REMEMBERED}");
    let kept = whole(input).ok().filter(|kept| usize::try_from(*kept).is_ok_and(|kept| kept <= REMEMBERED));
    kept.ok_or_else(|| serde::de::Error::custom(why))
}

/// Why the settings cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ConfigError {
    /// A file or variable cannot be read as settings.
    #[error("{place}: {why}; the settings and their defaults are in server/config.toml")]
    Unreadable {
        /// Which file or variable.
        place: String,
        /// What is wrong.
        why: String,
    },
    /// An address that others can reach, without what must stand before it.
    #[error(
        "listen = \"{listen}\" can be reached from outside this machine, where callers must be known and what they say \
         must be private; add to the settings: {}",
        lines.join(" and ")
    )]
    Unguarded {
        /// The address.
        listen: SocketAddr,
        /// The lines of the settings that are missing.
        lines: Vec<&'static str>,
    },
    /// An admin port that others can reach.
    #[error(
        "admin = \"{admin}\" can be reached from outside this machine, and the admin port asks nobody who they are; set \
         admin = \"127.0.0.1:{}\" and let a collector on this machine pass on what it reads", admin.port()
    )]
    AdminReachable {
        /// The address.
        admin: SocketAddr,
    },
    /// A folder of entry files together with a book on disk.
    #[error("book_folder = {folder:?} is read into a book in memory only; set engine = \"memory\" or leave it empty")]
    FolderOnDisk {
        /// The folder.
        folder: PathBuf,
    },
}

impl Config {
    /// Reads the defaults, then the file over them, then the environment over both.
    ///
    /// `file` is a name for messages and the text; `environment` gives the value of a variable.
    ///
    /// # Errors
    /// [`ConfigError`] for what cannot be read, an unknown key, or settings that cannot go together.
    pub fn layered(
        file: Option<(&str, &str)>,
        environment: impl Fn(&str) -> Option<String>,
    ) -> Result<Self, ConfigError> {
        let mut all = table("server/config.toml", DEFAULTS)?;
        let known: Vec<String> = all.keys().cloned().collect();
        if let Some((name, text)) = file {
            for (key, value) in table(name, text)? {
                if !known.contains(&key) {
                    let why = format!("{key} is not a setting; settings are {}", known.join(", "));
                    return Err(ConfigError::Unreadable { place: name.to_owned(), why });
                }
                all.insert(key, value);
            }
        }
        let mut places = Vec::new();
        for key in &known {
            let variable = format!("{PREFIX}{}", key.to_ascii_uppercase());
            if let Some(value) = environment(&variable) {
                all.insert(key.clone(), toml::Value::String(value));
                places.push(variable);
            }
        }
        places.extend(file.map(|(name, _)| name.to_owned()));
        let config: Self = all.try_into().map_err(|error: toml::de::Error| ConfigError::Unreadable {
            place: if places.is_empty() { "server/config.toml".to_owned() } else { places.join(", ") },
            why: error.message().to_owned(),
        })?;
        config.check()?;
        Ok(config)
    }

    /// Returns settings for a book in memory that nobody can reach but this process.
    ///
    /// # Errors
    /// None in practice: the defaults are compiled in and tested.
    pub fn in_memory() -> Result<Self, ConfigError> {
        Ok(Self { engine: EngineKind::Memory, ..Self::layered(None, |_| None)? })
    }

    /// Returns the bounds of the book that follow from the settings.
    #[must_use]
    pub fn bounds(&self) -> Bounds {
        let history_age = Duration::from_secs(self.history_days.saturating_mul(24 * 3_600));
        // Eight files hold what is kept by count, but no file is so short that there would be thousands.
        let segment_commits = (self.history_commits / 8).max(2_048);
        Bounds { history_age, history_commits: self.history_commits, segment_commits, ..self.limits.bounds() }
    }

    /// Refuses settings that must not be used together.
    ///
    /// # Errors
    /// [`ConfigError::Unguarded`], [`ConfigError::AdminReachable`], [`ConfigError::FolderOnDisk`].
    pub fn check(&self) -> Result<(), ConfigError> {
        self.guarded(self.listen)?;
        if let AdminAt::At(admin) = self.admin
            && !admin.ip().to_canonical().is_loopback()
        {
            return Err(ConfigError::AdminReachable { admin });
        }
        if self.engine != EngineKind::Memory && !self.book_folder.as_os_str().is_empty() {
            return Err(ConfigError::FolderOnDisk { folder: self.book_folder.clone() });
        }
        Ok(())
    }

    /// Refuses an address that others can reach when callers are not known, or what they say is not private.
    ///
    /// # Errors
    /// [`ConfigError::Unguarded`] with the lines that are missing.
    pub fn guarded(&self, listen: SocketAddr) -> Result<(), ConfigError> {
        let mut lines = Vec::new();
        if self.tls.as_os_str().is_empty() {
            lines.push("tls = \"FOLDER-OF-CERTIFICATE-AND-KEY\"");
        }
        if self.access != AccessMode::Tokens {
            lines.push("access = \"tokens\"");
        }
        let alone = listen.ip().to_canonical().is_loopback();
        if alone || lines.is_empty() { Ok(()) } else { Err(ConfigError::Unguarded { listen, lines }) }
    }
}

/// Reads a length of time such as `"90s"`, `"30m"`, `"1h"`, `"7d"`: 1 s to 365 d.
fn period<'de, D: Deserializer<'de>>(from: D) -> Result<Duration, D::Error> {
    let text = String::deserialize(from)?;
    let units = [("s", 1), ("m", 60), ("h", 3_600), ("d", DAY)];
    let read = units.into_iter().find_map(|(unit, seconds)| {
        let count: u64 = text.trim().strip_suffix(unit)?.trim().parse().ok()?;
        count.checked_mul(seconds).filter(|all| (1..=365 * DAY).contains(all))
    });
    let why =
        || serde::de::Error::custom(format!("{text:?} is no time from 1s to 365d, written like 90s, 30m, 1h or 7d"));
    read.map(Duration::from_secs).ok_or_else(why)
}

/// Seconds of a day.
const DAY: u64 = 86_400;

fn table(name: &str, text: &str) -> Result<toml::Table, ConfigError> {
    text.parse().map_err(|error: toml::de::Error| ConfigError::Unreadable {
        place: name.to_owned(),
        why: error.to_string().trim().to_owned(),
    })
}

#[cfg(test)]
mod tests;
