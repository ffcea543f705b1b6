//! Layers of settings, and what is refused.

use super::*;

#[test]
fn the_defaults_are_the_file() {
    let config = Config::layered(None, |_| None).unwrap();
    assert_eq!(config.listen.to_string(), "127.0.0.1:7460");
    assert_eq!(config.engine, EngineKind::Sled);
    assert_eq!(config.data_dir, PathBuf::from("baybook-data"));
    assert_eq!(config.backup_dir, PathBuf::from("baybook-backups"));
    assert_eq!(config.keep_backups, 30);
    assert_eq!(config.scrub_every, Duration::from_secs(3_600));
    assert_eq!(config.book_folder, PathBuf::new());
    assert_eq!((config.log.as_str(), config.log_format), ("info", LogFormat::Text));
    assert_eq!(config.admin, AdminAt::Next);
    assert_eq!(config.admin.address(config.listen), Some("127.0.0.1:7461".parse().unwrap()));
    assert_eq!((config.history_commits, config.history_days), (1_000_000, 400));
    assert_eq!((config.tls, config.access), (PathBuf::new(), AccessMode::Open));
    for key in table("", DEFAULTS).unwrap().keys() {
        let variable = format!("{PREFIX}{}", key.to_ascii_uppercase());
        assert!(DEFAULTS.contains(&variable), "{variable} is not documented");
    }
}

#[test]
fn a_file_goes_over_the_defaults_and_the_environment_over_both() {
    let file = Some(("mine.toml", "engine = \"memory\"\nlisten = \"[::1]:9\"\n"));
    let config = Config::layered(file, |name| (name == "BAYBOOK_LISTEN").then(|| "127.0.0.1:1".to_owned())).unwrap();
    assert_eq!((config.engine, config.listen.port()), (EngineKind::Memory, 1));
    assert_eq!(config.data_dir, PathBuf::from("baybook-data"));
}

#[test]
fn how_much_history_is_kept_is_a_whole_number() {
    let days = |text: &'static str| {
        Config::layered(None, move |name| (name == "BAYBOOK_HISTORY_DAYS").then(|| text.to_owned()))
    };
    let config = days("30").unwrap();
    assert_eq!((config.history_days, config.bounds().history_age), (30, Duration::from_secs(30 * 86_400)));
    assert!(days("-1").is_err_and(|error| error.to_string().contains("must be a whole number, 0 or more")));
    let file = Some(("mine.toml", "history_commits = 5"));
    assert_eq!(Config::layered(file, |_| None).unwrap().bounds().history_commits, 5);
    assert!(Config::layered(Some(("mine.toml", "history_commits = 1.5")), |_| None).is_err());
}

#[test]
fn how_many_backups_are_kept_is_bounded() {
    let keep = |text: &'static str| {
        let config = Config::layered(None, move |name| (name == "BAYBOOK_KEEP_BACKUPS").then(|| text.to_owned()));
        config.map(|config| config.keep_backups).map_err(|error| error.to_string())
    };
    assert_eq!((keep("0"), keep("400")), (Ok(0), Ok(400)));
    for bad in ["401", "-1", "all", ""] {
        assert!(
            keep(bad).is_err_and(|error| error.contains("BAYBOOK_KEEP_BACKUPS") && error.contains("to 400")),
            "{bad}"
        );
    }
}

#[test]
fn an_unknown_key_is_refused_by_name() {
    let error = Config::layered(Some(("mine.toml", "lissten = \"127.0.0.1:1\"")), |_| None).unwrap_err();
    assert_eq!(
        error.to_string(),
        "mine.toml: lissten is not a setting; settings are access, admin, backup_dir, book_folder, \
         data_dir, engine, history_commits, history_days, keep_backups, listen, log, log_format, scrub_every, tls; the \
         settings and their defaults are in server/config.toml"
    );
}

#[test]
fn a_bad_value_names_its_place() {
    let engine = |name: &str| (name == "BAYBOOK_ENGINE").then(|| "tape".to_owned());
    let error = Config::layered(None, engine).unwrap_err().to_string();
    assert!(error.starts_with("BAYBOOK_ENGINE: ") && error.contains("tape"), "{error}");
    let error = Config::layered(Some(("mine.toml", "engine = [")), |_| None).unwrap_err().to_string();
    assert!(error.starts_with("mine.toml: "), "{error}");
}

#[test]
fn only_this_machine_may_call_unless_callers_are_known_and_private() {
    for listen in ["0.0.0.0:7460", "192.0.2.1:7460", "[::]:7460", "[2001:db8::1]:7460", "[::ffff:192.0.2.1]:7460"] {
        let with = |more: &str| {
            let file = format!("listen = \"{listen}\"\n{more}");
            Config::layered(Some(("mine.toml", &file)), |_| None)
        };
        let text = with("").unwrap_err().to_string();
        assert!(text.ends_with("tls = \"FOLDER-OF-CERTIFICATE-AND-KEY\" and access = \"tokens\""), "{text}");
        assert!(with("tls = \"here\"").unwrap_err().to_string().ends_with(": access = \"tokens\""));
        assert!(
            with("access = \"tokens\"").unwrap_err().to_string().ends_with(": tls = \"FOLDER-OF-CERTIFICATE-AND-KEY\"")
        );
        assert!(with("tls = \"here\"\naccess = \"tokens\"").is_ok());
    }
    let config = Config::layered(None, |_| None).unwrap();
    for listen in ["127.0.0.1:0", "127.8.8.8:1", "[::1]:1", "[::ffff:127.0.0.1]:1"] {
        assert_eq!(config.guarded(listen.parse().unwrap()), Ok(()));
    }
}

#[test]
fn a_period_is_read_with_its_unit_and_kept_in_its_range() {
    let read = |text: &str| {
        let value = |name: &str| (name == "BAYBOOK_SCRUB_EVERY").then(|| text.to_owned());
        Config::layered(None, value).map(|config| config.scrub_every.as_secs())
    };
    for (text, seconds) in [("1s", 1), ("90s", 90), ("30m", 1_800), (" 1 h ", 3_600), ("365d", 31_536_000)] {
        assert_eq!(read(text), Ok(seconds), "{text}");
    }
    for text in ["0s", "366d", "1", "h", "-1h", "1.5h", "1w", "18446744073709551615d"] {
        let error = read(text).unwrap_err().to_string();
        assert!(error.starts_with("BAYBOOK_SCRUB_EVERY: ") && error.contains("from 1s to 365d"), "{error}");
    }
}

#[test]
fn the_admin_port_is_for_this_machine() {
    let with = |admin: &str| Config::layered(Some(("mine.toml", &format!("admin = \"{admin}\""))), |_| None);
    for admin in ["0.0.0.0:7461", "192.0.2.1:1", "[::]:1"] {
        let text = with(admin).unwrap_err().to_string();
        assert!(text.contains("asks nobody who they are; set admin = \"127.0.0.1:"), "{text}");
    }
    let any: SocketAddr = "127.0.0.1:0".parse().unwrap();
    assert_eq!(with("off").unwrap().admin.address(any), None);
    assert_eq!(with("next").unwrap().admin.address(any), Some(any));
    let last = "192.0.2.1:65535".parse().unwrap();
    assert_eq!(AdminAt::Next.address(last), Some(any), "there is no port after the last");
    assert_eq!(with("[::1]:5").unwrap().admin.address(any), Some("[::1]:5".parse().unwrap()));
    assert!(with("later").unwrap_err().to_string().contains("neither next nor off nor an address"));
}

#[test]
fn a_folder_needs_the_book_in_memory() {
    let error = Config::layered(Some(("mine.toml", "book_folder = \"demo\"")), |_| None).unwrap_err();
    assert_eq!(error, ConfigError::FolderOnDisk { folder: "demo".into() });
}
